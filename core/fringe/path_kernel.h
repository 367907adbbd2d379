// SPDX-License-Identifier: GPL-3.0-or-later
// Path loss from a sight scan: line of sight, the worst edge, and the bound without sight, for whole rows at
// once.
#pragma once

#include "base/units.h"
#include "plan/model_choices.h"

#include <cstdint>

namespace fw {

/// A published pair of models (with and without sight) at one frequency and one pair of heights, as straight
/// lines over log2 of the distance in space.
struct LossModel {
    float losA = 0, losB = 0;                ///< dB, dB per doubling
    float breakM = 1e9f, farA = 0, farB = 0; ///< with sight beyond the breakpoint (ground distance)
    float nlosA = 0, nlosB = 0;
    float nearestM = 5; ///< below it the distance is held
    float fresnel = 0;  ///< 2 / wavelength (1/m)
};

/// Small cell to street: Rec. ITU-R P.1411-11, 4.1.1, both ends below the roofs, whatever their heights; or
/// 3GPP TR 38.901, UMi, with the antenna at the 10 m that it is stated for and the terminal at hUtM above
/// ground.
LossModel smallCellModel(Hertz f, SmallPathModel model = SmallPathModel::belowRoofs, double hUtM = 1.5);
/// Macro to street: 3GPP TR 38.901, UMa, for a base station at hBsM and a terminal at hUtM above ground.
LossModel macroModel(Hertz f, double hBsM, double hUtM, MacroPathModel model = MacroPathModel::urbanMacro);

/// Where a receiver is, seen from the antenna, and the worst edge on the way to it (SightScan's meaning).
struct PathGeometry {
    float distanceM = 0, riseM = 0; ///< on the ground; receiver less antenna, earth bulge taken off
    float edgeSlope = -1e9f, edgeDistM = 0;
};

/// Loss in 0.01 dB: max(LoS, min(LoS + J(nu), NLoS)), J by Rec. ITU-R P.526, 4.1, eq. (31). It has no step
/// where the sight line sinks below a roof, and never falls below line of sight. Round a *vertical* edge it
/// steps, once, by min(J over the roof, NLoS - LoS), 5 dB at 20 m and 20 dB at 120 m: only roofs diffract,
/// and the statistic without sight holds what comes round corners. The true transition, some metres wide
/// there, is of the order of a pixel. One edge counts, that seen steepest from the antenna: over one screen
/// the ends may be exchanged, over a house with two walls they may not, since from the other end the other
/// wall is the steepest.
int lossCenti(const LossModel& m, const PathGeometry& g);
/// The same in double precision through the published functions themselves. Kept as the yardstick of the
/// former.
double lossReferenceDb(const LossModel& m, const PathGeometry& g);

/// n receivers in a row, `stepM` apart from (dx0M, dyM) on, standing at z (m above the datum), with the
/// scan's edges. `bulge` is 1 / (2 a_e) (1/m), 0 for short paths. Writes loss in 0.01 dB, at most 32766.
void lossRow(const LossModel& m, int n, float dx0M, float stepM, float dyM, float antennaAmsl, float bulge,
             const float* z, const float* edgeSlope, const float* edgeDistM, std::int16_t* loss);
/// Elevation of the receivers from the antenna in 0.1 deg; error at most 0.06 deg.
void elevationRow(int n, float dx0M, float stepM, float dyM, float antennaAmsl, const float* z,
                  std::int16_t* elevation);

} // namespace fw
