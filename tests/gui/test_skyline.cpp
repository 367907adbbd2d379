// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "gui_app.h"
#include "skyline/skyline_view.h"
#include "text/figures.h"
#include "window_plan.h"

#include <QSignalSpy>
#include <QTest>

#include <cmath>

using namespace fw;
using namespace fwtest;

namespace {

// A view over the small plan with its first small cell chosen, computed and settled.
struct Seen {
    Workspace space;
    WindowPlan plan;
    SkylineView view{space};

    Seen() : plan(windowPlan()) {
        REQUIRE(space.document.adopt(plan.loaded).ok());
        space.selection.setOne(plan.small);
        view.resize(900, 260);
        view.show();
        REQUIRE(allQuiet(space));
        REQUIRE(view.scene().skyline);
    }
    [[nodiscard]] ItemId radioId() const { return space.document.plan().smallCells.find(plan.small)->radio; }
    [[nodiscard]] const Radio& radio() const { return *space.document.plan().radios.find(radioId()); }
    // A place in the window where no mark is: its upper left part.
    [[nodiscard]] QPoint inWindow() const {
        const QRectF w = windowsOf(*view.beam(), view.scale()).front();
        return QPointF(w.left() + w.width() * 0.2, w.top() + w.height() * 0.2).toPoint();
    }
    [[nodiscard]] int across(double deg) const {
        return static_cast<int>(std::lround(deg * view.scale().pixelsPerDeg()));
    }
};

} // namespace

TEST_CASE("Without a radio the skyline says what to do", "[gui][skyline]") {
    needGuiApp();
    Workspace space;
    SkylineView view(space);
    view.show();
    CHECK(view.emptyText().contains("Choose a small cell"));
    CHECK(view.accessibleDescription() == view.emptyText());
    CHECK_FALSE(view.beam());
    CHECK(view.textAt({100, 100}).isEmpty());
}

TEST_CASE("A place in the panorama is a bearing and back, across north at both ends", "[gui][skyline]") {
    SkylineScale s;
    s.plot = {40, 20, 900, 200};
    for (double deg = 0; deg < 360; deg += 7.5) {
        const QPointF at = s.at(TrueAzimuth{deg}, 5);
        CHECK(s.azimuthAt(at.x()).deg == Approx(deg).margin(1e-9));
        CHECK(s.elevationAt(at.y()) == Approx(5).margin(1e-9));
    }
    CHECK(s.azimuthAt(s.plot.left()).deg == Approx(315));
    CHECK(s.azimuthAt(s.x(0) - 10 * s.pixelsPerDeg()).deg == Approx(350));
    CHECK(s.azimuthAt(s.x(360) + 10 * s.pixelsPerDeg()).deg == Approx(10));
    // A beam across north is whole in one place and shows twice.
    const auto windows = windowsOf({TrueAzimuth{5}, 3, 65, 30}, s);
    REQUIRE(windows.size() == 2);
    CHECK(std::any_of(windows.begin(), windows.end(), [&](const QRectF& w) {
        return w.left() >= s.plot.left() && w.right() <= s.plot.right();
    }));
    CHECK(windowsOf({TrueAzimuth{180}, 3, 65, 30}, s).size() == 1);
}

TEST_CASE("The window stands at azimuth and tilt with the half-power widths", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    const QRectF w = windowsOf(*s.view.beam(), s.view.scale()).front();
    const SkylineScale& scale = s.view.scale();
    CHECK(scale.azimuthAt(w.center().x()).deg == Approx(s.radio().azimuth.deg).margin(0.01));
    CHECK(w.width() / scale.pixelsPerDeg() == Approx(s.view.scene().hBeamDeg));
    CHECK(scale.elevationAt(w.top()) == Approx(-s.radio().tiltDeg + s.view.scene().vBeamDeg / 2));
    CHECK(scale.elevationAt(w.bottom()) == Approx(-s.radio().tiltDeg - s.view.scene().vBeamDeg / 2));
}

