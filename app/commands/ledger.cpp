// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/dwell_out.h"
#include "commands/json_out.h"
#include "commands/rates_out.h"
#include "commands/rim_out.h"
#include "commands/shown_tenths.h"
#include "commands/uplink_out.h"
#include "commands/working_text.h"
#include "siting/alternatives.h"
#include "study/holds.h"
#include "study/ledger_working.h"
#include "study/settled.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>

namespace fw::cli {
namespace {

/// The cells of one sector together, weighed by their PRB.
struct SectorRow {
    double prb = 0, before = 0, relief = 0, harm = 0, after = 0;
    std::vector<const LedgerLine*> cells;
};

double reliefOf(const LedgerLine& line) {
    double sum = 0;
    for (const LedgerLine::Part& p : line.relief) sum += p.use;
    return sum;
}

// Ascending by sector; cells ascending by id within.
std::map<ItemId, SectorRow> bySector(const Study& study, const Ledger& ledger) {
    std::map<ItemId, SectorRow> rows;
    for (const LedgerLine& line : ledger.cells) {
        const MacroCell* cell = study.macroCell(line.cell);
        if (!cell) continue;
        SectorRow& row = rows[cell->sector];
        const double prb = cell->resourceBlocks;
        row.prb += prb;
        row.before += prb * line.before;
        row.relief += prb * reliefOf(line);
        row.harm += prb * line.harm;
        row.after += prb * line.after;
        row.cells.push_back(&line);
    }
    for (auto& [id, row] : rows)
        for (double* sum : {&row.before, &row.relief, &row.harm, &row.after}) *sum /= row.prb;
    return rows;
}

/// What is printed beside a ledger.
struct Beside {
    const std::vector<Dwell>& dwells;
    bool working = false;
    bool cases = true; ///< in words: once, with the ledger that says most
};

std::string holdsText(const Plan& plan, const LedgerLine& line) {
    if (!line.congested) return "";
    if (!line.holdsMonths) return "does not reach its target";
    if (*line.holdsMonths <= 0) return "regrowth alone brings it back over the trigger";
    if (*line.holdsMonths >= kForGoodMonths) return "holds for good: traffic does not grow";
    return fmt::format("holds {}, at the trigger of {:.0f} in {}", monthsText(*line.holdsMonths),
                       100 * plan.settings->model.triggerUse,
                       holdsTo(plan, line.cell, *line.holdsMonths).iso().substr(0, 7));
}

Json cellJson(const Study& study, const LedgerLine& line, const std::vector<UserRates>& rates) {
    const Plan& plan = study.plan();
    const MacroCell* cell = study.macroCell(line.cell);
    Json out = {{"cell", item(plan, line.cell)}, {"sector", item(plan, cell ? cell->sector : ItemId{})}};
    out["congested"] = line.congested;
    out["before"] = number(line.before, 8);
    out["fixed"] = number(line.fixed, 8);
    out["relief"] = Json::array();
    for (const LedgerLine::Part& p : line.relief)
        out["relief"].push_back({{"small_cell", item(plan, p.small)},
                                 {"use", number(p.use, 8)},
                                 {"fringe", number(p.fringe, 8)}});
    out["harm"] = number(line.harm, 8);
    out["after"] = number(line.after, 8);
    out["target"] = number(line.target, 8);
    out["holds_months"] = number(line.holdsMonths, 3);
    if (const std::string holds = holdsText(plan, line); !holds.empty()) out["holds"] = holds;
    out["users"] = ratesJson(study, ratesOf(rates, line.cell));
    return out;
}

const char* wordOf(Advice advice) {
    switch (advice) {
    case Advice::balance:
        return "balance";
    case Advice::smallCells:
        return "small-cells";
    case Advice::otherWays:
        return "other-ways";
    case Advice::combine:
        return "combine";
    }
    return "";
}

// What else could be done about each congested cell.
Json casesJson(const Study& study, const Ledger& ledger, bool withWorking) {
    Json out = Json::array();
    for (const CellCase& c : casesOf(study, ledger)) {
        out.push_back({{"cell", item(study.plan(), c.cell)},
                       {"advice", wordOf(c.advice)},
                       {"full_months", number(c.fullMonths, 3)},
                       {"carriers", c.carriers},
                       {"balanced", number(c.balanced, 8)},
                       {"carrier_more", number(c.lit, 8)},
                       {"sector_split", number(c.split, 8)},
                       {"small_cells", number(c.small, 8)},
                       {"reason", c.reason}});
        if (withWorking) out.back()["working"] = working(workingOf(study, c));
    }
    return out;
}

Json smallJson(const Study& study, const SmallCellUse& u, const Dwell* dwell, const SmallRates* rates) {
    return {{"small_cell", item(study.plan(), u.small)},
            {"use", number(u.use, 8)},
            {"cap", number(u.cap, 8)},
            {"bias_db", number(u.biasDb)},
            {"power_down_db", number(u.powerDownDb)},
            {"feasible", u.feasible},
            {"dwell_s", dwellJson(dwell)},
            {"streets", streetsJson(dwell)},
            {"users", smallRatesJson(study, rates)}};
}

Json oneJson(const Study& study, const Ledger& ledger, const Beside& beside) {
    const std::vector<UserRates> rates = userRates(study, ledger);
    const std::vector<SmallRates> atSmalls = smallRates(study, ledger);
    const Plan& plan = study.plan();
    Json cells = Json::array(), sectors = Json::array(), smalls = Json::array();
    for (const LedgerLine& line : ledger.cells) {
        cells.push_back(cellJson(study, line, rates));
        if (!beside.working) continue;
        cells.back()["working"] = working(workingOf(study, ledger, line.cell));
        cells.back()["holds_working"] = working(workingOfHolds(study, ledger, line.cell));
    }
    for (const auto& [id, row] : bySector(study, ledger))
        sectors.push_back({{"sector", item(plan, id)},
                           {"before", number(row.before, 8)},
                           {"relief", number(row.relief, 8)},
                           {"harm", number(row.harm, 8)},
                           {"after", number(row.after, 8)}});
    for (const SmallCellUse& u : ledger.smalls) {
        const Dwell* stay = stayOf(beside.dwells, u.small);
        smalls.push_back(smallJson(study, u, stay, ratesOf(atSmalls, u.small)));
        if (beside.working) smalls.back()["working"] = working(workingOfUse(study, ledger, u.small));
        if (beside.working && stay) smalls.back()["dwell_working"] = working(workingOf(plan, *stay));
    }
    return {{"cells", std::move(cells)},     {"cases", casesJson(study, ledger, beside.working)},
            {"sectors", std::move(sectors)}, {"small_cells", std::move(smalls)},
            {"converged", ledger.converged}, {"rounds", ledger.rounds},
            {"remarks", ledger.remarks}};
}

std::string rowText(const std::string& name, const ShownRow& r, const std::string& target,
                    const std::string& says) {
    std::string row =
        fmt::format("{:<26} {:>7} {:>7} {:>7} {:>7} {:>7}  {}", name, tenthsText(r.before),
                    tenthsText(-r.relief), tenthsText(r.harm), tenthsText(r.after), target, says);
    row.erase(row.find_last_not_of(' ') + 1);
    return row + "\n";
}

std::string cellText(const Study& study, const LedgerLine& line) {
    const Plan& plan = study.plan();
    const ShownRow row = shownRow(line.before, reliefOf(line), line.harm, line.after);
    std::string out = rowText("  " + plan.label(line.cell), row, line.congested ? points(line.target) : "",
                              holdsText(plan, line));
    const auto parts = partsThatAddUp(line.relief, row.relief);
    for (std::size_t k = 0; k < parts.size(); ++k)
        if (parts[k] != 0)
            out += fmt::format("    {:<30} {:>7}   of it {} from the fringe\n",
                               plan.label(line.relief[k].small), tenthsText(-parts[k]),
                               tenthsText(std::min(tenthsOf(line.relief[k].fringe), parts[k])));
    return out;
}

// Half a point either way is what a planner may pass over.
bool matters(const LedgerLine& line) {
    return line.congested || reliefOf(line) >= 0.005 || line.harm >= 0.005;
}

std::string smallsText(const Study& study, const Ledger& ledger, const Beside& beside) {
    std::string out;
    const std::vector<SmallRates> rates = smallRates(study, ledger);
    for (const SmallCellUse& u : ledger.smalls) {
        out += fmt::format("  {:<24} {:>7.1f}   cap {:.0f}, bias {:.1f} dB", study.plan().label(u.small),
                           u.use * 100, u.cap * 100, u.biasDb);
        if (u.powerDownDb > 0) out += fmt::format(", power down {:.1f} dB", u.powerDownDb);
        out += u.feasible ? "" : ", over its cap";
        if (const std::string users = smallRatesText(ratesOf(rates, u.small)); !users.empty())
            out += "; " + users;
        out += '\n';
        out += dwellText(stayOf(beside.dwells, u.small), "    ");
    }
    if (out.empty()) return out;
    return "Own use of the small cells, in points of their PRB\n" + out + dwellFoot(beside.dwells);
}

// The steps behind the lines of some cells and of all small cells.
std::string workingsText(const Study& study, const Ledger& ledger, const std::vector<ItemId>& cells,
                         const std::vector<Dwell>& dwells) {
    std::string out;
    const std::vector<UserRates> rates = userRates(study, ledger);
    for (const ItemId cell : cells) {
        out += workingText(workingOf(study, ledger, cell), "  ");
        out += workingText(workingOfHolds(study, ledger, cell), "  ");
        if (const UserRates* r = ratesOf(rates, cell))
            for (const bool median : {true, false})
                out += workingText(workingOfRates(study, *r, median), "  ");
        if (rimCellOf(study, cell)) out += workingText(workingOfRim(study, cell), "  ");
    }
    const std::vector<SmallRates> atSmalls = smallRates(study, ledger);
    for (const SmallCellUse& u : ledger.smalls) {
        out += workingText(workingOfUse(study, ledger, u.small), "  ");
        if (const SmallRates* r = ratesOf(atSmalls, u.small))
            for (const bool median : {true, false})
                out += workingText(workingOfRates(study, *r, median), "  ");
        if (const Dwell* d = stayOf(dwells, u.small)) out += workingText(workingOf(study.plan(), *d), "  ");
    }
    return out;
}

std::string oneText(const Study& study, const Ledger& ledger, const Beside& beside, bool all,
                    const Ink& ink) {
    const bool live = ledger.kind == Ledger::Kind::live;
    std::string out = ink.bold(live ? "Live ledger: neighbours at their measured loads"
                                    : "Settled ledger: loads that agree with each other") +
                      fmt::format("\n{:<26} {:>7} {:>7} {:>7} {:>7} {:>7}  points of PRB use\n", "", "before",
                                  "relief", "interf.", "after", "target");
    int left = 0;
    std::vector<ItemId> told;
    for (const auto& [id, row] : bySector(study, ledger)) {
        std::string cells;
        for (const LedgerLine* line : row.cells) {
            if (!all && !matters(*line)) {
                ++left;
                continue;
            }
            cells += cellText(study, *line);
            told.push_back(line->cell);
        }
        if (cells.empty()) continue;
        out += rowText(study.plan().label(id), shownRow(row.before, row.relief, row.harm, row.after), "",
                       "all its cells") +
               cells;
    }
    if (left > 0)
        out += fmt::format("{} cells that neither gain nor lose half a point are left out.\n", left);
    out += ratesText(study, userRates(study, ledger), told);
    out += smallsText(study, ledger, beside);
    if (beside.cases)
        for (const CellCase& c : casesOf(study, ledger)) {
            out += fmt::format("{}: {}\n", study.plan().label(c.cell), c.reason);
            if (beside.working) out += workingText(workingOf(study, c), "  ");
        }
    if (!live)
        out += ledger.converged ? fmt::format("Settled after {} rounds.\n", ledger.rounds)
                                : fmt::format("Not settled after {} rounds.\n", ledger.rounds);
    for (const std::string& remark : ledger.remarks) out += fmt::format("Note: {}\n", remark);
    if (beside.working) out += workingsText(study, ledger, told, beside.dwells);
    return out;
}

// The steps are part of its JSON always.
std::string uplinkWorkings(const Study& study, const UplinkLedger& uplink) {
    std::string out;
    for (const UplinkLine& line : uplink.cells)
        if (!line.relief.empty())
            out += workingText(workingOf(study, uplink, line.cell), "  ") +
                   workingText(workingOfVoice(study, uplink, line.cell), "  ");
    for (const UplinkSmall& s : uplink.smalls)
        out += workingText(workingOfSmall(study, uplink, s.small), "  ");
    return out;
}

// In place of tables without a row: why there is none, and what to do.
std::string nothingMeasured(const Study& study) {
    std::string out =
        study.plan().cells.empty()
            ? "The plan has no macro cell, so that there is no load to relieve. Take cells in with "
              "\"fringewright add PLAN cells FILE\""
            : "No macro cell of the plan has a measured load, so that there is nothing to relieve. "
              "Take loads in: hourly counters with \"fringewright add PLAN counters FILE\", or "
              "\"fringewright add PLAN cells FILE\"";
    return out + " where the file has a column of downlink PRB use.\n";
}

} // namespace

std::string ledgerJson(const Study& study, const Ledger* live, const Ledger* settled,
                       const UplinkLedger* uplink, bool withWorking) {
    Json out = head("ledger", 1, study.plan());
    const std::vector<Dwell> passing = dwells(study);
    const Beside beside{passing, withWorking};
    out["measured_cells"] = study.live().cells.size();
    if (live) out["live"] = oneJson(study, *live, beside);
    if (settled) out["settled"] = oneJson(study, *settled, beside);
    out["rim"] = rimJson(study);
    if (uplink) out["uplink"] = uplinkJson(study, *uplink);
    return written(out);
}

int runLedger(const LedgerRequest& request, std::stop_token stop) {
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const auto study = computed(opened, request.choice.threads, progress);
    std::optional<Ledger> settled;
    if (request.settled) settled = take(settle(*study, progress.job(), request.choice.threads));
    std::optional<UplinkLedger> uplink;
    if (request.uplink)
        uplink = uplinkLedger(*study, study->plan().settings->uplink, request.choice.threads, progress.job());
    progress.check();
    const Ledger* live = request.live ? &study->live() : nullptr;
    if (request.json) {
        deliver(ledgerJson(*study, live, settled ? &*settled : nullptr, uplink ? &*uplink : nullptr,
                           request.working));
        return exitClean;
    }
    const Ink ink;
    const std::vector<Dwell> passing = dwells(*study);
    std::string text;
    const bool measured = !study->live().cells.empty();
    if (!measured) text += nothingMeasured(*study);
    if (measured && live)
        text += oneText(*study, *live, {passing, request.working, !settled}, request.all, ink);
    if (measured && settled)
        text += (text.empty() ? "" : "\n") +
                oneText(*study, *settled, {passing, request.working}, request.all, ink);
    text += rimText(*study);
    if (uplink)
        text += "\n" + ink.bold("Uplink: who moves in the downlink moves in the uplink") + "\n" +
                uplinkText(*study, *uplink, request.all) +
                (request.working ? uplinkWorkings(*study, *uplink) : std::string());
    deliver(text);
    return exitClean;
}

} // namespace fw::cli
