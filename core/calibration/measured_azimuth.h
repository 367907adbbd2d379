// SPDX-License-Identifier: GPL-3.0-or-later
// Where an antenna looks, as its levels round the site tell.
#pragma once

#include "base/working.h"
#include "calibration/calibration.h"

namespace fw {

struct MeasuredAzimuth {
    ItemId sector;
    TrueAzimuth inventory, measured;
    /// Half width of the azimuths that fit about as well (one standard error, squares as units).
    double errorDeg = 0;
    std::size_t points = 0, squares = 0;
    bool known = false;   ///< false: too few points, or the error is above kWorstAzimuthErrorDeg
    bool differs = false; ///< known, and off by more than 15 deg and three errors [own judgement]
    std::string text;     ///< one sentence
};
inline constexpr double kWorstAzimuthErrorDeg = 30;

/// Tries all azimuths in steps of 1 deg: that of which the pattern's losses leave the least spread between
/// measured and predicted levels, offset apart, by the median of each street square. Sectors with matched
/// outdoor points, ascending by id. Only as good as the pattern and the paths: reflections widen the error,
/// a wrong height or tilt does not turn it.
std::vector<MeasuredAzimuth> measuredAzimuths(const Study& study, const Calibration& calibration);

/// The steps to it, a true azimuth; without steps where it is not known.
Working workingOf(const Plan& plan, const MeasuredAzimuth& measured);

/// Turns a sector to where it was measured, to whole degrees.
Result<Edit> azimuthEdit(const Plan& plan, const MeasuredAzimuth& measured);

} // namespace fw
