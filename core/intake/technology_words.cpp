// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/technology_words.h"

#include "base/ascii.h"
#include "intake/field_text.h"

#include <array>
#include <cctype>
#include <span>
#include <string>

namespace fw {
namespace {

// Words that begin so; "eutra" and "sub6" also come parted by signs.
constexpr std::array<std::string_view, 6> kLte{"lte", "4g", "eutra", "tdlte", "fddlte", "tddlte"};
constexpr std::array<std::string_view, 6> kNr{"nr", "5g", "sub6", "fr1", "fr2", "mmw"};
// Words that are so as a whole.
constexpr std::string_view kMillimetres = "mw";

std::string plain(std::string_view text) {
    std::string out;
    for (const char c : lowered(text))
        if (std::isalnum(static_cast<unsigned char>(c))) out += c;
    return out;
}

bool begins(std::string_view word, std::span<const std::string_view> beginnings) {
    for (const std::string_view b : beginnings)
        if (word.starts_with(b)) return true;
    return false;
}

} // namespace

Result<Technology> technologyFrom(std::string_view text) {
    const std::string whole = plain(text);
    bool lte = begins(whole, kLte) || (!whole.empty() && std::string_view("lte").starts_with(whole));
    bool nr = begins(whole, kNr) || (!whole.empty() && std::string_view("nr").starts_with(whole)) ||
              whole == kMillimetres;
    for (std::size_t from = 0; from < text.size();) { // and word by word
        std::size_t end = from;
        while (end < text.size() && std::isalnum(static_cast<unsigned char>(text[end]))) ++end;
        const std::string word = plain(text.substr(from, end - from));
        lte = lte || begins(word, kLte);
        nr = nr || begins(word, kNr) || word == kMillimetres;
        from = end + 1;
    }
    if (lte && nr) return Error{ErrorCode::badInput, "names both LTE and NR", {}};
    if (!lte && !nr) return Error{ErrorCode::badInput, "is none of LTE, NR, 4G, 5G", {}};
    return lte ? Technology::lte : Technology::nr;
}

} // namespace fw
