// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "charts/fit_bar.h"
#include "charts/ledger_chart.h"
#include "dialogs/working_view.h"
#include "gui_app.h"
#include "text/figures.h"
#include "window_plan.h"

#include "study/ledger_working.h"

#include <QClipboard>
#include <QScrollBar>
#include <QSignalSpy>
#include <QTest>
#include <QTextBrowser>

#include <cmath>

using namespace fw;
using namespace fwtest;

namespace {

template <class View>
struct OnPlan {
    Workspace space;
    WindowPlan plan;
    View view{space};

    explicit OnPlan(WindowPlan p = windowPlan()) : plan(std::move(p)) {
        REQUIRE(space.document.adopt(plan.loaded).ok());
        space.selection.setOne(plan.small);
        view.resize(700, 240);
        view.show();
        REQUIRE(allQuiet(space));
    }
    [[nodiscard]] ItemId radio() const { return space.document.plan().smallCells.find(plan.small)->radio; }
};

// Many macro cells around the small plan.
WindowPlan manyCells() {
    using namespace fw::testing;
    HandPlan hand;
    WindowPlan out;
    out.cell = hand.macro(place(-180, 0), 90, 0.85, 2);
    for (int k = 0; k < 12; ++k) hand.macro(place(-200 + 36.0 * k, 220), 180, 0.2 + 0.03 * k, 4);
    for (int k = 0; k < 4; ++k) hand.building(place(60 + 34.0 * k, 46), 18, 3);
    out.small = hand.small(place(0, 0), 90);
    out.otherSmall = hand.small(place(64, -64), 45);
    out.loaded.plan = hand.done();
    auto terrain = std::make_shared<fw::Terrain>();
    terrain->flatM = 12;
    out.loaded.terrain = terrain;
    return out;
}

} // namespace

TEST_CASE("The fit bar's pieces are as long as the points they give", "[gui][charts]") {
    needGuiApp();
    OnPlan<FitBar> s;
    REQUIRE(s.view.fit());
    double sum = 0, right = s.view.barRect().left();
    for (std::size_t i = 0; i < s.view.fit()->terms.size(); ++i) {
        const QRectF piece = s.view.pieceRect(i);
        CHECK(piece.left() == Approx(right).margin(1e-6));
        CHECK(piece.width() == Approx(s.view.pointsOf(i) / 100 * s.view.barRect().width()).margin(1e-6));
        CHECK(s.view.pointsOf(i) <= s.view.pointsMost(i) + 1e-9);
        right = piece.right();
        sum += s.view.pointsOf(i);
    }
    CHECK(sum == Approx(s.view.fit()->value));
    CHECK(s.view.accessibleDescription().contains(
        QStringLiteral("Fit %1 of 100").arg(figure(s.view.fit()->value, {}, 0))));
    CHECK(s.view.accessibleDescription().contains("relief gives"));
}

TEST_CASE("The fit follows a drag and remembers where it began", "[gui][charts]") {
    needGuiApp();
    OnPlan<FitBar> s;
    const double before = s.view.fit()->value;
    CHECK_FALSE(s.view.valueBefore());
    REQUIRE(s.space.drag.beginRadio(s.radio()));
    s.space.drag.turnTo(TrueAzimuth{270});
    CHECK(s.view.fit()->value != before);
    REQUIRE(s.view.valueBefore());
    CHECK(*s.view.valueBefore() == before);
    s.space.drag.turnTo(TrueAzimuth{250});
    CHECK(*s.view.valueBefore() == before);
    s.space.drag.abandon();
    CHECK_FALSE(s.view.valueBefore());
    CHECK(s.view.fit()->value == before);
}

