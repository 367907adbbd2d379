// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tools/area_tool.h"
#include "canvas/tools/measure_tool.h"
#include "canvas/tools/place_tool.h"
#include "canvas/tools/select_tool.h"
#include "support/places.h"

#include "catch.h"
#include "tool_bench.h"

#include <QClipboard>

using namespace fw;
using fwtest::kPatienceMs;
using namespace fw::testing;
using fwtest::needGuiApp;
using fwtest::ToolBench;

namespace {

constexpr double kPixelM = 0.51; // a place under the pointer is known to one pixel

bool near(PlanePoint a, PlanePoint b, double m = kPixelM) { return planeDistance(a, b) <= m; }

// The first mount of the small plan, on the south wall of the western of the northern houses.
void hangOnWall(LoadedPlan& loaded) {
    Mount m = *loaded.plan.mounts.begin();
    m.kind = MountKind::wall;
    m.at = place(60, 36.7);
    m.faces = TrueAzimuth{180};
    loaded.plan.mounts.put(m);
    Radio r = *loaded.plan.radios.begin();
    r.azimuth = {170};
    loaded.plan.radios.put(r);
}

ItemId addArea(LoadedPlan& loaded) {
    CongestionArea a;
    a.id = loaded.plan.lastId = loaded.plan.nextId();
    a.name = "Quay";
    a.area.outer = {place(-120, -100), place(-40, -100), place(-40, -40), place(-120, -40)};
    loaded.plan.congestionAreas.put(a);
    return a.id;
}

bool says(const QString& text, const char* part) { return text.contains(QLatin1String(part)); }

} // namespace

TEST_CASE("a click chooses, Ctrl and Shift add, a double click on empty ground chooses nothing") {
    needGuiApp();
    ToolBench b;
    const ItemId first = b.mountOf(b.plan.small), second = b.mountOf(b.plan.otherSmall);
    b.click(b.of(first));
    CHECK(b.space.selection.items() == std::vector{first});
    b.click(b.of(second), Qt::ControlModifier);
    CHECK(b.space.selection.items().size() == 2);
    b.click(b.of(first), Qt::ShiftModifier);
    CHECK(b.space.selection.items() == std::vector{second});
    b.click(b.at(-60, 60)); // one click on open ground keeps it
    CHECK_FALSE(b.space.selection.empty());
    b.doubleClick(b.at(-60, 60));
    CHECK(b.space.selection.empty());
    CHECK(b.steps() == 0);
}

TEST_CASE("a frame chooses what lies in it and Esc takes it back") {
    needGuiApp();
    ToolBench b;
    const ItemId first = b.mountOf(b.plan.small), second = b.mountOf(b.plan.otherSmall);
    b.drag(b.at(-20, 20), b.at(80, -80));
    CHECK(b.space.selection.items() == std::vector{first, second});
    b.drag(b.at(-20, 20), b.at(20, -20));
    CHECK(b.space.selection.items() == std::vector{first});
    b.drag(b.at(50, -50), b.at(75, -75), Qt::ShiftModifier);
    CHECK(b.space.selection.items().size() == 2);
    b.space.selection.clear();
    b.press(b.at(-20, 20));
    b.move(b.at(80, -80));
    CHECK(b.space.selection.items().size() == 2);
    b.key(Qt::Key_Escape);
    CHECK(b.space.selection.empty());
    b.release(b.at(80, -80));
    CHECK(b.space.selection.empty());
}

TEST_CASE("a hand that trembles does not move a mount") {
    needGuiApp();
    ToolBench b;
    const ItemId mount = b.mountOf(b.plan.small);
    const Plan before = b.now();
    const QPointF p = b.of(mount);
    b.press(p);
    b.move(p + QPointF(2, 2));
    b.release(p + QPointF(3, 0));
    CHECK(b.now() == before);
    CHECK(b.steps() == 0);
    CHECK(b.space.selection.has(mount));
}

