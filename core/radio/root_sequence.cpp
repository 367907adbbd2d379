// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/root_sequence.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

namespace {

constexpr int kLength = 839;
constexpr double kSequenceUs = 800, kRoundTripUsPerKm = 20.0 / 3;
// In order of N_CS: configuration 0 shifts nothing, so that all of the root is one preamble's zone.
constexpr std::array kShifts{0, 13, 15, 18, 22, 26, 32, 38, 46, 59, 76, 93, 119, 167, 279, 419};
constexpr int kShortLength = 139;
constexpr std::array kShortShifts{0, 2, 4, 6, 8, 10, 12, 13, 15, 17, 19, 23, 27, 34, 46, 69};

// Of short formats in parts of 1 / 30.72 MHz at 15 kHz: sequences, cyclic prefix, symbols taken.
struct ShortFormat {
    const char* word;
    int sequences, prefix, symbols;
};
constexpr double kUsPerPart = 1 / 30.72;
constexpr int kSymbol = 2048, kSymbolPrefix = 144;
constexpr std::array<ShortFormat, 10> kFormats{{{"0", 0, 3168, 0},
                                                {"A1", 2, 288, 2},
                                                {"A2", 4, 576, 4},
                                                {"A3", 6, 864, 6},
                                                {"B1", 2, 216, 2},
                                                {"B2", 4, 360, 4},
                                                {"B3", 6, 504, 6},
                                                {"B4", 12, 936, 12},
                                                {"C0", 1, 1240, 2},
                                                {"C2", 4, 2048, 6}}};
const ShortFormat& formatAt(PreambleFormat f) { return kFormats[static_cast<std::size_t>(f)]; }

ZeroCorrelation zoneOf(int configuration, int shift, int length) {
    const int perRoot = shift == 0 ? 1 : length / shift;
    return {configuration, shift, (kPreambles + perRoot - 1) / perRoot, length};
}

// Place of the smallest shift that holds so many samples; 0 where only a whole root does, -1 where none.
template <std::size_t N>
int smallestThatHolds(const std::array<int, N>& shifts, double need, int length) {
    if (!(need <= length)) return -1;
    for (std::size_t c = 1; c < N; ++c)
        if (shifts[c] >= need) return static_cast<int>(c);
    return 0;
}

int clamped(int configuration) { return std::clamp(configuration, 0, 15); }

} // namespace

ZeroCorrelation zeroCorrelation(int configuration) {
    const int c = clamped(configuration);
    return zoneOf(c, kShifts[static_cast<std::size_t>(c)], kLength);
}

std::optional<ZeroCorrelation> zeroCorrelationFor(double radiusKm, double spreadUs, int guardSamples) {
    if (!(radiusKm >= 0) || !(spreadUs >= 0) || guardSamples < 0) return std::nullopt;
    const double need = (kRoundTripUsPerKm * radiusKm + spreadUs) * kLength / kSequenceUs + guardSamples;
    const int c = smallestThatHolds(kShifts, need, kLength);
    return c < 0 ? std::nullopt : std::optional(zeroCorrelation(c));
}

double radiusOfShift(int shift, double spreadUs, int guardSamples) {
    return std::max(0.0, ((shift - guardSamples) * kSequenceUs / kLength - spreadUs) / kRoundTripUsPerKm);
}

bool rootsMeet(std::int32_t firstA, int rootsA, std::int32_t firstB, int rootsB, int count) {
    const int ahead = (firstB - firstA + count) % count;
    return ahead < rootsA || count - ahead < rootsB;
}

const char* wordFor(PreambleFormat format) { return formatAt(format).word; }

std::optional<PreambleFormat> preambleFormat(std::string_view word) {
    const auto capital = [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c; };
    for (std::size_t k = 0; k < kFormats.size(); ++k) {
        const std::string_view name = kFormats[k].word;
        if (std::equal(word.begin(), word.end(), name.begin(), name.end(),
                       [&](char a, char b) { return capital(a) == b; }))
            return static_cast<PreambleFormat>(k);
    }
    return std::nullopt;
}

double shortSpreadUs(int scsKHz) { return kSymbolPrefix * kUsPerPart * 15 / scsKHz; }

ZeroCorrelation shortZeroCorrelation(int configuration) {
    const int c = clamped(configuration);
    return zoneOf(c, kShortShifts[static_cast<std::size_t>(c)], kShortLength);
}

std::optional<ZeroCorrelation> shortZeroCorrelationFor(double radiusKm, int scsKHz, double spreadUs,
                                                       int guardSamples) {
    if (!(radiusKm >= 0) || !(spreadUs >= 0) || guardSamples < 0 || scsKHz <= 0) return std::nullopt;
    const double need =
        (kRoundTripUsPerKm * radiusKm + spreadUs) * kShortLength * scsKHz / 1000 + guardSamples;
    const int c = smallestThatHolds(kShortShifts, need, kShortLength);
    return c < 0 ? std::nullopt : std::optional(shortZeroCorrelation(c));
}

double radiusOfFormat(PreambleFormat format, int scsKHz, double spreadUs) {
    const ShortFormat& f = formatAt(format);
    const double part = isShort(format) ? kUsPerPart * 15 / scsKHz : kUsPerPart;
    double trip = f.prefix * part - spreadUs;
    const int gap = f.symbols * (kSymbol + kSymbolPrefix) - f.prefix - f.sequences * kSymbol;
    if (gap > 0) trip = std::min(trip, gap * part);
    return std::max(0.0, trip / kRoundTripUsPerKm);
}

PreambleFormat shortFormatFor(double radiusKm, int scsKHz) {
    for (const PreambleFormat f : {PreambleFormat::a1, PreambleFormat::a2, PreambleFormat::a3})
        if (radiusOfFormat(f, scsKHz, shortSpreadUs(scsKHz)) >= radiusKm) return f;
    return PreambleFormat::c2;
}

} // namespace fw
