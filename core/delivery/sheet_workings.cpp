// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/sheet_workings.h"

#include "base/text.h"
#include "delivery/place_text.h"
#include "review/finding_working.h"
#include "siting/alternatives.h"
#include "study/fit.h"
#include "study/ledger_working.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

// From the planned bearing to what a map's grid and a compass show.
Working workingOfBearings(const SiteSheet& sheet, const RadioSheet& radio) {
    Working w;
    w.title = fmt::format("Bearings of {}", radio.name);
    w.inputs = {{CORE_TEXT("azimuth, true"), radio.azimuth.deg, "deg", "plan"},
                {CORE_TEXT("convergence, grid north to the east of true positive"), sheet.convergenceDeg,
                 "deg", CORE_TEXT("the plan's projection")}};
    w.steps.push_back({CORE_TEXT("azimuth, grid"), CORE_TEXT("true - convergence"), radio.grid.deg, "deg"});
    if (sheet.declinationDeg) {
        w.inputs.push_back({CORE_TEXT("declination, east positive"), *sheet.declinationDeg, "deg",
                            fmt::format("World Magnetic Model 2025, {}", sheet.date)});
        w.steps.push_back({CORE_TEXT("azimuth, magnetic"), CORE_TEXT("true - declination"),
                           toMagnetic(radio.azimuth, *sheet.declinationDeg).deg, "deg"});
    } else {
        w.remarks.push_back(sheet.declinationText);
    }
    w.source = CORE_TEXT("common practice");
    w.remarks.emplace_back(CORE_TEXT("A compass goes wrong beside steel: aim by the sight marks."));
    return w;
}

} // namespace

std::vector<Working> coverWorkings(const Study& study, const Ledger& ledger) {
    std::vector<Working> out;
    for (const LedgerLine& line : ledger.cells) {
        if (!line.congested) continue;
        out.push_back(workingOf(study, ledger, line.cell));
        out.push_back(workingOfHolds(study, ledger, line.cell));
        if (const auto c = caseOf(study, line)) out.push_back(workingOf(study, *c));
    }
    return out;
}

std::vector<Working> siteWorkings(const Study& study, const Review& review, const Ledger& ledger,
                                  const SiteSheet& sheet) {
    std::vector<Working> out;
    std::vector<ItemId> about{sheet.mount};
    for (const RadioSheet& r : sheet.radios) {
        out.push_back(workingOfBearings(sheet, r));
        about.push_back(r.radio);
        for (const CellSheet& c : r.cells) {
            about.push_back(c.small);
            out.push_back(workingOfRelief(study, c.small));
            out.push_back(workingOfUse(study, ledger, c.small));
            out.push_back(workingOf(study, fitOf(study, c.small)));
        }
    }
    for (const Finding& f : review.findings) {
        const bool mine = std::any_of(f.subjects.begin(), f.subjects.end(), [&](ItemId id) {
            return std::find(about.begin(), about.end(), id) != about.end();
        });
        if (mine && f.standing != Standing::stale) out.push_back(workingOf(study, f));
    }
    return out;
}

} // namespace fw
