// SPDX-License-Identifier: GPL-3.0-or-later
// Sheets of a random town, against GeographicLib and plain geometry.
#include "delivery/export_works.h"
#include "delivery/pack_content.h"
#include "delivery/place_text.h"
#include "delivery/support.h"
#include "support/places.h"

#include "catch.h"
#include "geo/geodesy.h"
#include "study/hand_plan.h"
#include "study/settled.h"
#include "support/random_plan.h"

#include <GeographicLib/MagneticModel.hpp>
#include <GeographicLib/UTMUPS.hpp>

#include <algorithm>
#include <cmath>
#include <set>

using namespace fw;
using namespace fw::testing;

namespace {

const auto kMagnetic = testing::sourceFile("resources/magnetic");

struct Town {
    std::shared_ptr<const Study> study;
    Review review;
    MagneticField field;
};

const Town& town() {
    static const Town made = [] {
        Random random(20261102);
        auto study = studyOf(randomPlan(random));
        ReviewOptions quick;
        quick.remedies = false;
        Review review = reviewAll(*study, quick);
        auto field = MagneticField::load(kMagnetic);
        REQUIRE(field.ok());
        return Town{study, std::move(review), *field};
    }();
    return made;
}

std::vector<SiteSheet> sheetsOf(const Town& t) {
    std::vector<SiteSheet> out;
    for (const ItemId mount : chosenMounts(*t.study)) {
        auto sheet = siteSheet(*t.study, t.review, t.field, mount);
        REQUIRE(sheet.ok());
        out.push_back(*sheet);
    }
    return out;
}

} // namespace

TEST_CASE("a sheet for each mount with a chosen small cell, and for no other", "[sheet]") {
    const Plan& plan = town().study->plan();
    std::set<ItemId> wanted;
    for (const SmallCell& c : plan.smallCells)
        if (c.chosen && c.variant == plan.settings->activeVariant)
            wanted.insert(plan.radios.find(c.radio)->mount);
    const auto mounts = chosenMounts(*town().study);
    CHECK(std::vector<ItemId>(wanted.begin(), wanted.end()) == mounts);
    CHECK(mounts.size() >= 4);
    for (const Mount& m : plan.mounts)
        if (!wanted.count(m.id))
            CHECK_FALSE(siteSheet(*town().study, town().review, town().field, m.id).ok());
    const auto none = siteSheet(*town().study, town().review, town().field, plan.settings->activeVariant);
    REQUIRE_FALSE(none.ok());
    CHECK(none.error().code == ErrorCode::notFound);
}

TEST_CASE("position, convergence and magnetic azimuth agree with GeographicLib", "[sheet]") {
    const GeographicLib::MagneticModel model("wmm2025", kMagnetic);
    for (const SiteSheet& s : sheetsOf(town())) {
        INFO(s.name);
        // Zone 27 north, as the plan's EPSG:32627 says. GeographicLib gives grid = true less convergence.
        double lat = 0, lon = 0, convergence = 0, scale = 0;
        GeographicLib::UTMUPS::Reverse(27, true, s.plane.x, s.plane.y, lat, lon, convergence, scale);
        CHECK(s.geo.latDeg == Approx(lat).margin(1e-9)); // 0.1 mm
        CHECK(s.geo.lonDeg == Approx(lon).margin(1e-9));
        CHECK(s.convergenceDeg == Approx(convergence).margin(1e-5));
        CHECK(s.scale == Approx(scale).margin(1e-9));
        // Date of the plan: 2026-06-01 is day 151 of 365 counted from 0.
        double bx = 0, by = 0, bz = 0;
        model(2026 + 151.0 / 365, lat, lon, s.groundAmsl, bx, by, bz);
        const double declination = std::atan2(bx, by) * 180 / 3.14159265358979323846;
        REQUIRE(s.declinationDeg);
        CHECK(*s.declinationDeg == Approx(declination).margin(1e-3)); // the hour of the day may differ
        for (const RadioSheet& r : s.radios) {
            CHECK(r.azimuth == town().study->plan().radios.find(r.radio)->azimuth);
            CHECK(r.azimuthTrue == static_cast<int>(std::lround(r.azimuth.deg)) % 360);
            const double magnetic = std::fmod(r.azimuth.deg - declination + 720, 360);
            CHECK(std::fabs(wrap180(*r.azimuthMagnetic - magnetic)) < 0.502);
            CHECK(std::fabs(wrap180(r.grid.deg + convergence - r.azimuth.deg)) < 1e-4);
        }
    }
}

