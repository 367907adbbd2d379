// SPDX-License-Identifier: GPL-3.0-or-later
// A choice judged by the full model, and made anew where that rules something out.
#include "base/text.h"
#include "review/review.h"
#include "siting/choice_edit.h"
#include "study/chance.h"
#include "study/settled.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr int kMostRounds = 8;
constexpr double kMet = 1e-9;
constexpr double kNear = 0.02; // needs that move by less are let be

Job part(const Job& job, double from, double wide) {
    Job out;
    out.stop = job.stop;
    if (job.progress)
        out.progress = [&job, from, wide](double share, std::string_view what) {
            job.report(from + wide * share, what);
        };
    return out;
}

class Planner {
public:
    Planner(const std::shared_ptr<const Study>& study, const std::shared_ptr<const Terrain>& terrain,
            const ChoiceAsk& ask, const CostTable& costs)
        : m_study(study), m_terrain(terrain), m_ask(ask), m_costs(costs) {}

    Result<PlannedChoice> plan(const std::function<void(const ChoicePoint&)>& onPoint, const Job& job) {
        if (auto s = sensible(); !s) return s.error();
        auto feed = choiceFeed(*m_study, m_study->live(), m_ask, m_costs, part(job, 0, 0.2));
        if (!feed) return feed.error();
        m_out.feed = std::move(*feed);
        for (m_out.rounds = 1;; ++m_out.rounds) {
            const double from = 0.2 + 0.8 * (m_out.rounds - 1) / kMostRounds, wide = 0.8 / kMostRounds;
            auto choice = choose(m_out.feed.problem, options(onPoint), part(job, from, wide / 2));
            if (!choice) return choice.error();
            m_out.choice = std::move(*choice);
            if (auto s = judge(part(job, from + wide / 2, wide / 2)); !s) {
                if (!m_ask.keepStopped || s.error().code != ErrorCode::cancelled) return s.error();
                unjudged();
                break;
            }
            if (m_out.rounds == kMostRounds || !again()) break;
        }
        if (m_best) takeBest();
        spend();
        return std::move(m_out);
    }

private:
    [[nodiscard]] Status sensible() const {
        if (m_ask.chance == 0) return Done{};
        if (!(m_ask.chance > 0 && m_ask.chance < 1))
            return Error{ErrorCode::badInput, CORE_TEXT("a chance lies between 0 and 1, both left out"),
                         "choose"};
        if (m_ask.goal != ChoiceGoal::reachTargets)
            return Error{
                ErrorCode::badInput,
                CORE_TEXT(
                    "a chance is reached at least cost; a budget buys what it can: ask for one of them"),
                "choose"};
        return Done{};
    }

    [[nodiscard]] ChooseOptions options(const std::function<void(const ChoicePoint&)>& onPoint) const {
        ChooseOptions o;
        o.goal = m_ask.goal;
        if (m_ask.goal == ChoiceGoal::mostRelief) o.budget = m_ask.budget;
        o.seed = m_ask.seed;
        o.iterations = m_ask.iterations;
        o.threads = m_ask.threads;
        o.keepStopped = m_ask.keepStopped;
        o.onPoint = onPoint;
        return o;
    }

    // Stopped: the choice stands, but nothing of an earlier one's figures does.
    void unjudged() {
        m_out.settled = false;
        m_out.targets.clear();
        m_out.newNames.assign(m_out.choice.chosen.size(), {});
        m_out.reliefPoints = 0;
        m_review = {};
        m_built.assign(m_out.choice.chosen.size(), {});
    }

