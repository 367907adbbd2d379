// SPDX-License-Identifier: GPL-3.0-or-later
// Letters, digits and blanks of ASCII: what programs write, the same in every locale.
#pragma once

#include <string>
#include <string_view>

namespace fw {

inline constexpr bool isDigit(char c) { return c >= '0' && c <= '9'; }

/// The text with ASCII's capitals made small; every other byte as it is.
inline std::string lowered(std::string_view s) {
    std::string out(s);
    for (char& c : out)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return out;
}

/// The text without the blanks before and behind it; empty if it has nothing else.
inline std::string_view trimmed(std::string_view s, std::string_view blanks = " \t\r\n") {
    const std::size_t from = s.find_first_not_of(blanks);
    if (from == std::string_view::npos) return {};
    return s.substr(from, s.find_last_not_of(blanks) - from + 1);
}

} // namespace fw
