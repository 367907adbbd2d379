// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/compare_variants.h"

#include "base/text.h"
#include "study/settled.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>

namespace fw {
namespace {

constexpr double kReached = 1e-9;

void countCells(const Study& study, VariantFigures& out) {
    std::set<ItemId> mounts;
    for (const SmallCellPart& s : study.smallCells()) {
        ++(s.chosen ? out.chosen : out.candidates);
        if (s.chosen) mounts.insert(s.mount);
    }
    out.mounts = static_cast<int>(mounts.size());
}

void readLedger(const Ledger& ledger, VariantFigures& out) {
    out.converged = ledger.converged;
    bool allHold = true;
    for (const LedgerLine& line : ledger.cells) {
        out.harmPoints += 100 * line.harm;
        if (!line.congested) continue;
        ++out.congested;
        out.reached += line.after <= line.target + kReached;
        for (const LedgerLine::Part& p : line.relief) out.reliefPoints += 100 * p.use;
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
        out.push_back(std::move(*figures));
    }
    return out;
}

} // namespace fw
