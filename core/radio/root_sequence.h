// SPDX-License-Identifier: GPL-3.0-or-later
// Preambles of random access: how far apart their cyclic shifts must be, and how many root sequences that
// takes. Long preambles (length 839, 1.25 kHz): format 0 of LTE and of NR; short ones of NR (length 139, at a
// subcarrier spacing of the carrier). Unrestricted sets.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace fw {

inline constexpr int kLogicalRoots = 838;        ///< TS 36.211 table 5.7.2-4, TS 38.211 table 6.3.3.1-3
inline constexpr int kShortRoots = 138;          ///< of length 139; TS 38.211 table 6.3.3.1-4
inline constexpr int kPreambles = 64;            ///< of a cell; TS 36.211 5.7.2
inline constexpr double kFormat0Spread = 5.2083; ///< delay spread that format 0 is made for (us)

struct ZeroCorrelation {
    int configuration = 0; ///< zero-correlation-zone configuration, 0..15
    int shift = 0;         ///< N_CS; 0 for configuration 0: one preamble a root
    int roots = 0;         ///< consecutive logical root sequences for 64 preambles
    int length = 839;      ///< of a sequence: 839 or 139
    /// Logical root sequences that there are of this length.
    [[nodiscard]] int rootCount() const { return length - 1; }
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

/// Whether two cells have a root sequence in common: so many consecutive ones from a first on, behind the
/// last of `count` comes 0 (TS 36.211 5.7.2: the logical index is cyclic; likewise TS 38.211 6.3.3.1).
bool rootsMeet(std::int32_t firstA, int rootsA, std::int32_t firstB, int rootsB, int count = kLogicalRoots);

enum class PreambleFormat : std::uint8_t { f0, a1, a2, a3, b1, b2, b3, b4, c0, c2 };
/// "0", "A1" and so on, and back; capitals or not.
const char* wordFor(PreambleFormat format);
std::optional<PreambleFormat> preambleFormat(std::string_view word);
inline bool isShort(PreambleFormat f) { return f != PreambleFormat::f0; }

/// Delay spread (us) that short preambles are reckoned with: the normal cyclic prefix of data symbols, 144
/// of 2048 parts, beyond which data is not received either (TS 38.211 5.3.1; taking it is common practice).
double shortSpreadUs(int scsKHz);

/// N_CS of a configuration (0..15) of short preambles and what follows of it. TS 38.211 V15 table 6.3.3.1-7,
/// unrestricted set; roots = ceil(64 / floor(139 / N_CS)).
ZeroCorrelation shortZeroCorrelation(int configuration);
/// As zeroCorrelationFor, of 139 samples in a symbol of 1000 / scsKHz us. A sample lasts a quarter of a long
/// preamble's at 30 kHz; one of guard is our own judgement. Empty also without a spacing.
std::optional<ZeroCorrelation> shortZeroCorrelationFor(double radiusKm, int scsKHz, double spreadUs,
                                                       int guardSamples = 1);

/// The widest cell (km) whose round trip a short format's cyclic prefix holds beside the spread, and the gap
/// behind it where it has one (formats B and C; behind A the next symbol's prefix serves). Lengths by TS
/// 38.211 V15 table 6.3.3.1-2, the gap up to the end of its last symbol. 0 where nothing is left;
/// format 0: by its prefix of 103 us alone.
double radiusOfFormat(PreambleFormat format, int scsKHz, double spreadUs);
/// The shortest of A1, A2, A3 and C2 that holds a radius at the usual spread; C2 where none does. Own
/// judgement: what is shortest leaves most of the uplink to data.
PreambleFormat shortFormatFor(double radiusKm, int scsKHz);

} // namespace fw
