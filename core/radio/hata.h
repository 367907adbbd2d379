// SPDX-License-Identifier: GPL-3.0-or-later
// Macro cells from 1 km on by Hata's formulas, and the straight lines 3GPP simulates older networks with.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

enum class HataCity { smallOrMedium, large };
enum class HataArea { urban, suburban, open };

/// Median path loss after Okumura's curves. Rises with distance. Clutter is inside.
/// @param km  (km), > 0. @param hBsM  30 to 200 m stated. @param hMsM  1 to 10 m stated.
/// @param city  matters through the terminal's height only. In a large city the correction changes at 300 MHz
///              (Hata leaves 200 to 400 MHz open), where the loss steps.
/// Stated, see hataRange(): 150 to 1500 MHz, 1 to 20 km.
/// Source: M. Hata, IEEE Trans. VT-29 (1980), pp. 317-325; Rec. ITU-R P.529.
Db hataLoss(HataCity city, HataArea area, double km, double hBsM, double hMsM, Hertz f);

/// a(hm) of the formula above: what a terminal's height gains (dB). @param hMsM  (m), > 0.
/// Source: as hataLoss().
Db hataTerminalGain(HataCity city, double hMsM, Hertz f);

/// The same carried on to 1500 to 2000 MHz. @param metropolitanDb  0 for medium towns and suburbs, 3 for
/// metropolitan centres. The terminal's height counts as in a small or medium city.
/// Source: COST 231 final report, 4.4, eq. (4.4.3).
Db costHataLoss(double metropolitanDb, double km, double hBsM, double hMsM, Hertz f);

struct HataRange {
    Range distance = Range::inside, frequency = Range::inside, station = Range::inside,
          terminal = Range::inside;
    [[nodiscard]] bool inside() const {
        return distance == Range::inside && frequency == Range::inside && station == Range::inside &&
               terminal == Range::inside;
    }
};
HataRange hataRange(double km, double hBsM, double hMsM, Hertz f);
HataRange costHataRange(double km, double hBsM, double hMsM, Hertz f);

/// Straight lines at 2 GHz, without sight: 128.1 + 37.6 log10 R for a macro cell, 140.7 + 36.7 log10 R for a
/// pico cell, R in km, > 0. Source: 3GPP TR 36.814, Table A.2.1.1.2-3, model 1.
Db macroLineLoss(double km);
Db picoLineLoss(double km);

} // namespace fw
