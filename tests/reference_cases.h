// SPDX-License-Identifier: GPL-3.0-or-later
// Reads the check values of tests/reference/*.txt. One case a line, fields parted by '|':
//
//   id | source, clause | key=value;key=value | expected | unit | tolerance | basis
//
// Empty lines and lines that begin with '#' are skipped. A tolerance is absolute and in `unit`, or a share of
// the expected value when it ends in '%'; '-' means the value is a text to be met exactly.
#pragma once

#include "support/places.h"

#include <charconv>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fwtest {

/// A number in C notation whatever the locale; throws on anything else, so that a mistyped case fails its
/// test.
inline double numberOf(std::string_view text, const std::string& where) {
    double v = 0;
    const char* const end = text.data() + text.size();
    const auto [stop, error] = std::from_chars(text.data(), end, v);
    if (error != std::errc{} || stop != end)
        throw std::runtime_error(where + ": '" + std::string(text) + "' is not a number");
    return v;
}

struct ReferenceCase {
    std::string id, source;
    std::vector<std::pair<std::string, std::string>> inputs; ///< in the order of the line
    std::string expectedText, unit, toleranceText, basis;
    std::string where; ///< file:line, for messages

    [[nodiscard]] bool has(std::string_view key) const {
        for (const auto& [k, v] : inputs)
            if (k == key) return true;
        return false;
    }
    [[nodiscard]] const std::string& text(std::string_view key) const {
        for (const auto& [k, v] : inputs)
            if (k == key) return v;
        throw std::runtime_error(where + ": no input '" + std::string(key) + "'");
    }
    [[nodiscard]] double number(std::string_view key) const { return numberOf(text(key), where); }
    [[nodiscard]] double number(std::string_view key, double otherwise) const {
        return has(key) ? number(key) : otherwise;
    }
    [[nodiscard]] double expected() const { return numberOf(expectedText, where); }
    /// Absolute, in `unit`.
    [[nodiscard]] double tolerance() const {
        std::string_view t = toleranceText;
        if (!t.empty() && t.back() == '%')
            return std::fabs(expected()) * numberOf(t.substr(0, t.size() - 1), where) / 100.0;
        return numberOf(t, where);
    }
    /// Whether a value meets the expected one; a NaN never does.
    [[nodiscard]] bool met(double value) const { return std::fabs(value - expected()) <= tolerance(); }
};

inline std::string_view trimmed(std::string_view s) {
    const auto a = s.find_first_not_of(" \t\r");
    if (a == std::string_view::npos) return {};
    return s.substr(a, s.find_last_not_of(" \t\r") - a + 1);
}

inline std::vector<std::string> partsOf(std::string_view s, char separator) {
    std::vector<std::string> out;
    for (std::size_t from = 0;;) {
        const auto to = s.find(separator, from);
        out.emplace_back(trimmed(s.substr(from, to == std::string_view::npos ? to : to - from)));
        if (to == std::string_view::npos) return out;
        from = to + 1;
    }
}

inline ReferenceCase referenceCaseOf(std::string_view line, const std::string& where) {
    auto f = partsOf(line, '|');
    if (f.size() != 7) throw std::runtime_error(where + ": a case has seven fields");
    for (const auto& field : {f[0], f[1], f[3], f[6]})
        if (field.empty()) throw std::runtime_error(where + ": id, source, expected or basis is empty");
    ReferenceCase c{f[0], f[1], {}, f[3], f[4], f[5], f[6], where};
    if (f[2].empty()) return c;
    for (const auto& pair : partsOf(f[2], ';')) {
        const auto eq = pair.find('=');
        if (eq == std::string::npos) throw std::runtime_error(where + ": '" + pair + "' is not key=value");
        c.inputs.emplace_back(trimmed(std::string_view(pair).substr(0, eq)),
                              trimmed(std::string_view(pair).substr(eq + 1)));
    }
    return c;
}

/// All cases of tests/reference/<file> whose id begins with `idStart`; throws when there are none, so that an
/// empty file or a wrong name cannot pass for success.
inline std::vector<ReferenceCase> referenceCases(const std::string& file, const std::string& idStart = {}) {
    const auto path = fw::testing::sourceFile("tests/reference") / file;
    std::ifstream in(path);
    if (!in) throw std::runtime_error("cannot read " + path.string());
    std::vector<ReferenceCase> out;
    std::string line;
    for (int n = 1; std::getline(in, line); ++n) {
        const auto t = trimmed(line);
        if (t.empty() || t.front() == '#') continue;
        auto c = referenceCaseOf(t, file + ":" + std::to_string(n));
        if (c.id.starts_with(idStart)) out.push_back(std::move(c));
    }
    if (out.empty()) throw std::runtime_error("no case '" + idStart + "' in " + path.string());
    return out;
}

} // namespace fwtest
