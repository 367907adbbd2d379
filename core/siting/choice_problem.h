// SPDX-License-Identifier: GPL-3.0-or-later
// A choice among mounts and azimuths as plain whole numbers, free of plans and studies.
//
// The objective is *round-0 relief*: a place counts with its whole worth as soon as one chosen option serves
// it. It is a stand-in for the full model (shares by shadowing, interference, caps), quick enough to search,
// and every bound below is a bound of this objective alone.
#pragma once

#include "base/result.h"

#include <cstdint>
#include <string>
#include <vector>

namespace fw {

/// Azimuth steps [from, from + count), going on over north.
struct StepRange {
    std::uint16_t from = 0, count = 0;
    bool operator==(const StepRange&) const = default;
};
/// Whether a step lies in a range on a circle of `steps`.
inline bool inRange(StepRange r, std::uint32_t step, std::uint32_t steps) {
    return (step + steps - r.from) % steps < r.count;
}

struct ChoiceProblem {
    /// Where a mount serves a place.
    struct Run {
        std::uint32_t place = 0;
        StepRange at;
        bool operator==(const Run&) const = default;
    };
    /// Somewhere with one or more radios, or a cell that stands already: that one is a mount of its own with
    /// one step allowed and `must`.
    struct Mount {
        std::string name;                  ///< for sentences
        std::int64_t siteCost = 0;         ///< once, with the first radio
        std::int64_t radioCost = 1;        ///< each
        int radios = 1;                    ///< at most
        std::uint16_t apart = 1;           ///< steps between two of them, at least
        int group = -1;                    ///< street, or none
        bool must = false;                 ///< carries one at least
        std::vector<std::uint8_t> allowed; ///< by step; empty: all
        std::vector<Run> runs;             ///< ascending by place; runs of one place do not overlap
    };
    /// No two options out of these may be chosen together: a at `atA` with b at `atB`.
    struct Conflict {
        std::uint32_t a = 0, b = 0;
        StepRange atA, atB;
    };
    struct Target {
        std::string name;
        std::int64_t need = 0; ///< relief that brings it down, in units of worth
    };

    std::uint16_t steps = 36;          ///< azimuths of a mount
    std::vector<std::int64_t> worth;   ///< by place
    std::vector<std::uint32_t> target; ///< by place: whose load it is
    std::vector<Target> targets;
    std::vector<Mount> mounts;
    std::vector<Conflict> conflicts;
    std::vector<int> groupLimits; ///< radios in a group, at most
};

/// Largest sum of all worth and of all costs: doubles hold them exactly.
inline constexpr std::int64_t kChoiceMost = std::int64_t{1} << 52;

/// Refuses by a sentence what no search can be run on: numbers that name nothing, negative worth or cost,
/// sums above kChoiceMost, runs out of order.
Status checkChoice(const ChoiceProblem& problem);

} // namespace fw
