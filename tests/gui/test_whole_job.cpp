// SPDX-License-Identifier: GPL-3.0-or-later
// The job from end to end in the window, by mouse and keys alone: drag a radio in front of a macro, see what
// is found while the button is down, turn away, undo, redo, keep with a reason, write the pack, read it.
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "bench/findings_panel.h"
#include "bench/stage_table.h"
#include "canvas/map_view.h"
#include "commands/commands.h"
#include "dialogs/pack_preview.h"
#include "main_window.h"
#include "skyline/skyline_view.h"

#include <QDir>
#include <QLineEdit>
#include <QProcess>
#include <QPushButton>
#include <QTemporaryDir>

using namespace fw;
using namespace fwtest;

namespace {

bool finds(const Review& review, const std::string& rule, ItemId subject) {
    for (const Finding& f : review.findings)
        if (f.rule == rule && f.standing == Standing::open &&
            std::find(f.subjects.begin(), f.subjects.end(), subject) != f.subjects.end())
            return true;
    return false;
}

struct Opened {
    MainWindow window{
        WindowData{{}, MagneticField::load(FW_SOURCE_DIR "/resources/magnetic").value(), "test"}};
    WindowPlan plan;
    Opened() {
        window.resize(1440, 900);
        window.show();
        plan = windowPlan();
        REQUIRE(window.space().document.adopt(plan.loaded));
        REQUIRE(allQuiet(window.space()));
        REQUIRE(QTest::qWaitFor([&] { return window.map()->sharp(); }, 5000));
    }
    MapView& map() { return *window.map(); }
    Workspace& space() { return window.space(); }
    QPoint onMap(PlanePoint p) { return map().camera().toScreen(p).toPoint(); }
};

} // namespace

TEST_CASE("Drag, see, decide: the whole job by mouse and keys", "[window]") {
    needGuiApp();
    Opened o;
    const ItemId mount = chainOf(o.space().document.plan(), o.plan.small).mount;
    const PlanePoint at = o.space().document.plan().mounts.find(mount)->at;
    QTest::mouseClick(&o.map(), Qt::LeftButton, {}, o.onMap(at));
    REQUIRE(o.space().selection.primary() == mount);
    CHECK_FALSE(finds(o.space().live.review(), "faces-macro", o.plan.small));

    // By the strip: the beam goes round to the macro in the west while the button is down.
    SkylineView& strip = *o.window.bench()->skyline();
    const QPoint east = strip.at(90, 0).toPoint(), west = strip.at(268, 0).toPoint();
    QTest::mousePress(&strip, Qt::LeftButton, {}, east);
    QTest::mouseMove(&strip, (east + west) / 2);
    QTest::mouseMove(&strip, west);
    CHECK(o.space().drag.active());
    CHECK(finds(o.space().live.review(), "faces-macro", o.plan.small));
    CHECK(o.window.bench()
              ->findings()
              ->texts()
              .join(QLatin1Char('\n'))
              .contains(QStringLiteral("faces"), Qt::CaseInsensitive));
    CHECK(o.space().document.history().count() == 0);
    QTest::mouseRelease(&strip, Qt::LeftButton, {}, west);
    REQUIRE(allQuiet(o.space()));
    REQUIRE(o.space().document.history().count() == 1);
    CHECK(finds(o.space().live.review(), "faces-macro", o.plan.small));

    // And away again.
    QTest::mousePress(&strip, Qt::LeftButton, {}, west);
    QTest::mouseMove(&strip, (east + west) / 2);
    QTest::mouseMove(&strip, east);
    CHECK_FALSE(finds(o.space().live.review(), "faces-macro", o.plan.small));
    QTest::mouseRelease(&strip, Qt::LeftButton, {}, east);
    REQUIRE(allQuiet(o.space()));
    CHECK_FALSE(finds(o.space().live.review(), "faces-macro", o.plan.small));

    // Undo brings the finding back, redo takes it away.
    QTest::keyClick(&o.window, Qt::Key_Z, Qt::ControlModifier);
    REQUIRE(allQuiet(o.space()));
    CHECK(finds(o.space().live.review(), "faces-macro", o.plan.small));
    QTest::keyClick(&o.window, Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
    REQUIRE(allQuiet(o.space()));
    CHECK_FALSE(finds(o.space().live.review(), "faces-macro", o.plan.small));
}
