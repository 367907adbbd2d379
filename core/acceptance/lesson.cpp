// SPDX-License-Identifier: GPL-3.0-or-later
// What a comparison teaches the plan, and the steps behind its figures.
#include "acceptance/after_load.h"
#include "base/text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kLeastRatio = 0.5, kMostFactor = 2, kMostError = 0.25;

Error refused(std::string why) { return {ErrorCode::badInput, std::move(why)}; }

// Mounts of chosen small cells in the active variant.
std::vector<PlanePoint> builtPlaces(const Plan& plan) {
    std::vector<PlanePoint> out;
    for (const SmallCell& c : plan.smallCells) {
        if (!c.chosen || c.variant != plan.settings->activeVariant) continue;
        const Radio* radio = plan.radios.find(c.radio);
        if (const Mount* m = radio ? plan.mounts.find(radio->mount) : nullptr) out.push_back(m->at);
    }
    return out;
}

Result<Edit> lessRelief(const Plan& plan, double ratio) {
    PlanSettings s = *plan.settings;
    s.model.regrowth = std::clamp(std::round((1 - ratio) * 100) / 100, 0.0, 1.0);
    if (s == *plan.settings)
        return refused(fmt::format("The plan reckons with a regrowth of {:.0f} % already, as measured.",
                                   s.model.regrowth * 100));
    return Edit{fmt::format("Set regrowth to {:.0f} % as measured", s.model.regrowth * 100),
                {PutSettings{s}}};
}

Result<Edit> moreRelief(const Plan& plan, double ratio) {
    const auto built = builtPlaces(plan);
    const double reachM = plan.settings->model.smallReachM;
    Edit edit;
    edit.text = fmt::format("Raise demand of congestion areas to {:.2f} times as measured",
                            std::min(ratio, kMostFactor));
    for (const CongestionArea& a : plan.congestionAreas) {
        const bool near = std::any_of(built.begin(), built.end(), [&](PlanePoint p) {
            return contains(a.area, p) || nearestOnBoundary(a.area, p).distanceM <= reachM;
        });
        if (!near) continue;
        CongestionArea changed = a;
        changed.demandFactor = std::round(a.demandFactor * std::min(ratio, kMostFactor) * 100) / 100;
        edit.changes.push_back(Put{changed});
    }
    if (edit.changes.empty())
        return refused(CORE_TEXT("More was relieved than predicted, but no congestion area lies within reach "
                                 "of the built small cells; draw one, and compare again."));
    return edit;
}

} // namespace

Result<Edit> lessonOf(const Plan& plan, const Acceptance& a) {
    if (!a.ratio) return refused(a.text);
    if (a.state != AcceptanceState::weeks4)
        return refused(
            fmt::format("{} days after are too few to change the plan's figures by; it takes 28.", a.days));
    if (a.errorRatio > kMostError)
        return refused(
            fmt::format("The ratio is {:.2f}, give or take {:.2f}: too uncertain to change the plan's "
                        "figures by.",
                        *a.ratio, a.errorRatio));
    if (*a.ratio < kLeastRatio)
        return refused(
            fmt::format("Only {:.0f} % of the predicted relief came: more than users coming back can "
                        "explain. Look at power, tilt and azimuth of the small cells as built.",
                        *a.ratio * 100));
    return *a.ratio <= 1 ? lessRelief(plan, *a.ratio) : moreRelief(plan, *a.ratio);
}

Working workingOf(const Plan& plan, const Acceptance& a, ItemId cell) {
    Working w;
    w.title = fmt::format("Relief of {} as measured", plan.label(cell));
    w.source = "difference in differences, common practice; median of controls: own judgement";
    const auto it = std::find_if(a.targets.begin(), a.targets.end(),
                                 [&](const TargetOutcome& t) { return t.cell == cell; });
    if (it == a.targets.end()) {
        w.remarks.emplace_back("The ledger does not relieve this cell.");
        return w;
    }
    if (it->measured) {
        w.inputs = {{"before", it->measured->before * 100, "%",
                     fmt::format("measured, {} days", it->measured->daysBefore)},
                    {"after", it->measured->after * 100, "%",
                     fmt::format("measured, {} days of the same weekdays", it->measured->daysAfter)},
                    {"controls", static_cast<double>(a.controls.size()), "cells", "ledger: untouched"}};
        w.steps.push_back({"own change", "after - before", it->measured->change() * 100, "points"});
        w.steps.push_back(
            {"change of untouched cells", "median over controls", a.controlChange * 100, "points"});
        w.steps.push_back(
            {"spread of untouched cells", "1.4826 median|change - median|", a.controlSpread * 100, "points"});
    }
    w.steps.push_back({"predicted relief", "ledger", it->predicted * 100, "points"});
    if (it->verdict == AcceptanceVerdict::unknown) {
        w.remarks.push_back(it->text);
        return w;
    }
    w.steps.push_back(
        {"standard error", "spread sqrt(1 + pi / (2 controls))", it->errorRelief * 100, "points"});
    w.steps.push_back({"relief", "change of untouched cells - own change", it->relief * 100, "points"});
    return w;
}

Working workingOfRatio(const Plan& plan, const Acceptance& a) {
    Working w;
    w.title = "Measured over predicted relief";
    w.source = "difference in differences, common practice; median of controls: own judgement";
    if (!a.ratio) {
        w.remarks.push_back(a.text);
        return w;
    }
    double measured = 0, predicted = 0;
    for (const TargetOutcome& t : a.targets) {
        if (t.verdict == AcceptanceVerdict::unknown) {
            w.remarks.push_back(fmt::format("{} is left out: {}.", plan.label(t.cell), t.text));
            continue;
        }
        w.steps.push_back(
            {fmt::format("relief of {}", plan.label(t.cell)), "measured", t.relief * 100, "points"});
        w.steps.push_back({fmt::format("relief of {}, predicted", plan.label(t.cell)), "ledger",
                           t.predicted * 100, "points"});
        measured += t.relief;
        predicted += t.predicted;
    }
    w.steps.push_back({"relief, measured", "sum", measured * 100, "points"});
    w.steps.push_back({"relief, predicted", "sum", predicted * 100, "points"});
    w.steps.push_back(
        {"standard error of the ratio",
         "each cell's own scatter, and the median's error that they share, over the predicted sum",
         a.errorRatio, ""});
    w.steps.push_back({"measured over predicted", "measured / predicted", measured / predicted, ""});
    return w;
}

} // namespace fw
