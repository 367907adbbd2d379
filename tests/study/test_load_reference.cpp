// SPDX-License-Identifier: GPL-3.0-or-later
// Every receiver of one tile worked out again in double precision: chances by the error function, duels by
// direct integration, levels in decibels. From the study it takes levels and costs (checked by the twin that
// draws users), nothing of its tables.
#include "catch.h"
#include "decibels.h"
#include "hand_plan.h"
#include "load_twin.h"
#include "support/random_plan.h"

#include <algorithm>
#include <cmath>
#include <map>

using namespace fw;
using namespace fw::testing;

namespace {

constexpr std::size_t kFive = 5;
// Abramowitz and Stegun, table 25.10, n = 5: abscissae times sqrt 2, weights over sqrt pi.
constexpr double kNodes[kFive] = {-2.856970013872805, -1.355626179974266, 0, 1.355626179974266,
                                  2.856970013872805};
constexpr double kWeights[kFive] = {0.011257411327721, 0.222075922005613, 0.533333333333333,
                                    0.222075922005613, 0.011257411327721};

double phi(double z) { return std::exp(-0.5 * z * z) / std::sqrt(2 * M_PI); }
double cdf(double z) { return 0.5 * std::erfc(-z / std::sqrt(2)); }
double mw(double dbm) { return std::pow(10, dbm / 10); }
double perBit(double sinrDb) { return 1 / bitsPerElement(mw(sinrDb)); }

struct Taker {
    int small = -1;
    double dbm = 0, marginDb = 0;
    bool own = false; // a carrier that the macro does not use
    int channel = 0;
    double share = 0, devices = 1; // of full power; who has the band
};

// At one shadowing of the macro: who wins, and the shadowing of winner and loser among those users (dB).
struct Won {
    double chance = 0, meanDb = 0, spreadDb = 0, otherDb = 0;
};

class PlainLoads {
public:
    explicit PlainLoads(const StudyCore& core)
        : m_core(core), m_model(core.plan.settings->model), m_rho(m_model.shadowCorrelation),
          m_rest(std::sqrt(1 - m_rho * m_rho) * m_model.smallSigmaDb) {
        m_noise = mw(-174 + db(15000.0) + m_model.noiseFigureDb);
        m_floor = m_model.idleFloorLte2;
    }

    struct Sums {
        std::map<std::pair<int, int>, TwinPair> pairs;
        std::map<int, double> harm;
    };

    Sums run(const std::vector<TwinReceiver>& list) {
        for (const TwinReceiver& x : list) {
            const std::int64_t units =
                m_core.base->tiles[x.tile].cost->layers[static_cast<std::size_t>(x.layer)][x.index];
            if (units > 0) receiver(x, static_cast<double>(units) / kPrbUnit);
        }
        return std::move(m_out);
    }

private:
    [[nodiscard]] double marginAt(const Taker& t, std::size_t q) const {
        const double z = kNodes[q];
        return (t.marginDb + (m_rho * m_model.smallSigmaDb - (t.own ? 0 : m_model.macroSigmaDb)) * z) /
               m_rest;
    }
    // Against the macro alone.
    [[nodiscard]] Won alone(const Taker& t, std::size_t q) const {
        const double z = marginAt(t, q);
        Won w;
        w.chance = cdf(z);
        const double mean = w.chance > 1e-12 ? phi(z) / w.chance : -z;
        w.meanDb = m_rho * m_model.smallSigmaDb * kNodes[q] + m_rest * mean;
        w.spreadDb = m_rest * std::sqrt(std::max(0.0, 1 - mean * (mean + z)));
        return w;
    }
    // Against the macro and another, whose own shadowing hangs together with this one's by rho / (1 + rho).
    [[nodiscard]] Won duel(const Taker& t, const Taker& o, std::size_t q) const {
        const double a = std::clamp(marginAt(t, q), -6.0, 6.0), b = std::clamp(marginAt(o, q), -6.0, 6.0);
        const double r = m_rho / (1 + m_rho), narrow = std::sqrt(1 - r * r), step = 1.0 / 48;
        double won = 0, sum = 0, squares = 0, other = 0;
        for (double x = -a + step / 2; x < 6; x += step) {
            const double bound = (x * (1 - r) + a - b) / narrow, p = phi(x) * step * cdf(bound);
            won += p;
            sum += p * x;
            squares += p * x * x;
            other += p * r * x - phi(x) * step * narrow * phi(bound);
        }
        Won w;
        w.chance = won;
        if (won < 1e-9) return w;
        const double mean = sum / won;
        w.meanDb = m_rho * m_model.smallSigmaDb * kNodes[q] + m_rest * mean;
        w.spreadDb = m_rest * std::sqrt(std::max(0.0, squares / won - mean * mean));
        w.otherDb = m_rho * m_model.smallSigmaDb * kNodes[q] + m_rest * other / won;
        return w;
    }
    // Mean power of a small cell over those that stay with the macro, over its median, as a factor.
    [[nodiscard]] double stays(const Taker& t, std::size_t q) const {
        const double z = -marginAt(t, q), s = m_rest * std::log(10) / 10;
        const double below = cdf(z);
        const double shared = m_rho * m_model.smallSigmaDb * kNodes[q];
        if (below < 1e-12) return mw(shared + m_rest * z);
        return mw(shared) * std::exp(s * s / 2) * cdf(z - s) / below;
    }

