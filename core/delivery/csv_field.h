// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <string>
#include <string_view>

namespace fw {

/// One field of a CSV line after RFC 4180, quoted where needed. A *text* that begins with = + - @, tab or
/// return gets an apostrophe before it, so that a spreadsheet shows it and does not run it.
inline std::string csvField(const std::string& text, bool number) {
    std::string s = text;
    if (!number && !s.empty() && std::string_view("=+-@\t\r").find(s.front()) != std::string_view::npos)
        s.insert(s.begin(), '\'');
    if (s.find_first_of(",\"\r\n") == std::string::npos) return s;
    std::string quoted = "\"";
    for (const char c : s) {
        if (c == '"') quoted += '"';
        quoted += c;
    }
    return quoted + '"';
}

} // namespace fw
