// SPDX-License-Identifier: GPL-3.0-or-later
// Look-up tables between the levels of the computation: everything that crosses a stage is a whole number.
//   level      0.01 dB                         ("centi": 100 = 1 dB)
//   power      1e-15 mW, int64
//   chance     2^-15 steps
//   PRB cost   2^-32 PRB, int64
#pragma once

#include "plan/settings.h"

#include <array>
#include <cstdint>
#include <vector>

namespace fw {

inline constexpr int kChanceOne = 32768;
inline constexpr double kPrbUnit = 4294967296.0; ///< cost units in one PRB
inline constexpr int kNoLevel = -32768;          ///< "nothing received"

/// Fixed shadowings of the macro at which users are looked at: nodes of a five-point Gauss-Hermite rule.
inline constexpr std::size_t kPoints = 5;

/// How a user at a place divides between a macro and a small cell, by the margin of their median levels.
struct alignas(64) CaptureStep {
    std::int32_t p = 0; ///< chance that the small cell wins, 2^-15
    /// The same at each fixed shadowing of the macro.
    std::array<std::int32_t, kPoints> given{};
    /// Mean shadowing of the small cell over those it captures there and its spread among them, 0.01 dB.
    std::array<std::int16_t, kPoints> smallCenti{}, spreadCenti{};
    /// Its mean shadowing over those that stay with the macro there.
    std::array<std::int16_t, kPoints> stayCenti{};
    /// Shadowing that decides there, in steps of Duel: what is left of the margin over what is left of
    /// chance.
    std::array<std::int16_t, kPoints> step{};
};

/// Two small cells and a macro of fixed shadowing: the chance that the first wins over both others, and the
/// mean of what shadowing adds to it over those it wins.
struct Duel {
    std::int16_t win = 0;                    ///< 2^-15, held to 32767
    std::int16_t centi = 0, spreadCenti = 0; ///< 0.01 dB, beside the part that goes with the macro's
    std::int16_t otherCenti = 0;             ///< mean of the second over those users, likewise
};

class ModelTables {
public:
    explicit ModelTables(const ModelSettings& settings);

    /// Power of a level; 0 below -170 dBm, held above -10 dBm so that power times a sending share still fits.
    [[nodiscard]] std::int64_t power(int centi) const {
        const int i = centi + kPowerOffset;
        if (i < 0) return 0;
        return m_power[static_cast<std::size_t>(i < kPowerLast ? i : kPowerLast)];
    }
    /// power() as a table for kernels: of level c at index clamp(c + kPowerOffset, 0, kPowerLast).
    static constexpr int kPowerOffset = 17001, kPowerLast = 16001;
    [[nodiscard]] const std::int64_t* powerTable() const { return m_power.data(); }
    /// Level of a power, nearest 0.01 dB (error at most 0.008 dB); kNoLevel for 0 and less.
    [[nodiscard]] int centiOf(std::int64_t units) const {
        if (units <= 0) return kNoLevel;
        const auto u = static_cast<std::uint64_t>(units);
        const int top = 63 - __builtin_clzll(u);
        // The eleven bits below the leading one pick the mantissa.
        const std::uint64_t m = top >= 11 ? (u >> (top - 11)) & 2047 : (u << (11 - top)) & 2047;
        return m_exponent[static_cast<std::size_t>(top)] + m_mantissa[m] - 15000;
    }

