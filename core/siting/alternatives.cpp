// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/alternatives.h"

#include "base/log_exp.h"
#include "base/text.h"
#include "study/ledger.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {
namespace {

double weightOf(const Carrier& c) { return c.bandwidthMHz * (c.duplex == Duplex::tdd ? c.downlinkShare : 1); }

// What the carriers of one sector carry together.
struct SectorLoad {
    int carriers = 0;
    double weight = 0, load = 0; ///< MHz; MHz in use
};
SectorLoad loadOf(const Study& study, ItemId sector) {
    SectorLoad out;
    for (const MacroCell& c : study.macroCells()) {
        const Cell* cell = study.plan().cells.find(c.id);
        if (c.sector != sector || !c.use || !cell) continue;
        ++out.carriers;
        out.weight += weightOf(cell->carrier);
        out.load += weightOf(cell->carrier) * *c.use;
    }
    return out;
}

// Spread evenly over old carriers and a new one, of which no more than the devices that have it can use.
double litUse(const SectorLoad& s, double newWeight, double devices) {
    const double even = s.load / (s.weight + newWeight);
    const double moved = std::min(even * newWeight, devices * s.load);
    return (s.load - moved) / s.weight;
}

std::string percent(double share) { return fmt::format("{:.0f} %", std::floor(100 * share + 0.5)); }

std::string otherWays(const CellCase& c) {
    const std::string balancing = c.carriers > 1 ? fmt::format("balancing its {} carriers would leave {}",
                                                               c.carriers, percent(c.balanced))
                                                 : std::string("its sector has no other measured carrier");
    return fmt::format("{}, one carrier more {}, a split sector {}", balancing, percent(c.lit),
                       percent(c.split));
}

std::string reasonOf(const CellCase& c) {
    switch (c.advice) {
    case Advice::balance:
        return fmt::format(
            "Balance first: spread evenly over the sector's {} carriers its load is {}, at or under "
            "the target of {}; small cells would bring {}.",
            c.carriers, percent(c.balanced), percent(c.target), percent(c.small));
    case Advice::smallCells:
        return fmt::format("A case for small cells: those chosen bring it to {}; {}.", percent(c.small),
                           otherWays(c));
    case Advice::otherWays:
        return fmt::format(
            "The chosen small cells leave {}, over the target of {}: choose more, or another way: {}.",
            percent(c.small), percent(c.target), otherWays(c));
    case Advice::combine:
        return fmt::format("Nothing alone brings it to {}: the chosen small cells leave {}; {}.",
                           percent(c.target), percent(c.small), otherWays(c));
    }
    return {};
}

Advice adviceFor(const CellCase& c) {
    const auto enough = [&](double use) { return meetsTarget(use, c.target); };
    if (c.carriers > 1 && enough(c.balanced)) return Advice::balance;
    if (enough(c.small)) return Advice::smallCells;
    return enough(c.lit) || enough(c.split) ? Advice::otherWays : Advice::combine;
}

} // namespace

std::vector<CellCase> casesOf(const Study& study, const Ledger& ledger, const AlternativeOptions& options) {
    const ModelSettings& m = study.plan().settings->model;
    std::vector<CellCase> out;
    for (const LedgerLine& line : ledger.cells) {
        const MacroCell* macro = study.macroCell(line.cell);
        const Cell* cell = study.plan().cells.find(line.cell);
        if (!line.congested || !macro || !cell) continue;
        const SectorLoad sector = loadOf(study, macro->sector);
        CellCase c;
        c.cell = line.cell;
        c.before = line.before;
        c.target = line.target;
        if (m.growthPerYear > 0 && c.before > 0)
            c.fullMonths = c.before >= 1 ? 0 : 12 * -lnFixed(c.before) / lnFixed(1 + m.growthPerYear);
        c.carriers = sector.carriers;
        c.balanced = sector.load / sector.weight;
        const double share = cell->carrier.duplex == Duplex::tdd ? cell->carrier.downlinkShare : 1;
        c.lit = litUse(sector, options.newCarrierMHz * share, m.ownCarrierShare);
        c.split = c.before / options.splitGain;
        c.small = line.after;
        c.advice = adviceFor(c);
        c.reason = reasonOf(c);
        out.push_back(std::move(c));
    }
    return out;
}

Working workingOf(const Study& study, const CellCase& c, const AlternativeOptions& options) {
    const ModelSettings& m = study.plan().settings->model;
    const SectorLoad sector = loadOf(study, study.macroCell(c.cell)->sector);
    Working w;
    w.title = fmt::format("What could be done about {}", study.plan().label(c.cell));
    w.inputs = {
        {CORE_TEXT("use in the busy hour"), 100 * c.before, "%", "plan"},
        {CORE_TEXT("target"), 100 * c.target, "%", "plan"},
        {CORE_TEXT("measured carriers of its sector"), static_cast<double>(sector.carriers), "", "plan"},
        {CORE_TEXT("their width, times downlink share"), sector.weight, "MHz", "plan"},
        {CORE_TEXT("in use of it"), sector.load, "MHz", "plan"},
        {CORE_TEXT("width of a new carrier"), options.newCarrierMHz, "MHz", "common practice"},
        {CORE_TEXT("share of devices that have it"), 100 * m.ownCarrierShare, "%", "plan"},
        {CORE_TEXT("load two sectors carry in place of one"), options.splitGain, "", "own judgement"},
        {CORE_TEXT("growth of traffic in a year"), 100 * m.growthPerYear, "%", "plan"}};
    if (c.fullMonths)
        w.steps.push_back({CORE_TEXT("doing nothing, until its use is 100 %"),
                           "12 ln(1 / use) / ln(1 + growth)", *c.fullMonths, "months"});
    w.steps.push_back(
        {CORE_TEXT("load of the sector spread evenly"), "in use / width", 100 * c.balanced, "%"});
    w.steps.push_back({CORE_TEXT("with one carrier more"),
                       "in use / (width + new), no more moved than devices have it", 100 * c.lit, "%"});
    w.steps.push_back({CORE_TEXT("with the sector split in two"), "use / gain", 100 * c.split, "%"});
    w.steps.push_back({CORE_TEXT("with the chosen small cells"), "ledger", 100 * c.small, "%"});
    w.source = "common practice";
    w.remarks = {c.reason,
                 CORE_TEXT("A MHz is taken to carry the same on each carrier; where the new one reaches less "
                           "far, it takes less.")};
    return w;
}

} // namespace fw