TEST_CASE("a drag moves a mount as one step that undo takes back") {
    needGuiApp();
    ToolBench b;
    const ItemId mount = b.mountOf(b.plan.small);
    const Plan before = b.now();
    const QPointF p = b.of(mount) + QPointF(2, 1); // held beside its middle
    b.press(p);
    b.move(p + QPointF(-30, 20));
    CHECK(b.space.drag.active());
    CHECK(b.now() == before); // not before release
    b.move(p + QPointF(-60, 40));
    CHECK(says(b.map.tool().hint(), "moved by"));
    b.release(p + QPointF(-60, 40));
    CHECK(near(b.now().mounts.find(mount)->at, place(-30, -20), 1e-6));
    CHECK(b.steps() == 1);
    CHECK(b.lastStep() == "Move " + QString::fromStdString(b.now().label(mount)));
    b.space.document.history().undo();
    CHECK(b.now() == before);
}

TEST_CASE("what else is chosen moves along") {
    needGuiApp();
    ToolBench b;
    const ItemId first = b.mountOf(b.plan.small), second = b.mountOf(b.plan.otherSmall);
    const PlanePoint other = b.now().mounts.find(second)->at;
    b.space.selection.set({first, second});
    b.drag(b.of(first), b.of(first) + QPointF(20, 0));
    CHECK(near(b.now().mounts.find(second)->at, other + PlanePoint{10, 0}, 1e-6));
    CHECK(b.steps() == 1);
    CHECK(b.space.selection.items().size() == 2);
}

TEST_CASE("Esc leaves a drag and the release after it does nothing") {
    needGuiApp();
    ToolBench b;
    const ItemId mount = b.mountOf(b.plan.small);
    const Plan before = b.now();
    const QPointF p = b.of(mount);
    b.press(p);
    b.move(p + QPointF(40, 0));
    b.key(Qt::Key_Escape);
    CHECK_FALSE(b.space.drag.active());
    b.move(p + QPointF(60, 0));
    b.release(p + QPointF(60, 0));
    CHECK(b.now() == before);
    CHECK(b.steps() == 0);
}

TEST_CASE("a wall mount keeps to walls, turns with them, and Alt lets go") {
    needGuiApp();
    ToolBench b(hangOnWall);
    const ItemId mount = b.now().mounts.begin()->id, radio = b.now().radios.begin()->id;
    // To the east wall of the same house (51..69 by 37..55).
    b.drag(b.of(mount), b.at(71, 46));
    const Mount* m = b.now().mounts.find(mount);
    CHECK(near(m->at, place(69 + kOffWallM, 46)));
    CHECK(std::fabs(m->at.x - place(69 + kOffWallM, 0).x) < 1e-6);
    REQUIRE(m->faces);
    CHECK(std::fabs(wrap180(m->faces->deg - 90)) < 0.1); // convergence on the central meridian is nil
    CHECK(std::fabs(wrap180(b.now().radios.find(radio)->azimuth.deg - 80)) < 0.1);
    CHECK(b.steps() == 1);
    // A corner is taken from near it.
    b.press(b.of(mount));
    b.move(b.at(70.5, 54.5));
    CHECK(says(b.map.tool().hint(), "corner"));
    b.release(b.at(70.5, 54.5));
    CHECK(near(b.now().mounts.find(mount)->at, place(69.3, 55), 1e-6));
    b.drag(b.of(mount), b.at(72, 46), Qt::AltModifier);
    CHECK(near(b.now().mounts.find(mount)->at, place(72, 46)));
}

TEST_CASE("the handle turns the radio in whole degrees, with Shift in steps of five") {
    needGuiApp();
    ToolBench b;
    const ItemId mount = b.mountOf(b.plan.small), radio = chainOf(b.now(), b.plan.small).radio;
    b.space.selection.setOne(mount);
    // The handle lies on the boresight; look for it from the mount outwards.
    std::optional<QPointF> handle;
    for (double d = 10; d < 300 && !handle; d += 2)
        for (const MapHit& hit : b.map.hitsAt(b.of(mount) + QPointF(d, 0)))
            if (hit.part == MapPart::turnHandle) handle = b.of(mount) + QPointF(d, 0);
    REQUIRE(handle);
    const QPointF to = b.of(mount) + QPointF(60, 21);
    b.press(*handle);
    b.move(to);
    CHECK(says(b.map.tool().hint(), "looks towards"));
    CHECK(b.space.drag.active());
    b.release(to);
    CHECK(b.now().radios.find(radio)->azimuth.deg == 109); // atan(21 / 60) is 19.3 deg below east
    CHECK(says(b.lastStep(), "Turn"));
    b.space.document.history().undo();
    b.press(*handle);
    b.move(to, Qt::ShiftModifier);
    b.release(to, Qt::ShiftModifier);
    CHECK(b.now().radios.find(radio)->azimuth.deg == 110);
}

