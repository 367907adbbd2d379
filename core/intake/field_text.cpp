// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/field_text.h"

#include "base/ascii.h"

#include <algorithm>
#include <array>

namespace fw {
namespace {

constexpr std::array<std::string_view, 8> kBlanks = {
    " ", "\t", "\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x89", "\xEF\xBB\xBF", "\r", "\n"};

} // namespace

std::string_view trimmedField(std::string_view s, bool lineEnds) {
    const std::size_t kinds = kBlanks.size() - (lineEnds ? 0 : 2);
    for (bool more = true; more && !s.empty();) {
        // Most fields need nothing.
        const auto a = static_cast<unsigned char>(s.front()), b = static_cast<unsigned char>(s.back());
        if (a > ' ' && a < 0x80 && b > ' ' && b < 0x80) break;
        more = false;
        for (std::size_t k = 0; k < kinds; ++k) {
            const std::string_view blank = kBlanks[k];
            if (s.size() >= blank.size() && s.substr(0, blank.size()) == blank) {
                s.remove_prefix(blank.size());
                more = true;
            }
            if (s.size() >= blank.size() && s.substr(s.size() - blank.size()) == blank) {
                s.remove_suffix(blank.size());
                more = true;
            }
        }
    }
    return s;
}

Error badValue(std::string_view text, std::string_view clause) {
    return badInput(fmt::format("\"{}\" {}", text.substr(0, 60), clause));
}

bool isNothing(std::string_view field) {
    constexpr std::array<std::string_view, 10> kWords = {"-",    "--",  "n/a",  "na",   "nan",
                                                         "null", "nil", "none", "#n/a", "?"};
    if (field.empty()) return true;
    if (field.size() > 4) return false;
    return std::find(kWords.begin(), kWords.end(), lowered(field)) != kWords.end();
}

} // namespace fw
