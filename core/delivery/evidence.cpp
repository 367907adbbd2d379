// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/evidence.h"

#include "base/text.h"
#include "siting/compare_variants.h"
#include "study/holds.h"

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

std::vector<PlanePoint> sitesOf(const Study& study) {
    std::vector<PlanePoint> out;
    for (const SmallCellPart& s : study.smallCells())
        if (const MountPart* m = s.chosen ? study.mount(s.mount) : nullptr) out.push_back(m->at);
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

std::array<EvidenceFigure, 5> figuresOf(const VariantFigures& f, double allReach) {
    return {EvidenceFigure{fmt::format("{} of {}", f.reached, f.congested),
                           CORE_TEXT("full cells come down to their target")},
            EvidenceFigure{fmt::format("{} in 100", inHundred(allReach)),
                           CORE_TEXT("draws of what may be off bring all of them down")},
            EvidenceFigure{f.holdsMonths ? monthsText(*f.holdsMonths) : "-",
                           CORE_TEXT("until the first is over the trigger again")},
            EvidenceFigure{counted(f.chosen, "cell", "cells"),
                           fmt::format("to build on {}", counted(f.mounts, "mount", "mounts"))},
            EvidenceFigure{fmt::format("{:.0f} points", std::round(f.reliefPoints)),
                           f.blocks == 0
                               ? std::string("of PRB use taken off the full cells")
                               : fmt::format("of PRB use taken off; blocking findings open: {}", f.blocks)}};
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
    const Box bounds = overviewBounds(study, sitesOf(study));
    out.map =
        mapContent(study, bounds, std::max(10.0, std::max(bounds.width(), bounds.height()) / kMapCells));
    out.figures = figuresOf(variantFigures(study, ledger, review), chance.allReach);
    out.remarks = ledger.remarks;
    return out;
}

} // namespace fw