TEST_CASE("sight marks are corners that stand where they say and can be seen", "[sheet]") {
    const Plan& plan = town().study->plan();
    int marks = 0, radios = 0;
    for (const SiteSheet& s : sheetsOf(town())) {
        const double antenna = s.groundAmsl + s.heightAgl;
        for (const RadioSheet& r : s.radios) {
            ++radios;
            CHECK(r.marks.size() <= 3);
            for (const SightMark& m : r.marks) {
                INFO(s.name << " " << m.text);
                ++marks;
                const auto b = plan.scenery.building(m.building);
                REQUIRE(b);
                CHECK(m.building != s.ownBuilding);
                CHECK(std::count(b->footprint.outer.begin(), b->footprint.outer.end(), m.at) == 1);
                const auto run = geodesic(s.geo, *town().study->frame().toGeo(m.at));
                CHECK(m.distanceM ==
                      Approx(run.distanceM).epsilon(1e-5)); // the scale at one end, not at mid-line
                CHECK(std::fabs(wrap180(m.azimuthTrueDeg - run.azimuth.deg)) < 0.01);
                CHECK(std::fabs(wrap180(m.azimuthTrueDeg - m.offsetDeg - r.azimuth.deg)) < 0.01);
                CHECK(m.distanceM >= 20);
                CHECK(m.distanceM <= 400);
                // Flat town: the top stands at its height over the same ground. The skyline keeps floats.
                const double top = degrees(std::atan((12 + b->heightM - antenna) / run.distanceM));
                CHECK(m.elevationDeg == Approx(top).margin(0.01));
                // Nothing nearer rises over it, looked at on either side of its edge by brute force.
                double highest = -90;
                plan.scenery.forEachBuilding([&](const Building& other) {
                    if (other.id == m.building || other.id == s.ownBuilding) return;
                    for (const auto& span : crossings(other.footprint, s.plane, m.at))
                        if (span.from > 0)
                            highest = std::max(highest, degrees(std::atan((12 + other.heightM - antenna) /
                                                                          (span.from * run.distanceM))));
                });
                CHECK(highest < m.elevationDeg + 0.5);
                // Left corner: the building goes on to the right of it.
                const double middle = wrap180(gridAzimuth(s.plane, centroidOf(b->footprint)).deg -
                                              gridAzimuth(s.plane, m.at).deg);
                CHECK((middle > 0) == m.leftCorner);
            }
            for (std::size_t k = 1; k < r.marks.size(); ++k)
                CHECK(r.marks[k - 1].offsetDeg < r.marks[k].offsetDeg);
        }
    }
    CHECK(marks >= radios); // a town has corners enough
}

