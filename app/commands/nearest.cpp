// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/nearest.h"

#include <algorithm>
#include <fmt/format.h>
#include <numeric>

namespace fw::cli {
namespace {

// Single letters to change, add, drop or swap with the next one.
std::size_t lettersApart(std::string_view a, std::string_view b) {
    std::vector<std::size_t> beforeLast, last(b.size() + 1), row(b.size() + 1);
    std::iota(last.begin(), last.end(), std::size_t{0});
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const bool same = a[i - 1] == b[j - 1];
            row[j] = std::min({row[j - 1] + 1, last[j] + 1, last[j - 1] + (same ? 0 : 1)});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                row[j] = std::min(row[j], beforeLast[j - 2] + 1);
        }
        beforeLast = last;
        last = row;
    }
    return last[b.size()];
}

} // namespace

std::string didYouMean(std::string_view given, const std::vector<std::string>& names) {
    given = given.substr(0, 64);
    const std::string* best = nullptr;
    std::size_t fewest = std::max<std::size_t>(2, given.size() / 3) + 1;
    for (const std::string& name : names) {
        const std::size_t n = lettersApart(given, name);
        if (n < fewest && n < name.size()) {
            fewest = n;
            best = &name;
        }
    }
    return best ? fmt::format(" Did you mean \"{}\"?", *best) : "";
}

} // namespace fw::cli
