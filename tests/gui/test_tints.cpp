// SPDX-License-Identifier: GPL-3.0-or-later
// What colours the ground: pictures, their drawing, and the source that keeps them.
#include "catch.h"
#include "drawn_tint.h"
#include "gui_app.h"
#include "window_plan.h"

#include "canvas/ground_tint.h"
#include "support/random_plan.h"
#include "text/figures.h"

#include <QSignalSpy>

#include <thread>

using namespace fw;
using namespace fwtest;

namespace {

bool toldOff(Workspace& space, GroundTint tint, const GroundTintSource& source) {
    space.shown.setTint(tint);
    return QTest::qWaitFor([&] { return source.picture() && source.picture()->tint == tint; }, kPatienceMs);
}

} // namespace

TEST_CASE("at a pixel's centre the tint has the colour of what the study says there", "[tints]") {
    needGuiApp();
    const auto study = townStudy();
    const TileKey key = tileOf(study->plan().settings->workArea.centre());
    for (const GroundTint tint : {GroundTint::rsrp, GroundTint::prbCost}) {
        const auto p = makeTintPicture(study, tint, 0);
        REQUIRE(p);
        CHECK(p->bounds.size() == kTintSteps - 1);
        const QImage image = drawn(*p, key.bounds(), 4);
        const auto costs = costRasters(*study, 0);
        const CostRaster* cost = nullptr;
        for (const CostRaster& r : costs)
            if (r.key == key) cost = &r;
        REQUIRE(cost);
        int coloured = 0, wrong = 0, onBound = 0;
        for (int y = 0; y < 128; ++y)
            for (int x = 0; x < 128; ++x) {
                const auto i = static_cast<std::size_t>((127 - y) * 128 + x);
                const PlanePoint at{key.x * kTileM + x * 4 + 2, key.y * kTileM + (127 - y) * 4 + 2};
                const auto served = study->macroAt(0, at);
                const std::optional<double> amount =
                    tint == GroundTint::rsrp
                        ? (served ? std::optional(served->levelDbm) : std::nullopt)
                        : (cost->pointsPerHa[i] > 0 ? std::optional<double>(cost->pointsPerHa[i])
                                                    : std::nullopt);
                const QRgb got = reinterpret_cast<const QRgb*>(image.constScanLine(y))[x];
                if (!amount) {
                    wrong += qAlpha(got) != 0;
                    continue;
                }
                ++coloured;
                const QRgb want = qPremultiply(tintColor(tint, stepOf(*p, *amount), dayPalette()).rgba());
                if (near(got, want)) continue;
                // A value is kept to a thirty-second of a step: on a bound it may fall to the step beside it.
                const int other = stepOf(*p, *amount) - 1;
                if (other >= 0 && near(got, qPremultiply(tintColor(tint, other, dayPalette()).rgba())))
                    ++onBound;
                else
                    ++wrong;
            }
        INFO(tintName(tint).toStdString() << ": " << onBound << " of " << coloured << " on a bound");
        CHECK(coloured > 5000);
        CHECK(wrong == 0);
        CHECK(onBound < coloured / 10);
    }
}

TEST_CASE("boxes that meet draw what one box draws", "[tints]") {
    needGuiApp();
    const auto study = townStudy();
    const PlanePoint c = study->plan().settings->workArea.centre();
    const double x = std::floor(c.x / 8) * 8, y = std::floor(c.y / 8) * 8;
    for (const GroundTint tint : {GroundTint::prbCost, GroundTint::bestServer})
        for (const double mpp : {0.5, 2.0, 8.0}) {
            const auto p = makeTintPicture(study, tint, -1);
            const double half = 64 * mpp;
            const QImage whole = drawn(*p, {x - half, y - half, x + half, y + half}, mpp);
            const QImage west = drawn(*p, {x - half, y - half, x, y + half}, mpp),
                         east = drawn(*p, {x, y - half, x + half, y + half}, mpp);
            INFO(tintName(tint).toStdString() << " at " << mpp << " m a pixel");
            CHECK(whole.copy(0, 0, 64, 128) == west);
            CHECK(whole.copy(64, 0, 64, 128) == east);
        }
}

