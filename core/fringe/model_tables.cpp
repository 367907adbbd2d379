// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/model_tables.h"

#include "base/log_exp.h"
#include "base/units.h"
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

// Chance decided at a fixed shadowing of the macro: how far the margin moves with it, and what is left.
struct Spread {
    double alongDb = 0, restDb = 1;
};
// Mean of a standard normal over those above -z: density over chance; its tail value once the chance
// vanishes.
double meanAbove(double z) {
    const double won = normalCdfFixed(z);
    return won > 1e-12 ? density(z) / won : -z;
}
// Mean power (dB over the median) of a level with that spread over those below z spreads.
double meanPowerBelow(double z, double spreadDb) {
    const double t = spreadDb * 0.23025850929940456840; // natural units
    const double below = normalCdfFixed(z);
    if (below < 1e-12) return spreadDb * z;
    return decibels(expFixed(t * t / 2) * normalCdfFixed(z - t) / below);
}
CaptureStep stepAt(double marginDb, const Spread& s, double sharedDb, int duelPerSigma, int duelMax) {
    CaptureStep c;
    std::int64_t sum = 0;
    for (std::size_t q = 0; q < kPoints; ++q) {
        const double z = (marginDb + s.alongDb * kNode[q]) / s.restDb;
        c.given[q] = chance(normalCdfFixed(z));
        const double mean = meanAbove(z), square = 1 - mean * (mean + z);
        c.smallCenti[q] = centi(sharedDb * kNode[q] + s.restDb * mean);
        c.stayCenti[q] = centi(sharedDb * kNode[q] + meanPowerBelow(-z, s.restDb));
        c.spreadCenti[q] = centi(s.restDb * std::sqrt(square > 0 ? square : 0));
        const double held = z < -duelMax ? -duelMax : z > duelMax ? duelMax : z;
        c.step[q] = static_cast<std::int16_t>(std::floor((held + duelMax) * duelPerSigma + 0.5));
        sum += std::int64_t{ModelTables::kPointWeight[q]} * c.given[q];
    }
    c.p = static_cast<std::int32_t>((sum + kChanceOne / 2) / kChanceOne);
    return c;
}

} // namespace

ModelTables::ModelTables(const ModelSettings& s) {
    m_power.resize(kPowerLast + 1);
    for (int i = 1; i <= kPowerLast; ++i)
        m_power[static_cast<std::size_t>(i)] =
            static_cast<std::int64_t>(std::floor(powerRatio((i - kPowerOffset) / 100.0) * 1e15 + 0.5));
    for (std::size_t i = 0; i < m_mantissa.size(); ++i)
        m_mantissa[i] = static_cast<std::int16_t>(
            std::floor(1000 * log10Fixed(1.0 + (static_cast<double>(i) + 0.5) / 2048.0) + 0.5));
    for (std::size_t e = 0; e < m_exponent.size(); ++e)
        m_exponent[e] = static_cast<std::int32_t>(
            std::floor(1000 * static_cast<double>(e) * 0.30102999566398119521 + 0.5));
    // Devices hear noise over one subcarrier; 30 kHz subcarriers hear twice as much and are sent twice as
    // strong.
    m_noise = power(fw::centiOf(thermalNoise(15000, Db{s.noiseFigureDb}).v));
    m_servedFrom = fw::centiOf(s.servedFromDbm);
    m_ownFrom = fw::centiOf(s.ownCarrierFromDbm);
    m_ownShare = chance(s.ownCarrierShare);
    fillCapture(s);
    fillEfficiency(s);
}

