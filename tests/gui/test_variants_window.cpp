// SPDX-License-Identifier: GPL-3.0-or-later
// Variants side by side in the window: its figures are those of the core, its buttons single steps of the
// history.
#include "catch.h"
#include "dialogs/cost_table.h"
#include "dialogs/variants_window.h"
#include "gui_app.h"
#include "plan/variant_edits.h"
#include "store/folder.h"
#include "text/figures.h"
#include "theme/window_palette.h"
#include "theme/window_theme.h"
#include "window_plan.h"

#include <QAbstractButton>
#include <QApplication>
#include <QImage>
#include <QLabel>
#include <QScopeGuard>
#include <QTableWidget>
#include <QTest>

#include <fstream>

using namespace fw;
using namespace fwtest;

namespace {

struct VariantsDesk {
    Workspace space;
    WindowPlan plan;
    VariantsWindow window{space};

    VariantsDesk() : plan(windowPlan()) {
        REQUIRE(space.document.adopt(plan.loaded).ok());
        window.show();
        REQUIRE(ready(1));
    }
    [[nodiscard]] const Plan& now() const { return space.document.plan(); }
    // Computed for the plan as it is.
    [[nodiscard]] bool ready(std::size_t variants) {
        return QTest::qWaitFor(
            [&] {
                return window.figures().size() == variants &&
                       window.stateText().startsWith("Loads are settled") && !space.live.stale();
            },
            kPatienceMs);
    }
    void press(const QString& text) {
        for (QAbstractButton* b : window.findChildren<QAbstractButton*>())
            if (b->text().remove('&') == text) {
                INFO(text.toStdString());
                REQUIRE(b->isEnabled());
                QTest::mouseClick(b, Qt::LeftButton);
                return;
            }
        FAIL("no button " << text.toStdString());
    }
    void choose(int column) { window.table().selectColumn(column); }
};

} // namespace

TEST_CASE("the window of variants shows what the core says of each", "[gui][variants]") {
    needGuiApp();
    VariantsDesk desk;
    const auto copy =
        copyVariant(desk.now(), desk.now().settings->activeVariant, "A variant with a rather long name");
    REQUIRE(copy);
    REQUIRE(desk.space.document.perform(copy->edit).ok());
    SmallCell one = *desk.now().smallCells.find(desk.plan.small);
    one.chosen = !one.chosen;
    REQUIRE(desk.space.document.perform({"Choose", {Put{one}}}).ok());
    REQUIRE(desk.ready(2));
    const auto study = Study::advance(nullptr, desk.now(), desk.plan.loaded.terrain, {1});
    REQUIRE(study);
    const auto all = compareVariants(*study, desk.plan.loaded.terrain);
    REQUIRE(all);
    CHECK(desk.window.figures() == *all); // costs too: by the values in the program
    CHECK(desk.window.table().columnCount() == 2);
    CHECK(desk.window.table().item(0, 0)->text() == QString::number(all->at(0).chosen));
    // Fewer small cells are better; with one better than the other, it is in bold.
    const bool firstFewer = all->at(0).chosen < all->at(1).chosen;
    CHECK(desk.window.table().item(0, 0)->font().bold() == firstFewer);
    CHECK(desk.window.table().item(0, 1)->font().bold() != firstFewer);
    std::vector<Working> opened;
    QObject::connect(&desk.window, &VariantsWindow::workingWanted, &desk.window,
                     [&](const Working& w) { opened.push_back(w); });
    desk.choose(1);
    desk.press("Steps behind the figures ...");
    REQUIRE(opened.size() == 1);
    CHECK(opened[0].title == "What A variant with a rather long name comes to");
    CHECK(opened[0].steps.back().value == all->at(1).reached);
}

TEST_CASE("copying, working on and removing a variant are steps that can be undone", "[gui][variants]") {
    needGuiApp();
    VariantsDesk desk;
    const Plan before = desk.now();
    const ItemId first = desk.now().settings->activeVariant;
    desk.choose(0);
    desk.press("Copy it");
    CHECK(desk.now().variants.size() == 2);
    const ItemId second = desk.now().settings->activeVariant;
    CHECK(second != first);
    REQUIRE(desk.ready(2));
    desk.choose(0);
    CHECK(desk.window.chosen() == first);
    desk.press("Work on it");
    CHECK(desk.now().settings->activeVariant == first);
    REQUIRE(desk.ready(2));
    desk.choose(1);
    desk.press("Remove it");
    CHECK(desk.now().variants.size() == 1);
    for (int k = 0; k < 3; ++k) desk.space.document.history().undo();
    CHECK(desk.now().settings->activeVariant == first);
    CHECK(desk.now() == before);
}

