// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "builder.h"

namespace fw::town {

/// How one sector's carriers are used in the busy hour; share 0..1 of the PRB, 0 where the carrier is not
/// built.
struct SectorLoad {
    double azimuthDeg = 0; ///< true
    double lowBand = 0.4;  ///< LTE band 3, everywhere
    double highBand = 0;   ///< LTE band 7
    double newRadio = 0;   ///< NR n1
};
struct SiteSpec {
    const char* name;
    PlanePoint near; ///< town metres: the best roof near this place, or a mast
    double mastM;    ///< height of a free-standing mast; 0: on a roof
    std::vector<SectorLoad> sectors;
};

void addMacros(Build& b, const std::vector<SiteSpec>& sites, std::uint64_t seed);

/// Carriers of the invented operator.
Carrier lowBandCarrier();  ///< LTE band 3, EARFCN 1300, 20 MHz
Carrier highBandCarrier(); ///< LTE band 7, EARFCN 2850, 20 MHz
Carrier newRadioCarrier(); ///< NR n1, 20 MHz
Carrier ownCarrier();      ///< LTE band 40, EARFCN 39150, 20 MHz, TDD: small cells only

} // namespace fw::town
