// SPDX-License-Identifier: GPL-3.0-or-later
// The sample project: Port Merrow, an invented island town, with the network of the invented Merrow Mobile.
#pragma once

#include "plan/plan.h"
#include "surface/surface.h"

#include <memory>
#include <string>
#include <vector>

namespace fw::town {

/// A mount that is bad on purpose, and the rule that must say so.
struct Expected {
    std::string mount;
    std::vector<std::string> subjects; ///< names of the items that the finding holds, in any order
    std::string rule;
    std::string severity; ///< at least: block, warn or note
    std::string why;
};

struct Sample {
    Plan plan;
    std::shared_ptr<const Terrain> terrain;
    std::vector<Expected> expected; ///< ascending by mount
};

/// Where a radio of the roll-out looks. Found with the study of the plan itself (make_sample --aim) and kept
/// as a table, so that the sample does not move whenever the computation is refined.
struct Aim {
    std::string mount;
    double azimuthDeg = 0, tiltDeg = 3; ///< true; down
    char carrier = 'L';   ///< in variant A. L: the macros' low band; O: a carrier of its own; B is always O
    std::string variants; ///< of each variant with a cell on it its letter; lower case: not chosen
};
const std::vector<Aim>& portMerrowAims();

/// Always the same plan for the same aims. The terrain's file name and digest are not set yet.
Sample makePortMerrow(const std::vector<Aim>& aims = portMerrowAims());

} // namespace fw::town
