// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/alternates.h"

#include "base/text.h"
#include "plan/bracket.h"
#include "siting/aim.h"
#include "siting/places.h"
#include "study/fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace fw {

namespace {

constexpr std::size_t kMostTried = 12; // nearest ones: beyond them the need is another
constexpr double kRingStepM = 5;
constexpr double kTellPoints = 1; // what a planner would not give away unasked [own]

struct Near {
    double metres;
    Mount mount;
};

std::vector<Near> freeMounts(const Plan& plan, const Mount& from, double radiusM) {
    std::set<ItemId> carrying;
    for (const Radio& r : plan.radios) carrying.insert(r.mount);
    std::vector<Near> out;
    for (const Mount& m : plan.mounts) {
        const double d = planeDistance(m.at, from.at);
        if (d <= radiusM && !carrying.count(m.id) && m.consent != ConsentState::refused)
            out.push_back({d, m});
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const Near& a, const Near& b) { return a.metres < b.metres; });
    if (out.size() > kMostTried) out.resize(kMostTried);
    return out;
}

// The best open point of an aim; where none is open the one with most fit.
const AimPoint& bestOf(const Aim& aim) {
    if (!aim.lobes.empty()) return aim.lobes.front();
    return *std::max_element(aim.rose.begin(), aim.rose.end(),
                             [](const AimPoint& a, const AimPoint& b) { return a.fit < b.fit; });
}

Result<Alternate> tried(const std::shared_ptr<const Study>& study, ItemId small, const Radio& radio,
                        const Near& near, double stepDeg, const Job& job) {
    Alternate out;
    out.mount = near.mount.id;
    out.metres = near.metres;
    out.consent = near.mount.consent;
    out.radio = radio;
    out.radio.mount = near.mount.id;
    out.radio.aimLocked = false; // that was for where it stood
    out.radio.tiltDeg = nearestTilt(near.mount, radio.tiltDeg);
    if (near.mount.faces) out.radio.azimuth = *near.mount.faces;
    Plan plan = study->plan();
    if (auto s = apply(plan, Edit{"", {Put{out.radio}}}); !s) return s.error();
    auto there = Study::advance(study, std::move(plan), study->terrain(), {}, {job.stop, {}});
    if (!there) return there.error();
    const auto aim = aimOf(**there, small, {stepDeg, {}, 0}, {job.stop, {}});
    if (!aim) return aim.error();
    const AimPoint& best = bestOf(*aim);
    out.radio.azimuth = best.azimuth;
    out.radio.tiltDeg = best.tiltDeg;
    out.fit = best.fit;
    out.reliefPoints = best.reliefPoints;
    out.blocked = best.blocked || !aim->everywhere.empty();
    out.why = best.blocked ? best.why : aim->everywhere.empty() ? "" : aim->everywhere.front();
    // What blocks a mount whatever its radio does: lines, sky, ground.
    Hypothesis aimed;
    aimed.radio = out.radio;
    ReviewOptions only;
    only.remedies = false;
    only.identities = false; // numbers follow from the place, not the other way
    only.only = out.radio.id;
    for (const Finding& f : reviewAll(*(*there)->overlay(aimed), only, {job.stop, {}}).findings)
        if (!out.blocked && f.severity == Severity::block && f.standing != Standing::stands) {
            out.blocked = true;
            out.why = f.text;
        }
    return out;
}

std::string saysOf(const SearchRing& ring, const Mount& mount) {
    if (ring.samples.empty()) return {};
    const char* way = mount.faces ? " along this wall" : mount.kind == MountKind::roof ? " on this roof" : "";
    const auto one = [&](const SearchRing::Sample& s) {
        return fmt::format("{:.0f} m to the {}{} {} {:.1f} points", s.metres, s.towards, way,
                           s.lostPoints >= 0 ? "costs" : "brings", std::fabs(s.lostPoints));
    };
    const SearchRing::Sample& far = ring.samples.back();
    const auto dear = std::find_if(ring.samples.begin(), ring.samples.end(),
                                   [](const auto& s) { return s.lostPoints > kTellPoints; });
    if (dear == ring.samples.end()) return fmt::format("{}; nothing nearer costs over a point.", one(far));
    if (&*dear == &far) return one(far) + ".";
    return fmt::format("{}; {}.", one(*dear), one(far));
}

} // namespace

Result<Alternates> alternatesFor(const std::shared_ptr<const Study>& study, ItemId small,
                                 const AlternateOptions& options, const Job& job) {
    const SmallCellPart* part = study->smallCell(small);
    const Radio* radio = part ? study->plan().radios.find(part->radio) : nullptr;
    const Mount* mount = radio ? study->plan().mounts.find(radio->mount) : nullptr;
    if (!mount)
        return Error{ErrorCode::badInput,
                     CORE_TEXT("there is no such small cell in the active variant; choose one of it"), ""};
    Alternates out;
    out.small = small;
    out.mount = mount->id;
    out.fit = fitOf(*study, small).value;
    out.reliefPoints = study->reliefPoints(small);
    const auto near = freeMounts(study->plan(), *mount, options.radiusM);
    for (const Near& n : near) {
        job.report(static_cast<double>(out.looked) / static_cast<double>(near.size()), "other mounts");
        auto a = tried(study, small, *radio, n, options.stepDeg, job);
        if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
        if (!a) return a.error();
        ++out.looked;
        out.list.push_back(std::move(*a));
    }
    std::stable_sort(out.list.begin(), out.list.end(), [](const Alternate& a, const Alternate& b) {
        return a.blocked != b.blocked ? !a.blocked : a.fit > b.fit;
    });
    if (out.list.size() > static_cast<std::size_t>(std::max(0, options.count)))
        out.list.resize(static_cast<std::size_t>(std::max(0, options.count)));
    if (out.list.empty())
        out.nothing = fmt::format("No free mount whose owner has not refused stands within {:.0f} m: add one "
                                  "to the plan, or leave this need to the others.",
                                  options.radiusM);
    return out;
}

