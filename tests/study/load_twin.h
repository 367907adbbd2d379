// SPDX-License-Identifier: GPL-3.0-or-later
// The load of a study worked out a second time, user by user. From the study it takes what was measured or is
// geometry: median levels from path parts and pattern tables, weights of receivers. Everything after that
// (who serves, what a user costs, who moves to a small cell) is own arithmetic in double precision from the
// model's description, without the study's tables, and with real draws of shadowing instead of tables of
// chances and means.
#pragma once

#include "study/state.h"

#include <cstdint>
#include <map>
#include <vector>

namespace fw::testing {

/// A small cell heard at a receiver, at its median level (dBm per 15 kHz resource element).
struct TwinSmall {
    int small = 0;
    double dbm = 0;
};

/// One receiver in one layer with somebody serving it.
struct TwinReceiver {
    std::size_t tile = 0, index = 0; ///< as in the study's tiles
    int layer = 0, macro = 0;        ///< who serves, place in the roster
    bool indoor = false, inArea = false;
    double weight = 0;    ///< m2
    double macroDbm = 0;  ///< median of the one that serves
    double servingMw = 0; ///< what it sends there on average
    double othersMw = 0;  ///< other macros as they send on average, and noise
    double bits = 0;      ///< share of the cell's movable bits
    std::vector<TwinSmall> smalls;
};

/// 10^(db/10), and what a resource element carries by attenuated Shannon (TR 36.942, Annex A.1: 0.6, nothing
/// below -10 dB, at most 4.4 bit/s/Hz) with the model's floor of 0.15 (CQI 1).
double milliwatts(double dbm);
double bitsPerElement(double sinr); ///< SINR as a power ratio

/// All receivers with a share of their cell's bits, in the study's order.
std::vector<TwinReceiver> twinReceivers(const StudyCore& core);

struct TwinPair {
    double relief = 0;  ///< PRB of the macro
    double carried = 0; ///< PRB of the small cell
};
struct TwinTotals {
    std::map<std::pair<int, int>, TwinPair> pairs; ///< (small, macro)
    std::map<int, double> harm;                    ///< PRB by macro
    std::vector<double> use;                       ///< by small cell, share of its PRB
    std::vector<double> spread;                    ///< PRB by macro, what all users cost together
};

/// Draws users: shadowing of the serving macro and of every small cell heard, correlated by the plan's value.
/// @param draws  per receiver near small cells; a quarter of it elsewhere.
TwinTotals drawUsers(const StudyCore& core, const std::vector<TwinReceiver>& receivers, int draws,
                     std::uint64_t seed);

} // namespace fw::testing
