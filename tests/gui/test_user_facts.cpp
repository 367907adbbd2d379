// SPDX-License-Identifier: GPL-3.0-or-later
// What users get and how buildings are covered, in facts and the table of loads: as the core has it, with
// workings.
#include "bench/bench.h"
#include "bench/facts_panel.h"
#include "bench/facts_section.h"
#include "bench/stage_table.h"
#include "models/stage_tables.h"
#include "study/user_rates.h"
#include "text/figures.h"
#include "window_hand.h"

#include <QSignalSpy>
#include <QToolButton>

using namespace fw;
using namespace fwtest;

namespace {

constexpr int kPatience = 30000;

struct FactsDesk : OpenedWindow {
    FactsDesk() { adopt(); }
    FactsSection& section(Kind kind) {
        FactsSection* s = window.bench()->facts()->section(kind);
        REQUIRE(s);
        return *s;
    }
    /// Presses what opens the working of a figure.
    static Working opened(FactsSection& s, const QString& label) {
        QSignalSpy spy(&s, &FactsSection::workingWanted);
        for (QToolButton* b : s.findChildren<QToolButton*>())
            if (b->accessibleName().endsWith(label)) b->click();
        REQUIRE(spy.size() == 1);
        return spy[0][0].value<Working>();
    }
};

} // namespace

TEST_CASE("what users get stands in the facts of a cell and in the table of loads, and goes with an edit",
          "[gui][rates]") {
    FactsDesk desk;
    const LiveRates& rates = desk.space().rates;
    REQUIRE(QTest::qWaitFor([&] { return rates.of(desk.plan.cell) != nullptr; }, kPatience));
    const auto all = userRates(*desk.space().live.study(), *desk.space().live.settled(), 1);
    const UserRates& right = *ratesOf(all, desk.plan.cell);
    CHECK(rates.of(desk.plan.cell)->before.median.mbps == right.before.median.mbps);
    desk.space().selection.setOne(desk.plan.cell);
    FactsSection& facts = desk.section(Kind::cell);
    const QString half = facts.derivedText(QStringLiteral("Half of users get"));
    INFO(half.toStdString());
    const auto text = [](double v, const QString& unit) { return figure(v, unit, v >= 10 ? 0 : 1); };
    CHECK(half.startsWith(text(right.before.median.mbps, {})));
    CHECK(half.endsWith(text(right.after->median.mbps, QStringLiteral("Mbit/s"))));
    CHECK(FactsDesk::opened(facts, QStringLiteral("Half of users get")).steps.back().value ==
          Approx(right.after->median.mbps));
    CHECK(FactsDesk::opened(facts, QStringLiteral("95 of 100 get")).steps.back().value ==
          Approx(right.after->low.mbps));

    key(static_cast<Qt::Key>(Qt::Key_1 + static_cast<int>(Stage::load)), Qt::AltModifier);
    StageTable& table = *desk.window.table(Stage::load);
    REQUIRE(QTest::qWaitFor([&] { return table.isVisible(); }, kPatience));
    ItemTable& m = table.items();
    QString shown;
    for (int c = 0; c < m.columnCount(); ++c)
        if (m.headerData(c, Qt::Horizontal, Qt::DisplayRole)
                .toString()
                .startsWith(QStringLiteral("Median now")))
            shown = m.index(m.rowOf(desk.plan.cell), c).data().toString();
    CHECK(shown == figure(right.before.median.mbps, {}, 1));

    // An edit takes the figures away until they are those of the plan as it is.
    Cell fuller = *desk.now().cells.find(desk.plan.cell);
    fuller.load.dlPrbUse = 0.95;
    fuller.load.dailyDlPrbUse.clear();
    REQUIRE(desk.space().document.perform({"Fill up", {Put{fuller}}}));
    CHECK(rates.of(desk.plan.cell) == nullptr);
    REQUIRE(QTest::qWaitFor([&] { return rates.of(desk.plan.cell) != nullptr; }, kPatience));
    CHECK(rates.of(desk.plan.cell)->before.median.mbps < right.before.median.mbps);
}

TEST_CASE("a building says how it is covered indoors and what its walls take, by two opinions",
          "[gui][indoor]") {
    FactsDesk desk;
    ItemId house;
    desk.now().scenery.forEachBuilding([&](const Building& b) {
        if (!house) house = b.id;
    });
    desk.space().selection.setOne(house);
    REQUIRE(QTest::qWaitFor([&] { return desk.space().indoor.of(house) != nullptr; }, kPatience));
    const IndoorCoverage all = indoorCoverage(*desk.space().live.study(), IndoorSpec{}, 1);
    const BuildingCoverage& right = *coverageOf(all, house);
    FactsSection& facts = desk.section(Kind::building);
    const QString covered = facts.derivedText(QStringLiteral("Covered indoors"));
    CHECK(covered.startsWith(percent(right.shareBefore())));
    CHECK(covered.endsWith(percent(right.shareAfter())));
    CHECK(FactsDesk::opened(facts, QStringLiteral("Covered indoors")).steps.back().value ==
          Approx(right.shareAfter() * 100));
    const auto opinion = entryOpinion(*desk.space().live.study(), house);
    REQUIRE(opinion);
    const QString loss = facts.derivedText(QStringLiteral("Loss into it"));
    CHECK(loss.contains(figure(opinion->chosenDb, {}, 1)));
    CHECK(loss.contains(figure(opinion->otherDb, {}, 1)));
    CHECK(FactsDesk::opened(facts, QStringLiteral("Loss into it")).steps.back().value == opinion->chosenDb);
}
