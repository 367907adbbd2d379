// SPDX-License-Identifier: GPL-3.0-or-later
// What else would do, on the map: the search ring and other mounts, and what owners answered.
#include "canvas/ring_layer.h"
#include "canvas/sign_sheet.h"
#include "window_hand.h"

#include <QImage>
#include <QPainter>

using namespace fw;
using namespace fwtest;

namespace {

// Ink or not, whatever its hue: a sign on the ground of the map.
std::vector<bool> maskOf(ConsentState answer, const WindowPalette& colors) {
    QImage picture(48, 48, QImage::Format_RGB32);
    picture.fill(colors.ground);
    QPainter p(&picture);
    SignSheet signs;
    signs.setLook(colors, QFont(), 1);
    signs.owner(p, {24, 24}, answer, 2);
    p.end();
    std::vector<bool> out;
    const int ground = qGray(colors.ground.rgb());
    for (int y = 0; y < picture.height(); ++y)
        for (int x = 0; x < picture.width(); ++x)
            out.push_back(std::abs(qGray(picture.pixel(x, y)) - ground) > 60);
    return out;
}

} // namespace

TEST_CASE("Shift+R shows the search ring and other mounts; another selection takes them away",
          "[gui][alternates]") {
    OpenedWindow desk;
    for (int k = 0; k < 2; ++k) {
        Plan& p = desk.plan.loaded.plan;
        Mount m;
        m.id = p.lastId = p.nextId();
        m.name = "Pole " + std::to_string(k + 1);
        m.at = fw::testing::place(30 + 30.0 * k, 12);
        p.mounts.put(m);
    }
    desk.adopt();
    const RingLayer& ring = desk.window.ring();
    desk.space().selection.setOne(desk.mount());
    desk.map().setFocus();
    key(Qt::Key_R, Qt::ShiftModifier);
    REQUIRE(QTest::qWaitFor([&] { return ring.ring().has_value(); }, kPatienceMs));
    const auto told = searchRing(*desk.space().live.study(), desk.plan.small);
    REQUIRE(told);
    REQUIRE(ring.ring()->samples.size() == told->samples.size());
    CHECK(desk.window.notice()->text().contains(QString::fromStdString(told->says)));
    // Classes hold what their words say, and the pointer reads a dot.
    for (const SearchRing::Sample& s : told->samples) {
        const int cls = ring.classOf(s.lostPoints);
        CHECK(cls <= ring.classes());
        CHECK((cls == 0) == (s.lostPoints < 0.05));
    }
    const SearchRing::Sample& first = told->samples.front();
    CHECK(ring.textAt(desk.map().camera(), first.at).contains(QString::fromStdString(first.towards)));
    CHECK(ring.textAt(desk.map().camera(), first.at + PlanePoint{300, 0}).isEmpty());

    REQUIRE(QTest::qWaitFor([&] { return desk.map().ghosts().size() == 2; }, kPatienceMs));
    CHECK(desk.window.notice()->text().contains(QStringLiteral("Pole 1")));
    CHECK(desk.steps() == 0);
    desk.space().selection.clear();
    CHECK(ring.empty());
    CHECK(desk.map().ghosts().empty());
    CHECK_FALSE(desk.window.action("searchRing")->isChecked());
}

TEST_CASE("owners' answers differ by shape where hue cannot be told, by day and by night", "[gui][map]") {
    needGuiApp();
    const ConsentState all[] = {ConsentState::unknown, ConsentState::asked, ConsentState::given,
                                ConsentState::refused};
    for (const WindowPalette* colors : {&dayPalette(), &nightPalette()}) {
        for (const ConsentState a : all) {
            const auto mine = maskOf(a, *colors);
            CHECK(std::count(mine.begin(), mine.end(), true) > 12);
            for (const ConsentState b : all) {
                if (a == b) continue;
                CAPTURE(int(a), int(b), colors->dark);
                const auto other = maskOf(b, *colors);
                int differ = 0;
                for (std::size_t k = 0; k < mine.size(); ++k) differ += mine[k] != other[k];
                CHECK(differ > 20);
            }
        }
    }
}
