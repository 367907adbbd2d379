// SPDX-License-Identifier: GPL-3.0-or-later
// What small cells would serve, at every azimuth in one pass: the ground a choice is made on.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "study/study.h"

namespace fw {

/// Azimuths a footprint is made for: multiples of 10 degrees *true*, from north.
inline constexpr std::uint16_t kFootprintSteps = 36;
inline constexpr double kFootprintStepDeg = 10;
/// Worth of a place: 2^-24 points (hundredths of its macro cell's PRB).
inline constexpr double kWorthUnit = 16777216.0;

/// A small cell as it would stand; ids of radio and cell need not be in the plan.
struct FootprintAsk {
    Mount mount; ///< of the plan, unchanged
    Radio radio;
    SmallCell cell;
    bool oneAzimuth = false; ///< only as the radio looks; its steps are then all or none
};

struct AzimuthFootprints {
    /// Steps [from, from + count), over north, at which a place is served.
    struct Run {
        std::uint32_t place = 0;
        std::uint16_t from = 0, count = 0;
    };
    std::vector<std::int64_t> worth;    ///< by place; only places that somebody serves
    std::vector<std::uint32_t> macro;   ///< by place: whose load, index into the cells asked for
    std::vector<std::vector<Run>> runs; ///< by ask; ascending by place
    std::vector<SmallCellPart> parts;   ///< by ask, azimuth as its radio has it
};

/// Places are receivers with load of one of `cells`, where the small cell at its median level, bias counted,
/// is at least as strong as the macro that serves there; on a carrier of its own, where it is strong enough
/// to be used. Interference, shadowing and caps are left to the full model. The same for any number of
/// threads. Refused by a sentence: carriers outside their bands. Cancelled: Error cancelled.
Result<AzimuthFootprints> azimuthFootprints(const Study& study, const std::vector<FootprintAsk>& asks,
                                            const std::vector<ItemId>& cells, unsigned threads = 0,
                                            const Job& job = {});

} // namespace fw
