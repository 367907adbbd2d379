// SPDX-License-Identifier: GPL-3.0-or-later
// Short-range outdoor paths: street-level small cells.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// One row of the site-general table: L = 10 alpha log10 d + beta + 10 gamma log10 f, spread sigma (normal,
/// dB). d: distance in space (m), f in GHz.
struct SiteGeneral {
    double alpha = 0, beta = 0, gamma = 0;
    double sigmaDb = 0;
    double fMinGHz = 0, fMaxGHz = 0; ///< range the row was fitted over
    double dMinM = 0, dMaxM = 0;
};

/// Median basic transmission loss of a row. Street clutter is inside: never add a clutter loss to it.
/// @param distance3dM  between the antennas in space (m), > 0. Computed outside the row's range as well; ask
///                     siteGeneralRange() and say so.
/// Source: Rec. ITU-R P.1411, 4.1.1 (both ends below the roofs) and 4.2.1 (one end above), eq. (1).
Db siteGeneralLoss(const SiteGeneral& row, double distance3dM, Hertz f);

struct SiteGeneralRange {
    Range distance = Range::inside;
    Range frequency = Range::inside;
    [[nodiscard]] bool inside() const { return distance == Range::inside && frequency == Range::inside; }
};
SiteGeneralRange siteGeneralRange(const SiteGeneral& row, double distance3dM, Hertz f);

/// Rows of Rec. ITU-R P.1411-11, Table 4 (both ends below the roofs, whatever the antenna heights).
namespace p1411v11 {
inline constexpr SiteGeneral belowRoofLos{2.12, 29.2, 2.11, 5.06, 0.8, 82, 5, 660};
inline constexpr SiteGeneral belowRoofNlosHighRise{4.00, 10.2, 2.36, 7.60, 0.8, 82, 30, 715};
inline constexpr SiteGeneral belowRoofNlosLowRise{5.06, -4.68, 2.02, 9.33, 10, 73, 30, 250};
inline constexpr SiteGeneral belowRoofNlosResidential{3.01, 18.8, 2.07, 3.07, 0.8, 73, 30, 170};
/// Table 8 (one end above the roofs).
inline constexpr SiteGeneral aboveRoofLos{2.29, 28.6, 1.96, 3.48, 2.2, 73, 55, 1200};
inline constexpr SiteGeneral aboveRoofNlosHighRise{4.39, -6.27, 2.30, 6.89, 2.2, 66.5, 260, 1200};
} // namespace p1411v11

/// Rows of Rec. ITU-R P.1411-13 (09/2025), Table 4, as quoted by others; to be compared once with the
/// document. Never mix rows of two editions: each row's alpha, beta and gamma were fitted together.
namespace p1411v13 {
inline constexpr SiteGeneral belowRoofLos{2.07, 31.23, 2.06, 4.91, 0.45, 300, 5, 660};
inline constexpr SiteGeneral belowRoofNlosHighRise{3.73, 16.02, 2.26, 7.62, 0.8, 159, 20, 715};
inline constexpr SiteGeneral belowRoofNlosLowRise{4.52, 6.04, 2.14, 8.02, 0.45, 255, 10, 250};
inline constexpr SiteGeneral belowRoofNlosResidential{3.01, 18.8, 2.07, 3.07, 0.8, 73, 30, 170};
} // namespace p1411v13

/// The pair small cells are computed with: edition 11, line of sight and urban high-rise without sight. Both
/// reach down to 0.8 GHz, both are confirmed by the test values of an ITU study group, and both come from one
/// edition. The low-rise row would fit small towns better, but in edition 11 it starts at 10 GHz and its
/// successor is known second-hand only. Beyond about 35 m the high-rise row gives the lower loss of the two,
/// so it errs towards more interference between small cells, not towards less.
const SiteGeneral& belowRoofLos();
const SiteGeneral& belowRoofNlos();

/// Line of sight along a street between low antennas: bounds and middle about the breakpoint 4 h1 h2 /
/// lambda. UHF form (below about 3 GHz; above it traffic shortens the heights). The middle line is from
/// memory.
struct StreetCanyon {
    Db lower, upper, middle;
    double breakpointM = 0;
    Db atBreakpoint; ///< L_bp, |20 log10(lambda^2 / (8 pi h1 h2))|
};
/// @param distanceM  (m), > 0. @param h1M,h2M  antenna heights above the street (m), > 0.
/// Source: Rec. ITU-R P.1411-11, 4.1.2.
StreetCanyon streetCanyonLoss(double distanceM, double h1M, double h2M, Hertz f);

} // namespace fw
