// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "canvas/map_view.h"
#include "canvas/sign_sheet.h"
#include "canvas/tile_store.h"

#include <QSignalSpy>
#include <QWheelEvent>

using namespace fw;
using namespace fwtest;
using fw::testing::place;

namespace {

/// A map of the window's test plan, its tiles drawn, without tints and what comes in from computations.
struct MapStand {
    Workspace space;
    WindowPlan plan = windowPlan();
    std::unique_ptr<MapView> map;

    explicit MapStand(bool quiet = true) {
        needGuiApp();
        space.shown.setTint(GroundTint::none);
        if (quiet)
            for (const MapLayer layer :
                 {MapLayer::aimRose, MapLayer::footprint, MapLayer::findings, MapLayer::beams})
                space.shown.setOn(layer, false);
        REQUIRE(space.document.adopt(std::move(plan.loaded)));
        map = std::make_unique<MapView>(space);
        map->resize(640, 480);
        map->show();
        REQUIRE(QTest::qWaitForWindowExposed(map.get(), kPatienceMs));
        look(place(0, 0), 0.5);
    }
    void look(PlanePoint centre, double metresPerPixel) {
        Camera c = map->camera();
        c.centre = centre;
        c.metresPerPixel = metresPerPixel;
        map->setCamera(c);
        sharpen();
    }
    void sharpen() {
        REQUIRE(QTest::qWaitFor([&] { return map->sharp(); }, kPatienceMs));
    }
    [[nodiscard]] QImage picture() const {
        return map->grab().toImage().convertToFormat(QImage::Format_RGB32);
    }
    [[nodiscard]] const Plan& now() const { return space.document.plan(); }
    [[nodiscard]] ItemId mount() const { return chainOf(now(), plan.small).mount; }
    void wheel(QPointF at, int angle) const {
        QWheelEvent e(at, map->mapToGlobal(at), {}, {0, angle}, Qt::NoButton, Qt::NoModifier,
                      Qt::NoScrollPhase, false);
        QApplication::sendEvent(map.get(), &e);
    }
};

/// Pixels near a place that are close to a colour.
int pixelsLike(const QImage& image, QPointF at, int reach, const QColor& color) {
    const double ratio = image.devicePixelRatio();
    int found = 0;
    for (int y = -reach; y <= reach; ++y)
        for (int x = -reach; x <= reach; ++x) {
            const QPoint p = ((at + QPointF(x, y)) * ratio).toPoint();
            if (!image.rect().contains(p)) continue;
            const QColor c = image.pixelColor(p);
            found += std::abs(c.red() - color.red()) + std::abs(c.green() - color.green()) +
                         std::abs(c.blue() - color.blue()) <
                     40;
        }
    return found;
}

Building movedBy(const Building& b, PlanePoint step) {
    Building out = b;
    for (PlanePoint& p : out.footprint.outer) p = p + step;
    return out;
}

std::vector<MapTileKey> tilesOver(const Box& box, double metresPerPixel) {
    std::vector<MapTileKey> out;
    const double side = metresPerPixel * kTilePx;
    for (auto row = std::llround(std::floor(box.y0 / side)); static_cast<double>(row) * side < box.y1; ++row)
        for (auto col = std::llround(std::floor(box.x0 / side)); static_cast<double>(col) * side < box.x1;
             ++col)
            out.push_back({metresPerPixel, col, row});
    return out;
}

std::shared_ptr<const TileScene> sceneOf(const Plan& plan) {
    auto s = std::make_shared<TileScene>();
    s->plan = plan;
    s->index = SceneryIndex::make(plan, nullptr);
    s->colors = dayPalette();
    s->font = QApplication::font();
    s->font.setPixelSize(12);
    return s;
}

} // namespace

TEST_CASE("The wheel leaves the ground under the pointer where it is", "[map]") {
    MapStand s;
    const QPointF at(133, 402);
    const PlanePoint before = s.map->camera().toPlane(at);
    for (const int angle : {120, 120, -120, 45, 15, -360, 240}) {
        s.wheel(at, angle);
        const PlanePoint now = s.map->camera().toPlane(at);
        CHECK(planeDistance(before, now) < 1e-6);
    }
    CHECK(s.map->camera().metresPerPixel < 0.5);
}

