// SPDX-License-Identifier: GPL-3.0-or-later
// Far-off sites: outside the area of work by more than a macro reaches (to be known: they take no part), and
// among them those ten times as far from the middle of all as sites mostly are, and 20 km at least, or at
// coordinates 0, 0 (their place is doubted). Sites at one place: nearer than 2 m. Source of the limits: own
// judgement.
#include "geo/index.h"
#include "intake/audit/view.h"
#include "plan/edit_makers.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr double kTimesFarther = 10, kLeastFarM = 20000, kOnePlaceM = 2, kNullIslandDeg = 0.01;

double distanceToBox(PlanePoint p, const Box& box) {
    return length({std::max({box.x0 - p.x, 0.0, p.x - box.x1}), std::max({box.y0 - p.y, 0.0, p.y - box.y1})});
}

// The middle of all sites, and how far they mostly are from it. A few strays do not move it.
struct Town {
    PlanePoint middle;
    double usualM = 0;
    bool known = false;
    [[nodiscard]] double limitM() const { return std::max(kLeastFarM, kTimesFarther * usualM); }
    [[nodiscard]] bool doubts(PlanePoint at) const { return known && planeDistance(middle, at) > limitM(); }
};

Town townOf(const Table<MacroSite>& sites) {
    if (sites.size() < 3) return {}; // of two, who is far off?
    std::vector<double> xs, ys, ds;
    for (const MacroSite& s : sites) {
        xs.push_back(s.at.x);
        ys.push_back(s.at.y);
    }
    const PlanePoint middle{medianOf(xs), medianOf(ys)};
    for (const MacroSite& s : sites) ds.push_back(planeDistance(middle, s.at));
    return {middle, medianOf(ds), true};
}

struct Mend {
    const char* what;
    PlanePoint at;
};

// What people get wrong with coordinates, undone: the first that brings the site to where it can serve.
std::optional<Mend> mendOf(const AuditView& view, PlanePoint at, const Box& home) {
    std::vector<Mend> tries{{"east and north exchanged", {at.y, at.x}}};
    if (view.frame())
        if (const auto geo = view.frame()->toGeo(at)) {
            const auto add = [&](const char* what, double lat, double lon) {
                if (std::fabs(lat) > 90) return;
                if (const auto p = view.frame()->toPlane({lat, lon})) tries.push_back({what, *p});
            };
            add("latitude and longitude exchanged", geo->lonDeg, geo->latDeg);
            add("the sign of the longitude turned", geo->latDeg, -geo->lonDeg);
            add("the sign of the latitude turned", -geo->latDeg, geo->lonDeg);
            add("latitude and longitude exchanged and a sign turned", geo->lonDeg, -geo->latDeg);
            add("latitude and longitude exchanged and a sign turned", -geo->lonDeg, geo->latDeg);
        }
    for (const Mend& m : tries)
        if (home.contains(m.at)) return m;
    return {};
}

bool atNullIsland(const AuditView& view, PlanePoint at) {
    if (at.x == 0 && at.y == 0) return true;
    if (!view.frame()) return false;
    const auto geo = view.frame()->toGeo(at);
    return geo.ok() && std::fabs(geo->latDeg) < kNullIslandDeg && std::fabs(geo->lonDeg) < kNullIslandDeg;
}

AuditFinding doubted(const AuditView& view, const MacroSite& site, const Town& town) {
    const PlanSettings& settings = *view.plan().settings;
    const double awayM = planeDistance(town.middle, site.at);
    const std::string name = view.name(site.id);
    AuditFinding f;
    f.subjects = {site.id};
    f.measured = {awayM / 1000, "km"};
    f.limit = {town.limitM() / 1000, "km"};
    f.source = kOwn;
    f.text = atNullIsland(view, site.at)
                 ? fmt::format("{} lies at coordinates 0, 0: its place was probably empty.", name)
                 : fmt::format("{} is {:.0f} km from the middle of the sites, which are mostly within {:.1f} "
                               "km of it.",
                               name, awayM / 1000, town.usualM / 1000);
    if (const auto mend = mendOf(view, site.at, settings.workArea.grown(settings.model.macroReachM))) {
        MacroSite moved = site;
        moved.at = mend->at;
        f.proposal = fmt::format("With {} it comes to lie among the others; move it there.", mend->what);
        f.edit = putting(fmt::format("Move {} to its place", name), moved);
    } else {
        f.proposal = fmt::format("Look up the coordinates of {}.", name);
    }
    return f;
}

