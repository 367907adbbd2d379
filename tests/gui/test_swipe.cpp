// SPDX-License-Identifier: GPL-3.0-or-later
// The divider between before and after on the map, by mouse and by key.
#include "canvas/ground_tint.h"
#include "canvas/swipe_divider.h"
#include "catch.h"
#include "tool_bench.h"

#include <QAccessible>
#include <QPointer>
#include <QWheelEvent>
#include <qtestspontaneevent.h>

using namespace fw;
using namespace fwtest;

namespace {

struct SwipeBench : ToolBench {
    SwipeDivider* divider = nullptr;
    SwipeBench() {
        for (const MapLayer layer : {MapLayer::aimRose, MapLayer::footprint, MapLayer::findings,
                                     MapLayer::beams, MapLayer::fringes, MapLayer::names})
            space.shown.setOn(layer, false);
        space.shown.setTint(GroundTint::rsrp);
        space.shown.setSwipe(true);
        REQUIRE(QTest::qWaitFor([&] { return (divider = map.findChild<SwipeDivider*>()) != nullptr; },
                                kPatienceMs));
        sharpen();
    }
    void sharpen() {
        REQUIRE(QTest::qWaitFor([&] { return map.sharp(); }, kPatienceMs));
    }
    [[nodiscard]] QImage picture() { return map.grab().toImage().convertToFormat(QImage::Format_RGB32); }
    /// A real mouse on the divider, in the map's coordinates.
    void pull(QPoint from, QPoint to) {
        const auto on = [&](QPoint p) { return divider->mapFrom(&map, p); };
        QTest::mousePress(divider, Qt::LeftButton, {}, on(from));
        for (int k = 1; k <= 4; ++k) {
            const QPoint p = from + (to - from) * k / 4;
            QMouseEvent e(QEvent::MouseMove, on(p), map.mapToGlobal(p), Qt::NoButton, Qt::LeftButton, {});
            QApplication::sendEvent(divider, &e);
        }
        QTest::mouseRelease(divider, Qt::LeftButton, {}, on(to));
    }
};

} // namespace

TEST_CASE("left of the divider is before, right of it is after", "[swipe]") {
    SwipeBench b;
    // Where the divider is not, each side is what the whole map would be.
    b.divider->setValue(0);
    const QImage after = b.picture();
    b.divider->setValue(SwipeDivider::kSteps);
    const QImage before = b.picture();
    CHECK(before != after);
    b.divider->setValue(SwipeDivider::kSteps / 2);
    const QImage both = b.picture();
    const int x = both.width() / 2, rim = 40, words = 60;
    const QRect left(0, 0, x - rim, both.height() - words),
        right(x + rim, 0, x - rim - rim, both.height() - words);
    CHECK(both.copy(left) == before.copy(left));
    CHECK(both.copy(right) == after.copy(right));
    CHECK(after.copy(right) != before.copy(right)); // else it says nothing
    // Its own words and line are drawn.
    CHECK(both.copy(x - 60, both.height() - words, 120, words) !=
          before.copy(x - 60, both.height() - words, 120, words));
}

TEST_CASE("the divider is dragged on its line and its handle, and beside them the map is", "[swipe]") {
    SwipeBench b;
    const int middle = b.map.width() / 2;
    CHECK(b.divider->lineX() == Approx(middle));
    CHECK(b.map.childAt(middle, 40) == b.divider);
    CHECK(b.map.childAt(middle + 10, 40) == nullptr);                   // beside the line
    CHECK(b.map.childAt(middle + 10, b.map.height() / 2) == b.divider); // on the handle
    b.pull({middle + 2, 40}, {middle - 150, 90});
    CHECK(std::abs(b.divider->lineX() - (middle - 152)) < 2);
    b.pull({static_cast<int>(b.divider->lineX()), b.map.height() / 2}, {-500, 0});
    CHECK(b.divider->value() == 0);
    b.divider->setValue(500);
    // A small cell is dragged across the line, and the line stays.
    b.space.selection.clear();
    const int steps = b.steps();
    b.drag(b.of(b.mountOf(b.plan.otherSmall)), b.at(-60, -64));
    CHECK(b.steps() == steps + 1);
    CHECK(b.divider->value() == 500);
    REQUIRE(allQuiet(b.space));
    CHECK(QTest::qWaitFor([&] { return b.map.groundTint().leftPicture() != nullptr; }, kPatienceMs));
}