TEST_CASE("Fine wheel steps add up to whole ones", "[map]") {
    MapStand s;
    for (int k = 0; k < 120; ++k) s.wheel({320, 240}, 1);
    const double fine = s.map->camera().metresPerPixel;
    s.look(place(0, 0), 0.5);
    s.wheel({320, 240}, 120);
    CHECK(fine == Approx(s.map->camera().metresPerPixel).epsilon(0.03)); // one step of the wheel's scale
}

TEST_CASE("The middle button takes the ground along", "[map]") {
    MapStand s;
    const PlanePoint held = s.map->camera().toPlane({200, 200});
    QTest::mousePress(s.map.get(), Qt::MiddleButton, {}, {200, 200});
    QTest::mouseMove(s.map.get(), {260, 170});
    QTest::mouseRelease(s.map.get(), Qt::MiddleButton, {}, {260, 170});
    CHECK(planeDistance(s.map->camera().toPlane({260, 170}), held) < 1e-6);
    QTest::mouseMove(s.map.get(), {300, 100}); // let go
    CHECK(planeDistance(s.map->camera().toPlane({260, 170}), held) < 1e-6);
}

TEST_CASE("Space and the left button pan and leave the tool alone", "[map]") {
    struct Counting : Tool {
        Counting(MapView& map, int& count) : Tool(map), presses(count) {}
        void press(const MapPointer&) override { ++presses; }
        int& presses;
    };
    MapStand s;
    int presses = 0;
    s.map->setTool(std::make_unique<Counting>(*s.map, presses));
    const PlanePoint held = s.map->camera().toPlane({200, 200});
    QTest::keyPress(s.map.get(), Qt::Key_Space);
    QTest::mousePress(s.map.get(), Qt::LeftButton, {}, {200, 200});
    QTest::mouseMove(s.map.get(), {100, 240});
    QTest::mouseRelease(s.map.get(), Qt::LeftButton, {}, {100, 240});
    QTest::keyRelease(s.map.get(), Qt::Key_Space);
    CHECK(presses == 0);
    CHECK(planeDistance(s.map->camera().toPlane({100, 240}), held) < 1e-6);
    QTest::mouseClick(s.map.get(), Qt::LeftButton, {}, {100, 240});
    CHECK(presses == 1);
}

TEST_CASE("A view that was panned to is the view drawn anew", "[map]") {
    MapStand s;
    REQUIRE(allQuiet(s.space));
    QTest::mousePress(s.map.get(), Qt::MiddleButton, {}, {320, 240});
    for (const QPoint p : {QPoint(300, 250), QPoint(251, 281), QPoint(190, 333)})
        QTest::mouseMove(s.map.get(), p);
    QTest::mouseRelease(s.map.get(), Qt::MiddleButton, {}, {190, 333});
    s.sharpen();
    const QImage panned = s.picture();
    MapView fresh(s.space);
    fresh.resize(640, 480);
    fresh.show();
    REQUIRE(QTest::qWaitForWindowExposed(&fresh, kPatienceMs));
    fresh.setCamera(s.map->camera());
    REQUIRE(QTest::qWaitFor([&] { return fresh.sharp(); }, kPatienceMs));
    CHECK(fresh.grab().toImage().convertToFormat(QImage::Format_RGB32) == panned);
}

TEST_CASE("After a zoom the tiles become sharp, and until then there is a picture", "[map]") {
    MapStand s;
    s.map->zoomBy(1.7);
    CHECK_FALSE(s.map->sharp());
    // Of the scaled tiles: a building stands where it belongs at once.
    const QPointF house = s.map->camera().toScreen(place(60, 46));
    CHECK(pixelsLike(s.picture(), house, 6, dayPalette().building) > 60);
    s.sharpen();
    CHECK(pixelsLike(s.picture(), house, 6, dayPalette().building) > 60);
}

