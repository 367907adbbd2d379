// SPDX-License-Identifier: GPL-3.0-or-later
// Rain on a terrestrial radio hop, and how often it breaks the link.
#pragma once

#include "base/units.h"
#include "radio/rain.h"
#include "radio/range.h"

namespace fw {

/// Factor from a hop's length to the length the 0.01 % rain counts with; at most 2.5, which it reaches on
/// hops of a few hundred metres, and where the source's own denominator falls to 0.4 or below.
/// @param km  length of the hop (km), > 0. @param mmPerHour001  rain rate exceeded 0.01 % of an average year,
/// > 0; no map is part of this program. Source: Rec. ITU-R P.530-18, 2.4.1, eq. (32).
double rainDistanceFactor(double km, Hertz f, const RainLaw& law, double mmPerHour001);

/// Attenuation by rain exceeded 0.01 % of an average year. Rises with length and rate; continuous.
/// Wet snow and wet antennas come on top. Stated, see rainHopRange(): 1 to 100 GHz, to 60 km [from memory].
/// Source: Rec. ITU-R P.530-18, 2.4.1, eq. (33).
Db rainExceeded001(double km, Hertz f, const RainLaw& law, double mmPerHour001);

/// The scaling to other shares of the year prints an exponent that people read in two ways. The first gives
/// the greater attenuation and is the default; they agree at 0.01 % and differ by 3 % at 0.001 % (60 GHz).
enum class RainReading {
    logOfPower, ///< 0.12 + 0.4 log10((f / 10)^0.8)
    powerOfLog, ///< 0.12 + 0.4 (log10(f / 10))^0.8
};
struct RainScaling {
    double c0 = 0.12, c1 = 0, c2 = 0, c3 = 0;
};
/// Source: Rec. ITU-R P.530-18, 2.4.1, eq. (35a) to (35d). Continuous at 10 GHz, where c0 begins to rise.
RainScaling rainScaling(Hertz f, RainReading reading = RainReading::logOfPower);
/// Attenuation exceeded `percent` of an average year over that exceeded 0.01 %. 0.001 to 1 % stated.
/// It is 0.998, not 1, at 0.01 %, as published. Source: Rec. ITU-R P.530-18, 2.4.1, eq. (34).
double rainRatio(const RainScaling& scaling, double percent);

struct RainOutage {
    double percent = 0;          ///< of an average year
    Range range = Range::inside; ///< below: less than 0.001 %, percent is that bound; above: more than 1 %
};
/// How often rain takes more than a margin. @param marginDb  of the hop in clear air; 0 or less: `above`.
/// Falls with the margin. Source: the same scaling solved for the share.
RainOutage rainOutage(Db exceeded001, double marginDb, const RainScaling& scaling);

struct RainHopRange {
    Range distance = Range::inside, frequency = Range::inside;
    [[nodiscard]] bool inside() const { return distance == Range::inside && frequency == Range::inside; }
};
RainHopRange rainHopRange(double km, Hertz f);

} // namespace fw
