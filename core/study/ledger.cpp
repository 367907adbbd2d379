// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/ledger.h"

#include "study/holds.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

// Share of a small cell's PRB that bits of a macro cell take there.
double ownUse(const StudyCore& core, std::size_t small, std::size_t macro, std::int64_t carried) {
    const auto layer = static_cast<std::size_t>(core.base->cells[macro].layer);
    return static_cast<double>(carried) / kPrbUnit * core.smallRuntime[small].carrierRatio[layer] /
           core.smalls[small].resourceBlocks;
}

} // namespace

std::vector<double> usesOf(const StudyCore& core, const TileSums& sums) {
    std::vector<double> use(core.smalls.size(), 0);
    for (const auto& [key, p] : sums.pairs) {
        const std::size_t n = key >> 16, m = key & 0xffff;
        use[n] += ownUse(core, n, m, p.carried);
    }
    return use;
}

Ledger ledgerOf(const StudyCore& core, const TileSums& sums, Ledger::Kind kind,
                std::span<const Setting> settings, bool proRata) {
    const ModelSettings& m = core.plan.settings->model;
    const Baseline& b = *core.base;
    Ledger out;
    out.kind = kind;
    const auto use = usesOf(core, sums);
    for (std::size_t n = 0; n < core.smalls.size(); ++n) {
        if (!core.smalls[n].chosen) continue;
        SmallCellUse u{core.smalls[n].id,     use[n], m.smallUseCap,
                       core.smalls[n].biasDb, 0,      use[n] <= m.smallUseCap + kUseStep};
        if (!settings.empty()) {
            u.biasDb = settings[n].biasDb;
            u.powerDownDb = settings[n].powerDownDb;
        }
        out.smalls.push_back(u);
        if (proRata && !u.feasible)
            out.remarks.push_back(fmt::format(
                "{} would use {:.0f} % of its PRB, over the cap of {:.0f} %: its relief counts by "
                "cap over use here; the settled ledger lowers bias or power instead",
                core.plan.label(u.small), use[n] * 100, m.smallUseCap * 100));
    }
    std::vector<std::vector<LedgerLine::Part>> relief(b.cells.size()); // by macro, ascending by small cell
    for (const auto& [key, p] : sums.pairs) {
        const std::size_t n = key >> 16, c = key & 0xffff;
        if (p.relief == 0) continue;
        const double prb = kPrbUnit * b.cells[c].resourceBlocks;
        const double scale = proRata && use[n] > m.smallUseCap ? m.smallUseCap / use[n] : 1;
        relief[c].push_back({core.smalls[n].id, static_cast<double>(p.relief) / prb * scale,
                             static_cast<double>(p.fringe) / prb * scale, ownUse(core, n, c, p.carried)});
    }
    for (std::size_t c = 0; c < b.cells.size(); ++c) {
        if (!b.cells[c].use) continue;
        LedgerLine line;
        line.cell = b.cells[c].id;
        const double prb = kPrbUnit * b.cells[c].resourceBlocks;
        line.before = *b.cells[c].use;
        line.fixed = static_cast<double>(b.runtime[c].fixed + b.unspread[c]) / prb;
        line.target = m.targetUse;
        line.congested = b.cells[c].congested;
        line.relief = std::move(relief[c]);
        double taken = 0;
        for (const LedgerLine::Part& p : line.relief) taken += p.use;
        const auto h = sums.harm.find(static_cast<std::uint16_t>(c));
        line.harm = h == sums.harm.end() ? 0 : static_cast<double>(h->second) / prb;
        line.after = line.before - taken + line.harm;
        if (line.congested) line.holdsMonths = monthsUntilTrigger(line.after, taken, m);
        if (line.before > 0.85 && line.congested)
            out.remarks.push_back(
                fmt::format("{} is at {:.0f} %: above 85 % a cell hides demand it could not serve, so "
                            "needed relief is at least this much",
                            core.plan.label(line.cell), line.before * 100));
        out.cells.push_back(std::move(line));
    }
    return out;
}

const Ledger& Study::live() const {
    const TileSums& sums = m_core->sums();
    {
        const std::scoped_lock hold(m_core->lazyLock);
        if (m_core->lazyLive) return *m_core->lazyLive;
    }
    auto made = std::make_shared<const Ledger>(ledgerOf(*m_core, sums, Ledger::Kind::live, {}, true));
    const std::scoped_lock hold(m_core->lazyLock);
    if (!m_core->lazyLive) m_core->lazyLive = std::move(made);
    return *m_core->lazyLive;
}

} // namespace fw
