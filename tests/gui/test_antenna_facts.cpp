// SPDX-License-Identifier: GPL-3.0-or-later
// Antennas in the facts: what is chosen goes into the plan as one step, and the pictures are the cuts. Where
// a loss lies in a picture is worked out here from radius and angle.
#include "bench/antenna_facts.h"
#include "bench/bench.h"
#include "bench/facts_panel.h"
#include "bench/facts_section.h"
#include "charts/polar_chart.h"
#include "window_hand.h"

#include <QComboBox>
#include <QSignalSpy>

#include <QToolButton>
#include <algorithm>

#include <cmath>

using namespace fw;
using namespace fwtest;

namespace {

AntennaCut measured(ItemId id, const std::string& name, double gain) {
    AntennaCut a;
    a.id = id;
    a.name = name;
    a.gainDbi = gain;
    for (int deg = -180; deg < 180; deg += 5) {
        a.horizontalDeg.push_back(deg);
        a.horizontalLossDb.push_back(std::min(12.0 * deg * deg / (90.0 * 90.0), 18.0));
        a.verticalDeg.push_back(deg);
        a.verticalLossDb.push_back(std::fabs(deg) > 90 ? 18
                                                       : std::min(12.0 * deg * deg / (30.0 * 30.0), 18.0));
    }
    return a;
}

struct AntennaDesk : OpenedWindow {
    AntennaCut wide, narrow;
    AntennaDesk() {
        Plan& p = plan.loaded.plan;
        wide = measured(p.lastId = p.nextId(), "Wide panel", 9);
        p.antennaCuts.put(wide);
        narrow = measured(p.lastId = p.nextId(),
                          "A panel whose name is far longer than any column will ever be, 2600", 12);
        p.antennaCuts.put(narrow);
        adopt();
    }
    AntennaFacts& part(Kind kind) {
        FactsSection* section = window.bench()->facts()->section(kind);
        REQUIRE(section);
        REQUIRE(section->antenna());
        return *section->antenna();
    }
    /// Chooses a row by keys alone, as somebody without a pointer does.
    static void choose(AntennaFacts& part, int row) {
        part.choice()->setFocus();
        const int down = row - std::max(0, part.choice()->currentIndex());
        for (int k = 0; k < std::abs(down); ++k)
            QTest::keyClick(part.choice(), down > 0 ? Qt::Key_Down : Qt::Key_Up);
    }
};

} // namespace

TEST_CASE("a radio's antenna is chosen where its facts stand, as one step, and undone", "[gui][antenna]") {
    AntennaDesk desk;
    desk.space().selection.setOne(desk.plan.small);
    AntennaFacts& part = desk.part(Kind::radio);
    CHECK(part.choice()->count() == 3);
    CHECK(part.choice()->currentIndex() == 0);
    const ItemId radio = desk.chain(desk.now()).radio;
    REQUIRE(part.chart()->cuts());
    CHECK(part.chart()->cuts()->halfPower.horizontalDeg == desk.now().radios.find(radio)->hBeamDeg);

    const int steps = desk.steps();
    desk.choose(part, 1);
    CHECK(desk.steps() == steps + 1);
    const ItemId chosen = desk.now().radios.find(radio)->antenna;
    CHECK((chosen == desk.wide.id || chosen == desk.narrow.id));
    // 12 (x / 90)^2 is 3 dB at 45 deg: straight lines over 5 deg cut the corner by less than 0.2 deg.
    CHECK(part.chart()->cuts()->halfPower.horizontalDeg == Approx(90).margin(0.5));
    desk.space().document.history().undo();
    CHECK_FALSE(desk.now().radios.find(radio)->antenna);
    CHECK(part.choice()->currentIndex() == 0);
}

