// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/fit.h"

#include "base/text.h"
#include "study/state.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {
namespace {

constexpr double kFullOutlookPoints = 8; // cost in sight at which the outlook cannot get better [own]
constexpr double kFullBuiltShare = 0.5;  // likewise of ground built over [own]
constexpr double kNearBackhaulM = 30, kFarBackhaulM = 150; // of fibre or power: full and no marks [own]

struct Need {
    double brings = 0, needed = 0; // in PRB use, over the congested cells it helps
};

// Of the relief that congested cells need, what this small cell brings. Without a congested cell in reach:
// the relief counts against one target's worth.
Need needOf(const StudyCore& core, std::size_t n, const TileSums& sums) {
    const ModelSettings& m = core.plan.settings->model;
    Need need;
    double other = 0;
    for (const auto& [key, sum] : sums.of(n)) {
        const MacroCell& c = core.base->cells[TileSums::macroOf(key)];
        const double taken = static_cast<double>(sum.relief) / (kPrbUnit * c.resourceBlocks);
        if (c.congested && c.use && *c.use > m.targetUse) {
            // A sliver of a far cell's relief must not drag its whole need in.
            if (taken < 0.005) continue;
            need.brings += std::min(taken, *c.use - m.targetUse);
            need.needed += *c.use - m.targetUse;
        } else {
            other += taken;
        }
    }
    if (need.needed <= 0) {
        need.brings = other * 0.25; // cells that are not full gain little by it [own]
        need.needed = 0.2;
    }
    return need;
}

double nearness(double metres) {
    return std::clamp((kFarBackhaulM - metres) / (kFarBackhaulM - kNearBackhaulM), 0.0, 1.0);
}

double nearestTo(PlanePoint at, const auto& table) {
    double best = 1e9;
    for (const auto& item : table) best = std::min(best, planeDistance(at, item.at));
    return best;
}

struct Practical {
    double fibreM = 0, powerM = 0;                       // runs; huge where none is known
    double fibre = 0, power = 0, earth = 0, consent = 0; // marks, 0..1
    std::string says;
    [[nodiscard]] double score() const { return 0.35 * fibre + 0.3 * power + 0.1 * earth + 0.25 * consent; }
};
Practical practicalOf(const Plan& plan, const Mount& m) {
    Practical p;
    // Straight lines times 1.3 stand for runs nobody has measured [own].
    p.fibreM = m.fibreM.value_or(1.3 * nearestTo(m.at, plan.fibrePoints));
    p.powerM = m.powerM.value_or(1.3 * nearestTo(m.at, plan.powerTaps));
    p.fibre = nearness(p.fibreM);
    p.power = nearness(p.powerM);
    p.earth = m.earthPossible ? 1 : 0;
    p.consent = m.consent == ConsentState::given     ? 1
                : m.consent == ConsentState::asked   ? 0.6
                : m.consent == ConsentState::refused ? 0
                                                     : 0.4;
    const char* word = m.consent == ConsentState::given     ? "given"
                       : m.consent == ConsentState::asked   ? "asked for"
                       : m.consent == ConsentState::refused ? "refused"
                                                            : "unknown";
    auto run = [](double d) { return d < 1e8 ? fmt::format("{:.0f} m", d) : std::string("none known"); };
    p.says = fmt::format("fibre {}, power {}, earth {}, consent {}", run(p.fibreM), run(p.powerM),
                         m.earthPossible ? "possible" : "not possible", word);
    return p;
}

double fromCost(const Outlook& o) { return std::min(1.0, o.costPoints / kFullOutlookPoints); }
double fromBuilt(const Outlook& o) { return std::min(1.0, o.builtShare / kFullBuiltShare); }

} // namespace

Fit fitOf(const Study& study, ItemId small) {
    Fit fit;
    fit.small = small;
    const StudyCore& core = study.core();
    const int at = core.smallIndex(small);
    if (at < 0) return fit;
    const auto n = static_cast<std::size_t>(at);
    const auto kept = core.sumsIfChosen(n);
    const FitWeights& w = core.plan.settings->weights;

    const Need need = needOf(core, n, *kept);
    fit.terms.push_back(
        {"relief", std::clamp(need.brings / need.needed, 0.0, 1.0), w.relief, need.brings * 100, "points",
         fmt::format("brings {:.1f} of {:.1f} points needed", need.brings * 100, need.needed * 100)});
    const double fringe = study.fringeShare(small);
    fit.terms.push_back(
        {"fringe share", fringe, w.fringeShare, fringe * 100, "%",
         fmt::format("{:.0f} % of what it takes lies in a fringe or congestion area", fringe * 100)});
    const Outlook o = study.outlook(small);
    fit.terms.push_back({"outlook", 0.7 * fromCost(o) + 0.3 * fromBuilt(o), w.outlook, o.costPoints, "points",
                         fmt::format("{:.1f} points of PRB cost and {:.0f} % built ground in its beam",
                                     o.costPoints, o.builtShare * 100)});
    const double lost = study.captureLost(small);
    fit.terms.push_back(
        {"isolation", 1 - lost, w.isolation, lost * 100, "%",
         fmt::format("{:.0f} % of what it could capture is lost to macros and other small cells",
                     lost * 100)});
    const Practical p = practicalOf(core.plan, *core.plan.mounts.find(core.smalls[n].mount));
    fit.terms.push_back({"practicality", p.score(), w.practicality, p.score() * 100, "%", p.says});

    double sum = 0, weights = 0;
    for (const Fit::Term& t : fit.terms) {
        sum += t.score * t.weight;
        weights += t.weight;
    }
    fit.value = weights > 0 ? 100 * sum / weights : 0;
    return fit;
}