TEST_CASE("arrows and brackets nudge, one step in the history for a row of them") {
    needGuiApp();
    ToolBench b;
    const ItemId mount = b.mountOf(b.plan.small), radio = chainOf(b.now(), b.plan.small).radio;
    const PlanePoint from = b.now().mounts.find(mount)->at;
    b.space.selection.setOne(mount);
    b.key(Qt::Key_Up);
    b.key(Qt::Key_Right);
    b.key(Qt::Key_Right, Qt::ShiftModifier);
    CHECK(b.now().mounts.find(mount)->at == from + PlanePoint{11, 1});
    CHECK(b.steps() == 1);
    b.key(Qt::Key_BracketRight);
    b.key(Qt::Key_BraceLeft, Qt::ShiftModifier);
    CHECK(b.now().radios.find(radio)->azimuth.deg == 81);
    CHECK(b.steps() == 2);
    b.space.document.history().undo();
    b.space.document.history().undo();
    CHECK(b.now().mounts.find(mount)->at == from);
    b.space.selection.clear();
    const Camera before = b.map.camera();
    b.key(Qt::Key_Up);
    CHECK(b.steps() == 0);
    CHECK(b.map.camera() == before);
}

TEST_CASE("Delete removes what is chosen with all that hangs on it") {
    needGuiApp();
    ToolBench b;
    const ItemId mount = b.mountOf(b.plan.small);
    const Plan before = b.now();
    b.space.selection.set({mount, chainOf(b.now(), b.plan.small).radio});
    b.key(Qt::Key_Delete);
    CHECK_FALSE(b.now().has(mount));
    CHECK_FALSE(b.now().has(b.plan.small));
    CHECK(b.space.selection.empty());
    b.space.document.history().undo();
    CHECK(b.now() == before);
}

TEST_CASE("N goes through the items from the middle of the view, Shift+N back") {
    needGuiApp();
    ToolBench b;
    const ItemId first = b.mountOf(b.plan.small), second = b.mountOf(b.plan.otherSmall);
    b.key(Qt::Key_N);
    CHECK(b.space.selection.primary() == first);
    b.key(Qt::Key_N);
    CHECK(b.space.selection.primary() == second);
    b.key(Qt::Key_N);
    CHECK(b.space.selection.primary() == b.now().macroSites.begin()->id);
    b.key(Qt::Key_N);
    CHECK(b.space.selection.primary() == first);
    b.key(Qt::Key_N, Qt::ShiftModifier);
    CHECK(b.space.selection.primary() == b.now().macroSites.begin()->id);
}

TEST_CASE("corners of a chosen area are dragged, made and removed") {
    needGuiApp();
    ItemId area;
    ToolBench b([&](LoadedPlan& loaded) { area = addArea(loaded); });
    const auto ring = [&] { return b.now().congestionAreas.find(area)->area.outer; };
    b.click(b.at(-80, -100)); // its outline
    REQUIRE(b.space.selection.items() == std::vector{area});
    b.drag(b.at(-40, -40), b.at(-30, -20));
    CHECK(near(ring()[2], place(-30, -20)));
    CHECK(b.steps() == 1);
    b.doubleClick(b.at(-80, -100));
    REQUIRE(ring().size() == 5);
    CHECK(near(ring()[1], place(-80, -100)));
    CHECK(b.steps() == 2);
    b.key(Qt::Key_Down); // the new corner is the chosen one
    CHECK(near(ring()[1], place(-80, -101)));
    b.key(Qt::Key_Delete);
    CHECK(ring().size() == 4);
    CHECK(b.space.selection.has(area));
    b.press(b.at(-120, -40));
    b.move(b.at(0, -80)); // over to the other side
    CHECK(says(b.map.tool().hint(), "cross itself"));
    const Ring before = ring();
    b.release(b.at(0, -80));
    CHECK(ring() == before);
    REQUIRE(b.refusals.size() == 1);
    CHECK(says(b.refusals.front(), "cross itself"));
}