TEST_CASE("Moving a house makes stale only the tiles that it leaves or reaches", "[map]") {
    needGuiApp();
    Plan plan = windowPlan().loaded.plan;
    TileStore store({}, 1);
    store.replace(sceneOf(plan));
    const auto keys = tilesOver(plan.settings->workArea, 0.1); // 51 m a side
    store.want(keys);
    REQUIRE(QTest::qWaitFor(
        [&] { return std::all_of(keys.begin(), keys.end(), [&](auto& k) { return store.fresh(k); }); },
        kPatienceMs));
    const Building before = plan.scenery.building(plan.scenery.buildingChunks()[0]->ids[0]).value();
    const Building after = movedBy(before, {0, 70});
    plan.scenery.putBuildings({after});
    store.setScene(sceneOf(plan), {boundsOf(before.footprint), boundsOf(after.footprint)});
    std::size_t stale = 0;
    for (const MapTileKey& key : keys) {
        const Box reach = key.bounds().grown(kTileReachPx * 0.1);
        const bool touched =
            boundsOf(before.footprint).meets(reach) || boundsOf(after.footprint).meets(reach);
        CHECK(store.fresh(key) == !touched);
        CHECK(store.picture(key)); // the old picture stays
        stale += touched;
    }
    CHECK(stale > 0);
    CHECK(stale == store.staleCount());
    CHECK(stale * 4 < keys.size());
    store.want(keys);
    REQUIRE(QTest::qWaitFor([&] { return store.staleCount() == 0; }, kPatienceMs));
    // What was kept equals what a drawing of everything gives.
    const auto scene = sceneOf(plan);
    for (const MapTileKey& key : keys)
        CHECK(*store.picture(key) == drawTile(*scene, key, [] { return true; }));
}

TEST_CASE("Pictures of an older state that come in late do not pass for new ones", "[map]") {
    needGuiApp();
    Plan plan = windowPlan().loaded.plan;
    TileStore store({}, 1);
    store.setPaused(true);
    store.replace(sceneOf(plan));
    const auto keys = tilesOver(plan.settings->workArea, 0.5);
    store.want(keys);
    const Building house = plan.scenery.building(plan.scenery.buildingChunks()[0]->ids[0]).value();
    store.setPaused(false);
    for (int k = 0; k < 40; ++k) { // edits come in while tiles are drawn
        const Building now = movedBy(house, {0.0, 1.0 + k});
        const Box was = boundsOf(plan.scenery.building(house.id)->footprint);
        plan.scenery.putBuildings({now});
        store.setScene(sceneOf(plan), {was, boundsOf(now.footprint)});
        store.want(keys);
        QTest::qWait(2);
    }
    REQUIRE(QTest::qWaitFor(
        [&] { return std::all_of(keys.begin(), keys.end(), [&](auto& k) { return store.fresh(k); }); },
        kPatienceMs));
    const auto scene = sceneOf(plan);
    for (const MapTileKey& key : keys)
        CHECK(*store.picture(key) == drawTile(*scene, key, [] { return true; }));
}

TEST_CASE("A paused store draws nothing, and goes on when resumed", "[map]") {
    needGuiApp();
    TileStore store({}, 1);
    const Plan plan = windowPlan().loaded.plan;
    store.setPaused(true);
    store.replace(sceneOf(plan));
    const auto keys = tilesOver(plan.settings->workArea, 0.5);
    store.want(keys);
    QTest::qWait(60);
    CHECK(store.bytes() == 0);
    store.setPaused(false);
    CHECK(QTest::qWaitFor(
        [&] { return std::all_of(keys.begin(), keys.end(), [&](auto& k) { return store.fresh(k); }); },
        kPatienceMs));
}

TEST_CASE("The store keeps to its bytes and gives up what was not used for longest", "[map]") {
    needGuiApp();
    const std::size_t mostBytes = std::size_t(6) << 20;
    TileStore store({}, 1, mostBytes);
    const Plan plan = windowPlan().loaded.plan;
    store.replace(sceneOf(plan));
    const auto keys = tilesOver(plan.settings->workArea, 0.2); // 36 of a megabyte each
    REQUIRE(keys.size() > 12);
    for (const MapTileKey& key : keys) {
        store.want({key});
        REQUIRE(QTest::qWaitFor([&] { return store.fresh(key); }, kPatienceMs));
        CHECK(store.bytes() <= mostBytes);
    }
    CHECK(store.picture(keys.back()));
    CHECK_FALSE(store.picture(keys.front()));
}

