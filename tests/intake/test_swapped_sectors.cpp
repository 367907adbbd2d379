// SPDX-License-Identifier: GPL-3.0-or-later
// Swapped sectors: points are laid out before the antennas that truly send, with scatter and some anywhere.
#include "catch.h"
#include "geo/frame.h"
#include "intake/audit_oracle.h"
#include "intake/audit_plan.h"
#include "intake/inventory_audit.h"

using namespace fwtest;

namespace {

// `count` points of a cell as if the antenna looked towards `azimuthDeg`; one in ten is a reflection.
void measure(std::vector<MeasuredPoint>& out, const Plan& plan, const Cell& cell, double azimuthDeg,
             int count, Random& random, bool byName) {
    const MacroSite& site = *plan.macroSites.find(plan.sectors.find(cell.sector)->site);
    for (int k = 0; k < count; ++k) {
        const double azimuth =
            random.chance(0.1) ? random.between(0, 360) : azimuthDeg + 22 * random.normal();
        MeasuredPoint p;
        p.at = site.at + unitOf(azimuth) * random.between(60, 280);
        p.rsrpDbm = -90;
        if (byName)
            p.cell = cell.name;
        else
            p.pci = cell.pci, p.channel = cell.carrier.channel;
        out.push_back(p);
    }
}

std::vector<AuditFinding> swapped(const Plan& plan, const std::vector<MeasuredPoint>& points) {
    AuditEvidence evidence;
    evidence.measured = points;
    std::vector<AuditFinding> out;
    for (AuditFinding& f : auditInventory(plan, evidence))
        if (f.check == "swapped-sectors") out.push_back(std::move(f));
    return out;
}

} // namespace

TEST_CASE("swapped sectors are found, and only they; the edit puts the cells where they were measured",
          "[audit]") {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        Random random(seed);
        INFO("seed " << seed);
        Network n(4, random.between(0, 360)); // often with a sector across north
        std::vector<MeasuredPoint> points;
        std::map<ItemId, ItemId> truth; // cell to the sector it is sent from
        const bool byName = random.chance(0.5);
        for (const MacroSite& site : n.plan.macroSites) {
            std::vector<Cell> cells;
            for (const Cell& c : n.plan.cells)
                if (n.plan.sectors.find(c.sector)->site == site.id) cells.push_back(c);
            std::vector<std::size_t> from{0, 1, 2};
            if (random.chance(0.3)) std::swap(from[0], from[1 + random.below(2)]);
            if (random.chance(0.2)) std::rotate(from.begin(), from.begin() + 1, from.end());
            for (std::size_t k = 0; k < 3; ++k) {
                const Sector& sends = *n.plan.sectors.find(cells[from[k]].sector);
                truth[cells[k].id] = sends.id;
                measure(points, n.plan, cells[k], sends.azimuth.deg, 120, random, byName);
            }
        }
        Plan plan = n.plan;
        for (const AuditFinding& f : swapped(n.plan, points)) {
            REQUIRE(f.edit);
            REQUIRE(apply(plan, *f.edit).ok());
        }
        for (const Cell& c : plan.cells) CHECK(c.sector == truth.at(c.id));
        CHECK(swapped(plan, points).empty());
    }
}

TEST_CASE("swapped sectors need 30 points in 5 squares, and 30 deg between the two", "[audit]") {
    Network n(1, 0); // sectors at 0, 120, 240
    const Cell first = *n.plan.cells.begin();
    const PlanePoint at = n.plan.macroSites.begin()->at;
    // Exactly towards a bearing, 40 m apart along it.
    const auto towards = [&](double bearing, int count, double stepM = 40) {
        std::vector<MeasuredPoint> points;
        for (int k = 0; k < count; ++k) {
            MeasuredPoint p;
            p.at = at + unitOf(bearing) * (100 + stepM * (k % 10));
            p.rsrpDbm = -80;
            p.cell = first.name;
            points.push_back(p);
        }
        return points;
    };
    CHECK(swapped(n.plan, towards(120, 30)).size() == 1);
    CHECK(swapped(n.plan, towards(120, 29)).empty());
    CHECK(swapped(n.plan, towards(120, 60, 0.1)).empty()); // one or two squares
    CHECK(swapped(n.plan, towards(0, 60)).empty());
    // Midway, at 60, both are as far; 30 deg apart at 75 deg (75 against 45).
    CHECK(swapped(n.plan, towards(77, 60)).size() == 1);
    CHECK(swapped(n.plan, towards(73, 60)).empty());
    CHECK(swapped(n.plan, towards(283, 60)).size() == 1);
    CHECK(swapped(n.plan, towards(287, 60)).empty());
    // Only one of the two was measured: it is told, but who shall change is not known.
    const auto found = swapped(n.plan, towards(120, 60));
    REQUIRE(found.size() == 1);
    CHECK_FALSE(found.front().edit);
}

TEST_CASE("points find their cell by name or PCI and channel; what fits two is left out", "[calibration]") {
    Network n(3);
    const auto& cells = n.plan.cells;
    const Cell a = *cells.begin(), b = *std::next(cells.begin(), 3); // of the second site, 600 m east
    n.change(n.plan.cells, b.id, [&](Cell& c) { c.pci = a.pci; });
    const PlanePoint home = n.plan.macroSites.begin()->at;
    const auto at = [&](double east) {
        MeasuredPoint p;
        p.at = home + PlanePoint{east, 0};
        p.rsrpDbm = -100;
        p.pci = a.pci;
        p.channel = 1300;
        return p;
    };
    // Twice as far: 200 m against 400 m.
    const std::vector<MeasuredPoint> points{at(0),   at(199), at(201), at(300),
                                            at(399), at(401), at(600), at(-1600)};
    const Matching m = matchPoints(n.plan, points, 1500);
    std::map<std::size_t, ItemId> found;
    for (const MatchedPoint& p : m.matched) found[p.point] = p.cell;
    CHECK(found == std::map<std::size_t, ItemId>{{0, a.id}, {1, a.id}, {5, b.id}, {6, b.id}});
    CHECK(m.ambiguous == 3);
    CHECK(m.unknownCell == 1); // out of reach

    std::vector<MeasuredPoint> odd(6, at(0));
    odd[0].rsrpDbm = -157; // below the lowest level that is reported (3GPP TS 36.133, 9.1.4)
    odd[1].rsrpDbm = NAN;
    odd[2].rsrpDbm = -30;
    odd[3].channel = 1301;
    odd[4].cell = "nobody";
    odd[5].technology = Technology::nr;
    const Matching none = matchPoints(n.plan, odd, 1500);
    CHECK(none.matched.empty());
    CHECK(none.notALevel == 3);
    CHECK(none.unknownCell == 3);
}
