// SPDX-License-Identifier: GPL-3.0-or-later
// Choosing a set in the window, by real keys and clicks; figures are held against the core asked by itself.
#include "charts/choice_curve.h"
#include "dialogs/choice_goal.h"
#include "dialogs/choice_window.h"
#include "dialogs/working_view.h"
#include "text/figures.h"
#include "window_hand.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDir>
#include <QInputDialog>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QSpinBox>
#include <QTableWidget>
#include <QTemporaryDir>

using namespace fw;
using namespace fwtest;

namespace {

// The plan of the window with a congested cell and five free poles along its beam.
struct ChoiceDesk : OpenedWindow {
    ChoiceDesk() {
        Plan& p = plan.loaded.plan;
        Cell c = *p.cells.find(plan.cell);
        c.load.dailyDlPrbUse.assign(7, 0.85);
        c.load.userThroughputMbps = 1;
        p.cells.put(c);
        for (int k = 0; k < 5; ++k) {
            Mount m;
            m.id = p.lastId = p.nextId();
            m.name = "Pole " + std::to_string(k + 1);
            m.at = fw::testing::place(20 + 42.0 * k, k % 2 == 0 ? 14 : -14);
            p.mounts.put(m);
        }
        adopt();
    }
    ChoiceWindow& open() {
        map().setFocus();
        key(Qt::Key_C);
        REQUIRE(window.choice());
        REQUIRE(QTest::qWaitForWindowActive(window.choice(), kPatienceMs));
        return *window.choice();
    }
    static void search(ChoiceWindow& w) {
        click(*buttonIn(w, QStringLiteral("Start")));
        INFO(w.stateText().toStdString());
        REQUIRE(w.run().running());
        REQUIRE(QTest::qWaitFor([&] { return !w.run().running(); }, kPatienceMs));
        INFO(w.stateText().toStdString());
        REQUIRE(w.run().result());
    }
    static QString cell(const QTableWidget& t, int row, int column) { return t.item(row, column)->text(); }
    static int rowOf(const QTableWidget& t, const QString& what) {
        for (int r = 0; r < t.rowCount(); ++r)
            if (cell(t, r, 0) == what) return r;
        return -1;
    }
    const Ghosts& ghosts() { return map().ghosts(); }
};

} // namespace

