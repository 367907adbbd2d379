// SPDX-License-Identifier: GPL-3.0-or-later
// A map that may have a background beneath the plan, with settings and a cache of its own.
#pragma once

#include "store/folder.h"
#include "tile_server.h"
#include "window_hand.h"

#include <memory>

namespace fwtest {

using namespace fw;

/// A cache and settings of its own, and a plan under a uid of its own.
struct Ground {
    fw::testing::TestFolder cache;
    WindowPlan plan = windowPlan();

    explicit Ground(const std::string& uid = "plan-one") {
        needGuiApp();
        QSettings().clear();
        qputenv("XDG_CACHE_HOME", QByteArray::fromStdString(cache.path().string()));
        setUid(uid);
    }
    void setUid(const std::string& uid) {
        PlanSettings s = *plan.loaded.plan.settings;
        s.uid = uid;
        plan.loaded.plan.settings = std::make_shared<const PlanSettings>(s);
    }
};

/// A map without what moves.
struct BasemapStand {
    Workspace space;
    std::unique_ptr<MapView> map;

    explicit BasemapStand(const LoadedPlan& plan) {
        space.shown.setTint(GroundTint::none);
        for (const MapLayer l : {MapLayer::aimRose, MapLayer::footprint, MapLayer::findings, MapLayer::beams,
                                 MapLayer::fringes, MapLayer::names})
            space.shown.setOn(l, false);
        map = std::make_unique<MapView>(space);
        map->resize(640, 480);
        map->show();
        REQUIRE(QTest::qWaitForWindowExposed(map.get(), kPatienceMs));
        REQUIRE(space.document.adopt(plan));
        look(fw::testing::place(0, 0), 0.5);
    }
    void look(PlanePoint centre, double metresPerPixel) {
        Camera c = map->camera();
        c.centre = centre;
        c.metresPerPixel = metresPerPixel;
        map->setCamera(c);
    }
    /// What the plan's computation draws is there: for whoever compares one whole picture with another.
    void compute() { REQUIRE(allQuiet(space)); }
    /// All that is in view has come, or is known not to, and is drawn.
    void settle() {
        // Looking is put off a little, so that panning does not ask for what only passes by.
        QTest::qWait(250);
        REQUIRE(QTest::qWaitFor([&] { return space.basemap.settled() && map->sharp(); }, kPatienceMs));
        QTest::qWait(150);
        REQUIRE(QTest::qWaitFor([&] { return map->sharp(); }, kPatienceMs));
    }
    [[nodiscard]] QImage picture() const {
        return map->grab().toImage().convertToFormat(QImage::Format_RGB32);
    }
    [[nodiscard]] QColor at(const QImage& image, PlanePoint p) const {
        return image.pixelColor((map->camera().toScreen(p) * image.devicePixelRatio()).toPoint());
    }
    [[nodiscard]] const Frame& frame() const { return space.document.frame(); }
    [[nodiscard]] PlanePoint inPlan(PlanePoint web) const { return *frame().toPlane(fromWeb(web)); }
};

inline BasemapChoice choiceOf(const TileServer& server, int strength = 100) {
    BasemapChoice c;
    c.kind = BasemapChoice::Kind::address;
    c.address = server.address();
    c.attribution = QStringLiteral("Survey of Port Merrow");
    c.strength = strength;
    return c;
}

inline int distance(const QColor& a, const QColor& b) {
    return std::abs(a.red() - b.red()) + std::abs(a.green() - b.green()) + std::abs(a.blue() - b.blue());
}

} // namespace fwtest
