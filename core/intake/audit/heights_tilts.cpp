// SPDX-License-Identifier: GPL-3.0-or-later
// Heights: below 3 m or above 150 m. In feet: five sectors at least, none below 60, and at least half of them
// whole multiples of 5, as feet are given. No tilt: neither mechanical nor electrical. Split unknown: three
// sectors at least, none with a mechanical tilt. Source of the limits: own judgement.
#include "intake/audit/view.h"

#include "base/units.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kLowestM = 3, kHighestM = 150, kLeastFeet = 60;
constexpr std::size_t kLeastSectors = 5, kLeastForTilt = 3;

bool plausible(double m) { return m >= kLowestM && m <= kHighestM; }
// To the decimetre, as heights are known.
double toDecimetre(double m) { return std::round(m * 10) / 10; }

bool likeFeet(const Plan& plan) {
    std::size_t fives = 0, all = 0;
    for (const Sector& s : plan.sectors) {
        if (s.height.m < kLeastFeet) return false;
        ++all;
        fives += std::fmod(s.height.m, 5.0) == 0;
    }
    return all >= kLeastSectors && 2 * fives >= all;
}

// Median height of the others at the site, else of the whole plan; empty when nothing plausible is there.
std::optional<double> usualHeight(const AuditView& view, const Sector& s, const std::vector<double>& all) {
    std::vector<double> near;
    for (const Sector* o : view.sectorsOf(s.site))
        if (o->id != s.id && plausible(o->height.m)) near.push_back(o->height.m);
    if (!near.empty()) return toDecimetre(medianOf(near));
    if (!all.empty()) return toDecimetre(medianOf(all));
    return {};
}

} // namespace

void checkHeights(const AuditView& view, AuditFindings& out) {
    if (likeFeet(view.plan())) return; // one finding says it for all
    std::vector<double> all;
    for (const Sector& s : view.plan().sectors)
        if (plausible(s.height.m)) all.push_back(s.height.m);
    for (const Sector& s : view.plan().sectors) {
        if (plausible(s.height.m)) continue;
        const bool low = s.height.m < kLowestM;
        const std::string name = view.name(s.id);
        AuditFinding f;
        f.subjects = {s.id};
        f.measured = {s.height.m, "m"};
        f.limit = {low ? kLowestM : kHighestM, "m"};
        f.source = kOwn;
        f.text = fmt::format("{} stands {:.1f} m above ground.", name, s.height.m);
        if (const auto usual = usualHeight(view, s, all)) {
            Sector mended = s;
            mended.height = {*usual};
            f.proposal =
                fmt::format("Find out the height of {}; until then take {:.1f} m, the median of {}.", name,
                            *usual, view.sectorsOf(s.site).size() > 1 ? "its neighbours" : "the plan");
            f.edit = putting(fmt::format("Set the height of {} to {:.1f} m", name, *usual), mended);
        } else {
            f.proposal = fmt::format("Find out the height of {}.", name);
        }
        out.push_back(std::move(f));
    }
}

void checkFeet(const AuditView& view, AuditFindings& out) {
    const Plan& plan = view.plan();
    if (!likeFeet(plan)) return;
    AuditFinding f;
    Edit edit;
    edit.text = "Turn heights from feet into metres";
    double lowest = HUGE_VAL;
    for (const Sector& s : plan.sectors) {
        lowest = std::min(lowest, s.height.m);
        f.subjects.push_back(s.id);
        Sector mended = s;
        mended.height = {toDecimetre(s.height.m * kFootM)};
        edit.changes.push_back(Put{mended});
    }
    f.measured = {lowest, "m"};
    f.limit = {kLeastFeet, "m"};
    f.source = kOwn;
    f.text = fmt::format("All {} sectors stand {:.0f} m and more above ground, mostly in fives: these are "
                         "probably feet.",
                         plan.sectors.size(), lowest);
    f.proposal = fmt::format("Turn them into metres; the lowest is then {:.1f} m.", lowest * kFootM);
    f.edit = std::move(edit);
    out.push_back(std::move(f));
}

void checkNoTilt(const AuditView& view, AuditFindings& out) {
    std::vector<double> tilts;
    for (const Sector& s : view.plan().sectors)
        if (const double t = s.mechanicalTiltDeg + s.electricalTiltDeg; t > 0) tilts.push_back(t);
    for (const Sector& s : view.plan().sectors) {
        if (s.mechanicalTiltDeg != 0 || s.electricalTiltDeg != 0) continue;
        const std::string name = view.name(s.id);
        AuditFinding f;
        f.severity = Severity::note;
        f.subjects = {s.id};
        f.measured = {0, "deg"};
        f.limit = {0, "deg"};
        f.source = kOwn;
        f.text = fmt::format("{} has neither mechanical nor electrical tilt.", name);
        if (tilts.size() >= kLeastForTilt) {
            Sector mended = s;
            mended.electricalTiltDeg = toDecimetre(medianOf(tilts));
            f.proposal = fmt::format("Find out the tilts of {}; until then take {:.1f} deg electrical, the "
                                     "median of the plan's sums.",
                                     name, mended.electricalTiltDeg);
            f.edit = putting(fmt::format("Tilt {} by {:.1f}\u00b0", name, mended.electricalTiltDeg), mended);
        } else {
            f.proposal = fmt::format("Find out the tilts of {}.", name);
        }
        out.push_back(std::move(f));
    }
}

void checkTiltSplit(const AuditView& view, AuditFindings& out) {
    const Plan& plan = view.plan();
    AuditFinding f;
    bool electrical = false;
    for (const Sector& s : plan.sectors) {
        if (s.mechanicalTiltDeg != 0) return;
        electrical = electrical || s.electricalTiltDeg != 0;
        f.subjects.push_back(s.id);
    }
    if (f.subjects.size() < kLeastForTilt || !electrical) return;
    f.severity = Severity::note;
    f.measured = {static_cast<double>(f.subjects.size()), "sectors"};
    f.limit = {kLeastForTilt - 1.0, "sectors"};
    f.source = kOwn;
    f.text =
        fmt::format("None of {} sectors has a mechanical tilt: the electrical tilts may be sums of both.",
                    f.subjects.size());
    f.proposal = "Find out whether the tilts are sums; if so, enter the mechanical part apart.";
    out.push_back(std::move(f));
}

} // namespace fw