TEST_CASE("chosen cells go into another variant, and what cannot be done is said in the window",
          "[gui][variants]") {
    needGuiApp();
    VariantsDesk desk;
    desk.press("New, empty");
    REQUIRE(desk.ready(2));
    desk.space.selection.setOne(desk.plan.small);
    desk.choose(1);
    desk.press("Copy chosen cells into it");
    const ItemId second = desk.window.chosen();
    int there = 0;
    for (const SmallCell& s : desk.now().smallCells) there += s.variant == second;
    CHECK(there == 1);
    REQUIRE(desk.ready(2));
    desk.choose(1);
    desk.press("Copy chosen cells into it");
    bool said = false;
    for (const QLabel* l : desk.window.findChildren<QLabel*>())
        said = said || (l->isVisible() && l->text().contains("has them all already"));
    CHECK(said);
}

TEST_CASE("what a variant costs stands beside the active one's cost, and opens its steps",
          "[gui][variants]") {
    needGuiApp();
    setOwnCostTable({});
    VariantsDesk desk;
    desk.press("New, empty"); // becomes no active one
    REQUIRE(desk.ready(2));
    const auto rowOf = [&](const QString& words) {
        for (int r = 0; r < desk.window.table().rowCount(); ++r)
            if (desk.window.table().verticalHeaderItem(r)->text() == words) return r;
        FAIL("no row " << words.toStdString());
        return -1;
    };
    const auto cell = [&](int row, int column) { return desk.window.table().item(row, column)->text(); };
    const auto& figures = desk.window.figures();
    REQUIRE(figures[0].active);
    REQUIRE(figures[0].cost);
    const std::int64_t cost = figures[0].cost->total;
    REQUIRE(cost > 0);
    const auto text = [](std::int64_t v) { return figure(static_cast<double>(v), {}, 0); };
    const int row = rowOf("cost to build, units"), beside = rowOf("cost against the active one, units");
    CHECK(cell(row, 0) == text(cost));
    CHECK(cell(row, 1) == text(0));
    CHECK(cell(beside, 0) == text(0));
    CHECK(cell(beside, 1) == text(-cost));
    CHECK(desk.window.stateText().contains("invented"));

    std::vector<Working> opened;
    QObject::connect(&desk.window, &VariantsWindow::workingWanted, &desk.window,
                     [&](const Working& w) { opened.push_back(w); });
    desk.choose(0);
    desk.press("Steps behind the cost ...");
    REQUIRE(opened.size() == 1);
    CHECK(opened[0].steps.back().value == static_cast<double>(cost));
    // Enter on a row opens the steps of that row.
    desk.window.table().setFocus();
    desk.window.table().setCurrentCell(row, 0);
    QTest::keyClick(&desk.window.table(), Qt::Key_Return);
    desk.window.table().setCurrentCell(0, 0);
    QTest::keyClick(&desk.window.table(), Qt::Key_Return);
    REQUIRE(opened.size() == 3);
    CHECK(opened[1].title == opened[0].title);
    CHECK(opened[2].title != opened[0].title);

    // Another table is taken up once the window is gone back to; one that is gone is said.
    const fw::testing::TestFolder folder;
    const QString file = QString::fromStdString((folder / "mine.toml").string());
    std::ofstream(file.toStdString()) << "currency = \"crowns\"\n[radio]\neach = 0\n";
    const auto comeBack = [&] {
        QEvent e(QEvent::WindowActivate);
        QApplication::sendEvent(&desk.window, &e);
    };
    setOwnCostTable(file);
    comeBack();
    CHECK(figures[0].cost->sites.size() == 2); // a radio each
    CHECK(cell(rowOf("cost to build, crowns"), 0) == text(cost - 2 * 4000));
    CHECK_FALSE(desk.window.stateText().contains("invented"));
    setOwnCostTable(file + ".gone");
    comeBack();
    CHECK_FALSE(figures[0].cost);
    bool said = false;
    for (const QLabel* l : desk.window.findChildren<QLabel*>())
        said = said || (l->isVisible() && l->text().contains("no such file"));
    CHECK(said);
    setOwnCostTable({});
}

TEST_CASE("The window turns from day to night while it is open", "[variants]") {
    needGuiApp();
    const auto byDay = qScopeGuard([] { wear(Appearance::day); }); // for those that come after
    wear(Appearance::day);
    VariantsDesk d;
    const auto lightness = [&] {
        const QImage seen = d.window.table().viewport()->grab().toImage();
        return seen.pixelColor(seen.width() - 3, seen.height() - 3).lightness();
    };
    CHECK(lightness() > 200);
    for (const Appearance worn : {Appearance::night, Appearance::day, Appearance::night}) {
        wear(worn);
        QCoreApplication::processEvents();
        CHECK((lightness() < 80) == (worn == Appearance::night));
        CHECK(d.window.table().palette().color(QPalette::Text).name().toStdString() ==
              windowPalette(QApplication::palette()).ink.name().toStdString());
    }
}