    std::vector<Taker> takers(const TwinReceiver& x) const {
        std::vector<Taker> out;
        for (const TwinSmall& s : x.smalls) {
            const auto n = static_cast<std::size_t>(s.small);
            const SmallCellPart& part = m_core.smalls[n];
            Taker t;
            t.small = s.small;
            t.dbm = s.dbm;
            t.own = part.layer < 0;
            t.channel = m_core.smallRuntime[n].channel;
            t.share = m_floor + (1 - m_floor) * m_model.smallUsePlanned;
            t.devices = t.own ? m_model.ownCarrierShare : 1;
            t.marginDb = s.dbm + part.biasDb - (t.own ? m_model.ownCarrierFromDbm : x.macroDbm);
            out.push_back(t);
        }
        return out;
    }

    void receiver(const TwinReceiver& x, double cost) {
        const std::vector<Taker> all = takers(x);
        double layer = 0; // of all small cells on the macro's carrier, at their medians
        for (const Taker& t : all)
            if (m_core.smalls[static_cast<std::size_t>(t.small)].layer == x.layer)
                layer += mw(t.dbm) * t.share;
        std::vector<Taker> two;
        for (const Taker& t : all) {
            if (!t.own && m_core.smalls[static_cast<std::size_t>(t.small)].layer != x.layer) continue;
            double p = 0; // those that win next to nobody have no place among the two
            for (std::size_t q = 0; q < kFive; ++q) p += kWeights[q] * cdf(marginAt(t, q));
            if (p >= 16 / 32768.0) two.push_back(t);
        }
        std::stable_sort(two.begin(), two.end(), [](const Taker& a, const Taker& b) {
            return std::lround(a.marginDb * 100) > std::lround(b.marginDb * 100);
        });
        if (two.size() > 2) two.resize(2);

        const double sinr = x.macroDbm - db(x.othersMw);
        double whole = 0, stayBefore = 0, stayAfter = 0;
        std::vector<double> taken(two.size(), 0), spent(two.size(), 0);
        for (std::size_t q = 0; q < kFive; ++q) {
            const double before = perBit(sinr + m_model.macroSigmaDb * kNodes[q]);
            whole += kWeights[q] * before;
            double left = 1, heardByStayers = x.othersMw + layer;
            for (std::size_t k = 0; k < two.size(); ++k) {
                const Taker& t = two[k];
                Won w = alone(t, q);
                if (two.size() == 2) {
                    const Taker& o = two[1 - k];
                    const double both = t.own && o.own ? 1 : o.devices, single = w.chance;
                    w = duel(t, o, q);
                    w.chance = w.chance * both + single * (1 - both);
                }
                const double share = w.chance * t.devices;
                left -= share;
                taken[k] += kWeights[q] * share * before;
                spent[k] += kWeights[q] * share * costOf(x, two, k, w, q, all, layer);
                if (!t.own) heardByStayers += mw(t.dbm) * t.share * (stays(t, q) - 1);
            }
            stayBefore += kWeights[q] * left * before;
            stayAfter += kWeights[q] * left *
                         perBit(x.macroDbm - db(heardByStayers) + m_model.macroSigmaDb * kNodes[q]);
        }
        for (std::size_t k = 0; k < two.size(); ++k) {
            TwinPair& p = m_out.pairs[{two[k].small, x.macro}];
            p.relief += cost * taken[k] / whole;
            p.carried += cost * spent[k] / whole;
        }
        if (layer > 0) m_out.harm[x.macro] += cost * (stayAfter - stayBefore) / whole;
    }

    // Of a captured user: the signal's mean and one spread to either side.
    double costOf(const TwinReceiver& x, const std::vector<Taker>& two, std::size_t k, const Won& w,
                  std::size_t q, const std::vector<Taker>& all, double layer) const {
        const Taker& t = two[k];
        double heard = 0;
        if (t.own) {
            heard = m_noise;
            for (const Taker& each : all)
                if (each.channel == t.channel) heard += mw(each.dbm) * each.share;
        } else {
            heard = x.othersMw + layer + x.servingMw * mw(m_model.macroSigmaDb * kNodes[q]);
        }
        heard -= mw(t.dbm) * t.share;
        if (two.size() == 2 && two[1 - k].channel == t.channel) {
            const Taker& o = two[1 - k];
            heard += mw(o.dbm) * o.share * (mw(w.otherDb) - 1);
        }
        const double sinr = t.dbm + w.meanDb - db(heard);
        return 0.5 * (perBit(sinr - w.spreadDb) + perBit(sinr + w.spreadDb));
    }

