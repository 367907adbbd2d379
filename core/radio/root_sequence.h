// SPDX-License-Identifier: GPL-3.0-or-later
// Preambles of random access: how far apart their cyclic shifts must be, and how many root sequences that
// takes. Long preambles (length 839, 1.25 kHz), unrestricted set: format 0 of LTE and of NR.
#pragma once

#include <cstdint>
#include <optional>

namespace fw {

inline constexpr int kLogicalRoots = 838;        ///< TS 36.211 table 5.7.2-4, TS 38.211 table 6.3.3.1-3
inline constexpr int kPreambles = 64;            ///< of a cell; TS 36.211 5.7.2
inline constexpr double kFormat0Spread = 5.2083; ///< delay spread that format 0 is made for (us)

struct ZeroCorrelation {
    int configuration = 0; ///< zero-correlation-zone configuration, 0..15
    int shift = 0;         ///< N_CS; 0 for configuration 0: one preamble a root
    int roots = 0;         ///< consecutive logical root sequences for 64 preambles
    bool operator==(const ZeroCorrelation&) const = default;
};

/// N_CS of a configuration (0..15) and what follows of it. TS 36.211 V15 table 5.7.2-2 and TS 38.211 V15
/// table 6.3.3.1-5, unrestricted sets, which are the same; roots = ceil(64 / floor(839 / N_CS)).
ZeroCorrelation zeroCorrelation(int configuration);

/// The configuration with the smallest N_CS that holds the round trip to the rim of a cell, the spread of
/// delays and `guardSamples`: N_CS >= (20/3 r + tau) 839 / 800 + guard, r in km, tau in us (Sesia, Toufik,
/// Baker: LTE, The UMTS Long Term Evolution, 2nd ed., 17.4.2.2).
/// Empty for what is not finite, negative, or wider than one root holds (about 118 km).
std::optional<ZeroCorrelation> zeroCorrelationFor(double radiusKm, double spreadUs = kFormat0Spread,
                                                  int guardSamples = 2);

/// The widest cell (km) that a shift of N_CS samples holds; 0 below the spread and the guard.
double radiusOfShift(int shift, double spreadUs = kFormat0Spread, int guardSamples = 2);

/// Whether two cells have a root sequence in common: so many consecutive ones from a first on, behind 837
/// comes 0 (TS 36.211 5.7.2: the logical index is cyclic; likewise TS 38.211 6.3.3.1).
bool rootsMeet(std::int32_t firstA, int rootsA, std::int32_t firstB, int rootsB);

} // namespace fw
