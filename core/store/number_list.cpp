// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/number_list.h"

#include "base/ascii.h"

#include <charconv>

namespace fw {

namespace {

constexpr std::size_t kLongestList = 1u << 20;

} // namespace

std::string numberText(double v) {
    char buffer[32];
    const auto end = std::to_chars(buffer, buffer + sizeof buffer, v + 0.0).ptr;
    return {buffer, end};
}

std::optional<double> numberFrom(std::string_view text) {
    const std::string_view s = trimmed(text);
    double v = 0;
    const auto [end, failed] = std::from_chars(s.data(), s.data() + s.size(), v);
    if (failed != std::errc{} || end != s.data() + s.size()) return std::nullopt;
    return v;
}

std::string listText(const std::vector<double>& values) {
    std::string s = "[";
    for (const double v : values) {
        if (s.size() > 1) s += ',';
        s += numberText(v);
    }
    return s + "]";
}

std::optional<std::vector<double>> listFrom(std::string_view text) {
    std::string_view s = trimmed(text);
    if (s.size() > kLongestList) return std::nullopt;
    if (s.size() < 2 || s.front() != '[' || s.back() != ']') return std::nullopt;
    s = trimmed(s.substr(1, s.size() - 2));
    std::vector<double> values;
    while (!s.empty()) {
        const std::size_t comma = s.find(',');
        const auto v = numberFrom(s.substr(0, comma));
        if (!v) return std::nullopt;
        values.push_back(*v);
        if (comma == std::string_view::npos) break;
        s.remove_prefix(comma + 1);
        if (s.empty()) return std::nullopt; // a comma at the end
    }
    return values;
}

} // namespace fw