TEST_CASE("What blocks is said beside the fit", "[gui][charts]") {
    needGuiApp();
    OnPlan<FitBar> s;
    CHECK(s.view.accessibleDescription().contains("not buildable") ==
          s.space.live.review().blocked(s.plan.small));
    Radio turned = *s.space.document.plan().radios.find(s.radio());
    turned.azimuth = TrueAzimuth{270}; // into the macro
    REQUIRE(s.space.document.perform({"Turn", {Put{turned}}}).ok());
    REQUIRE(allQuiet(s.space));
    REQUIRE(s.space.live.review().blocked(s.plan.small));
    CHECK(s.view.accessibleDescription().contains("not buildable"));
}

TEST_CASE("A term asks for the working by click and by Enter", "[gui][charts]") {
    needGuiApp();
    OnPlan<FitBar> s;
    QSignalSpy spy(&s.view, &FitBar::workingWanted);
    QTest::mouseClick(&s.view, Qt::LeftButton, {}, s.view.pieceRect(1).center().toPoint());
    CHECK(spy.count() == 1);
    QTest::keyClick(&s.view, Qt::Key_Down);
    QTest::keyClick(&s.view, Qt::Key_Return);
    CHECK(spy.count() == 2);
    s.space.selection.clear();
    CHECK(s.view.emptyText().contains("Choose a small cell"));
    QTest::keyClick(&s.view, Qt::Key_Return);
    CHECK(spy.count() == 2);
}

TEST_CASE("Ledger pieces are as long as what is taken off, from the use before down", "[gui][charts]") {
    needGuiApp();
    OnPlan<LedgerChart> s;
    REQUIRE(s.view.rows().size() == 1);
    const LedgerRow& row = s.view.rows().front();
    REQUIRE(s.space.live.settled());
    CHECK(row.after == fw::testing::lineOf(*s.space.live.settled(), row.cell)->after);
    REQUIRE(!row.relief.empty());
    CHECK(row.relief.front().small == s.plan.small); // the chosen one first
    const QRectF track = s.view.trackRect(0);
    double from = row.before;
    for (const LedgerRow::Piece& p : row.relief) {
        const QRectF piece = s.view.pieceRect(0, p.small);
        CHECK(piece.width() == Approx(p.use * track.width()).margin(1e-6));
        CHECK(piece.right() == Approx(track.left() + from * track.width()).margin(1e-6));
        from -= p.use;
    }
    CHECK(from + row.harm == Approx(row.after));
    const QString said = s.view.textAt(s.view.pieceRect(0, s.plan.small).center().toPoint());
    CHECK(said.contains(QString::fromStdString(s.space.document.plan().label(s.plan.small))));
    CHECK(said.contains(figure(row.relief.front().use * 100, "points")));
}

TEST_CASE("The ledger says whether its figures are live or settled", "[gui][charts]") {
    needGuiApp();
    OnPlan<LedgerChart> s;
    CHECK(s.view.stateText().startsWith("settled"));
    CHECK(s.view.accessibleDescription().startsWith("settled"));
    const double after = s.view.rows().front().after;
    REQUIRE(s.space.drag.beginRadio(s.radio()));
    s.space.drag.turnTo(TrueAzimuth{250});
    CHECK(s.view.stateText().startsWith("live"));
    CHECK(s.view.rows().front().after == fw::testing::lineOf(*s.space.live.ledger(), s.plan.cell)->after);
    CHECK(s.view.rows().front().after != after);
    s.space.drag.finish();
    CHECK(s.view.stateText().startsWith("live"));
    REQUIRE(allQuiet(s.space));
    CHECK(s.view.stateText().startsWith("settled"));
}

