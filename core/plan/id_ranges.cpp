// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/id_ranges.h"

#include "base/ascii.h"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <optional>
#include <string>

namespace fw {

namespace {

constexpr std::size_t kMostRanges = 1000, kShown = 30;

std::optional<std::int64_t> wholeIn(std::string_view s) {
    std::int64_t v = 0;
    const auto [end, failed] = std::from_chars(s.data(), s.data() + s.size(), v);
    if (failed != std::errc{} || end != s.data() + s.size() || v < 0) return std::nullopt;
    return v;
}

Result<IdRange> oneRange(std::string_view part, std::int64_t highest) {
    const auto dash = part.find('-');
    const auto first = wholeIn(trimmed(part.substr(0, dash)));
    const auto last = dash == std::string_view::npos ? first : wholeIn(trimmed(part.substr(dash + 1)));
    if (!first || !last)
        return badInput(fmt::format("\"{}\" is neither a number nor a range like 100-119",
                                    std::string(part.substr(0, kShown))));
    if (*last < *first) return badInput(fmt::format("the range {}-{} ends before it begins", *first, *last));
    if (*last > highest) return badInput(fmt::format("{} is above {}, the highest there is", *last, highest));
    return IdRange{*first, *last};
}

} // namespace

Result<std::vector<IdRange>> idRanges(std::string_view text, std::int64_t highest) {
    std::vector<IdRange> all;
    if (trimmed(text).empty()) return all;
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t comma = std::min(text.find(',', at), text.size());
        const auto one = oneRange(trimmed(text.substr(at, comma - at)), highest);
        if (!one) return one.error();
        all.push_back(*one);
        if (all.size() > kMostRanges) return badInput(fmt::format("it has more than {} ranges", kMostRanges));
        at = comma + 1;
    }
    std::sort(all.begin(), all.end(), [](const IdRange& a, const IdRange& b) { return a.first < b.first; });
    std::vector<IdRange> out;
    for (const IdRange& r : all)
        if (!out.empty() && r.first <= out.back().last + 1)
            out.back().last = std::max(out.back().last, r.last);
        else
            out.push_back(r);
    return out;
}

std::int64_t countOf(const std::vector<IdRange>& ranges) {
    std::int64_t n = 0;
    for (const IdRange& r : ranges) n += r.last - r.first + 1;
    return n;
}

} // namespace fw
