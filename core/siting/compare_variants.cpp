// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/compare_variants.h"

#include "base/text.h"
#include "study/ledger.h"
#include "study/settled.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>

namespace fw {
namespace {

void countCells(const Study& study, VariantFigures& out) {
    std::set<ItemId> mounts;
    for (const SmallCellPart& s : study.smallCells()) {
        ++(s.chosen ? out.chosen : out.candidates);
        if (s.chosen) mounts.insert(s.mount);
    }
    out.mounts = static_cast<int>(mounts.size());
}

VariantLine lineOf(const LedgerLine& l) {
    VariantLine out{l.cell, l.congested, 0, 100 * l.harm, l.after, l.target, l.holdsMonths};
    for (const LedgerLine::Part& p : l.relief) out.reliefPoints += 100 * p.use;
    return out;
}

void readLedger(const Ledger& ledger, VariantFigures& out) {
    out.converged = ledger.converged;
    bool allHold = true;
    for (const LedgerLine& line : ledger.cells) {
        out.harmPoints += 100 * line.harm;
        if (line.congested || line.harm != 0) out.lines.push_back(lineOf(line));
        if (!line.congested) continue;
        ++out.congested;
        out.reached += meetsTarget(line.after, line.target);
        out.reliefPoints += out.lines.back().reliefPoints;
        if (!out.worst || line.after > out.worstAfter) {
            out.worst = line.cell;
            out.worstAfter = line.after;
        }
        out.after.emplace_back(line.cell, line.after);
        if (!line.holdsMonths)
            allHold = false;
        else if (!out.holdsMonths || *line.holdsMonths < *out.holdsMonths)
            out.holdsMonths = line.holdsMonths;
    }
    if (!allHold) out.holdsMonths.reset();
}

// Findings about a candidate say nothing of what would be built.
void countFindings(const Study& study, const Review& review, VariantFigures& out) {
    std::set<ItemId> built;
    for (const SmallCellPart& s : study.smallCells())
        if (s.chosen)
            for (const ItemId id : {s.id, s.radio, s.mount}) built.insert(id);
    for (const Finding& f : review.findings) {
        if (f.standing == Standing::stands || f.subjects.empty() || !built.count(f.subjects.front()))
            continue;
        out.blocks += f.severity == Severity::block;
        out.warns += f.severity == Severity::warn;
    }
}

Job part(const Job& job, double from, double wide, std::string name) {
    Job out;
    out.stop = job.stop;
    if (job.progress)
        out.progress = [&job, from, wide, name = std::move(name)](double share, std::string_view what) {
            job.report(from + wide * share, fmt::format("{}: {}", name, what));
        };
    return out;
}

Result<VariantFigures> figuresOf(const std::shared_ptr<const Study>& active, const Plan& plan,
                                 const std::shared_ptr<const Terrain>& terrain, const CompareOptions& options,
                                 const Job& job) {
    auto study = active;
    if (plan.settings->activeVariant != active->plan().settings->activeVariant) {
        auto other = Study::advance(active, plan, terrain, {options.threads}, job);
        if (!other) return other.error();
        study = *other;
    }
    const auto ledger = settle(*study, job, options.threads);
    if (!ledger) return ledger.error();
    VariantFigures out = variantFigures(*study, *ledger, reviewAll(*study, {false, {}}, job));
    if (options.draws > 0) {
        const auto chance = chanceOf(*study, *ledger, {options.draws, options.seed, options.threads}, job);
        if (!chance) return chance.error();
        if (out.congested) out.allReach = chance->allReach;
    }
    if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    return out;
}

} // namespace

VariantFigures variantFigures(const Study& study, const Ledger& ledger, const Review& review) {
    VariantFigures out;
    out.variant = study.plan().settings->activeVariant;
    countCells(study, out);
    readLedger(ledger, out);
    countFindings(study, review, out);
    return out;
}

namespace {

void tellRelief(Working& w, const Plan& plan, const VariantFigures& f) {
    for (const VariantLine& l : f.lines) {
        if (!l.congested) continue;
        const std::string name = plan.label(l.cell);
        w.steps.push_back({fmt::format("taken off {}", name), "settled ledger", l.reliefPoints, "points"});
        w.steps.push_back({fmt::format("use of {} after", name),
                           fmt::format("{} its target, {:.0f} %",
                                       meetsTarget(l.after, l.target) ? "within" : "over", 100 * l.target),
                           100 * l.after, "%"});
        if (l.holdsMonths)
            w.steps.push_back({fmt::format("{} holds", name), "settled ledger", *l.holdsMonths, "months"});
    }
    w.steps.push_back({"relief of full cells", "sum of what is taken off", f.reliefPoints, "points"});
}

} // namespace

Working workingOf(const Plan& plan, const VariantFigures& f) {
    Working w;
    w.title = fmt::format("What {} comes to", f.name);
    w.source = "settled ledger; own judgement in the model's settings";
    w.inputs = {{"small cells chosen", static_cast<double>(f.chosen), "", "plan"},
                {"full cells", static_cast<double>(f.congested), "", "measured loads, the plan's trigger"}};
    tellRelief(w, plan, f);
    for (const VariantLine& l : f.lines)
        if (l.harmPoints != 0)
            w.steps.push_back({fmt::format("added to {} by interference", plan.label(l.cell)),
                               "settled ledger", l.harmPoints, "points"});
    w.steps.push_back({"by interference, all cells", "sum of what is added", f.harmPoints, "points"});
    if (f.holdsMonths)
        w.steps.push_back({"first one holds", "least of the full cells", *f.holdsMonths, "months"});
    if (f.allReach)
        w.steps.push_back({"all reach their target", "share of the draws", 100 * *f.allReach, "%"});
    w.steps.push_back({"full cells at their target", "those within it", static_cast<double>(f.reached), ""});
    w.remarks.push_back(
        fmt::format("Findings: open ones about chosen small cells and what carries them; {} block, {} warn.",
                    f.blocks, f.warns));
    if (f.congested && !f.holdsMonths)
        w.remarks.emplace_back("A full cell does not come down to its target, so that no time is told.");
    if (!f.converged)
        w.remarks.emplace_back("The loads did not come to rest; these are the last round's figures.");
    return w;
}

Result<std::vector<VariantFigures>> compareVariants(const std::shared_ptr<const Study>& active,
                                                    const std::shared_ptr<const Terrain>& terrain,
                                                    const CompareOptions& options, const Job& job) {
    const Plan& plan = active->plan();
    std::vector<VariantFigures> out;
    const auto count = static_cast<double>(plan.variants.size());
    for (const Variant& v : plan.variants) {
        Plan as = plan;
        PlanSettings settings = *plan.settings;
        settings.activeVariant = v.id;
        as.settings = std::make_shared<const PlanSettings>(settings);
        const Job mine = part(job, static_cast<double>(out.size()) / count, 1 / count, v.name);
        auto figures = figuresOf(active, as, terrain, options, mine);
        if (!figures) return figures.error();
        figures->name = v.name;
        figures->active = v.id == plan.settings->activeVariant;
        if (options.costs) figures->cost = variantCost(plan, v.id, *options.costs);
        out.push_back(std::move(*figures));
    }
    return out;
}

} // namespace fw
