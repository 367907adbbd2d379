// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/ledger_working.h"

#include "base/text.h"
#include "plan/model_words.h"
#include "study/holds.h"
#include "study/rim.h"
#include "study/state.h"

#include <fmt/format.h>

#include <algorithm>

namespace fw {

namespace {

const LedgerLine* lineOf(const Ledger& ledger, ItemId cell) {
    const auto it = std::lower_bound(ledger.cells.begin(), ledger.cells.end(), cell,
                                     [](const LedgerLine& l, ItemId id) { return l.cell < id; });
    return it != ledger.cells.end() && it->cell == cell ? &*it : nullptr;
}

double takenOff(const LedgerLine& line) {
    double sum = 0;
    for (const LedgerLine::Part& p : line.relief) sum += p.use;
    return sum;
}

std::string measuredOn(const Plan& plan, ItemId cell) {
    const Cell* c = plan.cells.find(cell);
    return c && !c->load.date.empty() ? "measured, " + c->load.date : std::string("measured");
}

const char* kindRemark(const Ledger& ledger) {
    if (ledger.kind == Ledger::Kind::live)
        return CORE_TEXT("Live: neighbours at their measured loads, and no small cell over its cap.");
    return ledger.converged
               ? CORE_TEXT("Settled: neighbours have answered the change, and bias and power are set so that "
                           "small cells stay under their caps.")
               : CORE_TEXT("The loads did not come to rest; these are the last round's figures.");
}

void addUseAfter(Working& w, const Plan& plan, const LedgerLine& line, bool settled) {
    w.inputs.push_back({CORE_TEXT("use now"), line.before * 100, "%", measuredOn(plan, line.cell)});
    w.inputs.push_back({CORE_TEXT("of it, what cannot move"), line.fixed * 100, "%", CORE_TEXT("computed")});
    for (const LedgerLine::Part& p : line.relief)
        w.steps.push_back({fmt::format("taken off by {}", plan.label(p.small)), "", p.use * 100, "points"});
    const double taken = takenOff(line);
    w.steps.push_back(
        {CORE_TEXT("taken off, all small cells"), CORE_TEXT("sum of the above"), taken * 100, "points"});
    w.steps.push_back({settled
                           ? CORE_TEXT("change of interference: small cells add some, relieved neighbours "
                                       "less than before")
                           : CORE_TEXT("added by the small cells' interference"),
                       "", line.harm * 100, "points"});
    w.steps.push_back({CORE_TEXT("use after"), CORE_TEXT("now - taken off + interference"),
                       (line.before - taken + line.harm) * 100, "%"});
}

} // namespace

Working workingOf(const Study& study, const Ledger& ledger, ItemId cell) {
    Working w;
    w.title = fmt::format("Use of {} after", study.plan().label(cell));
    const LedgerLine* line = lineOf(ledger, cell);
    if (!line) {
        w.remarks.emplace_back(CORE_TEXT("No load was measured for this cell."));
        return w;
    }
    addUseAfter(w, study.plan(), *line, ledger.kind != Ledger::Kind::live);
    w.source = CORE_TEXT("capture by level, bias and load at every receiver; own judgement in the model's "
                         "settings");
    w.remarks.emplace_back(kindRemark(ledger));
    w.remarks.push_back(modelsSentence(study.plan().settings->model));
    const std::string name = study.plan().label(cell) + " is at ";
    for (const std::string& r : ledger.remarks)
        if (r.rfind(name, 0) == 0) w.remarks.push_back(r);
    if (std::string rim = rimSentence(study, cell); !rim.empty()) w.remarks.push_back(std::move(rim));
    return w;
}

Working workingOfHolds(const Study& study, const Ledger& ledger, ItemId cell) {
    Working w;
    w.title = fmt::format("How long {} holds", study.plan().label(cell));
    const LedgerLine* line = lineOf(ledger, cell);
    if (!line) {
        w.remarks.emplace_back(CORE_TEXT("No load was measured for this cell."));
        return w;
    }
    const ModelSettings& m = study.plan().settings->model;
    addUseAfter(w, study.plan(), *line, ledger.kind != Ledger::Kind::live);
    w.inputs.push_back({CORE_TEXT("target"), m.targetUse * 100, "%", "plan"});
    w.inputs.push_back({CORE_TEXT("trigger"), m.triggerUse * 100, "%", "plan"});
    w.inputs.push_back({CORE_TEXT("regrowth of relieved load"), m.regrowth * 100, "%", "plan"});
    w.inputs.push_back({CORE_TEXT("growth of traffic in a year"), m.growthPerYear * 100, "%", "plan"});
    w.source = CORE_TEXT("compound growth; regrowth and growth are settings of the plan");
    w.remarks.emplace_back(kindRemark(ledger));
    if (!line->holdsMonths) {
        w.remarks.emplace_back(line->congested
                                   ? CORE_TEXT("The use does not come under the target, so there is no time "
                                               "for which it holds.")
                                   : CORE_TEXT("The cell is not congested, so no time is counted."));
        return w;
    }
    const double regrown = line->after + m.regrowth * takenOff(*line);
    w.steps.push_back({CORE_TEXT("use once users have come back"), CORE_TEXT("after + regrowth x taken off"),
                       regrown * 100, "%"});
    if (*line->holdsMonths >= kForGoodMonths)
        w.remarks.emplace_back(m.growthPerYear > 0
                                   ? CORE_TEXT("Growth is so small that it holds over a century.")
                                   : CORE_TEXT("Without growth it holds for good."));
    w.steps.push_back({CORE_TEXT("months until the trigger, from the day of the load"),
                       m.growthPerYear > 0 ? CORE_TEXT("12 ln(trigger / use) / ln(1 + growth)") : "",
                       *line->holdsMonths, "months"});
    return w;
}

Working workingOfUse(const Study& study, const Ledger& ledger, ItemId small) {
    const Plan& plan = study.plan();
    Working w;
    w.title = fmt::format("Own use of {}", plan.label(small));
    const auto use = std::find_if(ledger.smalls.begin(), ledger.smalls.end(),
                                  [small](const SmallCellUse& u) { return u.small == small; });
    const SmallCellPart* part = study.smallCell(small);
    if (use == ledger.smalls.end() || !part) {
        w.remarks.emplace_back(CORE_TEXT("It is not chosen, so that it takes nothing."));
        return w;
    }
    w.inputs.push_back({CORE_TEXT("its PRB"), static_cast<double>(part->resourceBlocks), "PRB", "plan"});
    w.inputs.push_back({CORE_TEXT("bias"), use->biasDb, "dB", "plan"});
    if (use->powerDownDb > 0)
        w.inputs.push_back({CORE_TEXT("power down"), use->powerDownDb, "dB", CORE_TEXT("settled ledger")});
    w.inputs.push_back({CORE_TEXT("cap"), use->cap * 100, "%", "plan"});
    double own = 0;
    for (const LedgerLine& line : ledger.cells)
        for (const LedgerLine::Part& p : line.relief) {
            if (p.small != small) continue;
            const std::string name = plan.label(line.cell);
            const MacroCell* macro = study.macroCell(line.cell);
            const int prb = macro ? macro->resourceBlocks : 0;
            w.steps.push_back({fmt::format("takes off {}", name), fmt::format("points x its {} PRB", prb),
                               p.use * prb, "PRB"});
            w.steps.push_back({fmt::format("what those of {} take here", name),
                               CORE_TEXT("the same bits by their efficiency here, over its PRB"), p.own * 100,
                               "points"});
            own += p.own;
        }
    w.steps.push_back({CORE_TEXT("own use"), CORE_TEXT("sum of what is taken here"), own * 100, "%"});
    w.source = CORE_TEXT("capture by level, bias and load at every receiver; own judgement in the model's "
                         "settings");
    w.remarks.emplace_back(kindRemark(ledger));
    if (use->use > use->cap + 1e-4 && ledger.kind == Ledger::Kind::live)
        w.remarks.emplace_back(CORE_TEXT("It is over its cap: what it takes is told by cap over use."));
    return w;
}

Working workingOfRelief(const Study& study, ItemId small) {
    const Plan& plan = study.plan();
    const StudyCore& core = study.core();
    Working w;
    w.title = fmt::format("Relief by {}", plan.label(small));
    const int n = core.smallIndex(small);
    if (n < 0) {
        w.remarks.emplace_back(CORE_TEXT("It is not in the active variant, so that it takes nothing."));
        return w;
    }
    const auto sums = core.sumsIfChosen(static_cast<std::size_t>(n));
    double points = 0;
    for (const auto& [key, sum] : sums->of(static_cast<std::size_t>(n))) {
        const MacroCell& cell = core.base->cells[TileSums::macroOf(key)];
        const std::string name = plan.label(cell.id);
        const double prb = static_cast<double>(sum.relief) / kPrbUnit;
        w.inputs.push_back(
            {fmt::format("PRB of {}", name), static_cast<double>(cell.resourceBlocks), "PRB", "plan"});
        w.steps.push_back({fmt::format("taken off {}", name), "", prb, "PRB"});
        w.steps.push_back({fmt::format("of the PRB of {}", name), CORE_TEXT("taken off / its PRB"),
                           prb * 100 / cell.resourceBlocks, "points"});
        points += prb * 100 / cell.resourceBlocks;
    }
    w.steps.push_back(
        {CORE_TEXT("relief, all macro cells"), CORE_TEXT("sum of the points"), points, "points"});
    w.source = CORE_TEXT("capture by level, bias and load at every receiver; own judgement in the model's "
                         "settings");
    w.remarks.emplace_back(CORE_TEXT(
        "Neighbours at their measured loads. Where its own use is over its cap, the ledger counts less."));
    if (!study.smallCell(small)->chosen)
        w.remarks.emplace_back(CORE_TEXT("A candidate: as if it were chosen beside those that are."));
    w.remarks.push_back(modelsSentence(plan.settings->model));
    return w;
}

} // namespace fw