namespace {

// The steps to the marks of one term, 0 to 1.
void addMarks(Working& w, const Study& study, ItemId small, const std::string& term) {
    const StudyCore& core = study.core();
    const int n = core.smallIndex(small);
    const Mount* mount =
        n < 0 ? nullptr : core.plan.mounts.find(core.smalls[static_cast<std::size_t>(n)].mount);
    if (!mount) return;
    const auto step = [&](const char* what, std::string how, double value, const char* unit) {
        w.steps.push_back({what, std::move(how), value, unit});
    };
    if (term == "relief") {
        const Need need =
            needOf(core, static_cast<std::size_t>(n), *core.sumsIfChosen(static_cast<std::size_t>(n)));
        step(CORE_TEXT("relief needed"), CORE_TEXT("use over target, of full cells that it helps"),
             100 * need.needed, "points");
        step(CORE_TEXT("marks for relief"), CORE_TEXT("brings / needed, at most 1"),
             std::clamp(need.brings / need.needed, 0.0, 1.0), "");
    } else if (term == "fringe share") {
        step(CORE_TEXT("marks for fringe share"), CORE_TEXT("the share"), study.fringeShare(small), "");
    } else if (term == "outlook") {
        const Outlook o = study.outlook(small);
        step(CORE_TEXT("cost in its beam and in sight"), "", o.costPoints, "points");
        step(CORE_TEXT("marks for that"), fmt::format("cost / {:.0f}, at most 1", kFullOutlookPoints),
             fromCost(o), "");
        step(CORE_TEXT("ground built over in its beam"), "", 100 * o.builtShare, "%");
        step(CORE_TEXT("marks for that"), fmt::format("share / {:.1f}, at most 1", kFullBuiltShare),
             fromBuilt(o), "");
        step(CORE_TEXT("marks for outlook"), "0.7 x first + 0.3 x second",
             0.7 * fromCost(o) + 0.3 * fromBuilt(o), "");
    } else if (term == "isolation") {
        step(CORE_TEXT("marks for isolation"), CORE_TEXT("1 - share lost"), 1 - study.captureLost(small), "");
    } else {
        const Practical p = practicalOf(core.plan, *mount);
        const std::string near = fmt::format("({:.0f} m - run) / {:.0f} m, from 0 to 1", kFarBackhaulM,
                                             kFarBackhaulM - kNearBackhaulM);
        step(CORE_TEXT("marks for the fibre's run"), near, p.fibre, "");
        step(CORE_TEXT("marks for the power's run"), near, p.power, "");
        step(CORE_TEXT("marks for earth"), CORE_TEXT("1 where possible"), p.earth, "");
        step(CORE_TEXT("marks for consent"), CORE_TEXT("given 1, asked for 0.6, unknown 0.4, refused 0"),
             p.consent, "");
        step(CORE_TEXT("marks for practicality"), "0.35 x fibre + 0.3 x power + 0.1 x earth + 0.25 x consent",
             p.score(), "");
    }
}

} // namespace

Working workingOf(const Study& study, const Fit& fit) {
    Working w;
    w.title = fmt::format("Fit of {}", study.plan().label(fit.small));
    double sum = 0, weights = 0;
    for (const Fit::Term& t : fit.terms) {
        w.inputs.push_back({t.name + ", measured", t.measured, t.unit, "computed"});
        w.inputs.push_back({t.name + ", weight", t.weight, "", "plan"});
        addMarks(w, study, fit.small, t.name);
        w.steps.push_back({t.name + ": " + t.says, "marks x weight", t.score * t.weight, ""});
        sum += t.score * t.weight;
        weights += t.weight;
    }
    w.steps.push_back({"sum of the weights", "", weights, ""});
    w.steps.push_back(
        {"fit", "100 x sum of marks x weight / sum of weights", weights > 0 ? 100 * sum / weights : 0, ""});
    w.source = "own judgement; terms and weights are settings of the plan";
    return w;
}

} // namespace fw
