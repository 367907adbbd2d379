// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/tile_address.h"

#include "base/ascii.h"
#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

namespace fw {
namespace {

constexpr std::size_t kMostCharacters = 2000;

/// What is wrong with the braces, or nothing.
std::optional<std::string> bracesProblem(std::string_view s) {
    std::array<bool, 3> found{};
    constexpr std::array<std::string_view, 3> kNames{"{z}", "{x}", "{y}"};
    for (std::size_t at = s.find_first_of("{}"); at != s.npos; at = s.find_first_of("{}", at)) {
        const auto name = std::find_if(kNames.begin(), kNames.end(),
                                       [&](std::string_view n) { return s.substr(at, n.size()) == n; });
        if (name == kNames.end()) {
            const std::size_t end = s.find('}', at);
            return fmt::format(
                CORE_TEXT("\"{}\" in the address is not known. Only {{z}}, {{x}} and {{y}} are "
                          "replaced: write everything else as it is."),
                s.substr(at, end == s.npos ? std::min<std::size_t>(20, s.size() - at) : end - at + 1));
        }
        found[static_cast<std::size_t>(name - kNames.begin())] = true;
        at += name->size();
    }
    for (std::size_t k = 0; k < kNames.size(); ++k)
        if (!found[k])
            return fmt::format(
                CORE_TEXT("The address lacks {}. It has to hold {{z}}, {{x}} and {{y}} where zoom, "
                          "column and row of a tile go, as in "
                          "https://tiles.example.org/{{z}}/{{x}}/{{y}}.png."),
                kNames[k]);
    return std::nullopt;
}

void replaceAll(std::string& s, std::string_view what, const std::string& by) {
    for (std::size_t at = s.find(what); at != s.npos; at = s.find(what, at + by.size()))
        s.replace(at, what.size(), by);
}

} // namespace

Result<TileAddress> TileAddress::from(std::string_view typed) {
    const std::string_view text = trimmed(typed);
    if (text.empty()) return badInput(CORE_TEXT("Type the address of the tiles."));
    if (text.size() > kMostCharacters)
        return badInput(CORE_TEXT("The address is longer than 2000 characters."));
    const auto odd = [](unsigned char c) {
        return c <= ' ' || c == 0x7f || c == '\\' || c == '"' || c == '<' || c == '>';
    };
    if (std::any_of(text.begin(), text.end(), odd))
        return badInput(
            CORE_TEXT("The address holds a space or a character that no address has. Copy it once "
                      "more."));
    const std::size_t colon = text.find("://");
    const std::string scheme = colon == text.npos ? std::string() : lowered(text.substr(0, colon));
    if (scheme != "https" && scheme != "http")
        return badInput(CORE_TEXT("The address has to begin with https:// or http://. Files are chosen as a "
                                  "file."));
    std::string_view rest = text.substr(colon + 3);
    const std::string_view host = rest.substr(0, rest.find_first_of("/?#"));
    if (host.find('@') != host.npos)
        return badInput(CORE_TEXT("The address holds a name or password before its host. Leave them out."));
    if (host.empty() || host.front() == ':' || host.find_first_of("{}") != host.npos)
        return badInput(
            CORE_TEXT("The address names no host. Write one behind ://, without {z}, {x} or {y} in "
                      "it."));
    if (const auto problem = bracesProblem(text)) return badInput(*problem);
    TileAddress address;
    address.m_text = text;
    address.m_host = host;
    return address;
}

std::string TileAddress::of(const WebTile& tile) const {
    std::string url = m_text;
    replaceAll(url, "{z}", fmt::format("{}", tile.zoom));
    replaceAll(url, "{x}", fmt::format("{}", tile.col));
    replaceAll(url, "{y}", fmt::format("{}", tile.row));
    return url;
}

} // namespace fw