    Status judge(const Job& job) {
        if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
        Plan plan = m_study->plan();
        const auto edit = choiceEdit(plan, m_out.feed, m_out.choice, m_ask.keep);
        if (!edit) return edit.error();
        if (auto undo = apply(plan, *edit); !undo) return undo.error();
        auto next = Study::advance(m_study, plan, m_terrain, {m_ask.threads}, part(job, 0, 0.4));
        if (!next) return next.error();
        const auto ledger = settle(**next, part(job, 0.4, 0.4), m_ask.threads);
        if (!ledger) return ledger.error();
        readLedger(**next, *ledger);
        if (auto s = readChance(**next, *ledger, part(job, 0.8, 0.1)); !s) return s.error();
        findBuilt(plan);
        ReviewOptions places;
        places.remedies = places.identities = false;
        m_review = reviewAll(**next, places, part(job, 0.9, 0.1));
        if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
        return Done{};
    }

    void readLedger(const Study& study, const Ledger& ledger) {
        m_out.targets.clear();
        m_out.reliefPoints = 0;
        m_out.converged = ledger.converged;
        for (std::size_t t = 0; t < m_out.feed.cells.size(); ++t) {
            const auto line =
                std::find_if(ledger.cells.begin(), ledger.cells.end(),
                             [&](const LedgerLine& l) { return l.cell == m_out.feed.cells[t]; });
            if (line == ledger.cells.end() || !study.macroCell(line->cell)) continue;
            SettledTarget s{line->cell, line->before, line->after, line->target, 0, 0, {}, 0};
            for (const LedgerLine::Part& p : line->relief) s.relief += p.use;
            s.round0 = static_cast<double>(m_out.choice.reliefOf[t]) / kWorthUnit / 100;
            m_out.reliefPoints += 100 * s.relief;
            m_out.targets.push_back(s);
        }
    }

    Status readChance(const Study& study, const Ledger& ledger, const Job& job) {
        if (m_ask.chance == 0) return Done{};
        const auto chance =
            chanceOf(study, ledger, {m_ask.draws, m_ask.seed, m_ask.threads, m_ask.chance}, job);
        if (!chance) return chance.error();
        for (SettledTarget& t : m_out.targets)
            for (const CellChance& c : chance->cells)
                if (c.cell == t.cell) {
                    t.chance = c.reaches;
                    t.atChance = c.atShare;
                }
        return Done{};
    }

    // Small cells of the applied plan by chosen option.
    void findBuilt(const Plan& plan) {
        m_built.clear();
        m_radios.clear();
        m_out.newNames.clear();
        for (const ChosenOption& o : m_out.choice.chosen) {
            const ChoiceFeed::Spot& spot = m_out.feed.spots[o.option.mount];
            ItemId found = spot.kept;
            for (const SmallCell& s : plan.smallCells) {
                const Radio* r = plan.radios.find(s.radio);
                const bool here = !found && s.chosen && s.variant == plan.settings->activeVariant && r &&
                                  r->mount == spot.mount && s.carrier.channel == spot.cell.carrier.channel;
                if (here &&
                    std::fabs(std::remainder(r->azimuth.deg - azimuthOf(o.option.step).deg, 360.0)) <= 1)
                    found = s.id;
            }
            m_built.push_back(found);
            const SmallCell* built = plan.smallCells.find(found);
            m_radios.push_back(built ? built->radio : ItemId{});
            m_out.newNames.push_back(plan.label(found));
        }
    }

    // Rules out what the review blocks, and moves needs to where the full model says they should be; false:
    // no set that is better can be looked for.
    bool again() {
        bool changed = false;
        for (std::size_t k = 0; k < m_built.size(); ++k) {
            const ChoiceOption o = m_out.choice.chosen[k].option;
            const ChoiceFeed::Spot& spot = m_out.feed.spots[o.mount];
            if (spot.kept || !m_review.blocked(m_built[k])) continue;
            changed = ruleOut(o, m_built[k], m_radios[k]) || changed;
        }
        if (m_ask.goal != ChoiceGoal::reachTargets) return changed;
        const bool met = std::all_of(m_out.targets.begin(), m_out.targets.end(),
                                     [](const SettledTarget& s) { return s.excess() <= kMet; });
        if (met && !changed) keepIfBest();
        // What costs nothing cannot cost less.
        return moveNeeds(met && m_out.choice.cost > 0) || changed;
    }

