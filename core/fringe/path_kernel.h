// SPDX-License-Identifier: GPL-3.0-or-later
// Path loss from a sight scan: line of sight, the bend past an edge, and the bound without sight, for whole
// rows at once.
#pragma once

#include "base/units.h"
#include "plan/model_choices.h"
#include "surface/bend.h"

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

/// Where a receiver is, seen from the antenna, and how far the path to it is bent.
struct PathGeometry {
    float distanceM = 0, riseM = 0; ///< on the ground; receiver less antenna, earth bulge taken off
    float bend = kUnbent;           ///< of the best path, over a roof or round a corner (surface/bend.h)
};

/// Loss in 0.01 dB: max(LoS, min(LoS + J(nu), NLoS)), J by Rec. ITU-R P.526, 4.1, eq. (31). It has no step
/// where the sight line sinks below a roof or meets a corner, and never falls below line of sight. One edge
/// counts, that seen steepest from the antenna: over one screen the ends may be exchanged, over a house with
/// two walls they may not, since from the other end the other wall is the steepest.
int lossCenti(const LossModel& m, const PathGeometry& g);
/// The same in double precision through the published functions themselves. Kept as the yardstick of the
/// former.
double lossReferenceDb(const LossModel& m, const PathGeometry& g);

/// n receivers in a row, `stepM` apart from (dx0M, dyM) on, standing at z (m above the datum), the paths to
/// them bent by `bend`. `bulge` is 1 / (2 a_e) (1/m), 0 for short paths. Writes loss in 0.01 dB, at most
/// 32766.
void lossRow(const LossModel& m, int n, float dx0M, float stepM, float dyM, float antennaAmsl, float bulge,
             const float* z, const float* bend, std::int16_t* loss);
/// Elevation of the receivers from the antenna in 0.1 deg; error at most 0.06 deg.
void elevationRow(int n, float dx0M, float stepM, float dyM, float antennaAmsl, const float* z,
                  std::int16_t* elevation);

} // namespace fw
