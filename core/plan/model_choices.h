// SPDX-License-Identifier: GPL-3.0-or-later
// Which published model is used where, chosen by plan. The first of each is the default; why stands beside
// it.
#pragma once

#include <cstdint>

namespace fw {

/// How much a link carries at a SINR.
enum class EfficiencyModel : std::uint8_t {
    attenuatedShannon, ///< 3GPP TR 36.942, Annex A.1: smooth, so that small changes of a plan show [pub]
    cqiTable, ///< 3GPP TS 36.213, table 7.2.3-1: in the steps that a scheduler has, up to 64QAM [pub]
};

/// Macro to street, without sight; with sight both are UMa.
enum class MacroPathModel : std::uint8_t {
    urbanMacro,         ///< 3GPP TR 38.901, UMa NLOS: the table's own, with the terminal's height [pub]
    urbanMacroOptional, ///< its "optional" line, 32.4 + 20 log f + 30 log d: rises less with distance: a
                        ///< second opinion [pub]
};

/// Small cell to street.
enum class SmallPathModel : std::uint8_t {
    belowRoofs, ///< Rec. ITU-R P.1411-11, 4.1.1: stated for antennas below the roofs, from 5 m on [pub]
    urbanMicro, ///< 3GPP TR 38.901, UMi street canyon: antenna at 10 m, from 10 m on; a cross-check [pub]
};

/// Through the facade and into the building.
enum class EntryModel : std::uint8_t {
    p2109, ///< Rec. ITU-R P.2109-1: measured over a stock of buildings, rises with elevation [pub]
    o2i,   ///< 3GPP TR 38.901, 7.4.3: walls by material, low and high loss, 0.5 dB a metre of depth [pub]
};

} // namespace fw
