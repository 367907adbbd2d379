// SPDX-License-Identifier: GPL-3.0-or-later
#include "calibration/drive.h"
#include "calibration/measured_azimuth.h"
#include "fringe/site_path.h"

#include <set>

using namespace fwtest;
using Catch::Matchers::Contains;

namespace {
Drive drive(double sigmaDb, double outliers, bool byName = false) {
    Drive d;
    d.sigmaDb = sigmaDb;
    d.outliers = outliers;
    d.byName = byName;
    return d;
}
} // namespace

TEST_CASE("known offsets are found within their standard errors, through noise and gross outliers",
          "[calibration]") {
    double squares = 0;
    int fitted = 0;
    for (const std::uint64_t seed : {1u, 2u, 3u}) {
        const auto truth = studyOf(drivePlan(seed));
        Random random(seed);
        const Drive log = driveThrough(*truth, random, 8000, drive(6, 0.05, seed == 2));
        const auto c = calibrate(*truth, log.points);
        REQUIRE(c.ok());
        REQUIRE(c->usable);
        INFO("seed " << seed << ": " << c->verdict);
        CHECK(c->given == log.points.size());
        CHECK(c->given == c->matched + c->ambiguous + c->unknownCell + c->notALevel + c->notPredicted);
        for (const CellCalibration& cell : c->cells) {
            if (!cell.fitted) continue;
            const double z = (cell.fitDb - log.offsets.at(cell.cell)) / cell.errorDb;
            INFO("cell " << cell.cell.v << ": " << cell.fitDb << " +- " << cell.errorDb << ", truth "
                         << log.offsets.at(cell.cell) << ", " << cell.points << " points");
            CHECK(std::fabs(z) < 4); // one in 16,000 beyond, were they normal
            CHECK(cell.offsetAfterDb == Approx(cell.offsetBeforeDb + cell.fitDb).margin(0.0501));
            squares += z * z;
            ++fitted;
        }
        // 5 % blunders of 30 dB and 6 dB of scatter: sqrt(36 + 0.05 x 900) = 9.0 dB are left, whatever
        // offset.
        CHECK(c->heldOut.after.rmseDb == Approx(9.0).margin(1.0));
        CHECK(c->heldOut.before.rmseDb > c->heldOut.after.rmseDb);
    }
    REQUIRE(fitted > 30);
    // The mean of z^2 over n cells errs by sqrt(2 / n): 0.24 at 34 cells; four of these.
    CHECK(squares / fitted == Approx(1).margin(1));
}

TEST_CASE("held-out squares share no point and no square with those fitted on", "[calibration]") {
    const auto truth = studyOf(drivePlan(4));
    Random random(4);
    const Drive log = driveThrough(*truth, random, 4000);
    const auto c = calibrate(*truth, log.points);
    REQUIRE(c.ok());
    std::set<std::pair<int, int>> train, held; // counted apart from the code: whole 50 m of the system
    for (const PointResidual& r : c->residuals) {
        const PlanePoint at = log.points[r.point].at;
        const std::pair<int, int> square{static_cast<int>(at.x) / 50, static_cast<int>(at.y) / 50};
        (r.heldOut ? held : train).insert(square);
        if (r.heldOut) CHECK(r.weight == 0);
    }
    for (const auto& square : held) CHECK_FALSE(train.contains(square));
    // 400 squares, a quarter held out: 100, with sqrt(400 x 3/16) = 8.7 of scatter; four of these.
    const auto all = static_cast<double>(train.size() + held.size());
    CHECK(static_cast<double>(held.size()) == Approx(all / 4).margin(4 * std::sqrt(all * 3 / 16)));
    std::size_t counted = 0, before = 0;
    for (const std::size_t n : c->histogramAfter) counted += n;
    for (const std::size_t n : c->histogramBefore) before += n;
    CHECK(counted == c->heldOut.after.points);
    CHECK(before == counted);
}

