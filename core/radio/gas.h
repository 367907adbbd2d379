// SPDX-License-Identifier: GPL-3.0-or-later
// Attenuation by the gases of the air.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// Air near the ground; the defaults are the mean global reference of Rec. ITU-R P.835, but for the pressure,
/// which the source takes without the vapour's.
struct Air {
    double dryPressureHPa = 1013.25; ///< of the dry air, > 0
    double temperatureK = 288.15;    ///< > 0
    double vapourGPerM3 = 7.5;       ///< >= 0
};

struct GasAttenuation {
    double oxygenDbPerKm = 0, waterDbPerKm = 0;
    [[nodiscard]] double totalDbPerKm() const { return oxygenDbPerKm + waterDbPerKm; }
};
/// Specific attenuation, line by line. @param f  1 to 1000 GHz stated, see gasRange().
/// Costs about 80 line shapes (a microsecond): keep it per carrier.
/// Source: Rec. ITU-R P.676-13, Annex 1, eq. (1) to (9).
GasAttenuation gasAttenuation(Hertz f, const Air& air = {});

Range gasRange(Hertz f);

} // namespace fw