TEST_CASE("a set is chosen, shown as ghosts, told with its bound, and applied as one step", "[gui][choice]") {
    ChoiceDesk desk;
    const Plan before = desk.now();
    ChoiceWindow& w = desk.open();
    REQUIRE(w.goal().cells().count() == 1);
    CHECK(w.goal().cells().item(0)->checkState() == Qt::Checked);
    CHECK(w.goal().tableText().contains(QStringLiteral("invented")));
    ChoiceDesk::search(w);

    // The core, asked for the same by itself.
    const auto ask = w.goal().ask();
    REQUIRE(ask);
    const auto told =
        planChoice(desk.space().live.study(), desk.space().document.terrain(), *ask, CostTable{});
    REQUIRE(told);
    const Choice& c = told->choice;
    const auto points = [](std::int64_t v) {
        return figure(static_cast<double>(v) / kWorthUnit, QStringLiteral("points"), 2);
    };
    const auto says = [&](const char* what) {
        const int row = ChoiceDesk::rowOf(w.figures(), QString::fromLatin1(what));
        REQUIRE(row >= 0);
        return ChoiceDesk::cell(w.figures(), row, 1);
    };
    CHECK(says("Relief of round 0") == points(c.relief));
    REQUIRE(c.bound);
    CHECK(says("None relieves more than") == points(*c.bound));
    CHECK(says("Gap to that bound") == percent(c.gap.value_or(-1), 2));
    CHECK(says("Relief by the full model") == figure(told->reliefPoints, QStringLiteral("points"), 2));
    CHECK(w.curve().points().size() == c.curve.size());
    CHECK(w.curve().points().back().value <= w.curve().points().back().bound.value_or(-1));
    REQUIRE(w.chosen().rowCount() == static_cast<int>(c.chosen.size()) + (c.leftOut ? 1 : 0));
    CHECK(w.targets().rowCount() == 1);

    int fresh = 0;
    for (const ChosenOption& o : c.chosen) fresh += !told->feed.spots[o.option.mount].kept;
    CHECK(fresh == 3); // the budget
    CHECK(static_cast<int>(desk.ghosts().size()) == fresh);

    // A row chosen by key is the selection, and the ghosts stay; its working opens.
    QTabWidget* tabs = w.findChild<QTabWidget*>();
    tabs->setCurrentWidget(&w.chosen());
    w.chosen().setFocus();
    key(Qt::Key_Home, Qt::ControlModifier);
    key(Qt::Key_Down);
    const int row = w.chosen().currentRow();
    const ItemId mount = told->feed.spots[w.chosenRows()[static_cast<std::size_t>(row)].option.mount].mount;
    CHECK(desk.space().selection.primary() == mount);
    CHECK(static_cast<int>(desk.ghosts().size()) == fresh);
    key(Qt::Key_Return);
    auto* working = desk.window.findChild<WorkingView*>();
    REQUIRE(working);
    CHECK(working->working().title.find(desk.now().label(mount)) == 0);
    working->close();

    click(*buttonIn(w, QStringLiteral("Apply")));
    CHECK(desk.steps() == 1);
    CHECK(desk.ghosts().empty());
    CHECK(desk.now().smallCells.size() == before.smallCells.size() + static_cast<std::size_t>(fresh));
    desk.space().document.history().undo();
    CHECK(desk.now() == before);
    CHECK(static_cast<int>(desk.ghosts().size()) == fresh); // what was undone can be used again
    w.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&w, kPatienceMs));
    key(Qt::Key_Escape);
    CHECK(QTest::qWaitFor([&] { return !w.isVisible(); }, kPatienceMs));
    CHECK(desk.ghosts().empty());
}

TEST_CASE("a set becomes a variant of the name that is typed, and a name twice is refused in words",
          "[gui][choice]") {
    ChoiceDesk desk;
    ChoiceWindow& w = desk.open();
    w.goal().budget().setValue(1);
    ChoiceDesk::search(w);
    const ItemId active = desk.now().settings->activeVariant;
    const auto ask = [&](const QString& name) {
        click(*buttonIn(w, QStringLiteral("As a new variant")));
        QInputDialog* box = nullptr;
        REQUIRE(QTest::qWaitFor(
            [&] {
                box = w.findChild<QInputDialog*>();
                return box && box->isVisible();
            },
            5000));
        REQUIRE(QTest::qWaitForWindowActive(box, kPatienceMs));
        type(name);
        key(Qt::Key_Return);
        REQUIRE(QTest::qWaitFor([&] { return w.findChild<QInputDialog*>() == nullptr; }, kPatienceMs));
    };
    ask(QString::fromStdString(desk.now().variants.find(active)->name));
    CHECK(w.stateText().contains(QStringLiteral("already")));
    CHECK(desk.steps() == 0);
    ask(QStringLiteral("Quay"));
    CHECK(desk.steps() == 1);
    CHECK(desk.now().settings->activeVariant == active);
    CHECK(w.stateText().contains(QStringLiteral("Quay")));
    bool found = false;
    for (const Variant& v : desk.now().variants) found = found || v.name == "Quay";
    CHECK(found);
}

