// SPDX-License-Identifier: GPL-3.0-or-later
// Points of PRB use with one decimal, rounded so that a row that is read adds up.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

namespace fw::cli {

/// Tenths of a point, the nearest, of a share (0.0423: 42).
std::int64_t tenthsOf(double share);
/// "4.2" of 42; "0.0" of 0.
std::string tenthsText(std::int64_t tenths);
/// Tenths of each share that add up to `total`: the nearest of each, then those moved by one that lie closest
/// to it (largest remainder; equal ones: the first). Shares of exactly 0 stay where any other can be moved.
std::vector<std::int64_t> tenthsThatAddUp(const std::vector<double>& shares, std::int64_t total);

/// Likewise of the `use` of each part of a ledger's line.
template <class Parts>
std::vector<std::int64_t> partsThatAddUp(const Parts& parts, std::int64_t total) {
    std::vector<double> uses;
    uses.reserve(parts.size());
    for (const auto& p : parts) uses.push_back(p.use);
    return tenthsThatAddUp(uses, total);
}

/// A row of a ledger: before - relief + harm = after, in tenths as in the figures themselves. Before and
/// after are the nearest; where the figures do not add up (a use that was clipped), so are the others.
struct ShownRow {
    std::int64_t before = 0, relief = 0, harm = 0, after = 0;
};
ShownRow shownRow(double before, double relief, double harm, double after);

} // namespace fw::cli