void ModelTables::fillCapture(const ModelSettings& s) {
    // No shadowing at all is a limit, not a division by zero.
    const double sm = s.macroSigmaDb > 0.1 ? s.macroSigmaDb : 0.1;
    const double sc = s.smallSigmaDb > 0.1 ? s.smallSigmaDb : 0.1, rho = s.shadowCorrelation;
    const double rest = std::sqrt(1 - rho * rho > 1e-4 ? 1 - rho * rho : 1e-4) * sc;
    // On its own carrier only the small cell's level decides; the macro's shadowing comes along by the
    // correlation.
    const Spread co{rho * sc - sm, rest}, own{rho * sc, rest};
    const auto n = static_cast<std::size_t>(2 * kMarginMax / kMarginStep + 1);
    m_co.resize(n);
    m_own.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
        const double db = (static_cast<int>(i) * kMarginStep - kMarginMax) / 100.0;
        m_co[i] = stepAt(db, co, rho * sc, kDuelPerSigma, kDuelMax);
        m_own[i] = stepAt(db, own, rho * sc, kDuelPerSigma, kDuelMax);
    }
    for (std::size_t q = 0; q < kPoints; ++q) {
        m_macroCenti[q] = fw::centiOf(sm * kNode[q]);
        m_sharedCenti[q] = fw::centiOf(rho * sc * kNode[q]);
        m_macroGain[q] = powerRatio(sm * kNode[q]);
    }
    fillDuel(rho, rest);
}

// What is left of two small cells' shadowing, once the macro's is fixed, still hangs together by
// r = rho / (1 + rho) (one common part, the rest on its own). The first wins where its own part x lies above
// -a and the second's stays below x + a - b, given x: that is Phi((x (1 - r) + a - b) / sqrt(1 - r^2)). The
// second's mean over those users is that of a normal cut off there.
void ModelTables::fillDuel(double rho, double restDb) {
    constexpr double step = 1.0 / kDuelPerSigma;
    const double r = rho / (1 + rho), narrow = std::sqrt(1 - r * r);
    m_duel.resize(static_cast<std::size_t>(kDuelSteps) * kDuelSteps);
    std::vector<double> at, weight; // middle of the k-th step below +kDuelMax
    for (int k = 0; k < kDuelSteps - 1; ++k) {
        at.push_back(kDuelMax - (k + 0.5) * step);
        weight.push_back(density(at.back()) * step);
    }
    for (int apart = 1 - kDuelSteps; apart < kDuelSteps; ++apart) { // a - b in steps
        double won = 0, sum = 0, squares = 0, other = 0;
        for (int k = 0; k < kDuelSteps; ++k) { // a = -kDuelMax + k steps
            const int first = k, second = k - apart;
            if (second >= 0 && second < kDuelSteps) {
                const double mean = won > 1e-9 ? sum / won : -(first - (kDuelSteps - 1) / 2) * step;
                const double square = won > 1e-9 ? squares / won - mean * mean : 0;
                Duel& d = m_duel[static_cast<std::size_t>(first * kDuelSteps + second)];
                d.win = static_cast<std::int16_t>(std::floor(won * (kChanceOne - 1) + 0.5));
                d.centi = centi(restDb * mean);
                d.spreadCenti = centi(restDb * std::sqrt(square > 0 ? square : 0));
                d.otherCenti = won > 1e-9 ? centi(restDb * other / won) : std::int16_t{0};
            }
            if (k + 1 == kDuelSteps) break;
            const auto i = static_cast<std::size_t>(k);
            const double bound = (at[i] * (1 - r) + apart * step) / narrow;
            const double part = weight[i] * normalCdfFixed(bound);
            won += part;
            sum += part * at[i];
            squares += part * at[i] * at[i];
            other += part * r * at[i] - weight[i] * narrow * density(bound);
        }
    }
}

void ModelTables::fillEfficiency(const ModelSettings& s) {
    for (int c = -2000; c <= 4000; ++c) {
        const double raw = spectralEfficiency(c / 100.0, s.efficiency);
        const double eta = raw > kFloorEfficiency ? raw : kFloorEfficiency;
        m_eta.push_back(eta);
        m_perEta.push_back(1 / eta);
        m_demand.push_back(exp2Fixed(s.edgeExponent * log2Fixed(eta)));
    }
    for (int c = -2000; c <= 4000; ++c) {
        double sum = 0;
        for (std::size_t q = 0; q < kPoints; ++q) sum += kPointWeight[q] * perEfficiency(c + macroCenti(q));
        m_meanPerEta.push_back(sum / kChanceOne);
        m_cost.push_back(demandFactor(c) * m_meanPerEta.back());
    }
}

std::int64_t sendingShare(double use, double idleFloor) {
    const double u = use < 0 ? 0 : use > 1 ? 1 : use;
    return static_cast<std::int64_t>(std::floor((idleFloor + (1 - idleFloor) * u) * 65536 + 0.5));
}

} // namespace fw
