// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/settled.h"

#include "base/parallel.h"
#include "base/text.h"
#include "base/units.h"
#include "study/ledger.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {
namespace {

constexpr int kInnerRounds = 40;
constexpr double kSettled = kUseStep;
constexpr double kLowestBias = -6, kMostPowerDown = 10;

// The coupling of all loads under one set of biases and powers.
class Coupling {
public:
    Coupling(const StudyCore& core, const Job& job, unsigned threads)
        : m_core(core), m_job(job), m_threads(threads) {
        const ModelSettings& m = core.plan.settings->model;
        for (const MacroCell& c : core.base->cells) {
            const Cell* cell = core.plan.cells.find(c.id);
            m_floor.push_back(
                idleFloorOf(m, cell ? cell->carrier.technology : Technology::lte, cell ? cell->ports : 2));
        }
        for (const SmallCellPart& s : core.smalls) {
            const Radio* r = core.plan.radios.find(s.radio);
            m_smallFloor.push_back(idleFloorOf(m, s.carrier.technology, r ? r->ports : 2));
            m_settings.push_back({s.biasDb, 0});
        }
        m_smallUse.assign(core.smalls.size(), 0);
    }

    std::vector<Setting>& settings() { return m_settings; }
    [[nodiscard]] const TileSums& sums() const { return m_sums; }
    [[nodiscard]] const std::vector<double>& smallUse() const { return m_smallUse; }
    [[nodiscard]] int rounds() const { return m_rounds; }
    [[nodiscard]] bool clipped() const { return m_clipped; }

    // True when loads agree. Always from the measured loads: what came before must not show in the result.
    bool solve() {
        std::vector<double> use;
        for (const MacroCell& c : m_core.base->cells) use.push_back(c.use.value_or(-1));
        std::fill(m_smallUse.begin(), m_smallUse.end(), m_core.plan.settings->model.smallUsePlanned);
        gather();
        for (int round = 0; round < kInnerRounds && !m_job.stopped(); ++round) {
            ++m_rounds;
            evaluate(use);
            const double moved = update(use);
            if (moved < kSettled) return true;
        }
        return false;
    }

private:
    // Who is strongest depends on bias and power alone; loads come in later.
    void gather() {
        m_sources = m_core.sources();
        for (std::size_t n = 0; n < m_sources.size(); ++n) {
            m_sources[n].biasCenti = centiOf(m_settings[n].biasDb);
            m_sources[n].baseCenti -= centiOf(m_settings[n].powerDownDb);
        }
    }

    void evaluate(const std::vector<double>& use) {
        const Baseline& b = *m_core.base;
        std::vector<std::int64_t> shares = b.shares;
        for (std::size_t c = 0; c < use.size(); ++c)
            if (use[c] >= 0) shares[c] = sendingShare(use[c], m_floor[c]);
        for (std::size_t n = 0; n < m_sources.size(); ++n)
            m_sources[n].share = sendingShare(m_smallUse[n], m_smallFloor[n]);
        std::vector<TileSums> parts(b.tiles.size());
        parallelFor(b.tiles.size(), m_threads, [&](std::size_t i) {
            if (m_job.stopped()) return;
            const TilePart& t = b.tiles[i];
            const auto near = m_core.meeting(t.receivers->key, m_sources);
            const TileSmalls smalls = gatherSmalls(*t.receivers, *t.levels, near,
                                                   static_cast<int>(m_core.channels.size()), *b.tables);
            TileView v = m_core.view(i, m_sources);
            v.sharesNow = shares;
            parts[i] = evaluateTile(v, smalls, m_core.channelOfLayer);
        });
        m_sums = {};
        for (const TileSums& p : parts) m_sums.add(p);
    }