    // Round-0 relief is a stand-in: it may count too much or too little. A need goes up where the full model
    // misses the target and, when all are met, down by what was too much, between what is known to fail and
    // what is known to do.
    bool moveNeeds(bool down) {
        bool changed = false;
        m_fails.resize(m_out.targets.size(), -1);
        for (std::size_t t = 0; t < m_out.targets.size(); ++t) {
            const SettledTarget& s = m_out.targets[t];
            auto& need = m_out.feed.problem.targets[t].need;
            const auto now = static_cast<double>(need);
            double next = now;
            if (s.excess() > kMet && m_out.choice.reached[t]) {
                m_fails[t] = std::max(m_fails[t], now);
                next = now + 1.1 * s.excess() * 100 * kWorthUnit;
                const double does = m_best ? static_cast<double>(m_best->needs[t]) : 0;
                if (does > now) next = std::min(next, (now + does) / 2);
            } else if (down && s.relief > 0) {
                const double ratio = std::min(1.0, s.round0 / s.relief);
                next = std::min(now, static_cast<double>(m_out.choice.reliefOf[t]) +
                                         0.9 * s.excess() * 100 * kWorthUnit * ratio);
                next = std::max(next, m_fails[t] < 0 ? 0 : (m_fails[t] + now) / 2);
            }
            if (std::fabs(next - now) <= kNear * std::max(now, 1.0 * kWorthUnit)) continue;
            need = static_cast<std::int64_t>(std::ceil(next));
            changed = true;
        }
        return changed;
    }

    void keepIfBest() {
        if (m_best && std::pair(m_best->choice.cost, -m_best->reliefPoints) <=
                          std::pair(m_out.choice.cost, -m_out.reliefPoints))
            return;
        Best b{m_out.choice,    m_out.targets, m_out.newNames, m_out.reliefPoints,
               m_out.converged, m_review,      m_built,        {}};
        for (const auto& t : m_out.feed.problem.targets) b.needs.push_back(t.need);
        m_best = std::move(b);
    }

    void takeBest() {
        m_out.choice = std::move(m_best->choice);
        m_out.targets = std::move(m_best->targets);
        m_out.newNames = std::move(m_best->newNames);
        m_out.reliefPoints = m_best->reliefPoints;
        m_out.converged = m_best->converged;
        m_out.settled = true;
        m_review = std::move(m_best->review);
        m_built = std::move(m_best->built);
        for (std::size_t t = 0; t < m_best->needs.size(); ++t)
            m_out.feed.problem.targets[t].need = m_best->needs[t];
    }

    // Where turning away can clear it. What blocks a mount however it looks (a line not surveyed, say) is for
    // the planner to see to, and only counted.
    bool ruleOut(ChoiceOption o, ItemId small, ItemId radio) {
        const bool turnable =
            std::any_of(m_review.findings.begin(), m_review.findings.end(), [&](const Finding& f) {
                return f.severity == Severity::block && f.standing != Standing::stands &&
                       std::any_of(f.subjects.begin(), f.subjects.end(),
                                   [&](ItemId s) { return s == small || s == radio; });
            });
        auto& m = m_out.feed.problem.mounts[o.mount];
        const auto left = std::count(m.allowed.begin(), m.allowed.end(), std::uint8_t{1});
        if (!turnable || (m.must && left <= 1)) return false;
        m.allowed[o.step] = 0;
        return true;
    }

    void spend() {
        std::set<std::uint32_t> sites;
        m_out.blocks = 0;
        for (std::size_t k = 0; k < m_built.size(); ++k) {
            const std::uint32_t m = m_out.choice.chosen[k].option.mount;
            const ChoiceFeed::Spot& spot = m_out.feed.spots[m];
            if (spot.kept) continue;
            m_out.blocks += m_built[k] && m_review.blocked(m_built[k]);
            m_out.money += std::round(m_costs.radio);
            if (sites.insert(m).second) m_out.money += std::round(spot.cost.site());
        }
    }