TEST_CASE("a plan open for reading only is looked at and not changed") {
    needGuiApp();
    ItemId area;
    ToolBench b([&](LoadedPlan& loaded) {
        area = addArea(loaded);
        loaded.readOnly = true;
    });
    const Plan before = b.now();
    const ItemId mount = b.mountOf(b.plan.small);
    b.press(b.of(mount));
    b.move(b.of(mount) + QPointF(40, 0));
    CHECK(says(b.map.tool().hint(), "reading only"));
    b.release(b.of(mount) + QPointF(40, 0));
    b.space.selection.setOne(area);
    b.drag(b.at(-40, -40), b.at(-30, -20));
    b.doubleClick(b.at(-80, -100));
    b.key(Qt::Key_Up);
    b.key(Qt::Key_Delete);
    b.map.setTool(std::make_unique<PlaceTool>(b.map));
    b.click(b.at(-60, 60));
    CHECK(says(b.map.tool().hint(), "reading only"));
    CHECK(b.now() == before);
    CHECK(b.steps() == 0);
    CHECK(b.refusals.size() == 3); // nudge, removal, placing; the others say it as a hint
}

TEST_CASE("a placed small cell takes its kind from where it is put, and the tool stays until Esc") {
    needGuiApp();
    ToolBench b;
    b.map.setTool(std::make_unique<PlaceTool>(b.map));
    auto& tool = static_cast<PlaceTool&>(b.map.tool());
    CHECK(tool.carrier() == b.now().cells.begin()->carrier);
    const auto placedAt = [&](QPointF p, Qt::KeyboardModifiers m) {
        b.click(p, m);
        return *b.now().mounts.find(b.space.selection.primary());
    };
    const Mount pole = placedAt(b.at(-60, 60), {});
    CHECK(pole.kind == MountKind::pole);
    CHECK(near(pole.at, place(-60, 60), 1e-6));
    CHECK_FALSE(pole.faces);
    CHECK(pole.height.m == 7);
    const Mount wall = placedAt(b.at(60, 36), {}); // south wall of a house of 9.6 m
    CHECK(wall.kind == MountKind::wall);
    CHECK(near(wall.at, place(60, 37 - kOffWallM), 1e-6));
    CHECK(std::fabs(wall.faces->deg - 180) < 0.1);
    CHECK(wall.height.m == 7);
    CHECK(b.now().radios.find(chainOf(b.now(), wall.id).radio)->azimuth.deg == 180);
    const Mount parapet = placedAt(b.at(60, 54), Qt::ShiftModifier);
    CHECK(parapet.kind == MountKind::parapet);
    CHECK(near(parapet.at, place(60, 55 - kBehindEdgeM), 1e-6));
    CHECK(parapet.height.m == Approx(9.6 + 1 + 1)); // roof, parapet, a metre over it
    const Mount roof = placedAt(b.at(60, 46), Qt::AltModifier);
    CHECK(roof.kind == MountKind::roof);
    CHECK(roof.height.m == Approx(9.6 + 1 + 1.5));
    CHECK(b.steps() == 4);
    CHECK(dynamic_cast<PlaceTool*>(&b.map.tool()));
    b.key(Qt::Key_Escape);
    CHECK(QTest::qWaitFor([&] { return dynamic_cast<SelectTool*>(&b.map.tool()) != nullptr; }, kPatienceMs));
}

TEST_CASE("a tool that left does not take the map from the one that came") {
    needGuiApp();
    ToolBench b;
    b.map.setTool(std::make_unique<PlaceTool>(b.map));
    b.map.setTool(std::make_unique<MeasureTool>(b.map)); // cancels the first
    QTest::qWait(20);
    CHECK(dynamic_cast<MeasureTool*>(&b.map.tool()));
}