    double update(std::vector<double>& use) {
        const Baseline& b = *m_core.base;
        double moved = 0;
        m_clipped = false;
        std::vector<double> next(use.size(), -1);
        for (std::size_t c = 0; c < use.size(); ++c)
            if (use[c] >= 0) next[c] = *b.cells[c].use;
        for (const auto& [key, p] : m_sums.pairs) {
            const std::size_t c = key & 0xffff;
            next[c] -= static_cast<double>(p.relief) / (kPrbUnit * b.cells[c].resourceBlocks);
        }
        for (const auto& [c, h] : m_sums.harm)
            next[c] += static_cast<double>(h) / (kPrbUnit * b.cells[c].resourceBlocks);
        for (std::size_t c = 0; c < use.size(); ++c) {
            if (use[c] < 0) continue;
            if (next[c] > 1) m_clipped = true;
            next[c] = std::clamp(next[c], 0.0, 1.0);
            moved = std::max(moved, std::fabs(next[c] - use[c]));
        }
        use = next;
        const auto small = usesOf(m_core, m_sums);
        for (std::size_t n = 0; n < small.size(); ++n) {
            const double held = std::clamp(small[n], 0.0, 1.0);
            moved = std::max(moved, std::fabs(held - m_smallUse[n]));
            m_smallUse[n] = held;
        }
        return moved;
    }

    const StudyCore& m_core;
    const Job& m_job;
    unsigned m_threads;
    std::vector<double> m_floor, m_smallFloor, m_smallUse;
    std::vector<Setting> m_settings;
    std::vector<SmallSource> m_sources;
    TileSums m_sums;
    int m_rounds = 0;
    bool m_clipped = false;
};

// Takes bias, then power, from small cells over their cap. False when nothing was left to take. A step takes
// at least a decibel of some cell, and none ever comes back: a cell has 12 (from +6) and 10 to give, so that
// steps come to an end by themselves.
bool lower(const StudyCore& core, const std::vector<double>& use, std::vector<Setting>& settings) {
    bool changed = false;
    const double cap = core.plan.settings->model.smallUseCap;
    for (std::size_t n = 0; n < settings.size(); ++n) {
        if (!core.smalls[n].chosen || use[n] <= cap + kSettled) continue;
        // Far over the cap takes two decibels at once, in whole steps that a crew can set.
        const double step = use[n] > 1.3 * cap ? 2 : 1;
        // On a carrier of its own the bias moves the level from which devices come over.
        if (settings[n].biasDb > kLowestBias) {
            settings[n].biasDb = std::max(kLowestBias, std::floor(settings[n].biasDb) - step);
            changed = true;
        } else if (settings[n].powerDownDb < kMostPowerDown) {
            settings[n].powerDownDb = std::min(kMostPowerDown, settings[n].powerDownDb + step);
            changed = true;
        }
    }
    return changed;
}

} // namespace

Result<Ledger> settle(const Study& study, const Job& job, unsigned threads) {
    const StudyCore& core = study.core();
    Coupling coupling(core, job, threads);
    bool converged = false;
    // Cells come down together where they can; neighbours that hand users to each other, one after another.
    for (int steps = 0;; ++steps) {
        job.report(steps / (steps + 10.0), CORE_TEXT("settling loads"));
        converged = coupling.solve();
        if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
        // Where nothing is lowered the ledger names the settings that its figures were solved with.
        if (!lower(core, usesOf(core, coupling.sums()), coupling.settings())) break;
    }
    Ledger out = ledgerOf(core, coupling.sums(), Ledger::Kind::settled, coupling.settings(), false);
    out.converged = converged;
    out.rounds = coupling.rounds();
    if (!converged)
        out.remarks.emplace_back(CORE_TEXT(
            "the loads did not settle: they swing between neighbours; read these figures as a range"));
    if (coupling.clipped())
        out.remarks.emplace_back(CORE_TEXT("a macro cell would need more than all of its PRB; its use is "
                                           "held at 100 % towards its neighbours"));
    for (const SmallCellUse& u : out.smalls)
        if (!u.feasible)
            out.remarks.push_back(
                fmt::format("{} stays over its cap with bias {:+.0f} dB and {:.0f} dB less power; add a "
                            "small cell beside it or a wider carrier",
                            core.plan.label(u.small), u.biasDb, u.powerDownDb));
    job.report(1, CORE_TEXT("settled"));
    return out;
}

} // namespace fw
