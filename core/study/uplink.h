// SPDX-License-Identifier: GPL-3.0-or-later
// The uplink's own ledger: where a macro cell's measured uplink use lies, and what chosen small cells take of
// it. Users at full power at the edge are what costs; who moves in the downlink moves in the uplink.
#pragma once

#include "base/working.h"
#include "study/study.h"

namespace fw {

/// A device at one path loss: reference power per resource element less received level, so that antennas
/// count in it, the same both ways (the frequencies of a pair are taken as one).
struct UplinkUser {
    double powerDbm = 0; ///< min(P_max, P0 + 10 log10(M s) + alpha PL), s the subcarrier spacing over 15 kHz
    bool fullPower = false; ///< P_max it is
    double sinrDb = 0;      ///< at the macro, in each PRB
    double efficiency = 0;  ///< bit/s/Hz
    double voiceSinrDb = 0; ///< of a voice user at full power
};
/// Source: power 3GPP TS 36.213, 5.1.1 (NR: TS 38.213, 7.1.1); efficiency TR 36.942, Annex A, uplink: 0.4
/// log2(1 + SINR), at most 2.0, held below -10 dB at what it is there (from memory).
UplinkUser uplinkUser(double pathLossDb, const UplinkSettings& settings = {}, int scsKHz = 15);

/// A line of one macro cell with a measured uplink use, in share of its uplink PRB.
struct UplinkLine {
    ItemId cell;
    double before = 0; ///< measured
    double fixed = 0; ///< of it, what cannot move, with what rounding left; before - fixed is spread on users
    struct Part {
        ItemId small;
        double use = 0; ///< taken off
    };
    std::vector<Part> relief; ///< ascending by small cell, only those that take something
    double after = 0;         ///< before - relief
    double fullPower = 0;     ///< share of its users (by bits) at full power
    double voiceEdge = 0;     ///< share of them where a voice user is at the edge
};

/// What a chosen small cell on a macros' carrier hears of their users.
struct UplinkSmall {
    ItemId small;
    ItemId macro; ///< of its carrier, from which it takes most in the downlink; none where from nobody
    /// What the path to the macro is longer than that to the small cell where both are received alike, bias
    /// counted; uplinks would part at 0. Reference power of the macro less that of the small cell and its
    /// bias: gains count in the paths of both ways.
    std::optional<double> boundaryGapDb;
    /// Of the mean interference, in a PRB, from users of measured macro cells at full power in its reach that
    /// stay there, each by the share of the macro's PRB that it takes.
    double noiseRiseDb = 0;
};

struct UplinkLedger {
    UplinkSettings settings;         ///< that it was made with
    std::vector<UplinkLine> cells;   ///< ascending by id
    std::vector<UplinkSmall> smalls; ///< ascending by id
    std::vector<std::string> remarks;
};

/// Cost of a receiver is k w / eta, w the bits of its users as the downlink spreads them, k such that a
/// cell's costs add up to its measured use less what cannot move. Each cost is rounded down to 2^-32 PRB,
/// what is left counts as fixed. Users of a receiver are all at its median path loss; the share that moves is
/// the live ledger's, by users, a small cell over its cap counting by cap over use as there. The same bytes
/// for any number of threads. Stopped: nothing.
/// @param settings  the plan's own, or others to hold beside them.
UplinkLedger uplinkLedger(const Study& study, const UplinkSettings& settings, unsigned threads = 0,
                          const Job& job = {});

/// Noise of a base station in one PRB (dBm): -174 dBm/Hz over 12 subcarriers, and its noise figure.
double uplinkNoiseDbm(const UplinkSettings& settings, int scsKHz);

/// The steps to a cell's uplink use after; one remark for a cell without a line.
Working workingOf(const Study& study, const UplinkLedger& ledger, ItemId cell);
/// The steps to its share of users where voice is at the edge; likewise.
Working workingOfVoice(const Study& study, const UplinkLedger& ledger, ItemId cell);
/// The steps to how far a small cell's uplink boundary lies from that of the downlink; one remark where it
/// has none.
Working workingOfBoundary(const Study& study, const UplinkLedger& ledger, ItemId small);
/// The steps to what a small cell hears; one remark for a cell without a line.
Working workingOfSmall(const Study& study, const UplinkLedger& ledger, ItemId small);

} // namespace fw
