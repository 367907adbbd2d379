// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "geo/frame.h"
#include "plan/plan.h"

namespace fw {

/// What a plan begins with.
struct NewPlan {
    std::string name;
    int epsg = 0;
    Date date;
    Box workArea; ///< empty: from what is taken in first
};
/// An empty plan on flat ground with one variant, the default limits and a number of its own. Refused where
/// the system is none for a plan (Frame::fromEpsg).
Result<Plan> newPlan(const NewPlan& wanted);

/// A square of that side round a place, on whole metres.
Result<Box> squareRound(const Frame& frame, GeoPoint at, double sideM);

} // namespace fw