TEST_CASE("figures of a small case worked by hand", "[calibration]") {
    // Errors of 8 dB at every point and -2, -1.8, ... 2 dB in turn: mean 8, sigma 0.2 sqrt((21^2 - 1) / 12) =
    // 1.2111, median of what is left 1.0 (the eleventh of 0, 0.2, 0.2, 0.4, ...), RMSE sqrt(64 + 1.2111^2).
    const auto truth = studyOf(drivePlan(5));
    Random random(5);
    Drive log = driveThrough(*truth, random, 3000, drive(0, 0));
    std::map<ItemId, int> turn;
    for (MeasuredPoint& p : log.points) {
        const Matching m = matchPoints(truth->plan(), std::span(&p, 1), 1500);
        if (m.matched.empty()) continue;
        const ItemId cell = m.matched.front().cell;
        const auto level = truth->macroCellAt(cell, p.at);
        p.rsrpDbm = *level + 8 + (turn[cell]++ % 21 - 10) * 0.2;
    }
    const auto c = calibrate(*truth, log.points);
    REQUIRE(c.ok());
    int looked = 0;
    for (const CellCalibration& cell : c->cells) {
        if (!cell.fitted) continue;
        ++looked;
        // The hold-out leaves the four unequal: by 1.2111 / sqrt(40) = 0.19 dB in the mean, three of
        // these.
        CHECK(cell.fitDb == Approx(8).margin(0.55));
        CHECK(cell.scaleDb == Approx(1.4826).margin(0.4));
        CHECK(cell.fittedOn.before.rmseDb == Approx(8.0911).margin(0.55));
        CHECK(cell.fittedOn.after.rmseDb == Approx(1.2111).margin(0.15));
        CHECK(cell.fittedOn.after.sigmaDb == Approx(1.2111).margin(0.15));
        CHECK(cell.fittedOn.before.sigmaDb == Approx(cell.fittedOn.after.sigmaDb).margin(1e-9));
        const Working w = workingOf(truth->plan(), *c, cell.cell);
        CHECK(w.steps.back().value == cell.offsetAfterDb);
        CHECK(w.steps.front().value == cell.fittedOn.before.meanDb);
    }
    CHECK(looked > 5);
}

TEST_CASE("too little says so and changes nothing", "[calibration]") {
    const Plan plan = drivePlan(6);
    const auto truth = studyOf(plan);
    Random random(6);
    Drive log = driveThrough(*truth, random, 6000);
    std::map<ItemId, std::vector<MeasuredPoint>> byCell;
    for (const MeasuredPoint& p : log.points)
        if (const Matching m = matchPoints(plan, std::span(&p, 1), 1500); !m.matched.empty())
            byCell[m.matched.front().cell].push_back(p);
    const auto& most = *std::max_element(byCell.begin(), byCell.end(), [](const auto& a, const auto& b) {
        return a.second.size() < b.second.size();
    });
    REQUIRE(most.second.size() >= 50);
    std::vector<MeasuredPoint> some(most.second.begin(), most.second.begin() + 49);
    auto c = calibrate(*truth, some);
    REQUIRE(c.ok());
    CHECK_FALSE(c->usable);
    CHECK_THAT(c->verdict, Contains("49 matched points") && Contains("Nothing is changed."));
    CHECK_FALSE(calibrationEdit(plan, *c, "few.csv", {2026, 6, 1}).ok());
    some.push_back(most.second[49]);
    c = calibrate(*truth, some);
    REQUIRE(c.ok());
    CHECK(c->usable);
    // Fifty points and more, but all in one square.
    std::vector<MeasuredPoint> still(200, most.second.front());
    c = calibrate(*truth, still);
    REQUIRE(c.ok());
    CHECK_FALSE(c->usable);
    CHECK_THAT(c->verdict, Contains("200 matched points in 1 street squares"));
    CHECK_FALSE(calibrate(*truth, {}).ok());
}

TEST_CASE("the edit brings the levels together, is stated, and can be undone", "[calibration]") {
    const Plan plan = drivePlan(7);
    const auto truth = studyOf(plan);
    Random random(7);
    const Drive log = driveThrough(*truth, random, 6000, drive(4, 0.02));
    const auto c = calibrate(*truth, log.points, {true, false});
    REQUIRE(c.ok());
    const auto edit = calibrationEdit(plan, *c, "drive.csv", {2026, 6, 9});
    REQUIRE(edit.ok());
    CHECK(edit->text == "Calibrate cells against drive test");
    Plan changed = plan;
    const auto undo = apply(changed, *edit);
    REQUIRE(undo.ok());
    CHECK_THAT(changed.settings->calibrationNote,
               Contains("\"drive.csv\" (2026-06-09)") && Contains(" dB before, "));
    const auto bytes = editFromBytes(toBytes(*edit));
    REQUIRE(bytes.ok());
    CHECK(*bytes == *edit);
    const auto again = calibrate(*studyOf(changed), log.points);
    REQUIRE(again.ok());
    for (const CellCalibration& cell : again->cells)
        if (cell.fitted) {
            CHECK(std::fabs(cell.fitDb) <= 0.051); // the rest of rounding to 0.1 dB
            CHECK(cell.offsetAfterDb == Approx(cell.offsetBeforeDb).margin(1e-9));
        }
    // What was promised for after is what is there now.
    CHECK(again->heldOut.before.rmseDb == Approx(c->heldOut.after.rmseDb).margin(1e-6));
    // No slope was put in: none is found beyond its error.
    for (const CellCalibration& cell : c->cells)
        if (cell.slopeDb) CHECK(std::fabs(*cell.slopeDb) < 4.5 * *cell.slopeErrorDb);
    REQUIRE(apply(changed, *undo).ok());
    CHECK(changed == plan);
}

