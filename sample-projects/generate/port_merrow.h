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
    std::string severity; ///< block, warn or note
    std::string why;
};

struct Sample {
    Plan plan;
    std::shared_ptr<const Terrain> terrain;
    std::vector<Expected> expected; ///< ascending by mount
};

/// Always the same plan. The terrain's file name and digest are not set yet.
Sample makePortMerrow();

} // namespace fw::town
