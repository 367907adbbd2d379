// SPDX-License-Identifier: GPL-3.0-or-later
// Load after building, by real clicks and keys: from files of counters to a lesson, and back.
#include "acceptance/hour_table.h"
#include "store/folder.h"
#include "window_hand.h"

#include "bench/stage_table.h"
#include "charts/relief_chart.h"
#include "dialogs/after_window.h"
#include "dialogs/working_view.h"

#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPushButton>
#include <QToolButton>

using namespace fw;
using namespace fwtest;

namespace {

constexpr std::int32_t kOnAir = kMonday + 14; // 2026-05-18

/// A full cell, a small cell on a carrier of its own before it, cells far to the north, and
/// counters in which relieved cells lose a share of what the settled ledger predicts while traffic rises by
/// two points.
struct AfterDesk : OpenedWindow {
    testing::TestFolder folder;

    AfterDesk() {
        testing::HandPlan hand;
        plan.cell = hand.macro(testing::place(-180, 0), 90, 0.85, 2);
        for (int k = 0; k < 7; ++k) {
            const ItemId id = hand.macro(testing::place(-200 + 60.0 * k, 1500), 0, 0.5, 4);
            Cell other = *hand.plan.cells.find(id);
            other.carrier.channel = 2850;
            other.name = "Untouched " + std::to_string(k + 1);
            hand.plan.cells.put(other);
        }
        for (int k = 0; k < 8; ++k)
            hand.building(testing::place(60 + 34.0 * (k % 4), k < 4 ? 46 : -46), 18, 3);
        plan.small = hand.small(testing::place(0, 0), 90, testing::bandForty());
        plan.loaded.plan = hand.done();
        adopt();
        REQUIRE(space().live.settled());
    }
    QString write(const std::string& name, double share, std::int32_t from, std::int32_t to) {
        std::string text = kHourHead;
        int k = 0;
        for (const LedgerLine& l : space().live.settled()->cells) {
            const double drift = 0.02 + 0.001 * (k++ % 3 - 1);
            for (std::int32_t day = from; day <= to; ++day)
                text += dayRows(now().cells.find(l.cell)->name, day,
                                l.before + (day < kOnAir ? 0 : drift - share * (l.before - l.after)));
        }
        testing::writeBytes(folder / name, text);
        return QString::fromStdString((folder / name).string());
    }
    AfterWindow& after() {
        REQUIRE(window.after());
        return *window.after();
    }
    void openByStage() {
        key(Qt::Key_6, Qt::AltModifier);
        StageTable& table = *window.table(Stage::asBuilt);
        REQUIRE(QTest::qWaitFor([&] { return table.isVisible(); }, kPatienceMs));
        QApplication::processEvents();
        click(*buttonIn(table, QStringLiteral("Load after building")));
        REQUIRE(QTest::qWaitForWindowActive(&after(), kPatienceMs));
    }
    /// Types into a field by its name and leaves it.
    void enter(const QString& field, const QString& text) {
        for (auto* line : after().findChildren<QLineEdit*>())
            if (line->accessibleName() == field) {
                click(*line);
                key(Qt::Key_A, Qt::ControlModifier);
                type(text);
                key(Qt::Key_Tab);
                return;
            }
        FAIL("no field " << field.toStdString());
    }
    void compared() {
        INFO(after().stateText().toStdString());
        REQUIRE(QTest::qWaitFor([&] { return after().acceptance().has_value(); }, kPatienceMs));
        QApplication::processEvents();
    }
    QString said(const QString& name) {
        for (const auto* l : after().findChildren<QLabel*>())
            if (l->accessibleName() == name) return l->text();
        return {};
    }
    double regrowth() { return now().settings->model.regrowth; }
};

} // namespace

