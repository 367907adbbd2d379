// SPDX-License-Identifier: GPL-3.0-or-later
// Why one of a choice is in, what it costs, and how a target comes out, step by step.
#include "base/text.h"
#include "siting/choice_edit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

double pointsOf(std::int64_t worth) { return static_cast<double>(worth) / kWorthUnit; }

// Counted once more from the problem, place by place: by how many of the set each is served.
struct Served {
    int all = 0, shared = 0; ///< places: of this one, and of it those that others serve too
    std::int64_t worth = 0, sharedWorth = 0;
};

std::vector<std::uint8_t> servedBy(const ChoiceProblem& p, ChoiceOption o) {
    std::vector<std::uint8_t> out(p.worth.size());
    for (const auto& run : p.mounts[o.mount].runs)
        if (inRange(run.at, o.step, p.steps)) out[run.place] = 1;
    return out;
}

Served countServed(const PlannedChoice& planned, ChoiceOption option) {
    const ChoiceProblem& p = planned.feed.problem;
    const auto mine = servedBy(p, option);
    std::vector<std::uint8_t> others(p.worth.size());
    for (const ChosenOption& o : planned.choice.chosen) {
        if (o.option == option) continue;
        for (const auto& run : p.mounts[o.option.mount].runs)
            if (inRange(run.at, o.option.step, p.steps)) others[run.place] = 1;
    }
    Served out;
    for (std::size_t i = 0; i < mine.size(); ++i) {
        if (!mine[i]) continue;
        ++out.all;
        out.worth += p.worth[i];
        out.shared += others[i];
        out.sharedWorth += others[i] ? p.worth[i] : 0;
    }
    return out;
}

void tellCost(Working& w, const Mount& mount, const ChoiceFeed::Spot& spot, const CostTable& costs,
              bool siteToo) {
    const char* origin = originOf(costs);
    const std::string& money = costs.currency;
    const auto input = [&](const char* name, double v, const std::string& unit, const char* from) {
        w.inputs.push_back({name, v, unit, from});
    };
    input(CORE_TEXT("a radio"), costs.radio, money, origin);
    w.steps.push_back({CORE_TEXT("radio"), "", std::round(costs.radio), money});
    if (!siteToo) return;
    input(CORE_TEXT("a mount of its kind"), costs.mount[static_cast<std::size_t>(mount.kind)], money, origin);
    input(CORE_TEXT("fibre, connection"), costs.fibreConnection, money, origin);
    input(CORE_TEXT("fibre, a metre"), costs.fibrePerM, money, origin);
    input(CORE_TEXT("fibre, run"), spot.cost.fibreM, "m", mount.fibreM ? "plan" : "nearest point, detour");
    input(CORE_TEXT("power, connection"), costs.powerConnection, money, origin);
    input(CORE_TEXT("power, a metre"), costs.powerPerM, money, origin);
    input(CORE_TEXT("power, run"), spot.cost.powerM, "m", mount.powerM ? "plan" : "nearest point, detour");
    input(CORE_TEXT("earth rod"), costs.earthRod, money, origin);
    w.steps.push_back({CORE_TEXT("fibre"), "connection + run x a metre", spot.cost.fibre, money});
    w.steps.push_back({CORE_TEXT("power"), "connection + run x a metre", spot.cost.power, money});
    w.steps.push_back(
        {CORE_TEXT("site"), "mount + fibre + power + earth rod", std::round(spot.cost.site()), money});
}

} // namespace

Working workingOf(const Plan& plan, const PlannedChoice& p, const ChoiceAsk& ask, const CostTable& costs,
                  const ChosenOption& option) {
    const ChoiceFeed::Spot& spot = p.feed.spots[option.option.mount];
    const auto& candidate = p.feed.problem.mounts[option.option.mount];
    const bool out = std::none_of(p.choice.chosen.begin(), p.choice.chosen.end(),
                                  [&](const ChosenOption& o) { return o.option == option.option; });
    const Served served = countServed(p, option.option);
    Working w;
    w.title =
        fmt::format("{}: {}", plan.label(spot.mount), out ? "the best that is left out" : "why it is in");
    w.inputs = {{CORE_TEXT("azimuth"), spot.kept ? spot.radio.azimuth.deg : azimuthOf(option.option.step).deg,
                 "deg true", spot.kept ? "plan" : "choice"},
                {CORE_TEXT("places it serves"), static_cast<double>(served.all), "", "footprint"},
                {CORE_TEXT("of them served by others of the set too"), static_cast<double>(served.shared), "",
                 "footprint"}};
    w.steps = {{CORE_TEXT("relief alone"), "worth of the places it serves", pointsOf(served.worth), "points"},
               {CORE_TEXT("of it, others of the set bring too"), "worth of the shared places",
                pointsOf(served.sharedWorth), "points"}};
    if (spot.kept)
        w.remarks.push_back(CORE_TEXT("It stands already and costs nothing."));
    else if (const Mount* m = plan.mounts.find(spot.mount); m && ask.inMoney)
        tellCost(w, *m, spot, costs, option.cost > candidate.radioCost);
    if (candidate.must && !spot.kept) w.remarks.push_back(CORE_TEXT("It is a must-have."));
    w.steps.push_back({CORE_TEXT("cost"), ask.inMoney ? "radio, and site with the first one on it" : "",
                       static_cast<double>(option.cost), ask.inMoney ? costs.currency : "radios"});
    w.steps.push_back({out ? CORE_TEXT("relief it would add") : CORE_TEXT("marginal relief"),
                       "relief alone - what others bring too", pointsOf(served.worth - served.sharedWorth),
                       "points"});
    w.source = "own method; round-0 relief, each place taken whole";
    return w;
}

Working workingOf(const Plan& plan, const SettledTarget& t) {
    Working w;
    w.title = fmt::format("{} after the choice", plan.label(t.cell));
    w.inputs = {{CORE_TEXT("use before"), 100 * t.before, "% of its PRB", "measured"},
                {CORE_TEXT("target"), 100 * t.target, "% of its PRB", "plan"}};
    w.steps = {{CORE_TEXT("relief the choice reckoned with"), "round 0", 100 * t.round0, "points"},
               {CORE_TEXT("relief by the small cells"), "settled ledger", 100 * t.relief, "points"},
               {CORE_TEXT("added by their interference"),
                "settled ledger, less what relieved neighbours no longer add",
                100 * (t.after - t.before + t.relief), "points"},
               {CORE_TEXT("use after"), "before - relief + added", 100 * t.after, "% of its PRB"}};
    if (t.chance) {
        w.steps.push_back({CORE_TEXT("use that the chance asked for does not exceed"),
                           "draws of the inputs, sorted", 100 * t.atChance, "% of its PRB"});
        w.steps.push_back({CORE_TEXT("chance to reach the target"), "draws at or below the target / draws",
                           100 * *t.chance, "%"});
    }
    w.source = "full model: settled ledger of the plan with the choice in it";
    return w;
}

} // namespace fw
