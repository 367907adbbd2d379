// SPDX-License-Identifier: GPL-3.0-or-later
// Macro cells over low buildings: 3GPP rural macro (RMa), and the macro losses of Report ITU-R M.2135, whose
// formulas it took over.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// The surroundings, averages (m), > 0.
struct StreetGrid {
    double buildingM = 5; ///< height of the buildings
    double streetM = 20;  ///< width of the streets
};

/// Median path losses with and without sight. Heights above the ground (m), > 0, distance along the ground
/// (m); below 1 m it is taken as 1 m. They rise with distance within the stated range but for a step of at
/// most 0.1 dB at the breakpoint, which the source has on the ground and enters into a distance in space.
/// ruralNlos() is never below ruralLos(). Stated, see ruralRange(): 0.5 to 30 GHz, 10 m to 10 km (5 km
/// without sight), station 10 to 150 m, terminal 1 to 10 m, buildings and streets 5 to 50 m.
/// Source: 3GPP TR 38.901, Table 7.4.1-1, RMa.
Db ruralLos(const StreetGrid& grid, double d2dM, double hBsM, double hUtM, Hertz f);
Db ruralNlos(const StreetGrid& grid, double d2dM, double hBsM, double hUtM, Hertz f);
/// The loss with sight as far as the breakpoint, over a distance in space (m, > 0). Beyond it 40 log10(d /
/// dBP) is added to its value there.
Db ruralLosBeforeBreak(const StreetGrid& grid, double distanceM, Hertz f);
/// Breakpoint, 2 pi hBs hUt f / c with c = 3.0e8 (m). Source: as above, note 5.
double ruralBreakpointM(double hBsM, double hUtM, Hertz f);

struct RuralRange {
    Range distance = Range::inside, frequency = Range::inside, station = Range::inside;
    Range terminal = Range::inside, buildings = Range::inside, streets = Range::inside;
    [[nodiscard]] bool inside() const {
        return distance == Range::inside && frequency == Range::inside && station == Range::inside &&
               terminal == Range::inside && buildings == Range::inside && streets == Range::inside;
    }
};
RuralRange ruralRange(const StreetGrid& grid, bool sight, double d2dM, double hBsM, double hUtM, Hertz f);

/// The macro losses of the older report, over the distance as given (m, > 0): urban (UMa) and suburban (SMa)
/// with sight, and one form for both without. Stated: 2 to 6 GHz, 10 m to 5 km, station 25 m (suburban 35 m),
/// terminal 1.5 m. Urban with sight steps by 0.1 dB or less at its breakpoint, since the printed constants
/// are rounded. Without sight it is not held above the loss with sight. Source: Report ITU-R M.2135-1, Table
/// A1-2.
Db m2135UrbanLos(double distanceM, double hBsM, double hMsM, Hertz f);
Db m2135SuburbanLos(const StreetGrid& grid, double distanceM, double hBsM, double hMsM, Hertz f);
Db m2135Nlos(const StreetGrid& grid, double distanceM, double hBsM, double hMsM, Hertz f);

} // namespace fw
