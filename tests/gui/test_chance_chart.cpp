// SPDX-License-Identifier: GPL-3.0-or-later
// How sure verdicts are, in the window: drawn after the loads have settled, gone while something changes, the
// same figures as a computation from nothing.
#include "bench/bench.h"
#include "catch.h"
#include "charts/chance_chart.h"
#include "charts/fit_bar.h"
#include "charts/ledger_chart.h"
#include "gui_app.h"
#include "study/settled.h"
#include "text/figures.h"
#include "window_plan.h"

#include <QSignalSpy>
#include <QTest>

using namespace fw;
using namespace fwtest;

namespace {

struct ChanceDesk {
    Workspace space;
    WindowPlan plan;
    Bench bench{space};

    ChanceDesk() : plan(windowPlan()) {
        REQUIRE(space.document.adopt(plan.loaded).ok());
        bench.resize(1400, 300);
        bench.show();
        space.selection.setOne(plan.cell); // chances are drawn for somebody who looks
        REQUIRE(allQuiet(space));
    }
    [[nodiscard]] bool drawn() {
        return QTest::qWaitFor([&] { return space.chance.chance() != nullptr; }, kPatienceMs);
    }
};

} // namespace

TEST_CASE("chance follows the settled ledger and equals a computation from nothing", "[gui][charts]") {
    needGuiApp();
    ChanceDesk desk;
    REQUIRE(desk.drawn());
    const auto study = Study::advance(nullptr, desk.space.document.plan(), desk.plan.loaded.terrain, {1});
    REQUIRE(study);
    const auto settled = settle(**study, {}, 1);
    REQUIRE(settled);
    const auto cold = chanceOf(**study, *settled, {});
    REQUIRE(cold);
    CHECK(*desk.space.chance.chance() == *cold);
}

TEST_CASE("a chosen macro cell shows its chance in the place of the fit", "[gui][charts]") {
    needGuiApp();
    ChanceDesk desk;
    REQUIRE(desk.drawn());
    ChanceChart& chart = *desk.bench.chance();
    desk.space.selection.setOne(desk.plan.small);
    CHECK(desk.bench.fit()->isVisible());
    CHECK_FALSE(chart.isVisible());
    CHECK(desk.space.chance.chance()); // it stays until something changes
    desk.space.selection.setOne(desk.plan.cell);
    CHECK_FALSE(desk.bench.fit()->isVisible());
    REQUIRE(chart.isVisible());
    CHECK(chart.cell() == desk.plan.cell);
    const CellChance& c = *desk.space.chance.of(desk.plan.cell);
    REQUIRE(chart.bars().size() == kChanceInputs + 1);
    CHECK(chart.bars()[0].q == c.after);
    for (std::size_t i = 2; i < chart.bars().size(); ++i) // the widest on top
        CHECK(chart.bars()[i].q.span() <= chart.bars()[i - 1].q.span());
    CHECK(chart.bars()[1].q == c.alone[static_cast<std::size_t>(c.widest)]);
    // Bars of one scale: lengths go with what they stand for.
    const double perUse = chart.barRect(0).width() / chart.bars()[0].q.span();
    if (chart.bars()[1].q.span() * perUse > 2)
        CHECK(chart.barRect(1).width() == Approx(chart.bars()[1].q.span() * perUse).epsilon(0.02));
    CHECK(chart.accessibleDescription().contains(percent(c.after.p90, 1)));
    for (std::size_t i = 0; i < chart.bars().size(); ++i)
        CHECK(chart.rect().contains(chart.barRect(i).toAlignedRect()));
}

TEST_CASE("space opens the working behind a chance", "[gui][charts]") {
    needGuiApp();
    ChanceDesk desk;
    REQUIRE(desk.drawn());
    desk.space.selection.setOne(desk.plan.cell);
    ChanceChart& chart = *desk.bench.chance();
    QSignalSpy wanted(&chart, &ChanceChart::workingWanted);
    chart.setFocus();
    QTest::keyClick(&chart, Qt::Key_Space);
    REQUIRE(wanted.count() == 1);
    const auto w = wanted.at(0).at(0).value<Working>();
    REQUIRE_FALSE(w.steps.empty());
    CHECK(w.steps.back().value == Approx(100 * desk.space.chance.of(desk.plan.cell)->reaches));
    QTest::mouseDClick(&chart, Qt::LeftButton, {}, chart.rect().center());
    CHECK(wanted.count() == 2);
}

TEST_CASE("the ledger says how sure its target is, until something moves", "[gui][charts]") {
    needGuiApp();
    ChanceDesk desk;
    REQUIRE(desk.drawn());
    LedgerChart& ledger = *desk.bench.ledger();
    const auto row = [&]() -> const LedgerRow& {
        for (const LedgerRow& r : ledger.rows())
            if (r.cell == desk.plan.cell) return r;
        FAIL("the cell has no row");
        return ledger.rows().front();
    };
    REQUIRE(row().chance);
    const CellChance* c = desk.space.chance.of(desk.plan.cell);
    CHECK(row().chance->after == c->after);
    CHECK(ledger.textAt(ledger.rowRect(0).center()).contains(percent(c->after.p10, 1)));
    // A drag takes it away; the settled ledger brings it back.
    const Radio radio = *desk.space.document.plan().radios.find(
        desk.space.document.plan().smallCells.find(desk.plan.small)->radio);
    desk.space.live.beginDrag();
    Radio turned = radio;
    turned.azimuth = TrueAzimuth::of(radio.azimuth.deg + 20);
    Hypothesis h;
    h.radio = turned;
    REQUIRE(desk.space.live.consider(h));
    CHECK_FALSE(desk.space.chance.chance());
    CHECK_FALSE(row().chance);
    desk.space.live.endDrag(false);
    CHECK(desk.drawn());
    CHECK(row().chance);
}
