// SPDX-License-Identifier: GPL-3.0-or-later
// Where the measured use of macro cells lies: the part of a baseline that follows receivers and levels.
#pragma once

#include "study/state.h"

namespace fw {

/// Samples of a timing-advance histogram from which it says where users are [own].
inline constexpr double kLeastTimingSamples = 100;

/// Rings of a cell's timing-advance histogram about its antenna, one a step; none (`count` 0) where it has no
/// measured use, fewer than two steps or than 100 samples, or the plan leaves histograms aside. A step is 78
/// m one way: 16 Ts of LTE (TS 36.213, 4.2.3), as many of NR at 15 kHz and less at wider spacing
/// (TS 38.213, 4.2). The round trip is taken for the distance on the plane; echoes make it longer.
DemandRings ringsOf(const Cell& cell, PlanePoint antenna, const ModelSettings& model);
/// The same for any histogram of two steps or more, used or not.
DemandRings stepsOf(const Cell& cell, PlanePoint antenna);
void addRings(Digester& d, const DemandRings& rings);

/// Share of bits that the plan wants indoors; none where a demand raster says by itself what lies there.
std::optional<double> indoorShareOf(const Baseline& b, const Plan& plan);

/// How each cell's use is spread over its demand; needs the demand of all tiles.
void makeScales(Baseline& b, const Plan& plan);
/// How a cell's users lie: as its use is spread, or, where its downlink was not measured, as the model has
/// them.
CellScales userScalesOf(const Baseline& b, const Plan& plan, std::size_t cell);
/// The fringe of each cell, what rounding left of its use, and the digest of all costs.
void findFringes(Baseline& b);

} // namespace fw
