// SPDX-License-Identifier: GPL-3.0-or-later
// Channel numbers and carrier sizes of LTE and NR.
#pragma once

#include "base/result.h"
#include "base/technology.h"
#include "base/units.h"

#include <span>
#include <string>
#include <vector>

namespace fw {

/// One operating band. For LTE the channels are EARFCNs, for NR NR-ARFCNs.
struct Band {
    int number = 0;
    double downlinkLowMHz = 0, uplinkLowMHz = 0;
    int downlinkFirst = 0, downlinkLast = 0; ///< channels
    int uplinkFirst = 0;                     ///< channel of uplinkLowMHz
    bool timeDivision = false;               ///< both directions on one frequency
};
/// The bands known here, ascending by number: LTE 1, 2, 3, 4, 5, 7, 8, 12, 13, 20, 28, 38 to 43; NR n1, n2,
/// n3, n5, n7, n8, n12, n20, n28, n38, n40, n41, n77, n78, n258. Source: 3GPP TS 36.104, Table 5.7.3-1 and
/// TS 38.104, Table 5.4.2.3-1. What the tests' reference files do not confirm is from memory and marked in
/// the table.
std::span<const Band> bands(Technology tech);

/// Centre of the downlink. A channel in none of the bands above is refused by a sentence.
/// Source: 3GPP TS 36.104, 5.7.3; TS 38.104, 5.4.2.1.
Result<Hertz> downlinkFrequency(Technology tech, int channel);

/// Centre of the uplink that belongs to a downlink channel. NR bands overlap: when the bands a channel lies
/// in disagree and `band` is 0, the answer is a refusal that names them.
Result<Hertz> uplinkFrequency(Technology tech, int channel, int band = 0);

/// Centre of an uplink by its own LTE channel number (18000 and up; time division bands share one number).
/// Source: 3GPP TS 36.104, 5.7.3.
Result<Hertz> lteUplinkChannelFrequency(int uplinkChannel);

/// "B3", "n78"; several when NR bands overlap: "n78 or n77" (the narrower band first). "outside known bands"
/// for others.
std::string bandName(Technology tech, int channel);
/// Whether the channel lies in a band of time division duplex. Refused when no band is known, or they
/// disagree.
Result<bool> isTimeDivision(Technology tech, int channel);

/// Frequency of a reference on the NR global raster, 0 to 3279165, whatever band.
/// Source: 3GPP TS 38.104, 5.4.2.1, Table 5.4.2.1-1.
Result<Hertz> nrRasterFrequency(int nRef);
/// Step of that raster at a reference (kHz): 5, 15 or 60.
Result<double> nrRasterStepKHz(int nRef);

/// EARFCNs at a band's ends which a carrier of this width must not use, since it would reach out of the band.
struct EdgeChannels {
    int lower = 0, upper = 0;
};
/// Source: 3GPP TS 36.104, Table 5.7.3-1, NOTE 1.
Result<EdgeChannels> lteEdgeChannels(double bandwidthMHz);

/// Refuses a carrier that reaches out of its band. Source: as above; for NR the frequencies of the band.
Status carrierFits(Technology tech, int channel, double bandwidthMHz);

/// Size of a carrier in resource blocks. scsKHz: subcarrier spacing, 15 or 30 for NR up to 6 GHz; LTE knows
/// only 15. A width that does not exist is refused by a sentence that lists those that do. Source: 3GPP
/// TS 36.104, Table 5.6-1; TS 38.104, Table 5.3.2-1.
Result<int> resourceBlocks(Technology tech, double bandwidthMHz, int scsKHz);
/// 12 subcarriers a block (MHz). Source: 3GPP TS 36.104, 5.6.
constexpr double occupiedBandwidthMHz(int blocks, int scsKHz) { return 12.0 * blocks * scsKHz / 1000.0; }

/// Physical cell identity 3 group + sector. LTE: group 0 to 167, NR: 0 to 335; sector 0 to 2.
/// Source: 3GPP TS 36.211, 6.11; TS 38.211, 7.4.2.1 (second-hand).
Result<int> physicalCellId(Technology tech, int group, int sector);

} // namespace fw
