// SPDX-License-Identifier: GPL-3.0-or-later
// Diffraction over edges.
#pragma once

#include "base/units.h"

#include <vector>

namespace fw {

/// Radius of the n-th Fresnel ellipsoid (m) at d1 and d2 metres from the two ends; all lengths > 0, n >= 1.
/// Source: Rec. ITU-R P.526-16, section 2: sqrt(n lambda d1 d2 / (d1 + d2)).
double fresnelRadiusM(int n, double d1M, double d2M, double wavelengthM);

/// Fresnel-Kirchhoff parameter of an edge (dimensionless).
/// @param heightM  top of the edge above the straight line between the ends (m); negative when it stays
/// below.
/// @param d1M,d2M  distances from the ends to the edge (m), > 0. @param wavelengthM  (m), > 0.
/// Source: Rec. ITU-R P.526-16, 4.1, eq. (26): h sqrt(2 (d1 + d2) / (lambda d1 d2)).
double fresnelNu(double heightM, double d1M, double d2M, double wavelengthM);

/// Diffraction loss over one knife edge, the approximation all planning uses.
/// @param nu  positive when the edge cuts the sight line.
/// @return loss, positive (dB); 0 for nu <= -0.78, where the approximation ends. It is within 0.13 dB of the
///         exact loss for -0.78 < nu < 10. NaN in, NaN out.
/// Not for rounded obstacles nor for several edges. Source: Rec. ITU-R P.526-16, 4.1, eq. (31).
Db knifeEdgeLoss(double nu);

/// The same from the Fresnel integrals, error below 1e-5 dB for |nu| <= 12; for judging the approximation.
/// Oscillates about 0 dB (negative losses, gains) for nu < -0.8. About 100 times dearer.
/// Source: Rec. ITU-R P.526-16, 4.1, eq. (30).
Db knifeEdgeLossExact(double nu);

/// C(x) and S(x) of it, the integrals of cos and sin of pi t^2 / 2 from 0 to x; error below 1e-8.
/// Source: Rec. ITU-R P.526-16, 2.7.
struct FresnelIntegrals {
    double c = 0, s = 0;
};
FresnelIntegrals fresnelIntegrals(double x);

/// The correction for the space between two edges, each obstructing much: 10 log10[(a+b)(b+c) / (b(a+b+c))].
/// a, b, c: distances end-edge, edge-edge, edge-end, one unit, all > 0. Meant for when each edge alone loses
/// more than about 15 dB (that bound is from memory). Source: Rec. ITU-R P.526-16, 4.3.
Db doubleEdgeCorrection(double a, double b, double c);

struct DoubleEdge {
    double aM = 0, bM = 0, cM = 0; ///< transmitter to edge 1, edge 1 to edge 2, edge 2 to receiver (m), > 0
    double h1M = 0, h2M = 0;       ///< tops of the edges above the straight line between the ends (m)
};
/// Loss over two edges, as the two walls of a wide building make them: the loss of the edge that cuts deeper,
/// plus that of the other on the remaining part of the path, less a term for the finite space between them.
/// Never below the loss of the deeper edge alone. Does not depend on which end transmits, and two edges that
/// meet lose what one does (to 0.1 dB). The term is the published one when both edges cut the line; when an
/// edge stays below it, it fades out to 0 with the loss itself, so that the loss has no step when a roof
/// sinks below the line [own judgement].
/// Source: Rec. ITU-R P.526-16, 4.3, the form for one predominating edge; its term is from memory and
/// confirmed by the integral over two half planes: at grazing, where a third of the field passes two edges
/// with three equal spaces, to 0.07 dB, and within 1.5 dB where both edges cut the line.
Db doubleEdgeLoss(const DoubleEdge& e, double wavelengthM);

/// The same with what it is made of.
struct DoubleEdgeLoss {
    double nu1 = 0, nu2 = 0; ///< of either edge over the whole path
    bool firstIsMain = true; ///< edge 1 cuts deeper
    double otherHeightM = 0; ///< the other edge above the line from the deeper one's top to the far end (m)
    double otherNu = 0;      ///< over that part of the path
    Db main, other;          ///< J of the deeper edge and of the other
    double alphaDeg = 0;     ///< atan sqrt(b (a + b + c) / (a c))
    Db full;                 ///< 12 - 20 log10(2 / (1 - alpha / 180))
    double share = 0;        ///< of it that applies, 0 to 1: (q / p)^(2 p) when both edges cut the line
    Db term;                 ///< Tc, their product
    Db total;
};
DoubleEdgeLoss doubleEdgeSteps(const DoubleEdge& e, double wavelengthM);

/// A path cut into points, for the constructions below. Both ends belong to it and their heights are not
/// obstacles.
struct EdgeProfile {
    std::vector<double> distanceM; ///< from the transmitter (m), strictly ascending, at least 2
    std::vector<double> heightM;   ///< top of what stands there above the datum (m), as many
    double txHeightM = 0;          ///< of the antenna above the same datum (m)
    double rxHeightM = 0;
    double earthRadiusM = 8500e3; ///< effective radius (m); 8500 km is 4/3 of the Earth's
};

/// Bullington's construction: one edge put where the two steepest rays meet, plus a term of about 10 dB on
/// any obstructed path. A statistic of terrain: on single roofs it is about 10 dB too high, use knifeEdgeLoss
/// there.
/// @return 0 for a clear path. Source: Rec. ITU-R P.526-16, 4.5; Rec. ITU-R P.1812-8, Annex 1, eq. (13) to
/// (21).
Db bullingtonLoss(const EdgeProfile& p, double wavelengthM);

/// The same with what it is made of. Without points between the ends there is no edge, and all is 0.
struct BullingtonLoss {
    bool clear = true;    ///< no point reaches the line between the antennas
    bool hasEdge = false; ///< the path has a point between its ends
    double fromTx = 0;    ///< slope of the steepest ray from the transmitter (m/m)
    double fromRx = 0;    ///< the same from the receiver
    double line = 0;      ///< slope of the line between the antennas
    double atM =
        0; ///< from the transmitter to the edge (m): where the rays meet; clear: to the point of greatest nu
    double heightM = 0; ///< of that edge above the line (m)
    double nu = 0;
    Db edge;    ///< J of it
    Db terrain; ///< (1 - exp(-J / 6)) (10 + 0.02 d_km)
    Db total;
};
BullingtonLoss bullingtonSteps(const EdgeProfile& p, double wavelengthM);

/// Deygout's construction over at most three edges: the main edge (greatest nu), then the greatest edge on
/// either side of it, losses added without any correction. Source: J. Deygout, IEEE Trans. AP-14 (1966), pp.
/// 480-489.
Db deygoutLoss(const EdgeProfile& p, double wavelengthM);

/// One edge of that construction on its own part of the path.
struct DeygoutEdge {
    double fromM = 0, toM = 0; ///< the part of the path it is judged on, from the transmitter (m)
    double atM = 0;            ///< of the edge (m)
    double heightM = 0;        ///< above the line over that part, with the Earth's rise (m)
    double nu = 0;
    Db loss; ///< J
};
/// The same edge by edge: the main one first, then those between it and the transmitter, and the receiver, if
/// any. Empty for a path without points between its ends.
std::vector<DeygoutEdge> deygoutEdges(const EdgeProfile& p, double wavelengthM);

/// Rise of the Earth above the chord at d1 and d2 metres from the ends: d1 d2 / (2 a), (m). 15 mm in the
/// middle of 1 km at a = 8500 km.
double earthBulgeM(double d1M, double d2M, double earthRadiusM);

} // namespace fw