TEST_CASE("Dragging the window turns the radio live and ends as one step", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    const auto before = s.space.live.study();
    const double outlook = before->outlook(s.plan.small).costPoints;
    const QPoint from = s.inWindow();
    QTest::mousePress(&s.view, Qt::LeftButton, {}, from);
    REQUIRE(s.space.drag.active());
    QTest::mouseMove(&s.view, from + QPoint(s.across(30), 2));
    // The button is down: the plan is as it was, the figures are not.
    CHECK(s.radio().azimuth.deg == 90);
    CHECK(s.view.beam()->azimuth.deg == Approx(120).margin(1));
    CHECK(s.space.live.study() != before);
    CHECK(s.space.live.study()->outlook(s.plan.small).costPoints != outlook);
    QTest::mouseMove(&s.view, from + QPoint(s.across(60), 2));
    const double last = s.view.beam()->azimuth.deg;
    CHECK(last == Approx(150).margin(1));
    CHECK(last == std::round(last));
    CHECK(s.space.document.history().count() == 0);
    QTest::mouseRelease(&s.view, Qt::LeftButton, {}, from + QPoint(s.across(60), 2));
    CHECK_FALSE(s.space.drag.active());
    CHECK(s.space.document.history().count() == 1);
    CHECK(s.radio().azimuth.deg == last);
    CHECK(s.radio().tiltDeg == 3);
    REQUIRE(allQuiet(s.space));
    s.space.document.history().undo();
    CHECK(s.radio().azimuth.deg == 90);
    CHECK(s.view.beam()->azimuth.deg == 90);
}

TEST_CASE("Findings change while the window is held, and a drag goes across north", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    const auto facing = [&] {
        const auto& all = s.space.live.review().findings;
        return std::any_of(all.begin(), all.end(), [](const Finding& f) { return f.rule == "faces-macro"; });
    };
    REQUIRE_FALSE(facing());
    const QPoint from = s.inWindow();
    QTest::mousePress(&s.view, Qt::LeftButton, {}, from);
    QTest::mouseMove(&s.view, from - QPoint(s.across(100), 0));
    CHECK(s.view.beam()->azimuth.deg == Approx(350).margin(1));
    QTest::mouseMove(&s.view, from - QPoint(s.across(180), 0)); // beyond the widget: the pointer is held
    CHECK(s.view.beam()->azimuth.deg == Approx(270).margin(1));
    CHECK(facing());
    QTest::mouseRelease(&s.view, Qt::LeftButton, {}, from - QPoint(s.across(180), 0));
    CHECK(s.space.document.history().count() == 1);
}

TEST_CASE("Dragging the window up and down takes the bracket's tilts alone", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    const double perDeg = s.view.scale().plot.height() / (s.view.scale().topDeg - s.view.scale().bottomDeg);
    const QPoint from = s.inWindow();
    QTest::mousePress(&s.view, Qt::LeftButton, {}, from);
    const std::vector<double> allowed = s.view.scene().tiltsDeg;
    REQUIRE(allowed == std::vector<double>{0, 3, 6, 9});
    for (const double by : {1.0, 2.0, 4.0, 20.0, -20.0, 2.4}) {
        QTest::mouseMove(&s.view,
                         from + QPoint(0, static_cast<int>(std::lround(by * perDeg)) + (by > 0 ? 4 : -4)));
        CHECK(std::count(allowed.begin(), allowed.end(), s.view.beam()->tiltDeg) == 1);
        if (by == 20.0) CHECK(s.view.beam()->tiltDeg == 9);
        if (by == -20.0) CHECK(s.view.beam()->tiltDeg == 0);
    }
    CHECK(s.view.beam()->azimuth.deg == 90);
    QTest::mouseMove(&s.view, from + QPoint(0, static_cast<int>(6 * perDeg)));
    QTest::mouseRelease(&s.view, Qt::LeftButton, {}, from + QPoint(0, static_cast<int>(6 * perDeg)));
    CHECK(s.radio().tiltDeg == 9);
    CHECK(s.space.document.history().count() == 1);
}

TEST_CASE("Esc abandons a drag and leaves no step", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    const auto before = s.space.live.study();
    const QPoint from = s.inWindow();
    QTest::mousePress(&s.view, Qt::LeftButton, {}, from);
    QTest::mouseMove(&s.view, from + QPoint(80, 0));
    REQUIRE(s.space.live.study() != before);
    QTest::keyClick(&s.view, Qt::Key_Escape);
    CHECK_FALSE(s.space.drag.active());
    CHECK(s.view.beam()->azimuth.deg == 90);
    CHECK(s.space.live.study() == before);
    QTest::mouseRelease(&s.view, Qt::LeftButton, {}, from + QPoint(80, 0));
    CHECK(s.space.document.history().count() == 0);
}

TEST_CASE("A click into the window, and one beside it, changes nothing", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    QTest::mouseClick(&s.view, Qt::LeftButton, {}, s.inWindow());
    QTest::mouseClick(&s.view, Qt::LeftButton, {}, s.view.scale().at(TrueAzimuth{200}, 30).toPoint());
    CHECK(s.space.document.history().count() == 0);
    CHECK(s.radio().azimuth.deg == 90);
    QTest::mouseDClick(&s.view, Qt::LeftButton, {}, s.view.scale().at(TrueAzimuth{200}, 30).toPoint());
    CHECK(s.radio().azimuth.deg == Approx(200).margin(1));
    CHECK(s.space.document.history().count() == 1);
}