    const StudyCore& m_core;
    const ModelSettings& m_model;
    double m_rho, m_rest, m_noise = 0, m_floor = 0.1;
    Sums m_out;
};

// Two ports everywhere, so that one idle floor holds.
Plan twoPortTown(std::uint64_t seed) {
    Random random(seed);
    RandomPlanSpec spec;
    spec.areaM = 500;
    spec.buildings = 120;
    spec.mounts = 5;
    spec.trees = 0;
    spec.macroReachM = 900;
    Plan plan = randomPlan(random, spec);
    for (const Cell& c : std::vector<Cell>(plan.cells.begin(), plan.cells.end())) {
        Cell two = c;
        two.ports = 2;
        plan.cells.put(two);
    }
    for (const SmallCell& c : std::vector<SmallCell>(plan.smallCells.begin(), plan.smallCells.end())) {
        SmallCell all = c;
        all.chosen = true;
        plan.smallCells.put(all);
    }
    return plan;
}

} // namespace

// Where the two may differ:
//   margins are read in steps of 0.05 dB, rounded down: 0.02 dB on average, always the same way. Of a chance
//     Phi(z) that is 0.02 / 6.06 times the hazard phi(z) / Phi(z): 0.3 % at z = 0, 1.1 % at z = -3;
//   duels are read in steps of 1/16 of 6.06 dB, to the nearest: at most 1/32 either way, 2.5 % at z = 0 and
//     10 % at z = -3 of one receiver, which cancels over the hundreds of receivers that a small cell takes
//     from, and less so over the few dozen that make a single pair;
//   levels, means and SINR are rounded to 0.01 dB, four of them: 0.02 dB, 0.2 % of 1 / efficiency where it is
//     steepest.
// Together 1.2 % and 0.001 PRB of a small cell's relief; 1.6 % for what it spends, in which the second counts
// twice (who wins, and how well they hear). Single pairs may be 2.5 times as far off. Harm is the difference
// of two costs that are close: 2 % and 0.002 PRB.
TEST_CASE("Sums of a tile agree with double precision and no tables", "[load]") {
    const std::uint64_t seed = GENERATE(31u, 32u);
    CAPTURE(seed);
    const auto s = compute(twoPortTown(seed), 2);
    REQUIRE(s);
    const StudyCore& core = (*s)->core();
    std::vector<TwinReceiver> receivers = twinReceivers(core);
    // The tile with most small cells; the others' receivers do not count.
    std::size_t busiest = 0;
    for (std::size_t t = 0; t < core.tileSums.size(); ++t)
        if (core.tileSums[t] && (!core.tileSums[busiest] ||
                                 core.tileSums[t]->pairs.size() > core.tileSums[busiest]->pairs.size()))
            busiest = t;
    REQUIRE(core.tileSums[busiest]);
    std::erase_if(receivers, [&](const TwinReceiver& x) { return x.tile != busiest; });
    const PlainLoads::Sums want = PlainLoads(core).run(receivers);
    const TileSums& got = *core.tileSums[busiest];
    int compared = 0;
    std::map<int, std::array<double, 4>> bySmall; // relief and carried, ours and wanted
    for (const auto& [key, w] : want.pairs) {
        const auto it = got.pairs.find(
            TileSums::keyOf(static_cast<std::uint16_t>(key.first), static_cast<std::uint16_t>(key.second)));
        const double relief = it == got.pairs.end() ? 0 : static_cast<double>(it->second.relief) / kPrbUnit;
        const double carried = it == got.pairs.end() ? 0 : static_cast<double>(it->second.carried) / kPrbUnit;
        CAPTURE(key.first, key.second, relief, w.relief, carried, w.carried);
        CHECK(std::fabs(relief - w.relief) <= 0.03 * w.relief + 1e-3);
        CHECK(std::fabs(carried - w.carried) <= 0.04 * w.carried + 1e-3);
        auto& sums = bySmall[key.first];
        sums[0] += relief;
        sums[1] += w.relief;
        sums[2] += carried;
        sums[3] += w.carried;
        if (w.relief > 0.1) ++compared;
    }
    for (const auto& [small, sums] : bySmall) {
        CAPTURE(small, sums[0], sums[1], sums[2], sums[3]);
        CHECK(std::fabs(sums[0] - sums[1]) <= 0.012 * sums[1] + 1e-3);
        CHECK(std::fabs(sums[2] - sums[3]) <= 0.016 * sums[3] + 1e-3);
    }
    CHECK(compared >= 8); // of a tenth of a PRB and more
    for (const auto& [key, p] : got.pairs)
        CHECK(want.pairs.contains({static_cast<int>(key >> 16), static_cast<int>(key & 0xffff)}));
    for (const auto& [macro, h] : want.harm) {
        const auto it = got.harm.find(static_cast<std::uint16_t>(macro));
        const double harm = it == got.harm.end() ? 0 : static_cast<double>(it->second) / kPrbUnit;
        CAPTURE(macro, harm, h);
        CHECK(std::fabs(harm - h) <= 0.02 * std::fabs(h) + 2e-3);
    }
}
