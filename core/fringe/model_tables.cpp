// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/model_tables.h"

#include "base/log_exp.h"
#include "radio/link_budget.h"
#include "radio/throughput.h"

#include <cmath>

namespace fw {
namespace {

// Five-point Gauss-Hermite nodes for a standard normal (Abramowitz and Stegun, table 25.10, times sqrt 2).
// The weights stand in ModelTables as whole 2^-15 steps.
constexpr std::array<double, 5> kNode{-2.85697001387280, -1.35562617997427, 0, 1.35562617997427,
                                      2.85697001387280};
constexpr double kFloorEfficiency = 0.15; // CQI 1: QPSK 78/1024 = 0.1523 bit/s/Hz, TS 36.213 table 7.2.3-1

double density(double z) { return 0.39894228040143267794 * expFixed(-0.5 * z * z); }

std::int32_t chance(double p) { return static_cast<std::int32_t>(std::floor(p * kChanceOne + 0.5)); }
std::int16_t centi(double db) {
    const double c = std::floor(db * 100 + 0.5);
    return static_cast<std::int16_t>(c > 3000 ? 3000 : c < -3000 ? -3000 : c);
}

// One step for a margin (dB). sd: spread of the difference that decides; beta*: how far small and macro
// shadowing move with one unit of it; along: movement of the decision with the macro's own shadowing, rest:
// what is left beside it.
struct Spread {
    double sd = 1, betaSmall = 0, betaMacro = 0, along = 0, rest = 1;
};
CaptureStep stepAt(double marginDb, const Spread& s) {
    CaptureStep c;
    std::int64_t sum = 0;
    for (std::size_t q = 0; q < 5; ++q) {
        c.given[q] = chance(normalCdfFixed((marginDb + s.along * kNode[q]) / s.rest));
        sum += std::int64_t{ModelTables::kPointWeight[q]} * c.given[q];
    }
    c.p = static_cast<std::int32_t>((sum + kChanceOne / 2) / kChanceOne);
    const double z = marginDb / s.sd, won = normalCdfFixed(z), lost = normalCdfFixed(-z);
    // Mean of a normal given that it is above -z: density / chance; its tail value once the chance vanishes.
    const double above = won > 1e-12 ? density(z) / won : -z;
    const double below = lost > 1e-12 ? density(z) / lost : z;
    c.smallCenti = centi(s.betaSmall * s.sd * above);
    c.macroCapturedCenti = centi(s.betaMacro * s.sd * above);
    c.macroStayCenti = centi(-s.betaMacro * s.sd * below);
    return c;
}

} // namespace

ModelTables::ModelTables(const ModelSettings& s) {
    m_power.resize(kPowerSteps);
    for (int i = 0; i < kPowerSteps; ++i)
        m_power[static_cast<std::size_t>(i)] =
            static_cast<std::int64_t>(std::floor(powerRatio((i + kPowerFrom) / 100.0) * 1e15 + 0.5));
    for (std::size_t i = 0; i < m_mantissa.size(); ++i)
        m_mantissa[i] = static_cast<std::int16_t>(
            std::floor(1000 * log10Fixed(1.0 + (static_cast<double>(i) + 0.5) / 2048.0) + 0.5));
    for (std::size_t e = 0; e < m_exponent.size(); ++e)
        m_exponent[e] = static_cast<std::int32_t>(
            std::floor(1000 * static_cast<double>(e) * 0.30102999566398119521 + 0.5));
    // Devices hear noise over one subcarrier; 30 kHz subcarriers hear twice as much and are sent twice as
    // strong.
    m_noise = power(static_cast<int>(std::floor(thermalNoise(15000, Db{s.noiseFigureDb}).v * 100 + 0.5)));
    m_servedFrom = static_cast<int>(std::floor(s.servedFromDbm * 100 + 0.5));
    m_ownFrom = static_cast<int>(std::floor(s.ownCarrierFromDbm * 100 + 0.5));
    m_ownShare = chance(s.ownCarrierShare);
    fillCapture(s);
    fillEfficiency(s);
}

void ModelTables::fillCapture(const ModelSettings& s) {
    const double sm = s.macroSigmaDb, sc = s.smallSigmaDb, rho = s.shadowCorrelation;
    const double variance = sm * sm + sc * sc - 2 * rho * sm * sc;
    const double sd = std::sqrt(variance > 0.01 ? variance : 0.01);
    const double rest = std::sqrt(1 - rho * rho > 1e-4 ? 1 - rho * rho : 1e-4) * sc;
    const Spread co{sd, (sc * sc - rho * sm * sc) / (sd * sd), -(sm * sm - rho * sm * sc) / (sd * sd),
                    rho * sc - sm, rest};
    // On its own carrier only the small cell's level decides; the macro's shadowing comes along by the
    // correlation.
    const Spread own{sc, 1, rho * sm / sc, rho * sc, rest};
    const double pair = sc * std::sqrt(2 * (1 - rho) > 1e-4 ? 2 * (1 - rho) : 1e-4);
    const auto n = static_cast<std::size_t>(2 * kMarginMax / kMarginStep + 1);
    m_co.resize(n);
    m_own.resize(n);
    m_between.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
        const double db = (static_cast<int>(i) * kMarginStep - kMarginMax) / 100.0;
        m_co[i] = stepAt(db, co);
        m_own[i] = stepAt(db, own);
        m_between[i] = chance(normalCdfFixed(db / pair));
    }
}

void ModelTables::fillEfficiency(const ModelSettings& s) {
    for (int c = -2000; c <= 4000; ++c) {
        const double raw = spectralEfficiency(c / 100.0);
        const double eta = raw > kFloorEfficiency ? raw : kFloorEfficiency;
        m_eta.push_back(eta);
        m_perEta.push_back(1 / eta);
        m_demand.push_back(exp2Fixed(s.edgeExponent * log2Fixed(eta)));
        m_cost.push_back(m_demand.back() / eta);
    }
}

int ModelTables::centiOf(std::int64_t units) const {
    if (units <= 0) return kNoLevel;
    const auto u = static_cast<std::uint64_t>(units);
    const int top = 63 - __builtin_clzll(u);
    // The eleven bits below the leading one pick the mantissa.
    const std::uint64_t m = top >= 11 ? (u >> (top - 11)) & 2047 : (u << (11 - top)) & 2047;
    return m_exponent[static_cast<std::size_t>(top)] + m_mantissa[m] - 15000;
}

std::int64_t sendingShare(double use, double idleFloor) {
    const double u = use < 0 ? 0 : use > 1 ? 1 : use;
    return static_cast<std::int64_t>(std::floor((idleFloor + (1 - idleFloor) * u) * 65536 + 0.5));
}

} // namespace fw