// All that lie outside in one finding: a whole country's inventory round one town has thousands.
AuditFinding outside(const AuditView& view, const std::vector<ItemId>& sites, double nearestM) {
    const double reachM = view.plan().settings->model.macroReachM;
    AuditFinding f;
    f.severity = Severity::note;
    f.subjects = sites;
    f.measured = {nearestM / 1000, "km"};
    f.limit = {reachM / 1000, "km"};
    f.source = "reach of a macro in the plan's settings";
    f.text =
        fmt::format("{} {} {:.1f} km or more outside the area of work and take no part: a macro is "
                    "computed to {:.1f} km.",
                    view.names(sites), sites.size() == 1 ? "lies" : "lie", nearestM / 1000, reachM / 1000);
    f.proposal = "Remove them with their sectors and cells, or widen the area of work.";
    if (auto edit = removeItems(view.plan(), sites)) f.edit = std::move(*edit);
    return f;
}

AuditFinding onePlace(const AuditView& view, const MacroSite& a, const MacroSite& b) {
    AuditFinding f;
    f.subjects = {a.id, b.id};
    f.measured = {planeDistance(a.at, b.at), "m"};
    f.limit = {kOnePlaceM, "m"};
    f.source = kOwn;
    const std::string first = view.name(a.id), second = view.name(b.id);
    f.text = fmt::format("{} and {} are {:.1f} m apart.", first, second, f.measured.value);
    f.proposal = fmt::format("If they are one site, bring the sectors of {} to {} and remove {}.", second,
                             first, second);
    Edit edit;
    edit.text = fmt::format("Join {} to {}", second, first);
    for (const Sector* s : view.sectorsOf(b.id)) {
        Sector moved = *s;
        moved.site = a.id;
        edit.changes.push_back(Put{moved});
    }
    for (const Waiver& w : view.plan().waivers) // what stands because of a site goes with it
        if (std::find(w.subjects.begin(), w.subjects.end(), b.id) != w.subjects.end())
            edit.changes.push_back(Remove{w.id});
    edit.changes.push_back(Remove{b.id});
    f.edit = std::move(edit);
    return f;
}

} // namespace

void checkFarOffSites(const AuditView& view, AuditFindings& out) {
    const PlanSettings& settings = *view.plan().settings;
    const Box& area = settings.workArea;
    const Town town = townOf(view.plan().macroSites);
    std::vector<ItemId> away;
    double nearestM = HUGE_VAL;
    for (const MacroSite& site : view.plan().macroSites) {
        // Without an area of work only the other sites can tell.
        const double outsideM = area.empty() ? HUGE_VAL : distanceToBox(site.at, area);
        if (outsideM <= settings.model.macroReachM) continue;
        if (town.doubts(site.at) || atNullIsland(view, site.at)) {
            out.push_back(doubted(view, site, town));
        } else if (!area.empty()) {
            away.push_back(site.id);
            nearestM = std::min(nearestM, outsideM);
        }
    }
    if (!away.empty()) out.push_back(outside(view, away, nearestM));
}

void checkSitesAtOnePlace(const AuditView& view, AuditFindings& out) {
    std::vector<const MacroSite*> sites;
    std::vector<Box> boxes;
    for (const MacroSite& s : view.plan().macroSites) {
        sites.push_back(&s);
        boxes.push_back({s.at.x, s.at.y, s.at.x, s.at.y});
    }
    const BoxIndex index(boxes, 64);
    std::vector<std::uint32_t> near;
    std::vector<bool> joined(sites.size(), false); // each is joined to one other, so that edits go together
    for (std::size_t i = 0; i < sites.size(); ++i) {
        if (joined[i]) continue;
        index.query(boxes[i].grown(kOnePlaceM), near);
        for (const std::uint32_t k : near) {
            if (k <= i || joined[k] || planeDistance(sites[i]->at, sites[k]->at) >= kOnePlaceM) continue;
            out.push_back(onePlace(view, *sites[i], *sites[k]));
            joined[k] = true;
        }
    }
}

} // namespace fw