    const std::shared_ptr<const Study>& m_study;
    const std::shared_ptr<const Terrain>& m_terrain;
    const ChoiceAsk& m_ask;
    const CostTable& m_costs;
    /// A set that meets every target by the full model.
    struct Best {
        Choice choice;
        std::vector<SettledTarget> targets;
        std::vector<std::string> newNames;
        double reliefPoints = 0;
        bool converged = true;
        Review review;
        std::vector<ItemId> built;
        std::vector<std::int64_t> needs;
    };

    PlannedChoice m_out;
    std::optional<Best> m_best;
    std::vector<double> m_fails; // by target: the largest need with which it was missed; below 0: none
    Review m_review;
    std::vector<ItemId> m_built, m_radios; // by chosen option
};

} // namespace

Working workingOf(const PlannedChoice& p, const ChoiceAsk& ask) {
    const Choice& c = p.choice;
    const bool relief = c.goal == ChoiceGoal::mostRelief;
    const double scale = relief ? kWorthUnit : 1;
    const char* unit = relief ? "points" : ask.inMoney ? "money" : "radios";
    Working w;
    w.title =
        relief ? CORE_TEXT("Choice: most relief for a budget") : CORE_TEXT("Choice: targets at least cost");
    w.inputs = {{CORE_TEXT("mounts to choose among"), static_cast<double>(p.feed.spots.size()), "", "plan"},
                {CORE_TEXT("azimuths of each"), kFootprintSteps, "", "10 degrees apart"},
                {CORE_TEXT("places that can be served"), static_cast<double>(p.feed.problem.worth.size()), "",
                 "plan"},
                {CORE_TEXT("seed"), static_cast<double>(c.seed), "", "entered"},
                {CORE_TEXT("iterations"), static_cast<double>(c.iterations), "", "entered"}};
    if (relief)
        w.inputs.push_back({CORE_TEXT("budget"), static_cast<double>(ask.budget),
                            ask.inMoney ? "money" : "radios", "entered"});
    w.steps.push_back({CORE_TEXT("round-0 relief of the set"),
                       "sum of the worth of places that one of it serves",
                       static_cast<double>(c.relief) / kWorthUnit, "points"});
    w.steps.push_back(
        {CORE_TEXT("its cost"), "", static_cast<double>(c.cost), ask.inMoney ? "money" : "radios"});
    if (c.bound)
        w.steps.push_back(
            {relief ? CORE_TEXT("no set relieves more than") : CORE_TEXT("no set costs less than"),
             "Lagrangian relaxation: places priced, overlaps forgiven", static_cast<double>(*c.bound) / scale,
             unit});
    if (c.gap) w.steps.push_back({CORE_TEXT("gap"), "|bound - value| / bound", 100 * *c.gap, "%"});
    if (p.settled)
        w.steps.push_back(
            {CORE_TEXT("relief by the full model"), "settled ledger", p.reliefPoints, "points"});
    w.source = "own method; bound after M. L. Fisher, Management Science 27, 1981";
    w.remarks = {
        CORE_TEXT("Round-0 relief counts a place whole where a small cell's median level, bias counted, is "
                  "at least that of the macro that serves there. The bound holds for this alone.")};
    if (p.rounds > 1 && !relief)
        w.remarks.push_back(fmt::format(CORE_TEXT("Chosen {} times: what each target needs by that objective "
                                                  "was moved to where the full model meets "
                                                  "the target. Of the sets that meet all, this costs least."),
                                        p.rounds));
    return w;
}

Result<PlannedChoice> planChoice(const std::shared_ptr<const Study>& study,
                                 const std::shared_ptr<const Terrain>& terrain, const ChoiceAsk& ask,
                                 const CostTable& costs,
                                 const std::function<void(const ChoicePoint&)>& onPoint, const Job& job) {
    return Planner(study, terrain, ask, costs).plan(onPoint, job);
}

} // namespace fw