TEST_CASE("keys move the divider, and Esc takes it away", "[swipe]") {
    SwipeBench b;
    b.map.activateWindow();
    b.divider->setFocus();
    QTest::keyClick(b.divider, Qt::Key_Left);
    CHECK(b.divider->value() == 490);
    QTest::keyClick(b.divider, Qt::Key_Right, Qt::ShiftModifier);
    CHECK(b.divider->value() == 491);
    QTest::keyClick(b.divider, Qt::Key_PageDown);
    CHECK(b.divider->value() == 591);
    QTest::keyClick(b.divider, Qt::Key_Home);
    CHECK(b.divider->value() == 0);
    CHECK(b.divider->lineX() == 0);
    QTest::keyClick(b.divider, Qt::Key_End);
    CHECK(b.divider->value() == SwipeDivider::kSteps);
    CHECK((b.divider->focusPolicy() & Qt::TabFocus));
    const QPointer<SwipeDivider> was = b.divider;
    QTest::keyClick(b.divider, Qt::Key_Escape);
    CHECK_FALSE(b.space.shown.swipe());
    CHECK(QTest::qWaitFor([&] { return was.isNull(); }, kPatienceMs));
    // Esc on the map too, once no tool has anything to drop; the card's switch by Shown.
    b.space.shown.setSwipe(true);
    REQUIRE(QTest::qWaitFor([&] { return b.map.findChild<SwipeDivider*>() != nullptr; }, kPatienceMs));
    QTest::keyClick(&b.map, Qt::Key_Escape);
    CHECK_FALSE(b.space.shown.swipe());
    CHECK(QTest::qWaitFor([&] { return b.map.findChild<SwipeDivider*>() == nullptr; }, kPatienceMs));
    b.space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("the divider has a name and a value for those who do not see it", "[swipe]") {
    SwipeBench b;
    CHECK_FALSE(b.divider->accessibleName().isEmpty());
    QAccessibleInterface* face = QAccessible::queryAccessibleInterface(b.divider);
    REQUIRE(face);
    REQUIRE(face->valueInterface());
    CHECK(face->valueInterface()->currentValue().toInt() == 500);
    CHECK(face->valueInterface()->maximumValue().toInt() == SwipeDivider::kSteps);
}

TEST_CASE("the wheel over the divider zooms the map, and the middle button pans it", "[swipe]") {
    SwipeBench b;
    const double scale = b.map.camera().metresPerPixel;
    const QPoint on(b.divider->width() / 2, 50);
    QWheelEvent wheel(on, b.divider->mapToGlobal(on), {}, {0, 120}, Qt::NoButton, {}, Qt::NoScrollPhase,
                      false);
    QSpontaneKeyEvent::setSpontaneous(&wheel); // only then does it go on to what lies below
    qApp->notify(b.divider, &wheel);
    CHECK(b.map.camera().metresPerPixel < scale);
    const PlanePoint centre = b.map.camera().centre;
    QTest::mousePress(b.divider, Qt::MiddleButton, {}, on);
    const QPoint to = on + QPoint(60, 10);
    QMouseEvent move(QEvent::MouseMove, to, b.divider->mapToGlobal(to), Qt::NoButton, Qt::MiddleButton, {});
    QApplication::sendEvent(b.divider, &move);
    QTest::mouseRelease(b.divider, Qt::MiddleButton, {}, to);
    CHECK(b.map.camera().centre.x < centre.x);
    CHECK(b.divider->value() == 500); // it stands in the window, not on the ground
    b.sharpen();
}

TEST_CASE("the divider keeps its share of the map when that is resized", "[swipe]") {
    SwipeBench b;
    b.divider->setValue(250);
    b.map.resize(400, 500);
    CHECK(QTest::qWaitFor([&] { return b.divider->height() == 500; }, kPatienceMs));
    CHECK(b.divider->lineX() == Approx(100));
    CHECK(b.divider->geometry().center().x() == Approx(100).margin(1));
}