Result<Edit> refusalEdit(const Plan& plan, ItemId mount, const Alternate& alternate) {
    const Mount* m = plan.mounts.find(mount);
    const Mount* to = plan.mounts.find(alternate.mount);
    const Radio* r = plan.radios.find(alternate.radio.id);
    if (!m || !to || !r || r->mount != mount)
        return Error{ErrorCode::badInput, CORE_TEXT("The plan changed meanwhile; look for alternates again."),
                     ""};
    Mount refused = *m;
    refused.consent = ConsentState::refused;
    return Edit{
        fmt::format("{} refused; {} goes to {}", plan.label(mount), plan.label(r->id), plan.label(to->id)),
        {Put{refused}, Put{alternate.radio}}};
}

Result<Edit> refusalEdit(const Plan& plan, ItemId mount) {
    const Mount* m = plan.mounts.find(mount);
    if (!m)
        return Error{ErrorCode::badInput, CORE_TEXT("There is no mount to refuse; choose one first."), ""};
    Mount refused = *m;
    refused.consent = ConsentState::refused;
    Edit edit{fmt::format("{} refused; what it carries is left out", plan.label(mount)), {Put{refused}}};
    for (const SmallCell& c : plan.smallCells) {
        const Radio* r = plan.radios.find(c.radio);
        if (!r || r->mount != mount || !c.chosen || c.variant != plan.settings->activeVariant) continue;
        SmallCell left = c;
        left.chosen = false;
        edit.changes.emplace_back(Put{std::move(left)});
    }
    return edit;
}

Result<SearchRing> searchRing(const Study& study, ItemId small, double reachM, const Job& job) {
    const SmallCellPart* part = study.smallCell(small);
    const Mount* mount = part ? study.plan().mounts.find(part->mount) : nullptr;
    if (!mount)
        return Error{ErrorCode::badInput,
                     CORE_TEXT("there is no such small cell in the active variant; choose one of it"), ""};
    SearchRing out;
    out.small = small;
    out.reliefPoints = study.reliefPoints(small);
    const auto places = placesNear(study, *mount, kRingStepM, reachM);
    for (const ShiftedMount& s : places) {
        if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
        job.report(static_cast<double>(out.samples.size()) / static_cast<double>(places.size()),
                   "search ring");
        Hypothesis what;
        what.mount = s.mount;
        const auto over = study.overlay(what);
        out.samples.push_back(
            {s.mount.at, s.metres, out.reliefPoints - over->reliefPoints(small), s.towards});
    }
    out.says = saysOf(out, *mount);
    return out;
}

Working workingOf(const Plan& plan, const SearchRing& ring) {
    Working w;
    w.title = fmt::format("Search ring of {}", plan.label(ring.small));
    w.inputs.push_back({CORE_TEXT("relief where it stands"), ring.reliefPoints, "points", "computed"});
    for (const SearchRing::Sample& s : ring.samples)
        w.steps.push_back({fmt::format("given up {:.0f} m to the {}", s.metres, s.towards),
                           "relief where it stands - relief there", s.lostPoints, "points"});
    w.source = "own method; full computation of each place, the others as they are";
    w.remarks.push_back(CORE_TEXT("The radio keeps its azimuth and tilt; a negative figure is a gain."));
    return w;
}

Working workingOf(const Plan& plan, const Alternates& all, const Alternate& one) {
    Working w;
    w.title = fmt::format("{} on {}", plan.label(all.small), plan.label(one.mount));
    w.inputs.push_back({"fit where it stands", all.fit, "", "computed"});
    w.inputs.push_back({"relief where it stands", all.reliefPoints, "points", "computed"});
    w.inputs.push_back({"distance", one.metres, "m", "plan"});
    w.steps.push_back({"azimuth of the best open lobe there", "", one.radio.azimuth.deg, "deg true"});
    w.steps.push_back({"tilt there", "", one.radio.tiltDeg, "deg"});
    w.steps.push_back({"relief there", "", one.reliefPoints, "points"});
    w.steps.push_back(
        {"relief given up", "where it stands less there", all.reliefPoints - one.reliefPoints, "points"});
    w.steps.push_back({"fit there", "", one.fit, ""});
    w.source = "own judgement (fit); the others stay as they are";
    if (one.blocked) w.remarks.push_back("Blocked: " + one.why);
    return w;
}

} // namespace fw