    /// Margin = small cell's level + bias - macro's level, 0.01 dB; steps of 0.05 dB.
    [[nodiscard]] const CaptureStep& coChannel(int marginCenti) const { return m_co[stepOf(marginCenti)]; }
    /// Margin = small cell's level - threshold. The chance leaves out the share of devices with the band.
    [[nodiscard]] const CaptureStep& ownCarrier(int marginCenti) const { return m_own[stepOf(marginCenti)]; }
    /// First and second: CaptureStep::step of the two small cells at the same point.
    [[nodiscard]] const Duel& duel(int first, int second) const {
        return m_duel[static_cast<std::size_t>(first * kDuelSteps + second)];
    }
    /// Weights of the fixed shadowing points, 2^-15, summing to 1.
    static constexpr std::array<std::int32_t, kPoints> kPointWeight{369, 7277, 17476, 7277, 369};
    /// The macro's shadowing at a point, in 0.01 dB and as a factor of its power.
    [[nodiscard]] int macroCenti(std::size_t point) const { return m_macroCenti[point]; }
    [[nodiscard]] double macroGain(std::size_t point) const { return m_macroGain[point]; }
    /// Its part that the small cells share.
    [[nodiscard]] int sharedCenti(std::size_t point) const { return m_sharedCenti[point]; }

    /// Spectral efficiency (bit/s/Hz) with the floor of CQI 1, by SINR in 0.01 dB; held beyond -20 and +40
    /// dB.
    [[nodiscard]] double efficiency(int sinrCenti) const { return m_eta[etaOf(sinrCenti)]; }
    [[nodiscard]] double perEfficiency(int sinrCenti) const { return m_perEta[etaOf(sinrCenti)]; }
    /// Mean of 1 / efficiency over the macro's shadowing, by its median SINR.
    [[nodiscard]] double meanPerEfficiency(int sinrCenti) const { return m_meanPerEta[etaOf(sinrCenti)]; }
    /// demandFactor times meanPerEfficiency: PRB cost of a unit of floor, users spread by shadowing.
    [[nodiscard]] double costFactor(int sinrCenti) const { return m_cost[etaOf(sinrCenti)]; }
    /// efficiency^b, b the edge exponent: bits of a unit of floor.
    [[nodiscard]] double demandFactor(int sinrCenti) const { return m_demand[etaOf(sinrCenti)]; }

    [[nodiscard]] std::int64_t noise() const { return m_noise; } ///< in one resource element of 15 kHz
    [[nodiscard]] int servedFromCenti() const { return m_servedFrom; }
    [[nodiscard]] int ownCarrierFromCenti() const { return m_ownFrom; }
    [[nodiscard]] std::int32_t ownCarrierShare() const { return m_ownShare; } ///< 2^-15

private:
    static constexpr int kMarginMax = 5000, kMarginStep = 5;
    static constexpr int kDuelPerSigma = 16, kDuelMax = 6, kDuelSteps = 2 * kDuelMax * kDuelPerSigma + 1;
    static std::size_t stepOf(int centi) {
        if (centi < -kMarginMax) centi = -kMarginMax;
        if (centi > kMarginMax) centi = kMarginMax;
        return static_cast<std::size_t>((centi + kMarginMax) / kMarginStep);
    }
    static std::size_t etaOf(int centi) {
        if (centi < -2000) centi = -2000;
        if (centi > 4000) centi = 4000;
        return static_cast<std::size_t>(centi + 2000);
    }
    void fillCapture(const ModelSettings& s);
    void fillDuel(double rho, double restDb);
    void fillEfficiency(const ModelSettings& s);

    std::vector<std::int64_t> m_power; // the first entry stands for everything weaker: 0
    std::array<std::int16_t, 2048> m_mantissa{};
    std::array<std::int32_t, 64> m_exponent{};
    std::vector<CaptureStep> m_co, m_own;
    std::vector<Duel> m_duel;
    std::array<int, kPoints> m_macroCenti{}, m_sharedCenti{};
    std::array<double, kPoints> m_macroGain{};
    std::vector<double> m_eta, m_perEta, m_meanPerEta, m_cost, m_demand;
    std::int64_t m_noise = 0;
    int m_servedFrom = 0, m_ownFrom = 0;
    std::int32_t m_ownShare = 0;
};

/// Share of its full power that a cell sends at a PRB use (0..1), 2^-16 steps: an idle cell still sends.
std::int64_t sendingShare(double use, double idleFloor);

} // namespace fw
