// SPDX-License-Identifier: GPL-3.0-or-later
// What belongs to the chosen small cell on the map: its footprint and the rose round its radio.
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "canvas/aim_rose.h"
#include "canvas/footprint_layer.h"
#include "text/figures.h"

#include <QSignalSpy>

using namespace fw;
using namespace fwtest;

namespace {

Camera cameraAt(PlanePoint at) {
    Camera c;
    c.centre = at;
    c.metresPerPixel = 1;
    c.size = {640, 640};
    return c;
}

template <class Layer>
QImage painted(Layer& layer, const Camera& camera) {
    QImage image(camera.size.toSize(), QImage::Format_ARGB32_Premultiplied);
    image.fill(Qt::transparent);
    QPainter p(&image);
    p.setFont(QApplication::font());
    layer.paint(p, camera, dayPalette());
    return image;
}

bool empty(const QImage& image) {
    QImage blank(image.size(), image.format());
    blank.fill(Qt::transparent);
    return image == blank;
}

ItemId radioOf(const Workspace& space, ItemId small) {
    return space.document.plan().smallCells.find(small)->radio;
}

} // namespace

TEST_CASE("the footprint is that of the chosen small cell and follows it in a drag", "[footprint]") {
    needGuiApp();
    Workspace space;
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(allQuiet(space));
    FootprintLayer layer(space);
    const Camera camera = cameraAt(fw::testing::kMiddle);
    CHECK(empty(painted(layer, camera)));
    space.selection.setOne(w.small);
    const QImage before = painted(layer, camera);
    CHECK(layer.footprint().small == w.small);
    // Stronger where it takes more: east of it, where it looks, against behind.
    CHECK(qAlpha(before.pixel(320 + 50, 320)) > 40);
    CHECK(qAlpha(before.pixel(320 - 120, 320)) < 20);

    REQUIRE(space.drag.beginRadio(radioOf(space, w.small)));
    space.drag.turnTo(TrueAzimuth::of(0));
    const QImage turned = painted(layer, camera);
    CHECK(turned != before);
    SmallFootprint want;
    REQUIRE(footprintOf(*space.live.study(), w.small, want));
    CHECK(layer.footprint().captured == want.captured);
    space.drag.abandon();
    CHECK(painted(layer, camera) == before);

    space.shown.setOn(MapLayer::footprint, false);
    CHECK(empty(painted(layer, camera)));
    space.shown.setOn(MapLayer::footprint, true);
    space.selection.setOne(w.cell);
    CHECK(empty(painted(layer, camera)));
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("the rose comes for the chosen radio, follows a drag, and comes anew after it", "[rose][slow]") {
    needGuiApp();
    Workspace space;
    AimRose rose(space);
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(allQuiet(space));
    const Camera camera = cameraAt(fw::testing::kMiddle);
    CHECK(empty(painted(rose, camera)));
    QSignalSpy changed(&rose, &AimRose::changed);
    space.selection.setOne(space.document.plan().radios.find(radioOf(space, w.small))->mount);
    REQUIRE(QTest::qWaitFor([&] { return !rose.bearings().empty(); }, kPatienceMs));
    CHECK(changed.count() >= 1);
    CHECK_FALSE(rose.stale());
    const QImage fresh = painted(rose, camera);
    CHECK_FALSE(empty(fresh));

    // Turned, it says what it said: it is of all azimuths.
    REQUIRE(space.drag.beginRadio(radioOf(space, w.small)));
    space.drag.turnTo(TrueAzimuth::of(140));
    CHECK_FALSE(rose.stale());
    space.drag.finish();
    REQUIRE(QTest::qWaitFor([&] { return !rose.stale(); }, kPatienceMs));

    const Mount mount =
        *space.document.plan().mounts.find(space.document.plan().radios.find(radioOf(space, w.small))->mount);
    REQUIRE(space.drag.begin({mount.id}));
    space.drag.moveTo(mount.at + PlanePoint{6, 0});
    CHECK(rose.stale());
    const QImage dimmed = painted(rose, camera);
    qint64 strong = 0, faint = 0;
    for (int y = 0; y < 640; ++y)
        for (int x = 0; x < 640; ++x) {
            strong += qAlpha(fresh.pixel(x, y));
            faint += qAlpha(dimmed.pixel(x, y));
        }
    CHECK(faint * 2 < strong);
    // Caught up with, the button still down: what a cold computation of that place says.
    REQUIRE(QTest::qWaitFor([&] { return !rose.stale(); }, kPatienceMs));
    Plan moved = space.document.plan();
    Mount there = mount;
    there.at = mount.at + PlanePoint{6, 0};
    REQUIRE(apply(moved, {"", {Put{there}}}));
    const auto cold = Study::advance(nullptr, moved, space.document.terrain());
    REQUIRE(cold);
    const double tilt = space.document.plan().radios.find(radioOf(space, w.small))->tiltDeg;
    const auto aim = aimOf(**cold, w.small, {LiveAim::kCoarseDeg, {tilt}, 1});
    REQUIRE(aim);
    CHECK(rose.bearings() == aim->rose);
    space.drag.finish();
    CHECK(QTest::qWaitFor([&] { return !rose.stale(); }, kPatienceMs));
    CHECK(rose.bearings().size() == aim->rose.size());

    // Locked, nobody turns it but by its number.
    Radio held = *space.document.plan().radios.find(radioOf(space, w.small));
    held.aimLocked = true;
    REQUIRE(space.document.perform({"Lock", {Put{held}}}));
    QSignalSpy said(&space.drag, &LiveDrag::aimLocked);
    CHECK_FALSE(space.drag.beginRadio(held.id));
    CHECK(said.count() == 1);
    CHECK_FALSE(aimEdit(space.document.plan(), held.id, aim->rose[7]));

    space.selection.clear();
    CHECK(rose.bearings().empty());
    CHECK(empty(painted(rose, camera)));
    space.selection.setOne(w.otherSmall);
    CHECK(QTest::qWaitFor([&] { return !rose.bearings().empty(); }, kPatienceMs));
    space.shown.setOn(MapLayer::aimRose, false);
    CHECK(empty(painted(rose, camera)));
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("a bearing of the rose says its fit, and why it is blocked", "[rose]") {
    needGuiApp();
    Workspace space;
    AimRose rose(space);
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(allQuiet(space));
    space.selection.setOne(w.small);
    REQUIRE(QTest::qWaitFor([&] { return !rose.bearings().empty(); }, kPatienceMs));
    const Camera camera = cameraAt(fw::testing::kMiddle);
    const QPointF middle = camera.toScreen(fw::testing::kMiddle);
    const auto at = [&](double deg) {
        return rose.textAt(middle + QPointF(std::sin(radians(deg)), -std::cos(radians(deg))) * 60, camera);
    };
    CHECK_FALSE(rose.textAt(middle, camera));
    CHECK_FALSE(rose.textAt(middle + QPointF(AimRose::kOuterPx + 5, 0), camera));
    const auto east = at(90), west = at(270);
    REQUIRE(east);
    REQUIRE(west);
    CHECK(east->startsWith(bearing(90)));
    CHECK(east->contains(figure(rose.bearings()[18].fit, {}, 0)));
    REQUIRE(rose.bearings().size() == 72);
    REQUIRE(rose.bearings()[54].blocked); // the macro stands 180 m to the west
    CHECK(west->contains(QString::fromStdString(rose.bearings()[54].why)));
    CHECK(west->startsWith(bearing(270)));
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("the aim comes coarse, then by the degree, and steps from lobe to lobe", "[rose][slow]") {
    needGuiApp();
    qApp->setProperty("coarseAim", false);
    Workspace space;
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(allQuiet(space));
    space.selection.setOne(w.small);
    QTest::qWait(300);
    CHECK_FALSE(space.aim.aim()); // nobody looks
    space.aim.setWanted(&space.document, true);
    REQUIRE(QTest::qWaitFor([&] { return space.aim.fine(); }, 120000));
    REQUIRE(space.aim.aim());
    const Aim aim = *space.aim.aim();
    CHECK(aim.rose.size() == 360);
    CHECK(aim == aimOf(*space.live.study(), w.small).value());
    const auto bearings = space.aim.bearings();
    REQUIRE(bearings.size() == 72);
    for (std::size_t k = 0; k < bearings.size(); ++k) CHECK(bearings[k] == aim.rose[5 * k]);

    REQUIRE(aim.lobes.size() >= 2);
    Radio r = *space.document.plan().radios.find(aim.radio);
    for (std::size_t k = 0; k < aim.lobes.size(); ++k) {
        r.azimuth = aim.lobes[k].azimuth;
        r.tiltDeg = aim.lobes[k].tiltDeg;
        REQUIRE(space.document.perform(Edit{"Aim", {Put{r}}}));
        REQUIRE(QTest::qWaitFor([&] { return !space.aim.stale() && space.aim.aim(); }, 120000));
        const auto next = space.aim.nextLobe();
        REQUIRE(next);
        if (space.aim.fine()) CHECK(next->azimuth == aim.lobes[(k + 1) % aim.lobes.size()].azimuth);
        if (k == 1) break;
    }
    qApp->setProperty("coarseAim", true);
    space.aim.setWanted(&space.document, false);
    CHECK_FALSE(space.aim.aim());
    space.jobs.waitForDone(kPatienceMs);
}
