// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/bench.h"
#include "bench/cell_users.h"
#include "catch.h"
#include "charts/cqi_histogram.h"
#include "charts/ring_histogram.h"
#include "gui_app.h"
#include "skyline/skyline_view.h"
#include "text/figures.h"
#include "window_plan.h"

#include "study/user_working.h"

#include <QCheckBox>
#include <QSignalSpy>
#include <QTest>

#include <numeric>

using namespace fw;
using namespace fwtest;

namespace {

struct Users {
    Workspace space;
    WindowPlan plan = windowPlan();
    CellUsers view{space};
    QSignalSpy working{&view, &CellUsers::workingWanted};

    explicit Users(const std::function<void(Cell&, PlanSettings&)>& change = {}) {
        Cell cell = *plan.loaded.plan.cells.find(plan.cell);
        PlanSettings settings = *plan.loaded.plan.settings;
        cell.load.timingAdvance = {200, 500, 900, 400, 150, 50};
        cell.load.cqi = {0, 0, 10, 20, 40, 80, 120, 200, 180, 150, 100, 60, 30, 8, 2, 0};
        if (change) change(cell, settings);
        plan.loaded.plan.cells.put(cell);
        plan.loaded.plan.settings = std::make_shared<const PlanSettings>(settings);
        REQUIRE(space.document.adopt(plan.loaded).ok());
        space.selection.setOne(plan.cell);
        view.resize(760, 260);
        view.show();
        REQUIRE(drawn());
    }
    bool drawn() {
        return allQuiet(space) && QTest::qWaitFor([&] { return view.current(); }, kPatienceMs);
    }
    /// With plain blanks, as a test writes them.
    static QString plain(QString text) { return text.replace(QChar(u'\u202f'), QLatin1Char(' ')); }
    [[nodiscard]] Study::UserDistances distances() const {
        const auto d = space.live.study()->userDistances(plan.cell);
        REQUIRE(d);
        return *d;
    }
};

} // namespace

TEST_CASE("Distances of a cell's users are drawn measured beside modelled and spread",
          "[gui][charts][users]") {
    needGuiApp();
    Users u;
    const RingHistogram& chart = *u.view.rings();
    const auto d = u.distances();
    REQUIRE(d.raked);
    CHECK(chart.shares().measured == d.measured);
    CHECK(chart.shares().modelled == d.modelled);
    CHECK(chart.shares().spread == d.spread);
    // 2200 samples, by hand; a step of LTE is 78.07 m (TS 36.213, 4.2.3).
    CHECK(chart.shares().measured[2] == Approx(900.0 / 2200));
    CHECK(Users::plain(chart.classText(2)).contains("From 156 m to 234 m: 40.9 % measured"));
    CHECK(Users::plain(chart.classText(5)).startsWith("Beyond 390 m"));
    CHECK(chart.accessibleDescription().contains(QLocale().toString(2200) + " samples"));
    CHECK(chart.accessibleDescription().contains(chart.classText(2)));
    // Bars stand side by side and are as tall as what they hold.
    const QRectF low = chart.barRect(0, d.measured[0]), high = chart.barRect(2, d.measured[2]);
    CHECK(high.height() / low.height() == Approx(900.0 / 200));
    CHECK(low.right() == Approx(chart.barRect(1, 0.1).left()));
}

TEST_CASE("Why a cell's load is not spread as measured is said", "[gui][charts][users]") {
    needGuiApp();
    SECTION("the plan leaves it aside") {
        Users u([](Cell&, PlanSettings& s) { s.model.ignoreTimingAdvance = true; });
        CHECK(u.view.rings()->note().contains("the plan leaves timing advance aside"));
        CHECK(u.view.rings()->shares().spread.empty());
    }
    SECTION("too few samples") {
        Users u([](Cell& c, PlanSettings&) { c.load.timingAdvance = {20, 30, 10}; });
        CHECK(u.view.rings()->note().contains("60 samples are too few, 100 are needed"));
    }
    SECTION("no load was measured") {
        Users u([](Cell& c, PlanSettings&) { c.load.dlPrbUse.reset(); });
        CHECK(u.view.rings()->note().contains("no load was measured"));
    }
    SECTION("samples where the model has nobody") {
        Users u([](Cell& c, PlanSettings&) {
            c.load.timingAdvance.resize(30, 0);
            c.load.timingAdvance[20] = 220;
        });
        CHECK(u.view.rings()->note().contains(percent(u.distances().unreached, 1)));
        CHECK(u.distances().unreached > 0.05);
    }
    SECTION("no histogram") {
        Users u([](Cell& c, PlanSettings&) { c.load.timingAdvance.clear(); });
        CHECK(u.view.rings()->classes() == 0);
        CHECK(u.view.rings()->emptyText().contains("No timing-advance histogram"));
        CHECK(u.view.rings()->accessibleDescription() == u.view.rings()->emptyText());
        CHECK(u.view.cqi()->classes() > 0);
    }
}

TEST_CASE("The CQI of a cell's users is drawn measured beside computed", "[gui][charts][users]") {
    needGuiApp();
    Users u;
    const CqiHistogram& chart = *u.view.cqi();
    CHECK(chart.shares().measured[7] == Approx(0.2));
    CHECK(std::accumulate(chart.shares().spread.begin(), chart.shares().spread.end(), 0.0) == Approx(1));
    CHECK(Users::plain(chart.classText(7)).startsWith("CQI 7: 20.0 % measured, "));
    // Mean of the histogram above: 7496 / 1000.
    double mean = 0;
    for (std::size_t k = 0; k < 16; ++k) mean += static_cast<double>(k) * chart.shares().measured[k];
    CHECK(chart.note().contains(figure(mean, {}, 1) + " measured"));
    CHECK(chart.accessibleDescription().contains(QLocale().toString(1000) + " samples"));
}

