// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/cost_file.h"
#include "commands/intake_words.h"
#include "commands/json_out.h"
#include "commands/working_text.h"
#include "siting/choice_edit.h"

#include <chrono>
#include <cmath>
#include <fmt/format.h>
#include <fstream>
#include <iterator>

namespace fw::cli {
namespace {

double pointsOf(std::int64_t worth) { return static_cast<double>(worth) / kWorthUnit; }

std::vector<ItemId> itemsOf(const Plan& plan, const std::vector<std::string>& names, Kind kind) {
    std::vector<ItemId> out;
    out.reserve(names.size());
    for (const std::string& name : names) out.push_back(itemCalled(plan, name, {kind}));
    return out;
}

ChoiceAsk askOf(const Plan& plan, const ChooseRequest& r) {
    ChoiceAsk ask;
    ask.cells = itemsOf(plan, r.cells, Kind::cell);
    ask.must = itemsOf(plan, r.must, Kind::mount);
    ask.mustNot = itemsOf(plan, r.mustNot, Kind::mount);
    ask.goal = r.reach ? ChoiceGoal::reachTargets : ChoiceGoal::mostRelief;
    ask.inMoney = r.budgetMoney.has_value() || (r.reach && !r.byCount);
    ask.budget = r.budgetMoney ? *r.budgetMoney : r.budgetCount.value_or(0);
    ask.keep = !r.anew;
    ask.consentGiven = r.consentGiven;
    ask.spacingM = r.spacingM;
    ask.radiosPerMount = r.perMount;
    ask.perStreet = r.perStreet;
    ask.chance = r.chance / 100;
    ask.draws = r.draws;
    ask.seed = r.seed;
    ask.iterations = r.iterations;
    ask.threads = r.choice.threads;
    return ask;
}

// ---- words

std::string amount(const PlannedChoice& p, const ChoiceAsk& ask, std::int64_t v) {
    if (p.choice.goal == ChoiceGoal::mostRelief) return fmt::format("{:.2f} points", pointsOf(v));
    return ask.inMoney ? fmt::format("{} money", v) : fmt::format("{} radios", v);
}

std::string headText(const PlannedChoice& p, const ChoiceAsk& ask, double seconds, const Ink& ink) {
    const Choice& c = p.choice;
    const bool relief = c.goal == ChoiceGoal::mostRelief;
    std::string out = ink.bold(relief ? "Most relief for the budget" : "Targets at least cost") + "\n";
    out += fmt::format("{}\n", c.says);
    out += fmt::format(
        "Round-0 relief      {:>12.2f} points   (each place stronger than its macro, taken whole)\n",
        pointsOf(c.relief));
    if (c.bound)
        out += fmt::format("{} {:>19} by the same objective{}\n",
                           relief ? "At most            " : "Costs at least     ", amount(p, ask, *c.bound),
                           c.gap ? fmt::format(", gap {:.2f} %", 100 * *c.gap) : "");
    out += fmt::format("Settled relief      {:>12.2f} points   (full model{})\n", p.reliefPoints,
                       p.converged ? "" : ", which did not settle");
    out += fmt::format("Cost of what is new {:>12.0f}\n", p.money);
    out += fmt::format("Seed {}, {} iterations, chosen {} time{}, {:.1f} s\n", c.seed, c.iterations, p.rounds,
                       p.rounds == 1 ? "" : "s", seconds);
    return out;
}

std::string lookText(const ChoiceFeed::Spot& spot, const ChoiceOption& o) {
    return fmt::format("{:.0f}\u00b0", spot.kept ? spot.radio.azimuth.deg : azimuthOf(o.step).deg);
}

std::string tableText(const Plan& plan, const PlannedChoice& p, const Ink& ink) {
    std::string out = ink.bold(fmt::format("{:<18} {:>6} {:>10} {:>10} {:>10}  {}", "mount", "looks",
                                           "marginal", "alone", "cost", "why")) +
                      "\n";
    for (const ChosenOption& o : p.choice.chosen) {
        const ChoiceFeed::Spot& spot = p.feed.spots[o.option.mount];
        const bool must = p.feed.problem.mounts[o.option.mount].must;
        const double share =
            o.alone > 0 ? 100.0 * static_cast<double>(o.marginal) / static_cast<double>(o.alone) : 0;
        std::string why = fmt::format("{:.0f} % of what it serves no other one does", share);
        if (spot.kept)
            why = "stands already; " + why;
        else if (must)
            why = "must-have; " + why;
        out += fmt::format("{:<18} {:>6} {:>10.2f} {:>10.2f} {:>10}  {}\n", plan.label(spot.mount),
                           lookText(spot, o.option), pointsOf(o.marginal), pointsOf(o.alone), o.cost, why);
    }
    return out;
}

std::string targetsText(const Plan& plan, const PlannedChoice& p, const Ink& ink) {
    std::string out = ink.bold(fmt::format("{:<26} {:>7} {:>7} {:>7} {:>9} {:>9}", "cell", "before", "after",
                                           "target", "settled", "round 0")) +
                      "   % of its PRB\n";
    for (const SettledTarget& t : p.targets)
        out += fmt::format("{:<26} {:>7.1f} {:>7.1f} {:>7.1f} {:>9.2f} {:>9.2f}   {}{}\n", plan.label(t.cell),
                           100 * t.before, 100 * t.after, 100 * t.target, 100 * t.relief, 100 * t.round0,
                           t.reached() ? "reached" : "not reached",
                           t.chance ? fmt::format(", in {:.0f} of 100 draws", 100 * *t.chance) : "");
    return out;
}

std::string leftOutText(const Plan& plan, const PlannedChoice& p) {
    if (!p.choice.leftOut) return "Nothing that is left out would relieve more.\n";
    const ChosenOption& o = *p.choice.leftOut;
    return fmt::format("Best left out: {} looking {}, which would add {:.2f} points for {}.\n",
                       plan.label(p.feed.spots[o.option.mount].mount),
                       lookText(p.feed.spots[o.option.mount], o.option), pointsOf(o.marginal), o.cost);
}

std::string text(const Plan& plan, const PlannedChoice& p, const ChoiceAsk& ask, double seconds,
                 const Ink& ink) {
    std::string out = headText(p, ask, seconds, ink) + "\n" + tableText(plan, p, ink) + leftOutText(plan, p) +
                      "\n" + targetsText(plan, p, ink);
    for (const SettledTarget& t : p.targets)
        if (t.chance && *t.chance < ask.chance)
            out += fmt::format("{} is reached at a chance of {:.0f} %, not at the {:.0f} % asked for.\n",
                               plan.label(t.cell), 100 * *t.chance, 100 * ask.chance);
    if (p.blocks > 0)
        out += fmt::format(
            "{} of the new small cells have a finding that blocks, however they look; \"review\" says "
            "which.\n",
            p.blocks);
    for (const std::string& r : p.feed.remarks) out += r + "\n";
    return out;
}

// ---- JSON

Json optionJson(const Plan& plan, const PlannedChoice& p, const ChosenOption& o) {
    const ChoiceFeed::Spot& spot = p.feed.spots[o.option.mount];
    return {{"mount", item(plan, spot.mount)},
            {"azimuth_true", number(spot.kept ? spot.radio.azimuth.deg : azimuthOf(o.option.step).deg, 3)},
            {"stands", static_cast<bool>(spot.kept)},
            {"must", p.feed.problem.mounts[o.option.mount].must},
            {"marginal_points", number(pointsOf(o.marginal), 6)},
            {"alone_points", number(pointsOf(o.alone), 6)},
            {"cost", o.cost}};
}

std::string jsonText(const Plan& plan, const PlannedChoice& p, const ChooseRequest& r, const ChoiceAsk& ask) {
    const Choice& c = p.choice;
    const bool relief = c.goal == ChoiceGoal::mostRelief;
    const auto value = [&](std::int64_t v) { return relief ? number(pointsOf(v), 6) : Json(v); };
    Json out = head("choose", 1, plan);
    out["goal"] = relief ? "most relief" : "reach targets";
    out["cost_in"] = ask.inMoney ? "money" : "radios";
    out["objective"] = "round-0 relief";
    out["says"] = c.says;
    out["relief_points"] = number(pointsOf(c.relief), 6);
    out["cost"] = c.cost;
    out["bound"] = c.bound ? value(*c.bound) : Json();
    out["gap"] = number(c.gap, 8);
    out["settled_relief_points"] = number(p.reliefPoints, 6);
    out["settled_converged"] = p.converged;
    out["money_of_new"] = number(p.money, 2);
    out["blocks"] = p.blocks;
    out["seed"] = c.seed;
    out["iterations"] = c.iterations;
    out["rounds"] = p.rounds;
    out["chosen"] = Json::array();
    for (const ChosenOption& o : c.chosen) out["chosen"].push_back(optionJson(plan, p, o));
    out["best_left_out"] = c.leftOut ? optionJson(plan, p, *c.leftOut) : Json();
    out["cells"] = Json::array();
    for (const SettledTarget& t : p.targets)
        out["cells"].push_back({{"cell", item(plan, t.cell)},
                                {"before", number(t.before, 8)},
                                {"after", number(t.after, 8)},
                                {"target", number(t.target, 8)},
                                {"relief", number(t.relief, 8)},
                                {"round0_relief", number(t.round0, 8)},
                                {"chance", number(t.chance, 6)},
                                {"reached", t.reached()}});
    out["curve"] = Json::array();
    for (const ChoicePoint& at : c.curve)
        out["curve"].push_back({{"iteration", at.iteration},
                                {"value", value(at.value)},
                                {"missing_points", number(pointsOf(at.missing), 6)},
                                {"bound", at.bound ? value(*at.bound) : Json()}});
    if (r.working) out["working"] = working(workingOf(p, ask));
    out["remarks"] = p.feed.remarks;
    return written(out);
}

} // namespace

int runChoose(const ChooseRequest& request, std::stop_token stop) {
    const CostTable costs = costsFrom(request.costs);
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const ChoiceAsk ask = askOf(opened.plan, request);
    const auto study = computed(opened, request.choice.threads, progress);
    const auto began = std::chrono::steady_clock::now();
    const PlannedChoice p =
        take(planChoice(study, study->terrain(), ask, costs, {}, progress.job()), exitBlocked);
    progress.check();
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - began).count();
    const Plan& plan = opened.plan;
    if (request.apply)
        changePlan(request.choice.plan, take(choiceEdit(plan, p.feed, p.choice, ask.keep)), progress.job());
    if (!request.as.empty())
        changePlan(request.choice.plan,
                   take(choiceVariant(plan, p.feed, p.choice, request.as), exitUsage).edit, progress.job());
    if (request.json) {
        deliver(jsonText(plan, p, request, ask));
        return exitClean;
    }
    std::string out = text(plan, p, ask, seconds, Ink{});
    if (request.working) out += workingText(workingOf(p, ask), "");
    out += request.apply ? "The choice is in the plan.\n"
           : request.as.empty()
               ? "Nothing was changed; --apply puts the choice into the plan, --as NAME makes a "
                 "new variant of it.\n"
               : fmt::format("Variant {} is in the plan.\n", request.as);
    deliver(out);
    return exitClean;
}

} // namespace fw::cli
