// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choice_feed.h"

#include "base/text.h"
#include "plan/bracket.h"
#include "review/geometry.h"
#include "review/limits.h"
#include "review/neighbours.h"
#include "surface/profile.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {
namespace {

constexpr double kSamePlaceM = 1;

Error refused(std::string text) { return {ErrorCode::badInput, std::move(text), "choose"}; }

std::uint16_t stepsFor(double deg) {
    return static_cast<std::uint16_t>(std::clamp(std::ceil(deg / kFootprintStepDeg - 1e-9), 1.0, 36.0));
}

class Feeder {
public:
    Feeder(const Study& study, const Ledger& ledger, const ChoiceAsk& ask, const CostTable& costs)
        : m_study(study), m_plan(study.plan()), m_ledger(ledger), m_ask(ask), m_costs(costs),
          m_limits(m_plan.settings->profile), m_near(study), m_must(ask.must.begin(), ask.must.end()),
          m_not(ask.mustNot.begin(), ask.mustNot.end()) {}

    Result<ChoiceFeed> feed(const Job& job) {
        if (auto s = targets(); !s) return s.error();
        if (auto s = names(); !s) return s.error();
        pattern();
        keepers();
        candidates();
        if (m_out.spots.empty())
            return refused(CORE_TEXT("there is no mount to choose among: add mounts, or allow some"));
        if (auto s = footprints(job); !s) return s.error();
        for (std::uint32_t k = 0; k < m_out.spots.size() && !job.stopped(); ++k) shape(k);
        if (!job.stopped()) streets();
        pairs(job);
        if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
        return std::move(m_out);
    }

private:
    Status targets() {
        std::vector<ItemId> wanted = m_ask.cells;
        if (wanted.empty())
            for (const LedgerLine& l : m_ledger.cells)
                if (l.congested) wanted.push_back(l.cell);
        if (wanted.empty()) return refused(CORE_TEXT("no cell is congested: name the cells to relieve"));
        std::sort(wanted.begin(), wanted.end());
        wanted.erase(std::unique(wanted.begin(), wanted.end()), wanted.end());
        for (const ItemId cell : wanted) {
            const auto line = std::find_if(m_ledger.cells.begin(), m_ledger.cells.end(),
                                           [&](const LedgerLine& l) { return l.cell == cell; });
            if (line == m_ledger.cells.end() || line->before <= 0)
                return refused(fmt::format("{} has no measured load, so that there is nothing to relieve",
                                           m_plan.label(cell)));
            const double need = std::max(0.0, line->before - line->target) * 100 * kWorthUnit;
            m_out.cells.push_back(cell);
            m_out.problem.targets.push_back({m_plan.label(cell), static_cast<std::int64_t>(std::ceil(need))});
        }
        return Done{};
    }

    Status names() {
        for (const auto* list : {&m_ask.must, &m_ask.mustNot})
            for (const ItemId id : *list)
                if (!m_plan.mounts.find(id))
                    return refused(fmt::format("{} is not a mount of the plan", m_plan.label(id)));
        for (const ItemId id : m_ask.must) {
            const Mount& m = *m_plan.mounts.find(id);
            if (m_not.count(id))
                return refused(fmt::format("{} is a must-have and ruled out at once", m.name));
            if (m.consent == ConsentState::refused)
                return refused(fmt::format("{} is a must-have, but its owner refused consent", m.name));
        }
        return Done{};
    }

    // What new cells look like where their mount carries none yet.
    void pattern() {
        for (const SmallCell& s : m_plan.smallCells) {
            const Radio* r = m_plan.radios.find(s.radio);
            if (s.variant != m_plan.settings->activeVariant || !r) continue;
            m_radio = *r;
            m_cell = s;
            return;
        }
        if (const Cell* c = m_plan.cells.find(m_out.cells.front())) m_cell.carrier = c->carrier;
    }

    void addSpot(const Mount& mount, Radio radio, SmallCell cell, ItemId kept) {
        radio.mount = mount.id;
        if (!kept) radio.tiltDeg = nearestTilt(mount, radio.tiltDeg);
        m_asks.push_back({mount, radio, cell, static_cast<bool>(kept)});
        m_out.spots.push_back(
            {mount.id, std::move(radio), std::move(cell), kept, costOf(m_plan, mount, m_costs)});
    }