TEST_CASE("a slope that was put in is found", "[calibration]") {
    const auto truth = studyOf(drivePlan(8));
    Random random(8);
    Drive log = driveThrough(*truth, random, 6000, drive(5, 0.03));
    for (MeasuredPoint& p : log.points) {
        const Matching m = matchPoints(truth->plan(), std::span(&p, 1), 1500);
        if (m.matched.empty()) continue;
        const Sector& s =
            *truth->plan().sectors.find(truth->plan().cells.find(m.matched.front().cell)->sector);
        p.rsrpDbm -= 6 * std::log10(planeDistance(p.at, truth->plan().macroSites.find(s.site)->at) / 100);
    }
    const auto c = calibrate(*truth, log.points, {true, false});
    REQUIRE(c.ok());
    int found = 0;
    for (const CellCalibration& cell : c->cells) {
        if (!cell.slopeDb) continue;
        ++found;
        CHECK(*cell.slopeDb == Approx(-6).margin(4.5 * *cell.slopeErrorDb));
    }
    CHECK(found > 5);
}

TEST_CASE("a sector that looks elsewhere than the inventory says is found, the others stay",
          "[calibration]") {
    for (const std::uint64_t seed : {9u, 10u}) {
        INFO("seed " << seed);
        Plan plan = drivePlan(seed);
        const auto truth = studyOf(plan);
        Random random(seed);
        const Drive log = driveThrough(*truth, random, 12000, drive(5, 0.03));
        // The inventory errs by 50 deg at one sector, one that looks near north among them.
        const ItemId wrong = std::next(plan.sectors.begin(), seed == 9 ? 0 : 4)->id;
        Sector s = *plan.sectors.find(wrong);
        const double right = s.azimuth.deg;
        s.azimuth = TrueAzimuth::of(right + (seed == 9 ? -50 : 50));
        REQUIRE(apply(plan, Edit{"", {Put{s}}}).ok());
        const auto study = studyOf(plan);
        const auto c = calibrate(*study, log.points);
        REQUIRE(c.ok());
        bool seen = false;
        for (const MeasuredAzimuth& m : measuredAzimuths(*study, *c)) {
            INFO(m.text << " errs " << m.errorDeg);
            if (!m.known) continue;
            CHECK(m.differs == (m.sector == wrong));
            const double is = m.sector == wrong ? right : m.inventory.deg;
            // Steps are of 1 deg; four errors.
            CHECK(std::fabs(wrap180(m.measured.deg - is)) <= 1 + 4 * m.errorDeg);
            seen |= m.sector == wrong;
            if (m.sector == wrong) {
                const auto edit = azimuthEdit(plan, m);
                REQUIRE(edit.ok());
                Plan mended = plan;
                REQUIRE(apply(mended, *edit).ok());
                CHECK(std::fabs(wrap180(mended.sectors.find(wrong)->azimuth.deg - right)) <=
                      1.5 + 4 * m.errorDeg);
            }
        }
        CHECK(seen);
    }
}

TEST_CASE("points inside find the share of efficient buildings they were made with", "[calibration]") {
    Plan plan = drivePlan(12);
    std::vector<Building> buildings;
    plan.scenery.forEachBuilding([&](Building b) {
        b.entry = EntryKind::unknown;
        buildings.push_back(b);
    });
    plan.scenery.putBuildings(buildings);
    Plan real = plan;
    PlanSettings s = *real.settings;
    s.model.efficientShare = 0.6;
    real.settings = std::make_shared<const PlanSettings>(s);
    const auto study = studyOf(plan), truth = studyOf(real);
    Random random(12);
    Drive log = driveThrough(*truth, random, 5000, drive(4, 0.02));
    // At one frequency: the loss of an efficient building depends on it.
    std::erase_if(log.points, [](const MeasuredPoint& p) { return p.channel != 1300; });
    for (const Building& b : buildings) {
        const PlanePoint at = centroidOf(b.footprint);
        for (const Cell& c : plan.cells) {
            if (c.carrier.channel != 1300) continue;
            const auto path = truth->macroPathInto(c.id, at, 1.5);
            if (!path || path->levelDbm < -115) continue;
            MeasuredPoint p;
            p.at = at;
            p.cell = c.name;
            p.indoor = true;
            p.rsrpDbm = path->levelDbm + log.offsets.at(c.id) + 4 * random.normal();
            log.points.push_back(p);
        }
    }
    const auto c = calibrate(*study, log.points, {false, true});
    REQUIRE(c.ok());
    REQUIRE(c->indoor);
    REQUIRE(c->indoor->fitted);
    CHECK(c->indoor->excessDb < 0); // thicker walls than the plan thinks
    REQUIRE(c->indoor->efficientShare);
    // Half a decibel of the excess is some 0.06 of the share where it stands.
    CHECK(*c->indoor->efficientShare == Approx(0.6).margin(0.1));
    const auto edit = calibrationEdit(plan, *c, "drive.csv", {2026, 6, 9});
    REQUIRE(edit.ok());
    REQUIRE(apply(plan, *edit).ok());
    CHECK(plan.settings->model.efficientShare == *c->indoor->efficientShare);
}