TEST_CASE("Cells that the chosen small cell touches stand first and keep their place in a drag",
          "[gui][charts]") {
    needGuiApp();
    OnPlan<LedgerChart> s(manyCells());
    REQUIRE(s.view.rows().size() == 13);
    double last = 1e9;
    bool touching = true;
    for (const LedgerRow& r : s.view.rows()) {
        const bool touched =
            !r.relief.empty() && r.relief.front().small == s.plan.small && r.relief.front().use >= 1e-4;
        if (touched) {
            CHECK(touching);
            CHECK(r.relief.front().use <= last);
            last = r.relief.front().use;
        }
        touching = touched;
    }
    REQUIRE(last < 1e9); // it touches some
    std::vector<ItemId> order;
    for (const LedgerRow& r : s.view.rows()) order.push_back(r.cell);
    REQUIRE(s.space.drag.beginRadio(s.radio()));
    s.space.drag.turnTo(TrueAzimuth{0});
    std::vector<ItemId> during;
    for (const LedgerRow& r : s.view.rows()) during.push_back(r.cell);
    CHECK(during == order);
    s.space.drag.abandon();
}

TEST_CASE("A ledger of many cells scrolls, and a row chooses its cell by key and by click", "[gui][charts]") {
    needGuiApp();
    OnPlan<LedgerChart> s(manyCells());
    CHECK(s.view.verticalScrollBar()->maximum() > 0);
    QTest::keyClick(&s.view, Qt::Key_End);
    CHECK(s.view.currentRow() == 12);
    CHECK(s.view.verticalScrollBar()->value() == s.view.verticalScrollBar()->maximum());
    const ItemId lowest = s.view.rows().back().cell;
    QTest::keyClick(&s.view, Qt::Key_Return);
    CHECK(s.space.selection.primary() == lowest);
    // The order stays: nothing jumps away under the pointer.
    CHECK(s.view.rows().back().cell == lowest);
    QTest::keyClick(&s.view, Qt::Key_Home);
    QTest::mouseClick(s.view.viewport(), Qt::LeftButton, {}, s.view.rowRect(1).center());
    CHECK(s.space.selection.primary() == s.view.rows()[1].cell);
}

TEST_CASE("Without loads the ledger says what is missing", "[gui][charts]") {
    needGuiApp();
    Workspace space;
    LedgerChart view(space);
    view.show();
    CHECK(view.emptyText().contains("No plan"));
    CHECK(view.stateText().isEmpty());
}

TEST_CASE("A working shows inputs, steps, source and remarks, and copies all of it", "[gui][working]") {
    needGuiApp();
    Working w;
    w.title = "Fit of S-104";
    w.inputs = {{"relief, measured", 5.25, "points", "computed"}};
    w.steps = {{"relief brings something", "score times weight", 12.5, ""},
               {"a very long line that has to wrap " + std::string(200, 'x'), "", 51.25, "%"}};
    w.source = "own judgement";
    w.remarks = {"outside the stated <range>"};
    WorkingView view;
    view.setWorking(w);
    view.show();
    CHECK_FALSE(view.isModal());
    CHECK(view.windowTitle() == "Fit of S-104");
    const auto* page = view.findChild<QTextBrowser*>();
    REQUIRE(page);
    for (const char* part : {"relief, measured", "5.250", "computed", "score times weight", "12.50", "51.25",
                             "own judgement", "outside the stated <range>"}) {
        INFO(part);
        CHECK(page->toPlainText().contains(QString::fromLatin1(part)));
        CHECK(view.asText().contains(QString::fromLatin1(part)));
    }
    CHECK(page->document()->size().width() <= page->viewport()->width());
    QTest::keySequence(view.findChild<QTextBrowser*>(), QKeySequence(QKeySequence::Copy));
    CHECK((QGuiApplication::clipboard()->text() == view.asText()));
    QTest::keyClick(&view, Qt::Key_Escape);
    CHECK_FALSE(view.isVisible());
}

TEST_CASE("Figures of a working keep about four digits", "[gui][working]") {
    needGuiApp();
    CHECK(workingFigure(40, "") == "40");
    CHECK(workingFigure(51.7106, "").startsWith("51.71"));
    CHECK(workingFigure(0.0123456, "dB").startsWith("0.012346"));
    CHECK(workingFigure(1234.56, "m").contains("234.6"));
}
