// SPDX-License-Identifier: GPL-3.0-or-later
// Levels that somebody measured in the street, and which cells of a plan they belong to.
#pragma once

#include "geo/point.h"
#include "plan/plan.h"

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fw {

/// One level of one cell, measured at one place.
struct MeasuredPoint {
    PlanePoint at;
    double rsrpDbm = 0; ///< reference-signal power per resource element
    std::string cell;   ///< name as in the plan; empty: known by PCI and channel
    std::optional<std::int32_t> pci, channel;
    std::optional<Technology> technology; ///< absent: any
    bool indoor = false;
    double heightM = 1.5;    ///< of the device above the ground there
    std::int64_t number = 0; ///< row of the file it came from, for sentences
};

/// Levels that a device reports; outside them a value is no level.
/// Source: 3GPP TS 36.133, 9.1.4 and TS 38.133, 10.1.6 (-156 to -31 dBm, both extended ranges).
inline constexpr double kLowestRsrpDbm = -156, kHighestRsrpDbm = -31;

struct MatchedPoint {
    std::size_t point = 0; ///< index into the points that were given
    ItemId cell;
};

struct Matching {
    std::vector<MatchedPoint> matched; ///< ascending by point
    std::size_t notALevel = 0;         ///< outside the range that devices report, or not finite
    std::size_t unknownCell = 0;       ///< no cell of that name, or of that PCI and channel, within reach
    std::size_t ambiguous = 0;         ///< several cells fit about equally
};

/// Finds the cell of each point: by name where it has one, else by PCI and channel; of several such cells the
/// one whose site is nearest. Ambiguous, and left out: names that two cells have; two fitting cells of one
/// site; a second fitting site less than twice as far as the nearest [own judgement: a street level that a
/// site twice as far off sends is some 11 dB weaker].
/// @param reachM  sites farther off than this are not looked at.
Matching matchPoints(const Plan& plan, std::span<const MeasuredPoint> points, double reachM);

} // namespace fw
