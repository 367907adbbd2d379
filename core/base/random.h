// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstdint>

namespace fw {

/// A small seeded generator (SplitMix64): the same seed gives the same numbers on every machine, which the
/// standard library's distributions do not promise.
class Random {
public:
    explicit Random(std::uint64_t seed) : m_s(seed) {}
    std::uint64_t next() {
        std::uint64_t z = (m_s += 0x9e3779b97f4a7c15ull);
        z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ull;
        z = (z ^ (z >> 27)) * 0x94d049bb133111ebull;
        return z ^ (z >> 31);
    }
    double unit() { return static_cast<double>(next() >> 11) * (1.0 / 9007199254740992.0); } ///< [0, 1)
    double between(double a, double b) { return a + (b - a) * unit(); }
    /// Whole number in [0, n), n > 0.
    std::uint32_t below(std::uint32_t n) { return static_cast<std::uint32_t>((next() >> 32) * n >> 32); }
    bool chance(double p) { return unit() < p; }
    /// Standard normal, by summing twelve uniforms less six (tails end at 6): enough for scatter, exact
    /// everywhere.
    double normal() {
        double s = -6;
        for (int k = 0; k < 12; ++k) s += unit();
        return s;
    }

private:
    std::uint64_t m_s;
};

} // namespace fw