TEST_CASE("a device with more pixels gets more of them, of the same colours", "[tints]") {
    needGuiApp();
    const auto p = makeTintPicture(townStudy(), GroundTint::rsrp, -1);
    const PlanePoint c = p->study->plan().settings->workArea.centre();
    const Box box{c.x - 100, c.y - 100, c.x + 100, c.y + 100};
    const QImage one = drawn(*p, box, 1), two = drawn(*p, box, 1, 2);
    CHECK(two.size() == one.size() * 2);
    int same = 0, all = 0;
    for (int y = 0; y < one.height(); ++y)
        for (int x = 0; x < one.width(); ++x) {
            if (qAlpha(one.pixel(x, y)) == 0) continue;
            ++all;
            same += one.pixel(x, y) == two.pixel(2 * x, 2 * y);
        }
    CHECK(all > 10000);
    CHECK(same > all * 9 / 10);
}

TEST_CASE("tints draw the same from several threads at once", "[tints]") {
    needGuiApp();
    const auto p = makeTintPicture(townStudy(), GroundTint::bestServer, -1);
    const Box box = p->study->plan().settings->workArea;
    const QImage want = drawn(*p, box, 3);
    std::array<QImage, 4> got;
    {
        std::vector<std::jthread> threads;
        for (QImage& image : got) threads.emplace_back([&] { image = drawn(*p, box, 3); });
    }
    for (const QImage& image : got) CHECK(image == want);
}

TEST_CASE("serving areas that meet have different colours", "[tints]") {
    needGuiApp();
    const auto study = townStudy();
    for (int carrier = -1; carrier < static_cast<int>(study->layers().size()); ++carrier) {
        const auto p = makeTintPicture(study, GroundTint::bestServer, carrier);
        REQUIRE(p);
        REQUIRE(p->classes.size() > 4);
        int borders = 0, alike = 0;
        for (const TintTile& t : p->tiles)
            for (std::size_t i = 0; i + 129 < t.server[0].size(); ++i)
                for (const std::size_t o : {i + 1, i + 128}) {
                    const auto a = t.server[0][i], b = t.server[0][o];
                    if (!a || !b || a == b || (o == i + 1 && o % 128 == 0)) continue;
                    ++borders;
                    alike += p->classes[a - 1u].color == p->classes[b - 1u].color;
                }
        INFO("carrier " << carrier << ": " << alike << " of " << borders);
        CHECK(borders > 200);
        CHECK(alike * 25 < borders); // the rest is parted by the line alone
    }
}

TEST_CASE("fringes of congested cells are hatched over the demand", "[tints]") {
    needGuiApp();
    const WindowPlan w = windowPlan();
    const auto study = testing::studyOf(w.loaded.plan);
    const auto p = makeTintPicture(study, GroundTint::demandFringe, -1);
    REQUIRE(p);
    REQUIRE(p->fringes.size() == 1);
    CHECK(p->fringes[0].cell == w.cell);
    const QImage with = drawn(*p, p->fringes[0].bounds, 0.5);
    TintPicture bare = *p;
    bare.fringes.clear();
    const QImage without = drawn(bare, p->fringes[0].bounds, 0.5);
    int inside = 0, touched = 0, outside = 0;
    for (int y = 0; y < with.height(); ++y)
        for (int x = 0; x < with.width(); ++x) {
            const PlanePoint at{p->fringes[0].bounds.x0 + (x + 0.5) / 2,
                                p->fringes[0].bounds.y1 - (y + 0.5) / 2};
            const auto& areas = p->fringes[0].areas;
            const bool in =
                std::any_of(areas.begin(), areas.end(), [&](const Polygon& a) { return contains(a, at); });
            const bool far = std::all_of(areas.begin(), areas.end(), [&](const Polygon& a) {
                return nearestOnBoundary(a, at).distanceM > 2;
            });
            const bool differs = with.pixel(x, y) != without.pixel(x, y);
            inside += in && far;
            touched += in && far && differs;
            outside += !in && far && differs;
        }
    CHECK(inside > 1000);
    CHECK(touched * 8 > inside); // lines of a pixel, seven apart and smoothed
    CHECK(touched < inside);
    CHECK(outside == 0);
}