TEST_CASE("tape dimensions are measured along the wall, from its left end", "[sheet]") {
    // A rectangle 30 by 20 m, by hand. From outside the south wall one looks north: left is west.
    const Polygon p{{{0, 0}, {30, 0}, {30, 20}, {0, 20}}, {}};
    CHECK(wallRun(p, {10, -0.3})->fromLeftM == Approx(10));
    CHECK(wallRun(p, {10, -0.3})->lengthM == Approx(30));
    // From outside the north wall one looks south: left is east.
    CHECK(wallRun(p, {10, 20.2})->fromLeftM == Approx(20));
    CHECK(wallRun(p, {-0.2, 5})->fromLeftM == Approx(15)); // looks east: left is north
    // The same with the south wall drawn in three pieces, the mount on the middle one.
    const Polygon split{{{0, 0}, {8, 0}, {14, 0}, {30, 0}, {30, 20}, {0, 20}}, {}};
    CHECK(wallRun(split, {10, -0.3})->fromLeftM == Approx(10));
    CHECK(wallRun(split, {10, -0.3})->lengthM == Approx(30));
    for (const SiteSheet& s : sheetsOf(town()))
        if (s.kind == MountKind::wall) CHECK(s.tape.find("left corner") != std::string::npos);
}

TEST_CASE("a date outside the magnetic model leaves the compass out and says so", "[sheet]") {
    Plan plan = town().study->plan();
    PlanSettings settings = *plan.settings;
    settings.date = {2041, 1, 1};
    plan.settings = std::make_shared<const PlanSettings>(settings);
    const auto study = studyOf(plan);
    const auto sheet = siteSheet(*study, {}, town().field, chosenMounts(*study).front());
    REQUIRE(sheet.ok());
    CHECK_FALSE(sheet->declinationDeg);
    CHECK_FALSE(sheet->radios.front().azimuthMagnetic);
    CHECK(sheet->declinationText.find("no magnetic azimuth") == 0);
    for (const Check& c : sheet->checks) CHECK(c.planned.find("magnetic") == std::string::npos);
}

TEST_CASE("what the settled ledger sets stands on the sheet", "[sheet]") {
    Ledger settled;
    settled.kind = Ledger::Kind::settled;
    const ItemId mount = chosenMounts(*town().study).front();
    const auto plain = siteSheet(*town().study, town().review, town().field, mount);
    const CellSheet& before = plain->radios.front().cells.front();
    settled.smalls.push_back({before.small, 0.83, 0.7, -1, 2, false});
    const auto sheet = siteSheet(*town().study, town().review, town().field, mount, &settled);
    const CellSheet& cell = sheet->radios.front().cells.front();
    CHECK(cell.biasDb == -1);
    CHECK(cell.powerDownDb == 2);
    CHECK(*cell.use == 0.83);
    CHECK_FALSE(before.use);
    CHECK(before.biasDb == town().study->plan().smallCells.find(before.small)->biasDb);
}

TEST_CASE("findings of a sheet are its own, open ones first, with reasons for those that stand", "[sheet]") {
    const ItemId mount = chosenMounts(*town().study).front();
    Review review;
    Finding f{"height-window", Severity::note,    {mount}, {9.5, "m"},       {9, "m"}, {},
              "Too high.",     "common practice", {},      Standing::stands, {77}};
    Finding other = f;
    other.subjects = {ItemId{4000000}};
    Finding block = f;
    block.severity = Severity::block;
    block.standing = Standing::open;
    Finding stale = f;
    stale.standing = Standing::stale;
    review.findings = {f, other, block, stale};
    Plan plan = town().study->plan();
    plan.waivers.put({{77},
                      "height-window",
                      {mount},
                      {},
                      "the cornice allows nothing lower",
                      "A. Tarn",
                      "2026-05-01",
                      9.5,
                      9,
                      "m"});
    const auto study = studyOf(plan);
    const auto sheet = siteSheet(*study, review, town().field, mount);
    REQUIRE(sheet.ok());
    REQUIRE(sheet->findings.size() == 2);
    CHECK(sheet->findings[0].severity == Severity::block);
    CHECK(sheet->findings[1].reason == "the cornice allows nothing lower");
    CHECK(sheet->findings[1].who == "A. Tarn");
    const Overview o = overviewOf(*study, review, study->live(), {*sheet});
    CHECK(o.open.size() == 1);
    CHECK(o.stands.size() == 1);
    CHECK(o.sites.front().openWord == "block");
    CHECK(o.otherOpen == 0); // the other one stands
}

