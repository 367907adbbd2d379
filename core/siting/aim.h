// SPDX-License-Identifier: GPL-3.0-or-later
// Where a radio should point: every azimuth and tilt of its bracket, what each brings and what blocks it.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "base/working.h"
#include "plan/edit.h"
#include "study/study.h"

#include <optional>
#include <string>
#include <vector>

namespace fw {

struct AimOptions {
    double stepDeg = 1;           ///< between azimuths, 1..90; they run from true north on
    std::vector<double> tiltsDeg; ///< down positive; empty: those of the mount's bracket, or the present one
                                  ///< where it names none
    unsigned threads = 0;         ///< 0: one per core. The result does not depend on it
};

/// One way of pointing the radio.
struct AimPoint {
    TrueAzimuth azimuth;
    double tiltDeg = 0;
    double fit = 0;          ///< 0..100, of the small cell that is aimed
    double reliefPoints = 0; ///< its relief, points (hundredths of a cell's PRB)
    /// An open finding blocks here that does not block at every azimuth and tilt alike, or the bracket does
    /// not turn so far: a radio on a wall looks away from it, within 90 deg of its normal.
    bool blocked = false;
    std::string rule, why; ///< the first that blocks; rule "bracket" for the latter. Empty unless blocked
    bool operator==(const AimPoint&) const = default;
};

struct Aim {
    ItemId small, radio;
    AimPoint now;                 ///< as the radio stands
    std::vector<double> tiltsDeg; ///< that were asked, ascending
    std::vector<AimPoint> rose; ///< by azimuth from north on, each at the tilt that suits it: one that is not
                                ///< blocked before one that is, then the greater fit, then the smaller tilt
    /// Peaks of the rose, best first; none of them blocked. A lobe ends where the fit has fallen by a tenth
    /// of the best, or by a point where that is more, or where something blocks: what rises again beyond is
    /// the next lobe.
    std::vector<AimPoint> lobes;
    std::vector<std::string> everywhere; ///< what blocks at every azimuth and tilt, so that no aim helps
    bool operator==(const Aim&) const = default;
};

/// Every azimuth and tilt from the path part that is kept: exactly what study, fit and review of the radio so
/// turned say. About two milliseconds each: for a worker. Refused by a sentence: no such small cell, a step
/// or a tilt out of range. Cancelled: Error cancelled.
Result<Aim> aimOf(const Study& study, ItemId small, const AimOptions& options = {}, const Job& job = {});

/// "Aim S-104a at 214°, tilt 6°". Refused where the radio stands so already, or its aim is locked.
Result<Edit> aimEdit(const Plan& plan, ItemId radio, const AimPoint& to);

/// What the rose rests on and how the best was found.
Working workingOf(const Study& study, const Aim& aim);

} // namespace fw
