// SPDX-License-Identifier: GPL-3.0-or-later
// A map with a plan under it, and a hand.
#pragma once

#include "canvas/map_view.h"
#include "gui_app.h"
#include "window_plan.h"

#include <QApplication>
#include <QMouseEvent>
#include <QStringList>
#include <QTest>

#include <cmath>

namespace fwtest {

/// The small plan, half a metre a pixel, its middle in the middle of a map of 800 x 600.
struct ToolBench {
    struct App {
        App() { needGuiApp(); } // before the map, which is a widget
    } app;
    WindowPlan plan = windowPlan();
    fw::Workspace space;
    fw::MapView map{space};
    QStringList refusals;

    /// `more` may add to the plan before it is opened.
    template <class F>
    explicit ToolBench(F&& more) {
        more(plan.loaded);
        REQUIRE(space.document.adopt(plan.loaded).ok());
        QObject::connect(&space.document, &fw::PlanDocument::refused, &map,
                         [this](const QString& why) { refusals << why; });
        map.resize(800, 600);
        map.show();
        REQUIRE(QTest::qWaitForWindowExposed(&map, kPatienceMs));
        fw::Camera camera = map.camera();
        camera.centre = fw::testing::kMiddle;
        camera.metresPerPixel = 0.5;
        map.setCamera(camera);
        map.setFocus();
    }
    ToolBench() : ToolBench([](fw::LoadedPlan&) {}) {}

    [[nodiscard]] const fw::Plan& now() const { return space.document.plan(); }
    [[nodiscard]] int steps() { return space.document.history().index(); }
    [[nodiscard]] QString lastStep() {
        return space.document.history().text(space.document.history().index() - 1);
    }
    [[nodiscard]] fw::ItemId mountOf(fw::ItemId small) const { return fw::chainOf(now(), small).mount; }
    [[nodiscard]] QPointF at(double east, double north) const {
        return map.camera().toScreen(fw::testing::place(east, north));
    }
    [[nodiscard]] QPointF of(fw::ItemId mount) const {
        return map.camera().toScreen(now().mounts.find(mount)->at);
    }

    void press(QPointF p, Qt::KeyboardModifiers m = {}) {
        send(QEvent::MouseButtonPress, p, Qt::LeftButton, Qt::LeftButton, m);
    }
    void move(QPointF p, Qt::KeyboardModifiers m = {}, bool down = true) {
        send(QEvent::MouseMove, p, Qt::NoButton, down ? Qt::LeftButton : Qt::NoButton, m);
    }
    void release(QPointF p, Qt::KeyboardModifiers m = {}) {
        send(QEvent::MouseButtonRelease, p, Qt::LeftButton, Qt::NoButton, m);
    }
    void click(QPointF p, Qt::KeyboardModifiers m = {}) {
        move(p, m, false);
        press(p, m);
        release(p, m);
    }
    void doubleClick(QPointF p) {
        click(p);
        send(QEvent::MouseButtonDblClick, p, Qt::LeftButton, Qt::LeftButton, {});
        release(p);
    }
    /// In a few steps, as a hand does.
    void drag(QPointF from, QPointF to, Qt::KeyboardModifiers m = {}) {
        press(from, m);
        for (int k = 1; k <= 4; ++k) move(from + (to - from) * (k / 4.0), m);
        release(to, m);
    }
    void key(int k, Qt::KeyboardModifiers m = {}) { QTest::keyClick(&map, static_cast<Qt::Key>(k), m); }

private:
    void send(QEvent::Type type, QPointF p, Qt::MouseButton button, Qt::MouseButtons buttons,
              Qt::KeyboardModifiers m) {
        QMouseEvent e(type, p, map.mapToGlobal(p), button, buttons, m);
        QApplication::sendEvent(&map, &e);
    }
};

} // namespace fwtest
