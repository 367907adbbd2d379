// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/overview.h"

#include "delivery/place_text.h"
#include "study/holds.h"
#include "study/rim.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace fw {

namespace {

constexpr double kWorthShowing = 0.005; // half a point

std::vector<OverviewCell> cellsOf(const Plan& plan, const Ledger& ledger) {
    std::vector<OverviewCell> out;
    for (const LedgerLine& l : ledger.cells) {
        if (!l.congested && std::fabs(l.after - l.before) < kWorthShowing) continue;
        out.push_back(
            {l.cell, plan.label(l.cell), l.before, l.after, l.target, l.harm, l.congested, l.holdsMonths});
    }
    std::stable_sort(out.begin(), out.end(), [](const OverviewCell& a, const OverviewCell& b) {
        return a.congested != b.congested ? a.congested : a.before > b.before;
    });
    return out;
}

// Printed figures are whole percents, so a cell that prints as its target has met it.
bool meets(const OverviewCell& c) { return std::round(c.after * 100) <= std::round(c.target * 100); }

std::string holdsText(const Overview& o) {
    if (o.congested == 0) return "No cell of this plan is congested.";
    std::string reach = fmt::format("{} of {} congested cells reach target", o.atTarget, o.congested);
    if (o.congested == 1)
        reach = std::string("The one congested cell ") +
                (o.atTarget ? "reaches target" : "does not reach target");
    else if (o.atTarget == 0)
        reach = fmt::format("None of the {} congested cells reaches target", o.congested);
    else if (o.atTarget == o.congested)
        reach = fmt::format("All {} congested cells reach target", o.congested);
    if (o.atTarget == 0) return reach + ".";
    std::optional<double> least;
    for (const OverviewCell& c : o.cells)
        if (c.congested && c.holdsMonths) least = std::min(least.value_or(*c.holdsMonths), *c.holdsMonths);
    if (!least) return reach + "; how long they hold is not known.";
    if (*least >= kForGoodMonths) return reach + "; as traffic does not grow, they hold.";
    return fmt::format(
        "{}; the first of those that do is back at the trigger after {} of the assumed growth.", reach,
        monthsText(*least));
}

OverviewSite siteOf(const SiteSheet& s) {
    OverviewSite out{s.mount, s.name, s.kindWord, {}, s.heightAgl, static_cast<int>(s.radios.size()), "none"};
    for (const RadioSheet& r : s.radios)
        out.azimuths += (out.azimuths.empty() ? "" : ", ") + azimuthText(r.azimuthTrue);
    int worst = -1;
    for (const SheetFinding& f : s.findings) {
        if (f.standing == Standing::stands || static_cast<int>(f.severity) <= worst) continue;
        worst = static_cast<int>(f.severity);
        out.openWord = wordFor(f.severity);
    }
    return out;
}

void addFindings(Overview& o, const Plan& plan, const Review& review, const std::vector<SiteSheet>& sheets) {
    std::set<ItemId> ids;
    for (const SiteSheet& s : sheets) {
        ids.insert(s.mount);
        for (const RadioSheet& r : s.radios) {
            ids.insert(r.radio);
            for (const CellSheet& c : r.cells) ids.insert(c.small);
        }
    }
    for (const Finding& f : review.findings) {
        if (f.standing == Standing::stale) continue;
        const bool ours =
            std::any_of(f.subjects.begin(), f.subjects.end(), [&](ItemId s) { return ids.count(s) != 0; });
        if (!ours)
            o.otherOpen += f.standing != Standing::stands;
        else
            (f.standing == Standing::stands ? o.stands : o.open).push_back(sheetFinding(plan, f));
    }
}

} // namespace

Overview overviewOf(const Study& study, const Review& review, const Ledger& ledger,
                    const std::vector<SiteSheet>& sheets, const Issue& issue) {
    const Plan& plan = study.plan();
    const PlanSettings& settings = *plan.settings;
    Overview o;
    o.planName = nameOr(settings.name, "Unnamed plan");
    o.operatorName = settings.operatorName;
    o.author = settings.author;
    if (const Variant* v = plan.variants.find(settings.activeVariant)) o.variant = v->name;
    o.date = settings.date.iso();
    o.issue = issue;
    if (o.issue.date.empty()) o.issue.date = o.date;
    o.crsName = study.frame().name();
    o.epsg = study.frame().epsg();
    o.ledgerWord = ledger.kind == Ledger::Kind::settled ? "settled" : "live";
    o.cells = cellsOf(plan, ledger);
    for (const OverviewCell& c : o.cells) {
        o.congested += c.congested;
        o.atTarget += c.congested && meets(c);
    }
    for (const SiteSheet& s : sheets) {
        o.sites.push_back(siteOf(s));
        o.radios += static_cast<int>(s.radios.size());
        for (const RadioSheet& r : s.radios) o.smallCells += static_cast<int>(r.cells.size());
    }
    o.holds = holdsText(o);
    addFindings(o, plan, review, sheets);
    o.remarks = ledger.remarks;
    for (std::string& remark : rimRemarks(study)) o.remarks.push_back(std::move(remark));
    if (!settings.calibrationNote.empty()) o.remarks.push_back(settings.calibrationNote);
    return o;
}

} // namespace fw