TEST_CASE("an area is drawn corner by corner and not closed across itself") {
    needGuiApp();
    ToolBench b;
    b.map.setTool(std::make_unique<AreaTool>(b.map));
    const auto& tool = static_cast<AreaTool&>(b.map.tool());
    b.click(b.at(-100, -100));
    b.click(b.at(-40, -100));
    b.key(Qt::Key_Return);
    CHECK(says(tool.hint(), "three corners"));
    b.click(b.at(-100, -40));
    b.click(b.at(-40, -40));
    b.key(Qt::Key_Return);
    CHECK(says(tool.hint(), "cross itself"));
    CHECK(b.steps() == 0);
    b.key(Qt::Key_Backspace);
    b.key(Qt::Key_Backspace);
    CHECK(tool.corners().size() == 2);
    b.click(b.at(-40, -40));
    b.doubleClick(b.at(-100, -40));
    REQUIRE(b.now().congestionAreas.size() == 1);
    const CongestionArea& area = *b.now().congestionAreas.begin();
    CHECK(areaOf(area.area) == Approx(3600).epsilon(0.02));
    CHECK(b.space.selection.primary() == area.id);
    CHECK(tool.corners().empty());
    b.click(b.at(0, 100));
    b.key(Qt::Key_Escape); // first drops what was begun
    CHECK(dynamic_cast<AreaTool*>(&b.map.tool()));
    b.key(Qt::Key_Escape);
    CHECK(QTest::qWaitFor([&] { return dynamic_cast<SelectTool*>(&b.map.tool()) != nullptr; }, kPatienceMs));
    CHECK(b.steps() == 1);
}

TEST_CASE("the measuring line follows the pointer and gives its figures to the clipboard") {
    needGuiApp();
    ToolBench b;
    b.map.setTool(std::make_unique<MeasureTool>(b.map));
    const auto& tool = static_cast<MeasureTool&>(b.map.tool());
    b.click(b.at(0, 0));
    b.move(b.at(30, 40), {}, false);
    REQUIRE(tool.legs().size() == 1);
    const Frame& frame = b.space.document.frame();
    CHECK(tool.legs()[0].distanceM == frame.groundDistance(tool.legs()[0].from, tool.legs()[0].to));
    CHECK(tool.legs()[0].distanceM == Approx(50 / 0.9996).epsilon(0.002)); // scale of the zone's middle
    CHECK(tool.legs()[0].azimuth.deg == Approx(36.87).margin(0.1));
    CHECK_FALSE(tool.legs()[0].magnetic);
    CHECK(says(tool.hint(), "magnetic model")); // says why there is no magnetic bearing
    b.click(b.at(30, 40));
    b.doubleClick(b.at(30, 0));
    REQUIRE(tool.legs().size() == 2);
    CHECK(tool.totalM() == tool.legs()[0].distanceM + tool.legs()[1].distanceM);
    b.move(b.at(100, 100), {}, false); // ended: the pointer adds nothing
    CHECK(tool.legs().size() == 2);
    b.key(Qt::Key_C, Qt::ControlModifier);
    const QString copied = QGuiApplication::clipboard()->text();
    CHECK(copied == tool.copyText());
    CHECK(copied.split('\n').size() == 3);
    CHECK(b.steps() == 0);
}

TEST_CASE("with the magnetic model a leg has a magnetic bearing on the plan's date") {
    needGuiApp();
    ToolBench b;
    const auto field = MagneticField::load(fw::testing::sourceFile("resources/magnetic"));
    REQUIRE(field);
    b.map.setTool(std::make_unique<MeasureTool>(b.map, &*field));
    const auto& tool = static_cast<MeasureTool&>(b.map.tool());
    b.click(b.at(0, 0));
    b.click(b.at(0, 50));
    REQUIRE(tool.legs().size() == 1);
    const auto geo = b.space.document.frame().toGeo(place(0, 0));
    const auto declination = field->declinationDeg(*geo, HeightAmsl{12}, Date{2026, 6, 1});
    REQUIRE(declination);
    REQUIRE(tool.legs()[0].magnetic);
    CHECK(std::fabs(wrap180(tool.legs()[0].magnetic->deg - (tool.legs()[0].azimuth.deg - *declination))) <
          1e-6);
    CHECK(says(tool.hint(), "magnetic"));
}