TEST_CASE("Hits and the rubber band are judged by the signs on the screen", "[map]") {
    MapStand s;
    const Camera& c = s.map->camera();
    const QPointF at = c.toScreen(place(0, 0));
    const auto first = [&](QPointF p) {
        const auto hits = s.map->hitsAt(p);
        return hits.empty() ? MapHit{} : hits.front();
    };
    CHECK(first(at).item == s.mount());
    CHECK(first(at + QPointF(0, -8.5)).item == s.mount()); // nine pixels are enough
    CHECK(first(at + QPointF(0, -14)).item != s.mount());
    CHECK(first(at + QPointF(12, 0)).item == s.mount()); // its plate looks east
    CHECK(first(at + QPointF(-14, 0)).item != s.mount());
    const ItemId house = s.now().scenery.buildingChunks()[0]->ids[0];
    CHECK(first(c.toScreen(place(60, 46))).item == house);
    CHECK(first(c.toScreen(place(60, 60))).item == ItemId{});
    const ItemId site = s.now().macroSites.begin()->id, sector = s.now().sectors.begin()->id;
    s.look(place(-100, 0), 0.5);
    const QPointF mast = s.map->camera().toScreen(place(-180, 0));
    CHECK(first(mast).item == site);
    // On the arc in front, not behind.
    const SignSheet sheet = [&] {
        SignSheet x;
        x.setLook(dayPalette(), s.map->font(), s.map->devicePixelRatioF());
        return x;
    }();
    const double arc = SignSheet::kArcRadius * sheet.scaleAt(0.5);
    CHECK(first(mast + QPointF(arc, 0)).item == sector);
    CHECK(first(mast + QPointF(-arc, 0)).item == ItemId{});

    s.look(place(0, 0), 0.5);
    const QPointF sw = c.toScreen(place(-10, -10)), ne = c.toScreen(place(10, 10));
    CHECK(s.map->itemsIn(QRectF(sw, ne)) == std::vector{s.mount()});
    CHECK(s.map->itemsIn(QRectF(ne, sw)) == std::vector{s.mount()}); // drawn the other way round
    CHECK(s.map->itemsIn(QRectF(c.toScreen(place(-250, 250)), c.toScreen(place(250, -250)))).size() == 3);
    s.space.shown.setOn(MapLayer::smallCells, false); // what is not shown cannot be taken hold of
    CHECK(first(at).item != s.mount());
    CHECK(s.map->itemsIn(QRectF(sw, ne)).empty());
}

TEST_CASE("The knob of the chosen radio and corners of a chosen area come before all else", "[map]") {
    MapStand s;
    const Chain chain = chainOf(s.now(), s.plan.small);
    s.space.selection.setOne(chain.mount);
    bool found = false;
    const QPointF at = s.map->camera().toScreen(place(0, 0));
    for (int r = 30; r < 250 && !found; ++r) { // due east of the mount, as it looks
        const auto hits = s.map->hitsAt(at + QPointF(r, 0));
        found = !hits.empty() && hits.front().part == MapPart::turnHandle && hits.front().item == chain.radio;
    }
    CHECK(found);
    CongestionArea area;
    area.id = s.now().nextId();
    area.name = "Quay";
    area.area.outer = {place(0, 0), place(90, 0), place(90, 60), place(0, 60)};
    REQUIRE(s.space.document.perform({"Draw Quay", {Put{area}}}));
    s.space.selection.setOne(area.id);
    const auto corner = s.map->hitsAt(at);
    REQUIRE_FALSE(corner.empty());
    CHECK(corner.front().item == area.id);
    CHECK(corner.front().part == MapPart::corner);
    CHECK(corner.front().corner == 0);
    // Inside, what stands there is meant before the area; on its edge the area is.
    CHECK(s.map->hitsAt(s.map->camera().toScreen(place(60, 46))).front().item ==
          s.now().scenery.buildingChunks()[0]->ids[0]);
    CHECK(s.map->hitsAt(s.map->camera().toScreen(place(45, 0))).front().item == area.id);
    CHECK(s.map->hitsAt(s.map->camera().toScreen(place(20, 30))).front().item == area.id);
}