TEST_CASE("A class opens its working by click and by Enter", "[gui][charts][users]") {
    needGuiApp();
    Users u;
    RingHistogram* rings = u.view.rings();
    QTest::mouseClick(rings, Qt::LeftButton, {}, rings->barRect(2, 0.1).center().toPoint());
    REQUIRE(u.working.count() == 1);
    const auto opened = u.working.at(0).at(0).value<Working>();
    CHECK(QString::fromStdString(opened.title).contains("from 156 to 234 m"));
    REQUIRE(opened.steps.size() >= 2);
    CHECK(opened.steps[0].value == Approx(90000.0 / 2200));
    CHECK(opened.steps.back().value == Approx(u.distances().spread[2] * 100));
    u.view.cqi()->setFocus();
    for (int k = 0; k <= 7; ++k) QTest::keyClick(u.view.cqi(), Qt::Key_Right); // the first one goes to 0
    CHECK(u.view.cqi()->current() == 7);
    QTest::keyClick(u.view.cqi(), Qt::Key_Return);
    REQUIRE(u.working.count() == 2);
    const auto cqi = u.working.at(1).at(0).value<Working>();
    CHECK(QString::fromStdString(cqi.title).endsWith("at CQI 7"));
    // TS 36.213, table 7.2.3-1: 1.4766 bit/s/Hz, which takes 10 log10(2^(1.4766 / 0.6) - 1) = 6.53 dB.
    CHECK(cqi.steps[0].value == Approx(6.53).margin(0.01));
}

TEST_CASE("The charts follow an edit, and a sector stands for its fullest cell", "[gui][charts][users]") {
    needGuiApp();
    Users u;
    Cell cell = *u.space.document.plan().cells.find(u.plan.cell);
    cell.load.timingAdvance = {0, 0, 1000, 1000, 0, 0};
    REQUIRE(u.space.document.perform({"Measure", {Put{cell}}}).ok());
    REQUIRE(u.drawn());
    CHECK(u.view.rings()->shares().measured[2] == 0.5);
    Cell idle = cell;
    idle.id = u.space.document.plan().nextId();
    idle.name = "Idle";
    idle.carrier.channel = 300;
    idle.load = {};
    idle.load.dlPrbUse = 0.1;
    REQUIRE(u.space.document.perform({"Add", {Put{idle}}}).ok());
    u.space.selection.setOne(cell.sector);
    REQUIRE(u.drawn());
    CHECK(u.view.cell() == u.plan.cell);
    u.space.selection.setOne(idle.id);
    REQUIRE(u.drawn());
    CHECK(u.view.cell() == idle.id);
    CHECK(u.view.cqi()->note().contains("No CQI histogram"));
    u.space.selection.setOne(u.plan.small);
    CHECK_FALSE(u.view.cell());
    CHECK(u.view.rings()->classes() == 0);
    u.space.selection.setOne(idle.id); // and back, with nothing computed in between
    CHECK(u.drawn());
}

TEST_CASE("A check beside the chart spreads load as measured, or not, as one step that is undone",
          "[gui][charts][users]") {
    needGuiApp();
    Users u;
    REQUIRE(u.view.rings()->shares().spread == u.distances().spread);
    const Plan before = u.space.document.plan();
    REQUIRE(u.view.rake()->isChecked());
    QTest::mouseClick(u.view.rake(), Qt::LeftButton, {}, QPoint(8, u.view.rake()->height() / 2));
    CHECK(u.space.document.plan().settings->model.ignoreTimingAdvance);
    CHECK(u.space.document.history().undoText() == "Leave timing advance aside");
    REQUIRE(u.drawn());
    CHECK(u.view.rings()->shares().spread.empty());
    u.space.document.history().undo();
    CHECK(u.view.rake()->isChecked());
    CHECK(u.space.document.plan() == before);
    REQUIRE(u.drawn());
    CHECK_FALSE(u.view.rings()->shares().spread.empty());
    u.view.rake()->setFocus();
    QTest::keyClick(u.view.rake(), Qt::Key_Space);
    CHECK(u.space.document.plan().settings->model.ignoreTimingAdvance);
}

TEST_CASE("The bench shows the users of a macro cell where a small cell has its skyline", "[gui][users]") {
    needGuiApp();
    Workspace space;
    WindowPlan plan = windowPlan();
    Bench bench(space);
    REQUIRE(space.document.adopt(plan.loaded).ok());
    bench.resize(1400, 260);
    bench.show();
    space.selection.setOne(plan.small);
    CHECK(bench.skyline()->isVisible());
    CHECK_FALSE(bench.cellUsers()->isVisible());
    space.selection.setOne(plan.cell);
    CHECK(bench.cellUsers()->isVisible());
    CHECK_FALSE(bench.skyline()->isVisible());
    REQUIRE(allQuiet(space));
    CHECK(QTest::qWaitFor([&] { return bench.cellUsers()->current(); }, kPatienceMs));
    space.selection.clear();
    CHECK(bench.skyline()->isVisible());
}