    void keepers() {
        if (!m_ask.keep) return;
        for (const SmallCellPart& s : m_study.smallCells()) {
            if (!s.chosen) continue;
            addSpot(*m_plan.mounts.find(s.mount), *m_plan.radios.find(s.radio), *m_plan.smallCells.find(s.id),
                    s.id);
            m_keptOn[s.mount].push_back(s.radio);
        }
    }

    // Its own first radio with a cell, the active variant's before others'.
    std::pair<Radio, SmallCell> likeOn(const std::map<ItemId, std::pair<Radio, SmallCell>>& own,
                                       ItemId mount) {
        const auto it = own.find(mount);
        return it == own.end() ? std::pair{m_radio, m_cell} : it->second;
    }

    void candidates() {
        std::map<ItemId, std::pair<Radio, SmallCell>> own;
        for (const bool active : {true, false})
            for (const SmallCell& s : m_plan.smallCells) {
                const Radio* r = m_plan.radios.find(s.radio);
                if (r && (s.variant == m_plan.settings->activeVariant) == active)
                    own.try_emplace(r->mount, *r, s);
            }
        int refusedCount = 0, openCount = 0;
        for (const Mount& m : m_plan.mounts) {
            if (m_not.count(m.id)) continue;
            if (m.consent == ConsentState::refused) {
                ++refusedCount;
                continue;
            }
            if (m_ask.consentGiven && m.consent != ConsentState::given && !m_must.count(m.id)) {
                ++openCount;
                continue;
            }
            const auto kept = m_keptOn.find(m.id);
            if (kept != m_keptOn.end() && static_cast<int>(radiosKept(kept->second)) >= m_ask.radiosPerMount)
                continue;
            auto [radio, cell] = likeOn(own, m.id);
            addSpot(m, std::move(radio), std::move(cell), {});
        }
        if (refusedCount > 0)
            m_out.remarks.push_back(
                fmt::format("{} mounts are left out: their owner refused.", refusedCount));
        if (openCount > 0)
            m_out.remarks.push_back(
                fmt::format("{} mounts are left out: their owner has not agreed yet.", openCount));
    }
    static std::size_t radiosKept(std::vector<ItemId> radios) {
        std::sort(radios.begin(), radios.end());
        return static_cast<std::size_t>(std::unique(radios.begin(), radios.end()) - radios.begin());
    }

    Status footprints(const Job& job) {
        auto made = azimuthFootprints(m_study, m_asks, m_out.cells, m_ask.threads, job);
        if (!made) return made.error();
        ChoiceProblem& p = m_out.problem;
        p.steps = kFootprintSteps;
        p.worth = std::move(made->worth);
        p.target = std::move(made->macro);
        m_parts = std::move(made->parts);
        p.mounts.resize(m_out.spots.size());
        for (std::size_t k = 0; k < p.mounts.size(); ++k) {
            p.mounts[k].runs.reserve(made->runs[k].size());
            for (const auto& r : made->runs[k]) p.mounts[k].runs.push_back({r.place, {r.from, r.count}});
        }
        return Done{};
    }

    void shape(std::uint32_t k) {
        ChoiceProblem::Mount& m = m_out.problem.mounts[k];
        const ChoiceFeed::Spot& spot = m_out.spots[k];
        const Mount& mount = *m_plan.mounts.find(spot.mount);
        m.apart = stepsFor(m_limits["same-mount-spread.spread"]);
        m_out.blocked.push_back(0);
        if (spot.kept) {
            m.name = m_plan.label(spot.kept);
            m.radioCost = 0;
            m.must = true;
            m.allowed.assign(kFootprintSteps, 0);
            m.allowed[0] = 1;
            return;
        }
        m.name = mount.name;
        const auto kept = m_keptOn.find(spot.mount);
        const bool stands = kept != m_keptOn.end();
        m.radios = m_ask.radiosPerMount - static_cast<int>(stands ? radiosKept(kept->second) : 0);
        m.must = m_must.count(spot.mount) > 0 && !stands;
        if (m_ask.inMoney) {
            m.siteCost = stands ? 0 : std::llround(spot.cost.site());
            m.radioCost = std::llround(m_costs.radio);
        }
        m.allowed.assign(kFootprintSteps, 1);
        for (std::uint16_t a = 0; a < kFootprintSteps; ++a)
            if (looksWrong(k, a)) {
                m.allowed[a] = 0;
                ++m_out.blocked[k];
            }
    }

