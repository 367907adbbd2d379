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

// What the carriers of one technology of a sector carry together.
struct SectorLoad {
    int carriers = 0, others = 0;
    double weight = 0, load = 0; ///< MHz; MHz in use
};
SectorLoad loadOf(const Study& study, ItemId of) {
    SectorLoad out;
    const ItemId sector = study.macroCell(of)->sector;
    const Technology technology = study.plan().cells.find(of)->carrier.technology;
    for (const MacroCell& c : study.macroCells()) {
        const Cell* cell = study.plan().cells.find(c.id);
        if (c.sector != sector || !c.use || !cell) continue;
        if (cell->carrier.technology != technology) {
            ++out.others;
            continue;
        }
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

// "its 2 carriers", "its 2 carriers of one technology".
std::string carriersOf(const CellCase& c) {
    return fmt::format("{} carriers{}", c.carriers, c.otherCarriers > 0 ? " of one technology" : "");
}

std::string otherWays(const CellCase& c) {
    const std::string balancing =
        c.carriers > 1 ? fmt::format("balancing its {} would leave {}", carriersOf(c), percent(c.balanced))
                       : fmt::format("its sector has no other measured carrier{}",
                                     c.otherCarriers > 0 ? " of its technology" : "");
    return fmt::format("{}, one carrier more {}, a split sector {}", balancing, percent(c.lit),
                       percent(c.split));
}

std::string reasonOf(const CellCase& c) {
    const std::string small = c.chosen ? fmt::format("the chosen small cells leave {}", percent(c.small))
                                       : std::string("no chosen small cell relieves it");
    switch (c.advice) {
    case Advice::balance:
        return fmt::format(
            "Balance first: spread evenly over the sector's {} its load is {}, at or under the "
            "target of {}; {}.",
            carriersOf(c), percent(c.balanced), percent(c.target), small);
    case Advice::smallCells:
        return fmt::format("A case for small cells: those chosen bring it to {}; {}.", percent(c.small),
                           otherWays(c));
    case Advice::otherWays:
        return fmt::format("Not yet at the target of {}: {}. Choose more, or another way: {}.",
                           percent(c.target), small, otherWays(c));
    case Advice::combine:
        return fmt::format("Nothing alone brings it to {}: {}; {}.", percent(c.target), small, otherWays(c));
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

const char* wordsFor(Advice advice) {
    switch (advice) {
    case Advice::balance:
        return CORE_TEXT("balancing");
    case Advice::smallCells:
        return CORE_TEXT("small cells");
    case Advice::otherWays:
        return CORE_TEXT("other ways");
    case Advice::combine:
        return CORE_TEXT("several ways");
    }
    return "";
}

std::optional<CellCase> caseOf(const Study& study, const LedgerLine& line,
                               const AlternativeOptions& options) {
    const ModelSettings& m = study.plan().settings->model;
    const Cell* cell = study.plan().cells.find(line.cell);
    if (!line.congested || !study.macroCell(line.cell) || !cell) return std::nullopt;
    const SectorLoad sector = loadOf(study, line.cell);
    CellCase c;
    c.cell = line.cell;
    c.before = line.before;
    c.target = line.target;
    if (m.growthPerYear > 0 && c.before > 0)
        c.fullMonths = c.before >= 1 ? 0 : 12 * -lnFixed(c.before) / lnFixed(1 + m.growthPerYear);
    c.carriers = sector.carriers;
    c.otherCarriers = sector.others;
    c.balanced = sector.load / sector.weight;
    const double share = cell->carrier.duplex == Duplex::tdd ? cell->carrier.downlinkShare : 1;
    c.lit = litUse(sector, options.newCarrierMHz * share, m.ownCarrierShare);
    c.split = c.before / options.splitGain;
    c.small = line.after;
    c.chosen = !line.relief.empty();
    c.advice = adviceFor(c);
    c.reason = reasonOf(c);
    return c;
}

std::vector<CellCase> casesOf(const Study& study, const Ledger& ledger, const AlternativeOptions& options) {
    std::vector<CellCase> out;
    for (const LedgerLine& line : ledger.cells)
        if (auto c = caseOf(study, line, options)) out.push_back(*std::move(c));
    return out;
}

Working workingOf(const Study& study, const CellCase& c, const AlternativeOptions& options) {
    const ModelSettings& m = study.plan().settings->model;
    const SectorLoad sector = loadOf(study, c.cell);
    Working w;
    w.title = fmt::format("What could be done about {}", study.plan().label(c.cell));
    w.inputs = {{CORE_TEXT("use in the busy hour"), 100 * c.before, "%", "plan"},
                {CORE_TEXT("target"), 100 * c.target, "%", "plan"},
                {CORE_TEXT("measured carriers of its sector and technology"),
                 static_cast<double>(sector.carriers), "", "plan"},
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
        {CORE_TEXT("load of the carriers spread evenly"), "in use / width", 100 * c.balanced, "%"});
    w.steps.push_back({CORE_TEXT("with one carrier more"),
                       "in use / (width + new), no more moved than devices have it", 100 * c.lit, "%"});
    w.steps.push_back({CORE_TEXT("with the sector split in two"), "use / gain", 100 * c.split, "%"});
    w.steps.push_back({CORE_TEXT("with the chosen small cells"), "ledger", 100 * c.small, "%"});
    w.source = "common practice";
    if (c.otherCarriers > 0)
        w.remarks.emplace_back(
            CORE_TEXT("Carriers of another technology are left out: not every device has it, "
                      "and how many do is not known."));
    w.remarks.insert(w.remarks.begin(), c.reason);
    w.remarks.emplace_back(
        CORE_TEXT("A MHz is taken to carry the same on each carrier; where the new one reaches less "
                  "far, it takes less."));
    return w;
}

} // namespace fw
