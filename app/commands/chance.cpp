// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/chance.h"
#include "commands/commands.h"
#include "commands/json_out.h"
#include "commands/working_text.h"
#include "study/settled.h"

#include <cmath>
#include <fmt/format.h>

namespace fw::cli {
namespace {

Json quantilesJson(const Quantiles& q) {
    return {{"p10", number(q.p10, 8)}, {"p50", number(q.p50, 8)}, {"p90", number(q.p90, 8)}};
}

const char* wordOf(ChanceInput input) {
    switch (input) {
    case ChanceInput::shadowing:
        return "shadowing";
    case ChanceInput::demand:
        return "demand";
    case ChanceInput::build:
        return "build";
    case ChanceInput::inventory:
        return "inventory";
    }
    return "";
}

Json cellJson(const Study& study, const Chance& chance, const CellChance& c, bool steps) {
    Json out = {{"cell", item(study.plan(), c.cell)}, {"congested", c.congested},
                {"before", number(c.before, 8)},      {"ledger", number(c.ledger, 8)},
                {"target", number(c.target, 8)},      {"after", quantilesJson(c.after)},
                {"mean", number(c.mean, 8)},          {"reaches", number(c.reaches, 8)}};
    out["alone"] = Json::object();
    for (std::size_t i = 0; i < kChanceInputs; ++i)
        out["alone"][wordOf(static_cast<ChanceInput>(i))] = quantilesJson(c.alone[i]);
    out["hangs_on"] = wordOf(c.widest);
    if (steps) out["working"] = working(workingOf(study, chance, c));
    return out;
}

std::string jsonText(const Study& study, const Chance& chance, const ChanceRequest& request) {
    Json out = head("chance", 1, study.plan());
    out["draws"] = chance.draws;
    out["seed"] = chance.seed;
    out["ledger"] = request.live ? "live" : "settled";
    out["all_reach"] = number(chance.allReach, 8);
    out["cells"] = Json::array();
    for (const CellChance& c : chance.cells)
        out["cells"].push_back(cellJson(study, chance, c, request.working));
    out["small_cells"] = Json::array();
    for (const SmallChance& s : chance.smalls)
        out["small_cells"].push_back({{"small_cell", item(study.plan(), s.small)},
                                      {"use", quantilesJson(s.use)},
                                      {"over_cap", number(s.overCap, 8)}});
    out["remarks"] = chance.remarks;
    return written(out);
}

std::string cellText(const Study& study, const CellChance& c) {
    std::string out =
        fmt::format("{:<26} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7}  ", study.plan().label(c.cell),
                    points(c.before), points(c.ledger), points(c.after.p10), points(c.after.p50),
                    points(c.after.p90), c.congested ? points(c.target) : "");
    if (c.congested)
        out += fmt::format("reached in {} of 100 draws; hangs on {}", inHundred(c.reaches), hangsOn(c));
    out.erase(out.find_last_not_of(' ') + 1);
    out += '\n';
    if (!c.congested) return out;
    for (std::size_t i = 0; i < kChanceInputs; ++i)
        out += fmt::format("    {:<30} {:>22} {:>15}   {} alone\n", "", points(c.alone[i].p10),
                           points(c.alone[i].p90), nameOf(static_cast<ChanceInput>(i)));
    return out;
}

std::string text(const Study& study, const Chance& chance, const ChanceRequest& request, const Ink& ink) {
    std::string out = ink.bold(fmt::format("Chance: {} draws round the {} ledger, seed {}", chance.draws,
                                           request.live ? "live" : "settled", chance.seed)) +
                      fmt::format("\n{:<26} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7}  points of PRB use\n", "",
                                  "before", "ledger", "10 %", "50 %", "90 %", "target");
    bool any = false;
    int left = 0;
    for (const CellChance& c : chance.cells) {
        any = any || c.congested;
        if (!c.congested && !request.all) {
            ++left;
            continue;
        }
        out += cellText(study, c);
        if (request.working) out += workingText(workingOf(study, chance, c), "    ");
    }
    if (left > 0) out += fmt::format("{} cells that are not congested are left out.\n", left);
    if (any)
        out += fmt::format("All congested cells reach their target in {} of 100 draws.\n",
                           inHundred(chance.allReach));
    else
        out += "No cell is congested: there is no target to reach.\n";
    for (const SmallChance& s : chance.smalls)
        if (s.overCap > 0)
            out += fmt::format("{} is over its cap in {} of 100 draws; nine of ten stay at or below {} "
                               "points.\n",
                               study.plan().label(s.small), inHundred(s.overCap), points(s.use.p90));
    for (const std::string& remark : chance.remarks) out += fmt::format("Note: {}\n", remark);
    return out;
}

} // namespace

int runChance(const ChanceRequest& request, std::stop_token stop) {
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const auto study = computed(opened, request.choice.threads, progress);
    const Ledger ledger =
        request.live ? study->live() : take(settle(*study, progress.job(), request.choice.threads));
    progress.check();
    const Chance chance =
        take(chanceOf(*study, ledger, {request.draws, request.seed, request.choice.threads}, progress.job()));
    progress.check();
    deliver(request.json ? jsonText(*study, chance, request) : text(*study, chance, request, Ink{}));
    return exitClean;
}

} // namespace fw::cli