TEST_CASE("each sector has an antenna of its own; several at once are set in one step", "[gui][antenna]") {
    AntennaDesk desk;
    const ItemId sector = desk.now().cells.find(desk.plan.cell)->sector;
    Sector other = *desk.now().sectors.find(sector);
    other.id = {desk.now().lastId.v + 1};
    other.name = "other";
    REQUIRE(desk.space().document.perform({"Add a sector", {Put{other}}}));
    desk.space().selection.setOne(sector);
    AntennaFacts& part = desk.part(Kind::sector);
    CHECK(part.chart()->isVisible());
    desk.choose(part, 1);
    CHECK(desk.now().sectors.find(sector)->antenna);
    CHECK_FALSE(desk.now().sectors.find(other.id)->antenna);

    desk.space().selection.set({sector, other.id});
    CHECK_FALSE(part.chart()->isVisible());
    CHECK(part.choice()->currentIndex() == -1); // they differ
    const int steps = desk.steps();
    emit part.choice()->activated(2);
    CHECK(desk.steps() == steps + 1);
    CHECK(desk.now().sectors.find(sector)->antenna == desk.now().sectors.find(other.id)->antenna);
}

TEST_CASE("figures of an antenna open their working", "[gui][antenna]") {
    AntennaDesk desk;
    desk.space().selection.setOne(desk.plan.small);
    FactsSection* section = desk.window.bench()->facts()->section(Kind::radio);
    REQUIRE(section);
    QSignalSpy working(section, &FactsSection::workingWanted);
    const auto laidOut = [section] {
        const auto all = section->findChildren<QToolButton*>();
        return std::all_of(all.begin(), all.end(),
                           [](const QToolButton* b) { return !b->isVisible() || b->height() > 8; });
    };
    REQUIRE(QTest::qWaitFor(laidOut, kPatienceMs));
    for (const QString& label : {QStringLiteral("Half power across"), QStringLiteral("Half power upright"),
                                 QStringLiteral("Front to back")}) {
        CHECK(section->derivedText(label) != QString());
        for (QToolButton* b : section->findChildren<QToolButton*>())
            if (b->accessibleName().contains(label)) QTest::mouseClick(b, Qt::LeftButton);
    }
    REQUIRE(working.size() == 3);
    const auto back = working[2][0].value<Working>();
    CHECK(back.steps.back().value == Approx(25)); // TR 36.814: Am of the parabolic cut
}

TEST_CASE("pictures of an antenna: rim at the peak, middle 30 dB below, tilts downwards, words for the ear",
          "[gui][antenna]") {
    needGuiApp();
    PolarChart chart;
    chart.resize(400, chart.heightForWidth(400));
    chart.setAntenna(HungAntenna{"S", "", Pattern(ParabolicCuts{17, 65, 8, 25, 20}), 2, 4});
    const QRectF across = chart.disc(true), upright = chart.disc(false);
    CHECK(across.right() < upright.left());
    CHECK(QRectF(chart.rect()).contains(across));
    CHECK(QRectF(chart.rect()).contains(upright));
    const auto off = [](QPointF a, QPointF b) { return std::hypot(a.x() - b.x(), a.y() - b.y()); };
    CHECK(off(chart.pointOf(true, 0, 0), {across.center().x(), across.top()}) < 0.01);      // boresight is up
    CHECK(off(chart.pointOf(true, 90, 0), {across.right(), across.center().y()}) < 0.01);   // clockwise
    CHECK(off(chart.pointOf(false, 0, 0), {upright.right(), upright.center().y()}) < 0.01); // front is right
    CHECK(off(chart.pointOf(false, 90, 0), {upright.center().x(), upright.bottom()}) < 0.01); // down is down
    CHECK(off(chart.pointOf(true, 77, 30), across.center()) < 0.01);
    CHECK(off(chart.pointOf(true, 77, 15), across.center()) == Approx(across.width() / 4));
    CHECK(chart.lineText(true).contains(QStringLiteral("65.0")));
    CHECK(chart.lineText(true).contains(QStringLiteral("25.0")));
    CHECK(chart.lineText(false).contains(QStringLiteral("6.0")));
    CHECK(chart.lineText(false).contains(QStringLiteral("bracket 2.0")));
    CHECK(chart.accessibleDescription().contains(chart.lineText(false)));
    // Something is drawn in both, and the back of the antenna stays empty at the rim.
    const QImage picture = chart.grab().toImage();
    const auto at = [&](QPointF p) { return picture.pixelColor(p.toPoint()); };
    CHECK(at(chart.pointOf(true, 0, 1.5)) != at(chart.pointOf(true, 190, 1.5)));
    chart.setAntenna(std::nullopt);
    CHECK(chart.accessibleDescription().isEmpty());
}
