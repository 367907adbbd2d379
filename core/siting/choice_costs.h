// SPDX-License-Identifier: GPL-3.0-or-later
// What small cells cost to build, as a table of unit costs.
#pragma once

#include "base/result.h"
#include "plan/plan.h"

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace fw {

/// Every default is invented, to be replaced by the planner's own figures. Whole units of `currency`.
struct CostTable {
    std::string currency = "units";
    std::array<double, 4> mount{5000, 3500, 3000, 4500}; ///< pole, wall, parapet, roof: with works and rent
    double radio = 4000;                                 ///< each, with its cell and commissioning
    double fibreConnection = 1500, fibrePerM = 60;
    double powerConnection = 1200, powerPerM = 45;
    double earthRod = 300;
    double unknownRunM = 60; ///< of a run that neither the mount nor a point of the plan tells
    double detour = 1.3;     ///< of a run over the straight line to the nearest point
    bool operator==(const CostTable&) const = default;
};

/// What tells the length of a run of fibre or power.
enum class RunFrom : std::uint8_t {
    mount,        ///< entered there
    nearestPoint, ///< straight line to the nearest point of the plan, times the detour
    unknown,      ///< CostTable::unknownRunM
};

struct MountCost {
    double mount = 0, fibreM = 0, fibre = 0, powerM = 0, power = 0, earth = 0;
    RunFrom fibreFrom = RunFrom::unknown, powerFrom = RunFrom::unknown;
    [[nodiscard]] double site() const { return mount + fibre + power + earth; } ///< beside the radios
    bool operator==(const MountCost&) const = default;
};
/// In whole units of the currency, runs in metres; nothing is rounded.
MountCost costOf(const Plan& plan, const Mount& mount, const CostTable& costs);

/// What a working says of where a unit cost comes from.
const char* originOf(const CostTable& costs);

/// Reads a table as TOML; keys it leaves out keep their defaults. Unknown keys, negative values and bad TOML
/// are refused by a sentence with line and key.
Result<CostTable> costsFromToml(std::string_view text);

} // namespace fw
