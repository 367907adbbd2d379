// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/shown_tenths.h"

#include <cmath>
#include <cstdlib>
#include <fmt/format.h>
#include <numeric>

namespace fw::cli {

std::int64_t tenthsOf(double share) { return std::llround(share * 1000); }

std::string tenthsText(std::int64_t tenths) {
    const std::int64_t size = std::abs(tenths);
    return fmt::format("{}{}.{}", tenths < 0 ? "-" : "", size / 10, size % 10);
}

std::vector<std::int64_t> tenthsThatAddUp(const std::vector<double>& shares, std::int64_t total) {
    std::vector<std::int64_t> out;
    out.reserve(shares.size());
    for (const double s : shares) out.push_back(tenthsOf(s));
    std::int64_t missing = total - std::accumulate(out.begin(), out.end(), std::int64_t{0});
    while (missing != 0 && !out.empty()) {
        const int step = missing > 0 ? 1 : -1;
        std::size_t best = 0;
        double least = HUGE_VAL;
        for (std::size_t k = 0; k < out.size(); ++k) {
            const double off = step * (static_cast<double>(out[k]) + step - shares[k] * 1000);
            const double cost = shares[k] == 0 ? off + 1e9 : off;
            if (cost < least) {
                least = cost;
                best = k;
            }
        }
        out[best] += step;
        missing -= step;
    }
    return out;
}

ShownRow shownRow(double before, double relief, double harm, double after) {
    ShownRow out{tenthsOf(before), tenthsOf(relief), tenthsOf(harm), tenthsOf(after)};
    constexpr double kSame = 1e-6; // of rounding alone; a thousandth of what is shown
    if (std::fabs(before - relief + harm - after) > kSame) return out;
    const auto parts = tenthsThatAddUp({-relief, harm}, out.after - out.before);
    out.relief = -parts[0];
    out.harm = parts[1];
    return out;
}

} // namespace fw::cli
