// SPDX-License-Identifier: GPL-3.0-or-later
// The orientation rules once more, from scratch: ellipsoidal azimuths and distances straight from
// GeographicLib, every pair tried, sight by a prism test of its own. Of the program it uses plan values and
// Frame::toGeo only.
#pragma once

#include "geo/frame.h"
#include "plan/plan.h"

#include <functional>
#include <map>
#include <string>
#include <vector>

namespace fwtest {

/// What the oracle says of one tuple.
struct Verdict {
    enum class Says {
        nothing,  ///< no finding may be there
        finding,  ///< one must be there, with `severity`
        atLeast,  ///< one must be there, `severity` or graver (a figure of the radio model may raise it)
        mayBe,    ///< geometry allows one, a figure of the radio model decides
        tooClose, ///< within 0.1 deg or 0.1 m of a limit: either answer is right
    } says = Says::nothing;
    int severity = 0;      ///< 0 note, 1 warn, 2 block
    bool nearMiss = false; ///< nothing, but by under 5 deg or 15 m of one limit (0.5 m for heights and lines)
    bool overNorth = false; ///< azimuth and bearing lie on two sides of north
};

using TupleKey = std::pair<std::string, std::vector<fw::ItemId>>; ///< rule, subjects ascending

/// @param limit  value of a limit by name.
/// Flat ground only; every building is a solid up to its height. Tuples it does not mention have no finding.
std::map<TupleKey, Verdict> oracle(const fw::Plan& plan, const fw::Frame& frame,
                                   const std::function<double(const char*)>& limit);

} // namespace fwtest
