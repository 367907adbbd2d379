// SPDX-License-Identifier: GPL-3.0-or-later
// The whole window with a plan in it, and somebody before it: events go to the window itself, which finds the
// part under the pointer or with the focus, so that what covers a part or takes its keys is noticed.
#pragma once

#include "catch.h"
#include "gui_app.h"
#include "support/places.h"
#include "window_plan.h"

#include "bench/findings_panel.h"
#include "commands/commands.h"
#include "main_window.h"
#include "models/findings_model.h"
#include "skyline/skyline_view.h"

#include <QAbstractButton>
#include <QListView>
#include <QMenuBar>
#include <QSettings>
#include <QWindow>

#include <algorithm>

namespace fwtest {

/// Counts what hands do, to hold that one kind of them was not needed.
class HandCount : public QObject {
public:
    HandCount() { qApp->installEventFilter(this); }
    int presses = 0, keys = 0;

protected:
    bool eventFilter(QObject* watched, QEvent* event) override {
        if (watched->isWindowType()) {
            presses += event->type() == QEvent::MouseButtonPress || event->type() == QEvent::MouseMove;
            keys += event->type() == QEvent::KeyPress;
        }
        return false;
    }
};

inline QWindow* windowOf(const QWidget& w) { return w.window()->windowHandle(); }

/// Where a place of a part lies in its window; the part must be the one a pointer finds there.
inline QPoint reach(QWidget& w, QPoint at) {
    const QPoint there = w.mapTo(w.window(), at);
    QWidget* found = w.window()->childAt(there);
    INFO("covered by " << (found ? found->metaObject()->className() : "nothing"));
    REQUIRE((found == &w || (found && w.isAncestorOf(found)) || &w == w.window()));
    return there;
}
inline void press(QWidget& w, QPoint at) { QTest::mousePress(windowOf(w), Qt::LeftButton, {}, reach(w, at)); }
/// A button that is down keeps its part, wherever the pointer goes.
inline void moveTo(QWidget& w, QPoint at) { QTest::mouseMove(windowOf(w), w.mapTo(w.window(), at)); }
inline void release(QWidget& w, QPoint at) {
    QTest::mouseRelease(windowOf(w), Qt::LeftButton, {}, w.mapTo(w.window(), at));
}
inline void click(QWidget& w, QPoint at) { QTest::mouseClick(windowOf(w), Qt::LeftButton, {}, reach(w, at)); }
inline void click(QWidget& w) {
    INFO(w.metaObject()->className() << " " << w.objectName().toStdString());
    REQUIRE(w.isVisible());
    REQUIRE(w.isEnabled());
    click(w, w.rect().center());
}

/// Keys go to the window that is active, as from a keyboard.
inline void key(Qt::Key k, Qt::KeyboardModifiers with = {}, int times = 1) {
    for (; times > 0; --times) {
        REQUIRE(QApplication::activeWindow());
        QTest::keyClick(windowOf(*QApplication::activeWindow()), k, with);
    }
}
inline void type(const QString& text) {
    for (const QChar c : text) {
        REQUIRE(QApplication::activeWindow());
        QTest::keyClick(windowOf(*QApplication::activeWindow()), c.toLatin1());
    }
}

/// Waits for it: what is put into a layout, or made anew by work that ends meanwhile, is shown by an event.
inline QAbstractButton* buttonIn(QWidget& where, const QString& text) {
    QAbstractButton* found = nullptr;
    const auto look = [&] {
        for (QAbstractButton* b : where.findChildren<QAbstractButton*>())
            if (b->isVisible() && b->text().remove(QLatin1Char('&')).startsWith(text)) found = b;
        return found != nullptr;
    };
    if (!QTest::qWaitFor(look, kPatienceMs)) FAIL("no button " << text.toStdString());
    return found;
}

/// Opens a menu by its head and chooses an entry, by the pointer alone.
inline void chooseInMenu(fw::MainWindow& window, const QString& menuName, const QString& action) {
    QMenuBar* bar = window.menuBar();
    QAction* head = nullptr;
    for (QAction* a : bar->actions())
        if (a->text().remove(QLatin1Char('&')) == menuName) head = a;
    REQUIRE(head);
    click(*bar, bar->actionGeometry(head).center());
    QMenu* menu = head->menu();
    REQUIRE(QTest::qWaitFor([&] { return menu->isVisible(); }, kPatienceMs));
    QAction* entry = window.action(action);
    REQUIRE(entry);
    REQUIRE(entry->isEnabled());
    const QPoint at = menu->actionGeometry(entry).center();
    QTest::mouseMove(windowOf(*menu), at);
    QTest::mouseClick(windowOf(*menu), Qt::LeftButton, {}, at);
    REQUIRE(QTest::qWaitFor([&] { return !menu->isVisible(); }, kPatienceMs));
}

inline fw::WindowData windowData() {
    return {{}, fw::MagneticField::load(fw::testing::sourceFile("resources/magnetic")).value(), "test"};
}

inline const char* const kSiteName = "Quay lamp 7";

/// A window with nothing remembered from others.
struct OpenedWindow {
    struct Fresh {
        Fresh() {
            needGuiApp();
            QSettings().clear();
        }
    } fresh;
    fw::MainWindow window{windowData()};
    WindowPlan plan = windowPlan();