TEST_CASE("what cannot be searched is said in words, with where and what to do", "[gui][choice]") {
    ChoiceDesk desk;
    ChoiceWindow& w = desk.open();
    const auto refused = [&] {
        click(*buttonIn(w, QStringLiteral("Start")));
        CHECK_FALSE(w.run().running());
        return w.stateText();
    };
    w.goal().must().setFocus();
    type(QStringLiteral("Pole 1, Nowhere"));
    CHECK(refused().contains(QStringLiteral("“Nowhere” is no mount")));
    w.goal().must().clear();

    w.goal().cells().setFocus();
    w.goal().cells().setCurrentRow(0);
    key(Qt::Key_Space);
    CHECK(refused().contains(QStringLiteral("no cell to relieve")));
    w.goal().cells().setFocus();
    key(Qt::Key_Space);

    QTemporaryDir folder;
    const QString table = folder.filePath(QStringLiteral("ours.toml"));
    QFile file(table);
    REQUIRE(file.open(QIODevice::WriteOnly));
    file.write("[mount]\npole = -3\n");
    file.close();
    w.goal().setTable(table);
    const QString wrong = refused();
    CHECK(wrong.contains(QStringLiteral("ours.toml")));
    CHECK(wrong.contains(QStringLiteral("line 2")));
    w.goal().setTable(folder.filePath(QStringLiteral("none.toml")));
    CHECK(refused().contains(QStringLiteral("none.toml")));
    w.goal().setTable({});

    // Only a worker finds out that nothing is left to choose.
    w.goal().keep().setChecked(false);
    QStringList all;
    for (const Mount& m : desk.now().mounts) all << QString::fromStdString(m.name);
    w.goal().mustNot().setText(all.join(QStringLiteral(", ")));
    click(*buttonIn(w, QStringLiteral("Start")));
    REQUIRE(QTest::qWaitFor([&] { return !w.run().running(); }, kPatienceMs));
    CHECK_FALSE(w.run().result());
    CHECK(w.stateText().contains(QStringLiteral("mount")));
    CHECK(w.curve().points().empty());
}

TEST_CASE("a search that is stopped keeps the best so far, and that can be applied", "[gui][choice]") {
    ChoiceDesk desk;
    ChoiceWindow& w = desk.open();
    // Spacing keeps the bound from closing, so that the search has no end of its own for long.
    w.goal().spacing().setValue(60);
    w.goal().iterations().setValue(1000000);
    click(*buttonIn(w, QStringLiteral("Start")));
    REQUIRE(QTest::qWaitFor([&] { return !w.curve().points().empty() || !w.run().running(); }, kPatienceMs));
    REQUIRE(w.run().running());
    click(*buttonIn(w, QStringLiteral("Stop")));
    REQUIRE(QTest::qWaitFor([&] { return !w.run().running(); }, kPatienceMs));
    REQUIRE(w.run().result());
    CHECK(w.run().result()->planned.choice.stopped);
    CHECK(w.verdictText().contains(QStringLiteral("stopped")));
    CHECK(w.targets().rowCount() == 0);
    CHECK_FALSE(desk.ghosts().empty());
    click(*buttonIn(w, QStringLiteral("Apply")));
    CHECK(desk.steps() == 1);
}

TEST_CASE("the curve says every point by keys, and lies within its axes", "[gui][choice]") {
    needGuiApp();
    ChoiceCurve curve;
    curve.resize(500, 260);
    curve.show();
    REQUIRE(QTest::qWaitForWindowExposed(&curve, kPatienceMs));
    curve.setCurve({{0, 20, std::nullopt, true}, {120, 22, 26, true}, {240, 23.5, 24, false}},
                   {QStringLiteral("found"), QStringLiteral("at most"), QStringLiteral("Relief (points)"),
                    QStringLiteral("points"), 1},
                   240, {});
    for (std::size_t k = 0; k < 3; ++k) {
        CHECK(curve.rect().contains(curve.placeOf(k, false).toPoint()));
        CHECK(curve.rect().contains(curve.placeOf(k, true).toPoint()));
    }
    CHECK(curve.placeOf(2, true).y() < curve.placeOf(2, false).y()); // more lies higher
    CHECK(curve.placeOf(1, true).y() < curve.placeOf(2, true).y());
    QTest::keyClick(&curve, Qt::Key_Left);
    CHECK(curve.current() == std::optional<std::size_t>(2));
    QTest::keyClick(&curve, Qt::Key_Left);
    CHECK(curve.pointText(*curve.current()).contains(QStringLiteral("120")));
    CHECK(curve.accessibleDescription().contains(QStringLiteral("at most")));
    CHECK(curve.pointText(2).contains(QStringLiteral("not yet reached")));
}
