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

/// Roofs without parapets; a solid gives an edge where the line enters its footprint and one where it leaves.
/// Ground is sampled at most a cell apart. Thread-safe. f must be positive.
/// Source: Rec. ITU-R P.526, 2 and 4.1 (Fresnel radius, nu); foliage: see crownLossDb.
Profile profileBetween(const Surface& surface, const PathEnd& a, const PathEnd& b, Hertz f);

/// Loss through `depthM` of leaves (dB): 0.6 dB/m at 2.6 GHz, growing with f^0.284, at most 20 dB; 0 for no
/// depth. This is Weissberger's short branch, 0.45 f^0.284 d dB (f in GHz, 0.23 to 95; d up to 14 m), within
/// 2 %, carried on in a straight line to the cap: beyond 14 m it is above his long branch, by 6 dB at 33 m.
/// Source: M. A. Weissberger, An Initial Critical Summary of Models for Predicting the Attenuation of Radio
/// Waves by Trees, ESD-TR-81-101, 1982; the cap is common practice.
double crownLossDb(double depthM, Hertz f);

} // namespace fw