TEST_CASE("the picture follows the tint, the carrier and the macros, and leaves drags alone", "[tints]") {
    needGuiApp();
    Workspace space;
    space.shown.setTint(GroundTint::prbCost);
    GroundTintSource source(space);
    CHECK_FALSE(source.picture());
    WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(QTest::qWaitFor([&] { return source.picture() != nullptr; }, kPatienceMs));
    CHECK(source.picture()->tint == GroundTint::prbCost);
    REQUIRE(toldOff(space, GroundTint::rsrp, source));
    CHECK(allQuiet(space));
    REQUIRE(space.jobs.waitForDone(kPatienceMs));
    const auto before = source.picture();
    QSignalSpy changed(&source, &GroundTintSource::changed);

    const SmallCell small = *space.document.plan().smallCells.find(w.small);
    const Radio radio = *space.document.plan().radios.find(small.radio);
    REQUIRE(space.drag.begin({radio.mount}));
    space.drag.moveTo(fw::testing::place(12, 8));
    space.drag.moveTo(fw::testing::place(20, 9));
    space.drag.finish();
    CHECK(allQuiet(space));
    QTest::qWait(50);
    CHECK(changed.count() == 0);
    CHECK(source.picture() == before);

    Cell cell = *space.document.plan().cells.find(w.cell);
    cell.referencePowerDbm = 9;
    REQUIRE(space.document.perform({"Change power", {Put{cell}}}));
    CHECK(QTest::qWaitFor([&] { return source.picture() != before; }, kPatienceMs));
    CHECK(allQuiet(space));

    space.shown.setTint(GroundTint::none);
    CHECK_FALSE(source.picture());
    CHECK_FALSE(source.valueAt(fw::testing::place(60, 0)));
    REQUIRE(toldOff(space, GroundTint::bestServer, source));
    space.document.close();
    CHECK_FALSE(source.picture());
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("the value under the pointer is what the study says, with unit and cell", "[tints]") {
    needGuiApp();
    Workspace space;
    GroundTintSource source(space);
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(toldOff(space, GroundTint::rsrp, source));
    const PlanePoint at = fw::testing::place(31, 3);
    const auto served = space.live.study()->macroAt(at);
    REQUIRE(served);
    const QString cell = QString::fromStdString(space.document.plan().label(w.cell)),
                  level = figure(served->levelDbm, QStringLiteral("dBm"), 1);
    CHECK(source.valueAt(at) == level + QStringLiteral(" from ") + cell);
    CHECK_FALSE(source.valueAt(fw::testing::place(60, 46))); // in a house nobody measures RSRP
    CHECK_FALSE(source.valueAt(fw::testing::place(5000, 0)));
    REQUIRE(toldOff(space, GroundTint::bestServer, source));
    CHECK(source.valueAt(at) == cell + QStringLiteral(", ") + level);

    REQUIRE(toldOff(space, GroundTint::prbCost, source));
    const auto cost = source.valueAt(fw::testing::place(60, 46));
    REQUIRE(cost);
    CHECK(cost->contains(QStringLiteral("points/ha")));
    CHECK(cost->contains(cell));

    REQUIRE(toldOff(space, GroundTint::demandFringe, source));
    REQUIRE(!source.picture()->fringes.empty());
    const PlanePoint inFringe = centroidOf(source.picture()->fringes[0].areas[0]);
    const auto fringe = source.valueAt(inFringe);
    REQUIRE(fringe);
    CHECK(fringe->contains(cell));
    CHECK(source.valueAt(fw::testing::place(60, 46))->contains(tintUnit(GroundTint::demandFringe)));

    // A new name is no new picture, but the new name is what is said.
    Cell named = *space.document.plan().cells.find(w.cell);
    named.name = "Harbour 1";
    REQUIRE(toldOff(space, GroundTint::rsrp, source));
    REQUIRE(space.document.perform({"Rename", {Put{named}}}));
    CHECK(allQuiet(space));
    CHECK(source.valueAt(at) == level + QStringLiteral(" from Harbour 1"));
}