    OpenedWindow() {
        window.resize(1440, 900);
        window.show();
        window.activateWindow();
        REQUIRE(QTest::qWaitForWindowActive(&window, kPatienceMs));
        fw::Mount named = *plan.loaded.plan.mounts.find(chain(plan.loaded.plan).mount);
        named.name = kSiteName;
        plan.loaded.plan.mounts.put(named);
    }
    /// Puts the plan in, without a file.
    void adopt() {
        REQUIRE(space().document.adopt(plan.loaded));
        settle();
    }
    void settle() {
        REQUIRE(allQuiet(space()));
        REQUIRE(QTest::qWaitFor([&] { return window.map()->sharp(); }, kPatienceMs));
    }
    [[nodiscard]] fw::Chain chain(const fw::Plan& p) const { return fw::chainOf(p, plan.small); }
    [[nodiscard]] fw::ItemId mount() { return chain(now()).mount; }
    [[nodiscard]] double azimuth() { return now().radios.find(chain(now()).radio)->azimuth.deg; }
    fw::MapView& map() { return *window.map(); }
    fw::SkylineView& strip() { return *window.bench()->skyline(); }
    fw::FindingsPanel& panel() { return *window.bench()->findings(); }
    fw::Workspace& space() { return window.space(); }
    const fw::Plan& now() { return space().document.plan(); }
    int steps() { return space().document.history().index(); }
    QPoint onMap(fw::PlanePoint p) { return map().camera().toScreen(p).toPoint(); }
    QPoint onMount() { return onMap(now().mounts.find(mount())->at); }
    QPoint onStrip(double azimuthDeg) {
        return strip().scale().at(fw::TrueAzimuth::of(azimuthDeg), 0).toPoint();
    }
    /// Row of an open finding of the small cell in the panel's list, where it can be seen; -1: none.
    int rowOf(const std::string& rule) {
        const auto& model = *static_cast<fw::FindingsModel*>(panel().list().model());
        for (int r = 0; r < model.rowCount(); ++r) {
            const fw::Finding& f = model.at(r);
            if (f.rule != rule || f.standing != fw::Standing::open) continue;
            if (std::find(f.subjects.begin(), f.subjects.end(), plan.small) == f.subjects.end()) continue;
            return r;
        }
        return -1;
    }
    bool facesMacro() { return rowOf("faces-macro") >= 0; }
    /// Findings kept with a reason.
    int kept() {
        const auto& all = space().live.review().findings;
        return static_cast<int>(std::count_if(
            all.begin(), all.end(), [](const fw::Finding& f) { return f.standing == fw::Standing::stands; }));
    }
};

} // namespace fwtest
