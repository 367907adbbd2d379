// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/evidence.h"

#include "base/text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>

namespace fw {
namespace {

constexpr int kMapCells = 160; // thinned heights along the longer side

std::string counted(int n, const char* one, const char* many) {
    return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::vector<PlanePoint> sitesOf(const Study& study, int& mounts) {
    std::vector<PlanePoint> out;
    std::vector<ItemId> ids;
    for (const SmallCellPart& s : study.smallCells())
        if (s.chosen) ids.push_back(s.mount);
    std::sort(ids.begin(), ids.end());
    ids.erase(std::unique(ids.begin(), ids.end()), ids.end());
    for (const ItemId id : ids)
        if (const MountPart* m = study.mount(id)) out.push_back(m->at);
    mounts = static_cast<int>(ids.size());
    return out;
}

EvidenceChance chanceOfCell(const Study& study, const CellChance& c) {
    EvidenceChance out{study.plan().label(c.cell), c.target, c.ledger, c.reaches, c.after, {}};
    std::array<std::size_t, kChanceInputs> order{};
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return c.alone[a].span() > c.alone[b].span(); });
    for (const std::size_t i : order) out.alone.emplace_back(nameOf(static_cast<ChanceInput>(i)), c.alone[i]);
    return out;
}

std::array<EvidenceFigure, 5> figuresOf(const Evidence& e, const Ledger& ledger, const Chance& chance,
                                        int mounts, int blocks) {
    double relief = 0, least = -1;
    bool allHold = true;
    int small = 0;
    for (const LedgerLine& line : ledger.cells) {
        if (!line.congested) continue;
        for (const auto& p : line.relief) relief += 100 * p.use;
        if (!line.holdsMonths)
            allHold = false;
        else if (least < 0 || *line.holdsMonths < least)
            least = *line.holdsMonths;
    }
    small = static_cast<int>(ledger.smalls.size());
    const Overview& o = e.overview;
    return {EvidenceFigure{fmt::format("{} of {}", o.atTarget, o.congested),
                           CORE_TEXT("full cells come down to their target")},
            EvidenceFigure{fmt::format("{:.0f} in 100", std::round(100 * chance.allReach)),
                           CORE_TEXT("draws of what may be off bring all of them down")},
            EvidenceFigure{allHold && least >= 0 ? fmt::format("{:.0f} months", std::floor(least)) : "-",
                           CORE_TEXT("until the first is over the trigger again")},
            EvidenceFigure{counted(small, "cell", "cells"),
                           fmt::format("to build on {}", counted(mounts, "mount", "mounts"))},
            EvidenceFigure{fmt::format("{:.0f} points", std::round(relief)),
                           blocks == 0 ? std::string("of PRB use taken off the full cells")
                                       : fmt::format("of PRB use taken off; {} still blocks",
                                                     counted(blocks, "finding", "findings"))}};
}

} // namespace

Result<Evidence> evidenceOf(const Study& study, const Review& review, const Ledger& ledger,
                            const Chance& chance, const Issue& issue) {
    Evidence out;
    out.overview = overviewOf(study, review, ledger, {}, issue);
    if (out.overview.congested == 0)
        return Error{
            ErrorCode::badInput,
            CORE_TEXT("No cell is over the trigger, so there is nothing to give evidence of; load counters "
                      "first, or lower the trigger of the plan."),
            ""};
    out.draws = chance.draws;
    const CellChance* least = nullptr;
    for (CellCase& c : casesOf(study, ledger)) {
        const auto drawn = std::find_if(chance.cells.begin(), chance.cells.end(),
                                        [&](const CellChance& x) { return x.cell == c.cell; });
        if (drawn == chance.cells.end()) continue;
        if (!least || drawn->reaches < least->reaches) least = &*drawn;
        out.rows.push_back({study.plan().label(c.cell), std::move(c), drawn->after, drawn->reaches});
    }
    std::stable_sort(out.rows.begin(), out.rows.end(), [](const EvidenceRow& a, const EvidenceRow& b) {
        return a.ways.before > b.ways.before;
    });
    if (least) out.chance = chanceOfCell(study, *least);
    int mounts = 0, blocks = 0;
    const Box bounds = overviewBounds(study, sitesOf(study, mounts));
    out.map =
        mapContent(study, bounds, std::max(10.0, std::max(bounds.width(), bounds.height()) / kMapCells));
    for (const SmallCellPart& s : study.smallCells()) {
        if (!s.chosen) continue;
        for (const Finding& f : review.findings)
            blocks += f.severity == Severity::block && f.standing != Standing::stands &&
                      !f.subjects.empty() && (f.subjects.front() == s.id);
    }
    out.figures = figuresOf(out, ledger, chance, mounts, blocks);
    out.remarks = ledger.remarks;
    return out;
}

} // namespace fw