    [[nodiscard]] GridAzimuth gridOf(std::uint32_t k, std::uint16_t step) const {
        const Mount& mount = *m_plan.mounts.find(m_out.spots[k].mount);
        const bool kept = static_cast<bool>(m_out.spots[k].kept);
        return m_study.frame().toGrid(kept ? m_out.spots[k].radio.azimuth : azimuthOf(step), mount.at);
    }
    [[nodiscard]] PathEnd endOf(std::uint32_t k) const {
        const MountPart& m = *m_study.mount(m_out.spots[k].mount);
        return {m.at, m.antennaAmsl, m.ownPrism};
    }

    bool looksWrong(std::uint32_t k, std::uint16_t step) {
        const MountPart& m = *m_study.mount(m_out.spots[k].mount);
        if (step == 0) macrosAbout(k);
        if (!bracketTurns(*m_plan.mounts.find(m.id), azimuthOf(step))) return true;
        const GridAzimuth azimuth = gridOf(k, step);
        const double beam = m_parts[k].hBeamDeg;
        if (m.skyline &&
            100 * beamBlockedShare(*m.skyline, azimuth, beam, m_limits["into-obstruction.near"]) >=
                m_limits["into-obstruction.block"])
            return true;
        const double half = beam / 2 + m_limits["faces-macro.margin"];
        return std::any_of(m_macros.begin(), m_macros.end(),
                           [&](GridAzimuth to) { return inBeam(azimuth, to, half); });
    }

    // Bearings of macros in sight that block what looks at them.
    void macrosAbout(std::uint32_t k) {
        m_macros.clear();
        const PathEnd from = endOf(k);
        const double within = m_limits["faces-macro.block-within"];
        m_near.sitesNear(from.at, within, m_hits);
        for (const std::uint32_t h : m_hits) {
            const SiteSpot& s = m_near.sites()[h];
            const bool shares = std::binary_search(s.layers.begin(), s.layers.end(), m_parts[k].layer);
            if (!shares || planeDistance(s.at, from.at) < kSamePlaceM ||
                m_study.frame().groundDistance(s.at, from.at) > within)
                continue;
            const PathEnd to{s.at, s.topAmsl, m_study.surface().prismAt(s.at)};
            if (profileBetween(m_study.surface(), from, to, m_parts[k].frequency).clear)
                m_macros.push_back(gridAzimuth(from.at, s.at));
        }
    }

    void streets() {
        if (m_ask.perStreet <= 0) return;
        std::map<ItemId, int> groups;
        for (std::size_t k = 0; k < m_out.spots.size(); ++k) {
            const PlanePoint at = m_plan.mounts.find(m_out.spots[k].mount)->at;
            ItemId nearest;
            double best = m_ask.streetM;
            for (const Street& s : m_plan.streets)
                if (const double d = nearestOn(s.path, at).distanceM; d < best) {
                    best = d;
                    nearest = s.id;
                }
            if (!nearest) continue;
            const auto [it, fresh] = groups.try_emplace(nearest, static_cast<int>(groups.size()));
            if (fresh) m_out.problem.groupLimits.push_back(m_ask.perStreet);
            m_out.problem.mounts[k].group = it->second;
        }
        // What stands already is not to be pulled down.
        std::vector<int> kept(m_out.problem.groupLimits.size());
        for (std::size_t k = 0; k < m_out.spots.size(); ++k)
            if (const int g = m_out.problem.mounts[k].group; g >= 0 && m_out.spots[k].kept)
                ++kept[static_cast<std::size_t>(g)];
        for (std::size_t g = 0; g < kept.size(); ++g)
            m_out.problem.groupLimits[g] = std::max(m_out.problem.groupLimits[g], kept[g]);
    }