TEST_CASE("What is dragged is drawn where the hand holds it", "[map]") {
    MapStand s;
    s.space.shown.setOn(MapLayer::names, false);
    s.sharpen();
    const QColor accent = dayPalette().accent;
    const QPointF before = s.map->camera().toScreen(place(0, 0)),
                  after = s.map->camera().toScreen(place(-40, 30));
    REQUIRE(pixelsLike(s.picture(), before + QPointF(9, 0), 4, accent) > 20);
    REQUIRE(pixelsLike(s.picture(), after, 14, accent) == 0);
    REQUIRE(s.space.drag.begin({s.mount()}));
    s.space.drag.moveTo(place(-40, 30));
    CHECK(pixelsLike(s.picture(), after + QPointF(9, 0), 4, accent) > 20);
    CHECK(pixelsLike(s.picture(), before, 14, accent) == 0);
    s.space.drag.abandon();
    CHECK(pixelsLike(s.picture(), before + QPointF(9, 0), 4, accent) > 20);
    CHECK(pixelsLike(s.picture(), after, 14, accent) == 0);
    // A radio that is turned shows its plate on the other side.
    REQUIRE(s.space.drag.beginRadio(chainOf(s.now(), s.plan.small).radio));
    s.space.drag.turnTo(TrueAzimuth::of(270));
    CHECK(pixelsLike(s.picture(), before + QPointF(-9, 0), 4, accent) > 20);
    CHECK(pixelsLike(s.picture(), before + QPointF(10, 0), 3, accent) == 0);
    s.space.drag.abandon();
}

TEST_CASE("By night the map is drawn in the colours of night", "[map]") {
    MapStand s;
    const auto dressed = [&](Appearance appearance) {
        wear(appearance);
        const bool dark = appearance == Appearance::night;
        REQUIRE(QTest::qWaitFor([&] { return windowPalette(s.map->palette()).dark == dark; }, kPatienceMs));
        s.sharpen();
    };
    REQUIRE(allQuiet(s.space)); // what is computed is drawn, too
    // Letters come out a trace differently when they are drawn for the first time.
    dressed(Appearance::night);
    dressed(Appearance::day);
    const QImage day = s.picture();
    dressed(Appearance::night);
    const QImage night = s.picture();
    CHECK(day != night);
    const QPoint open = s.map->camera().toScreen(place(20, 90)).toPoint() * s.map->devicePixelRatioF();
    CHECK(day.pixelColor(open) == dayPalette().ground);
    CHECK(night.pixelColor(open) == nightPalette().ground);
    dressed(Appearance::day);
    CHECK(s.picture() == day);
}

TEST_CASE("Keys zoom and pan the map, and show the whole plan", "[map]") {
    MapStand s;
    const double before = s.map->camera().metresPerPixel;
    QTest::keyClick(s.map.get(), Qt::Key_Plus);
    CHECK(s.map->camera().metresPerPixel < before);
    QTest::keyClick(s.map.get(), Qt::Key_Minus);
    CHECK(s.map->camera().metresPerPixel == Approx(before).epsilon(1e-9));
    const PlanePoint centre = s.map->camera().centre;
    QTest::keyClick(s.map.get(), Qt::Key_Right, Qt::ControlModifier);
    CHECK(s.map->camera().centre.x > centre.x + 10);
    CHECK(s.map->camera().centre.y == centre.y);
    QTest::keyClick(s.map.get(), Qt::Key_0);
    const Box seen = s.map->camera().visible(), all = s.now().settings->workArea;
    CHECK(seen.x0 < all.x0);
    CHECK(seen.y1 > all.y1);
    QSignalSpy activated(s.map.get(), &MapView::itemActivated);
    s.space.selection.setOne(s.mount());
    QTest::keyClick(s.map.get(), Qt::Key_Return);
    CHECK(activated.count() == 1);
}

TEST_CASE("Without a plan there is an empty map that takes no harm from hands", "[map]") {
    needGuiApp();
    Workspace space;
    MapView map(space);
    map.resize(300, 200);
    map.show();
    QTest::mouseClick(&map, Qt::LeftButton, {}, {100, 100});
    QTest::mouseMove(&map, {120, 90});
    QTest::keyClick(&map, Qt::Key_Plus);
    CHECK(map.hitsAt({100, 100}).empty());
    CHECK_FALSE(map.pointer());
    const QImage image = map.grab().toImage();
    CHECK(image.pixelColor(image.rect().center()) == dayPalette().ground);
}