TEST_CASE(
    "counters from before and after become relief beside its prediction, a lesson, and undo takes it back",
    "[after]") {
    AfterDesk desk;
    const QString file = desk.write("all.csv", 0.7, kMonday, kOnAir + 28);
    const Plan before = desk.now();
    const int steps = desk.steps();
    desk.openByStage();
    CHECK(desk.after().stateText().contains(QStringLiteral("Choose counters")));
    QAbstractButton* take = buttonIn(desk.after(), QStringLiteral("Take the lesson"));
    CHECK_FALSE(take->isEnabled());

    desk.enter(QStringLiteral("Counters after"), file);
    // Nothing tells yet which days came before.
    REQUIRE(QTest::qWaitFor([&] { return !desk.after().reading(); }, kPatienceMs));
    CHECK(desk.after().stateText().contains(QStringLiteral("leave something open")));
    desk.enter(QStringLiteral("Day on air"), QStringLiteral("2026-05-18"));
    desk.compared();
    const Acceptance& a = *desk.after().acceptance();
    CHECK(a.state == AcceptanceState::weeks4);
    CHECK(a.controls.size() == 7);
    CHECK(desk.after().stateText().contains(QStringLiteral("After 4 weeks")));
    CHECK(desk.said(QStringLiteral("How far the days carry")).count(QStringLiteral("reached")) == 3);
    REQUIRE(a.targets.size() == 1);
    CHECK(a.targets[0].relief == Approx(0.7 * a.targets[0].predicted).margin(4 * a.targets[0].errorRelief));

    // The chart: bars as long as their figures, the whisker one error to both sides.
    ReliefChart& chart = desk.after().chart();
    REQUIRE(chart.rows().size() == 1);
    const double perShare = chart.predictedRect(0).width() / a.targets[0].predicted;
    CHECK(chart.measuredRect(0).width() == Approx(perShare * a.targets[0].relief).margin(0.01));
    CHECK(chart.whiskerRect(0).width() == Approx(perShare * 2 * a.targets[0].errorRelief).margin(0.01));
    CHECK(chart.whiskerRect(0).center().x() == Approx(chart.measuredRect(0).right()).margin(0.01));
    CHECK(chart.accessibleDescription().contains(QString::fromStdString(a.targets[0].text)));

    // A figure opens to its steps, by the pointer and by a key.
    QTest::mouseDClick(windowOf(chart), Qt::LeftButton, {},
                       reach(*chart.viewport(), chart.rowRect(0).center()));
    auto* steps1 = desk.window.findChild<WorkingView*>();
    REQUIRE(steps1);
    CHECK(steps1->asText().contains(QStringLiteral("change of untouched cells")));
    steps1->close();
    desk.after().activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&desk.after(), kPatienceMs));
    chart.setFocus();
    key(Qt::Key_Space);
    CHECK(steps1->isVisible());
    steps1->close();
    QPushButton* ratio = nullptr;
    for (QPushButton* b : desk.after().findChildren<QPushButton*>())
        if (b->text() == QStringLiteral("Steps behind the rati&o ...")) ratio = b;
    REQUIRE(ratio);
    click(*ratio);
    CHECK(steps1->isVisible());
    CHECK(steps1->asText().contains(QStringLiteral("measured over predicted")));
    steps1->close();

    REQUIRE(take->isEnabled());
    CHECK(desk.now() == before);
    click(*take);
    CHECK(desk.steps() == steps + 1);
    CHECK(desk.regrowth() == Approx(1 - *a.ratio).margin(0.0051));
    CHECK(desk.space().document.history().undoText().contains(QStringLiteral("regrowth")));
    desk.settle();
    desk.compared();
    CHECK_FALSE(take->isEnabled()); // it knows that already
    CHECK(desk.said(QStringLiteral("What was learnt")).contains(QStringLiteral("already")));
    desk.space().document.history().undo();
    CHECK(desk.now() == before);
    desk.settle();
    desk.compared();
    CHECK(take->isEnabled());
    desk.after().activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&desk.after(), kPatienceMs));
    key(Qt::Key_Escape);
    CHECK_FALSE(desk.after().isVisible());
}

TEST_CASE("days of three and files of two say how far they carry, and no lesson is offered yet", "[after]") {
    AfterDesk desk;
    const QString first = desk.write("before.csv", 0.9, kMonday, kOnAir - 1),
                  second = desk.write("after.csv", 0.9, kOnAir, kOnAir + 2);
    desk.openByStage();
    desk.enter(QStringLiteral("Counters after"), second);
    desk.enter(QStringLiteral("Counters before"), first);
    desk.compared();
    CHECK(desk.after().acceptance()->state == AcceptanceState::hours72);
    CHECK(desk.said(QStringLiteral("How far the days carry"))
              .contains(QStringLiteral("4 weeks: 3 of 28 days")));
    QAbstractButton* take = buttonIn(desk.after(), QStringLiteral("Take the lesson"));
    CHECK_FALSE(take->isEnabled());
    CHECK(desk.said(QStringLiteral("What was learnt")).contains(QStringLiteral("3 days after are too few")));
    QListWidget* untouched = nullptr;
    for (auto* l : desk.after().findChildren<QListWidget*>())
        if (l->accessibleName() == QStringLiteral("Untouched cells")) untouched = l;
    REQUIRE(untouched);
    CHECK(untouched->count() == 7);
    // An edit that changes the prediction changes the comparison, without reading again.
    const double predicted = desk.after().acceptance()->targets.at(0).predicted;
    Radio r = *desk.now().radios.find(desk.chain(desk.now()).radio);
    r.azimuth = TrueAzimuth::of(r.azimuth.deg + 40);
    REQUIRE(desk.space().document.perform({"Turn the radio", {Put{r}}}).ok());
    CHECK_FALSE(desk.after().acceptance()); // never of a plan that is no more
    desk.settle();
    desk.compared();
    CHECK(desk.after().acceptance()->targets.at(0).predicted != predicted);
}

TEST_CASE("what cannot be read after building is said, and a wrong day is not taken", "[after]") {
    AfterDesk desk;
    desk.openByStage();
    testing::writeBytes(desk.folder / "noise.bin", std::string(4000, '\0'));
    desk.enter(QStringLiteral("Counters after"),
               QString::fromStdString((desk.folder / "noise.bin").string()));
    REQUIRE(QTest::qWaitFor([&] { return !desk.after().reading(); }, kPatienceMs));
    CHECK(desk.after().stateText().size() > 20);
    CHECK_FALSE(desk.after().acceptance());
    desk.enter(QStringLiteral("Day on air"), QStringLiteral("18.5.2026"));
    bool told = false;
    for (const auto* l : desk.after().findChildren<QLabel*>())
        told = told || l->text().contains(QStringLiteral("Write the day as"));
    CHECK(told);
}