    void pairs(const Job& job) {
        const double facing = m_limits["mutual-facing.block-within"];
        const double reach = std::max(facing, m_ask.spacingM) * 1.01;
        std::vector<std::pair<double, std::uint32_t>> byX;
        for (std::uint32_t k = 0; k < m_out.spots.size(); ++k) byX.emplace_back(endOf(k).at.x, k);
        std::sort(byX.begin(), byX.end());
        for (std::size_t i = 0; i < byX.size() && !job.stopped(); ++i)
            for (std::size_t j = i + 1; j < byX.size() && byX[j].first - byX[i].first <= reach; ++j)
                pair(std::min(byX[i].second, byX[j].second), std::max(byX[i].second, byX[j].second), facing);
    }

    void pair(std::uint32_t a, std::uint32_t b, double facing) {
        const auto& sa = m_out.spots[a];
        const auto& sb = m_out.spots[b];
        if (sa.kept && sb.kept) return; // they stand so
        const StepRange all{0, kFootprintSteps};
        if (sa.mount == sb.mount) { // a kept cell and what may come beside it
            if (sa.kept) m_out.problem.conflicts.push_back({a, b, all, spreadRound(sa.radio.azimuth)});
            return;
        }
        const PathEnd ea = endOf(a), eb = endOf(b);
        const double distance = m_study.frame().groundDistance(ea.at, eb.at);
        if (distance < m_ask.spacingM) {
            m_out.problem.conflicts.push_back({a, b, all, all});
            return;
        }
        const Carrier &ca = sa.cell.carrier, &cb = sb.cell.carrier;
        if (distance > facing || ca.technology != cb.technology || ca.channel != cb.channel) return;
        const StepRange ra = towards(a, gridAzimuth(ea.at, eb.at)),
                        rb = towards(b, gridAzimuth(eb.at, ea.at));
        if (ra.count == 0 || rb.count == 0) return;
        if (profileBetween(m_study.surface(), ea, eb, m_parts[a].frequency).clear)
            m_out.problem.conflicts.push_back({a, b, ra, rb});
    }

    // Steps nearer to an azimuth than radios of one mount should be.
    [[nodiscard]] StepRange spreadRound(TrueAzimuth azimuth) const {
        const double spread = m_limits["same-mount-spread.spread"];
        return stepsWhere([&](std::uint16_t s) {
            return std::fabs(std::remainder(azimuthOf(s).deg - azimuth.deg, 360.0)) < spread;
        });
    }
    // Steps at which one has a bearing within half of its beam.
    [[nodiscard]] StepRange towards(std::uint32_t k, GridAzimuth bearing) const {
        const double half = m_parts[k].hBeamDeg / 2 + m_limits["mutual-facing.margin"];
        if (m_out.spots[k].kept) // its one step stands for the azimuth it has
            return inBeam(gridOf(k, 0), bearing, half) ? StepRange{0, kFootprintSteps} : StepRange{};
        return stepsWhere([&](std::uint16_t s) { return inBeam(gridOf(k, s), bearing, half); });
    }
    // One run of steps; an empty range where there is none.
    template <class F>
    static StepRange stepsWhere(F&& holds) {
        std::uint16_t from = 0, count = 0;
        for (std::uint16_t s = 0; s < kFootprintSteps; ++s) {
            if (!holds(s)) continue;
            ++count;
            const auto before = static_cast<std::uint16_t>((s + kFootprintSteps - 1) % kFootprintSteps);
            if (!holds(before)) from = s;
        }
        return {from, count};
    }

    const Study& m_study;
    const Plan& m_plan;
    const Ledger& m_ledger;
    const ChoiceAsk& m_ask;
    const CostTable& m_costs;
    Limits m_limits;
    Neighbours m_near;
    std::set<ItemId> m_must, m_not;
    Radio m_radio;
    SmallCell m_cell;
    std::map<ItemId, std::vector<ItemId>> m_keptOn; // radios by mount
    std::vector<FootprintAsk> m_asks;
    std::vector<SmallCellPart> m_parts;
    std::vector<GridAzimuth> m_macros;
    std::vector<std::uint32_t> m_hits;
    ChoiceFeed m_out;
};

} // namespace

Result<ChoiceFeed> choiceFeed(const Study& study, const Ledger& ledger, const ChoiceAsk& ask,
                              const CostTable& costs, const Job& job) {
    return Feeder(study, ledger, ask, costs).feed(job);
}

} // namespace fw
