// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "surface/surface.h"

#include <optional>
#include <vector>

namespace fw {

/// One end of a path: place and true height of the radiation centre.
struct PathEnd {
    PlanePoint at;
    double amsl = 0;
    int ownPrism = -1; ///< a solid to leave out because it carries this end, or -1
};

struct ProfileEdge {
    double alongM = 0;     ///< from the first end
    double heightAmsl = 0; ///< top of what stands there, earth bulge added
    double aboveRayM = 0;  ///< positive when it cuts the straight line
    double nu = 0;         ///< Fresnel-Kirchhoff parameter at the given frequency
    ItemId cause;          ///< none for ground
};

/// One path in detail: exact crossings of footprints and ground samples.
struct Profile {
    double lengthM = 0;               ///< ground distance between the ends
    bool clear = true;                ///< nothing above the straight line
    std::optional<ProfileEdge> worst; ///< largest nu; none on a path of under a millimetre
    double clearanceM = 0;            ///< straight line less worst edge; negative when cut
    double clearanceF1 = 0;           ///< the same in first Fresnel radii at that place
    double foliageDb = 0;             ///< through crowns, at 0.6 dB/m scaled to the frequency, at most 20 dB
    std::vector<ProfileEdge> edges;   ///< all solids and the worst ground sample, by distance
};

/// Foliage after Weissberger's modified exponential decay as P.833 quotes it: see crownLossDb.
Profile profileBetween(const Surface& surface, const PathEnd& a, const PathEnd& b, Hertz f);

/// Loss through `depthM` of leaves (dB): 0.6 dB/m at 2.6 GHz, growing with f^0.284 (Weissberger), at most 20
/// dB.
double crownLossDb(double depthM, Hertz f);

} // namespace fw
