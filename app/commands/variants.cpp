// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/cost_file.h"
#include "commands/json_out.h"
#include "commands/working_text.h"
#include "siting/compare_variants.h"
#include "study/holds.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <functional>

namespace fw::cli {
namespace {

Json costJson(const Plan& plan, const std::optional<VariantCost>& cost) {
    if (!cost) return nullptr;
    Json sites = Json::array();
    for (const SiteCost& s : cost->sites)
        sites.push_back({{"mount", item(plan, s.mount)},
                         {"site", s.site},
                         {"radios", s.radios},
                         {"of_radios", s.ofRadios},
                         {"fibre_m", number(s.parts.fibreM, 1)},
                         {"power_m", number(s.parts.powerM, 1)}});
    return {{"amount", cost->total},
            {"currency", cost->table.currency},
            {"invented", cost->table == CostTable{}},
            {"sites", std::move(sites)}};
}

Json variantJson(const Plan& plan, const VariantFigures& f, bool withWorking) {
    Json out = {{"variant", item(plan, f.variant)},
                {"active", f.active},
                {"chosen", f.chosen},
                {"candidates", f.candidates},
                {"mounts", f.mounts},
                {"congested", f.congested},
                {"reached", f.reached},
                {"relief_points", number(f.reliefPoints, 6)},
                {"harm_points", number(f.harmPoints, 6)},
                {"worst", item(plan, f.worst)},
                {"worst_after", number(f.worstAfter, 8)},
                {"holds_months", number(f.holdsMonths, 3)},
                {"converged", f.converged},
                {"blocks", f.blocks},
                {"warns", f.warns},
                {"all_reach", number(f.allReach, 8)},
                {"cost", costJson(plan, f.cost)}};
    out["after"] = Json::array();
    for (const auto& [cell, after] : f.after)
        out["after"].push_back({{"cell", item(plan, cell)}, {"after", number(after, 8)}});
    if (withWorking) out["working"] = working(workingOf(plan, f));
    if (withWorking && f.cost) out["cost_working"] = working(workingOf(plan, f.variant, *f.cost));
    return out;
}

struct Row {
    std::string what;
    std::function<std::string(const VariantFigures&)> says;
};

std::int64_t costToBuild(const VariantFigures& f) { return f.cost ? f.cost->total : 0; }

// What it costs, and how much more or less than the active one.
std::vector<Row> costRows(const std::vector<VariantFigures>& all, const CostTable& costs) {
    std::int64_t active = 0;
    for (const VariantFigures& f : all)
        if (f.active) active = costToBuild(f);
    std::vector<Row> out{{fmt::format("cost to build, {}", costs.currency),
                          [](const auto& f) { return fmt::format("{}", costToBuild(f)); }}};
    if (all.size() > 1)
        out.push_back({"  against the active one", [active](const auto& f) {
                           const std::int64_t more = costToBuild(f) - active;
                           return more == 0 ? std::string("0") : fmt::format("{:+}", more);
                       }});
    return out;
}

std::vector<Row> rows(const Plan& plan) {
    return {
        {"small cells chosen", [](const auto& f) { return fmt::format("{}", f.chosen); }},
        {"candidates beside them", [](const auto& f) { return fmt::format("{}", f.candidates); }},
        {"mounts to build", [](const auto& f) { return fmt::format("{}", f.mounts); }},
        {"cells at their target",
         [](const auto& f) { return fmt::format("{} of {}", f.reached, f.congested); }},
        {"relief of full cells, points", [](const auto& f) { return fmt::format("{:.1f}", f.reliefPoints); }},
        {"by interference, all, points",
         [](const auto& f) { return fmt::format("{:.1f}", f.harmPoints + 0.0); }},
        {"highest of the full cells",
         [&plan](const auto& f) { return f.worst ? plan.label(f.worst) : std::string("-"); }},
        {"  its use after, %",
         [](const auto& f) {
             return f.worst ? fmt::format("{:.1f}", 100 * f.worstAfter) : std::string("-");
         }},
        {"first one holds",
         [](const auto& f) { return f.holdsMonths ? monthsText(*f.holdsMonths) : std::string("-"); }},
        {"findings that block", [](const auto& f) { return fmt::format("{}", f.blocks); }},
        {"findings that warn", [](const auto& f) { return fmt::format("{}", f.warns); }},
        {"all reach, of 100 draws",
         [](const auto& f) {
             return f.allReach ? std::to_string(inHundred(*f.allReach)) : std::string("-");
         }},
    };
}

std::string tableText(const Plan& plan, const std::vector<VariantFigures>& all, const CostTable& costs,
                      const Ink& ink) {
    auto table = rows(plan);
    auto money = costRows(all, costs);
    table.insert(table.begin() + 3, money.begin(), money.end()); // after what there is to build
    std::vector<std::size_t> wide;
    for (const VariantFigures& f : all) {
        std::size_t most = f.name.size() + (f.active ? 2 : 0);
        for (const Row& r : table) most = std::max(most, r.says(f).size());
        wide.push_back(most);
    }
    std::size_t side = 30;
    for (const Row& r : table) side = std::max(side, r.what.size());
    std::string head = fmt::format("{:<{}}", "", side);
    for (std::size_t k = 0; k < all.size(); ++k)
        head += fmt::format("  {:>{}}", all[k].name + (all[k].active ? " *" : ""), wide[k]);
    std::string out = ink.bold(head) + "\n";
    for (const Row& r : table) {
        out += fmt::format("{:<{}}", r.what, side);
        for (std::size_t k = 0; k < all.size(); ++k) out += fmt::format("  {:>{}}", r.says(all[k]), wide[k]);
        out += '\n';
    }
    out += "* is the active one. Loads are settled; findings are those about chosen small cells.\n";
    return out + (costs == CostTable{} ? "Costs are of all chosen small cells, by a table whose figures are "
                                         "invented: replace them with yours.\n"
                                       : "Costs are of all chosen small cells, by the table of costs.\n");
}

} // namespace

int runVariants(const VariantsRequest& request, std::stop_token stop) {
    const Progress progress(std::move(stop));
    const CostTable costs = costsFrom(request.costs);
    const OpenPlan opened = openAs(request.choice);
    const auto study = computed(opened, request.choice.threads, progress);
    const auto all =
        take(compareVariants(study, study->terrain(),
                             {request.choice.threads, request.draws, request.seed, costs}, progress.job()));
    progress.check();
    if (!request.json) {
        std::string text = tableText(study->plan(), all, costs, Ink{});
        if (request.working)
            for (const VariantFigures& f : all) {
                text += "\n" + workingText(workingOf(study->plan(), f), "  ");
                if (f.cost) text += "\n" + workingText(workingOf(study->plan(), f.variant, *f.cost), "  ");
            }
        deliver(text);
        return exitClean;
    }
    Json out = head("variants", 1, study->plan());
    out["draws"] = request.draws;
    out["seed"] = request.seed;
    out["variants"] = Json::array();
    for (const VariantFigures& f : all)
        out["variants"].push_back(variantJson(study->plan(), f, request.working));
    deliver(written(out));
    return exitClean;
}

} // namespace fw::cli