TEST_CASE("the cover states that levels were calibrated, and against what", "[sheet]") {
    const auto& t = town();
    const std::string note = "Levels of 3 of 4 measured cells are calibrated against \"drive.csv\".";
    const auto stated = [&](const Study& study) {
        const Overview o = overviewOf(study, t.review, study.live(), {});
        return std::count(o.remarks.begin(), o.remarks.end(), note);
    };
    CHECK(stated(*t.study) == 0);
    Plan plan = t.study->plan();
    PlanSettings s = *plan.settings;
    s.calibrationNote = note;
    plan.settings = std::make_shared<const PlanSettings>(s);
    CHECK(stated(*studyOf(plan)) == 1);
}

TEST_CASE("the cover counts what the ledger holds", "[sheet]") {
    const auto& t = town();
    const auto cell = [&](std::size_t k) { return t.study->macroCells()[k].id; };
    Ledger l;
    l.kind = Ledger::Kind::settled;
    // By hand: two congested, one of them at target when printed (59.6 % prints as 60 %); one that gains 2
    // points from interference; one that changes by less than half a point.
    l.cells = {{cell(0), 0.80, 0.05, {}, 0, 0.70, 0.60, true, {}},
               {cell(1), 0.90, 0.05, {}, 0, 0.604, 0.60, true, 14.9},
               {cell(2), 0.40, 0.05, {}, 0.02, 0.42, 0.60, false, {}},
               {cell(3), 0.40, 0.05, {}, 0.004, 0.404, 0.60, false, {}}};
    const Overview o = overviewOf(*t.study, t.review, l, {}, {"3", ""});
    REQUIRE(o.cells.size() == 3);
    CHECK(o.cells[0].cell == cell(1)); // fullest first
    CHECK(o.cells[1].cell == cell(0));
    CHECK(o.cells[2].cell == cell(2));
    CHECK(o.congested == 2);
    CHECK(o.atTarget == 1);
    CHECK(o.ledgerWord == "settled");
    CHECK(o.issue.number == "3");
    CHECK(o.issue.date == "2026-06-01"); // the plan's, where none is given
    CHECK(o.holds.find("1 of 2 congested cells reach target") == 0);
    CHECK(o.holds.find("after 14 months") != std::string::npos); // never rounded up
}

TEST_CASE("pack content covers its sites, and nothing chosen is refused", "[sheet]") {
    const auto& t = town();
    const auto content = packContent(*t.study, t.review, t.study->live(), t.field);
    REQUIRE(content.ok());
    CHECK(content->sites.size() == chosenMounts(*t.study).size());
    for (const auto& site : content->sites) {
        CHECK(content->map.bounds.contains(site.sheet.plane));
        CHECK(site.map.bounds.centre().x == Approx(site.sheet.plane.x));
        CHECK(std::any_of(site.map.plates.begin(), site.map.plates.end(),
                          [&](const MapPlate& p) { return p.mount == site.sheet.mount; }));
        for (const MapBlock& b : site.map.blocks) CHECK(boundsOf(b.footprint).meets(site.map.bounds));
    }
    CHECK(content->overview.sites.size() == content->sites.size());
    const auto rows = worksRows([&] {
        std::vector<SiteSheet> sheets;
        for (const auto& s : content->sites) sheets.push_back(s.sheet);
        return sheets;
    }());
    CHECK(static_cast<int>(rows.size()) == content->overview.radios);

    Plan empty = t.study->plan();
    for (SmallCell c : std::vector<SmallCell>(empty.smallCells.begin(), empty.smallCells.end())) {
        c.chosen = false;
        empty.smallCells.put(c);
    }
    const auto none = packContent(*studyOf(empty), {}, t.study->live(), t.field);
    REQUIRE_FALSE(none.ok());
    CHECK(none.error().sentence().find("choose one") != std::string::npos);
}