TEST_CASE("Keys turn by 1 and 10 degrees and take the next tilt, as one step each way", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    QTest::keyClick(&s.view, Qt::Key_Right);
    QTest::keyClick(&s.view, Qt::Key_Right);
    QTest::keyClick(&s.view, Qt::Key_Left, Qt::ShiftModifier);
    CHECK(s.radio().azimuth.deg == 82);
    CHECK(s.space.document.history().count() == 1);
    QTest::keyClick(&s.view, Qt::Key_Down);
    QTest::keyClick(&s.view, Qt::Key_Down);
    CHECK(s.radio().tiltDeg == 9);
    QTest::keyClick(&s.view, Qt::Key_Down);
    CHECK(s.radio().tiltDeg == 9);
    for (int k = 0; k < 5; ++k) QTest::keyClick(&s.view, Qt::Key_Up);
    CHECK(s.radio().tiltDeg == 0);
    CHECK(s.space.document.history().count() == 2);
    s.space.document.history().undo();
    s.space.document.history().undo();
    CHECK(s.radio().azimuth.deg == 90);
    CHECK(s.radio().tiltDeg == 3);
}

TEST_CASE("A macro's mark goes to its site, by click and by key", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    const Plan& plan = s.space.document.plan();
    const ItemId site = plan.sectors.find(plan.cells.find(s.plan.cell)->sector)->site;
    QSignalSpy spy(&s.view, &SkylineView::markActivated);
    const SkylineMark* mark = nullptr;
    for (const SkylineMark& m : s.view.marks())
        if (s.view.scene().things[m.thing].item == site) mark = &m;
    REQUIRE(mark);
    CHECK(s.view.scale().azimuthAt(mark->foot.x()).deg == Approx(270).margin(1));
    CHECK(s.view.scene().things[mark->thing].inSight);
    QTest::mouseClick(&s.view, Qt::LeftButton, {}, mark->sign.center().toPoint());
    REQUIRE(spy.count() == 1);
    CHECK(spy.at(0).at(0).value<ItemId>() == site);
    // Clockwise from north: the other small cell in the south-east, then the macro in the west.
    s.view.setFocus();
    QTest::keyClick(&s.view, Qt::Key_Left, Qt::ControlModifier);
    QTest::keyClick(&s.view, Qt::Key_Return);
    REQUIRE(spy.count() == 2);
    CHECK(spy.at(1).at(0).value<ItemId>() == site);
}

TEST_CASE("A pointer's text and the description carry the figures", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    CHECK(s.view.accessibleDescription().contains("90° true"));
    CHECK(s.view.accessibleDescription().contains("macro site M"));
    CHECK(s.view.accessibleDescription().contains(distance(180) + " away, in sight"));
    const SkylineScene& scene = s.view.scene();
    const QPointF low = s.view.scale().at(TrueAzimuth{200}, -8);
    CHECK(s.view.textAt(low).startsWith("200°, elevation −8°: ground"));
    const auto& house = scene.towards(52);
    REQUIRE(house.cause);
    const QPointF high = s.view.scale().at(TrueAzimuth{52}, static_cast<double>(house.elevationDeg) + 6);
    CHECK(s.view.textAt(high).contains("sky"));
    const QPointF in = s.view.scale().at(TrueAzimuth{52}, static_cast<double>(house.elevationDeg) / 2);
    CHECK(s.view.textAt(in).contains("m away"));
    CHECK_FALSE(s.view.textAt(in).contains("sky"));
}

TEST_CASE("Blocked bearings are looked for and said", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    REQUIRE(QTest::qWaitFor([&] { return s.view.blocked() != nullptr; }, kPatienceMs));
    const BlockedBearings& no = *s.view.blocked();
    CHECK(no.at(TrueAzimuth{270}));
    CHECK_FALSE(no.at(TrueAzimuth{180}));
    CHECK(s.view.textAt(s.view.scale().at(TrueAzimuth{270}, 20)).contains("Blocked:"));
    CHECK(s.view.accessibleDescription().contains("of all bearings are blocked"));
}

TEST_CASE("A drag of the mount moves the whole view with it", "[gui][skyline]") {
    needGuiApp();
    Seen s;
    const auto before = s.view.scene().skyline;
    const ItemId mount = s.view.scene().mount;
    REQUIRE(s.space.drag.begin({mount}));
    s.space.drag.moveTo(fw::testing::place(20, 10));
    CHECK(s.view.scene().skyline != before);
    CHECK(s.view.blocked() == nullptr);
    s.space.drag.abandon();
    CHECK(s.view.scene().skyline == before);
}
