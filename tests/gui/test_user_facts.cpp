// SPDX-License-Identifier: GPL-3.0-or-later
// What users get and how buildings are covered, in facts and the table of loads: as the core has it, with
// workings.
#include "bench/bench.h"
#include "bench/facts_panel.h"
#include "bench/facts_section.h"
#include "bench/stage_table.h"
#include "models/stage_tables.h"
#include "study/dwell.h"
#include "study/user_rates.h"
#include "text/figures.h"
#include "window_hand.h"

#include <QSignalSpy>
#include <QToolButton>

using namespace fw;
using namespace fwtest;

namespace {

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
    REQUIRE(QTest::qWaitFor([&] { return rates.of(desk.plan.cell) != nullptr; }, kPatienceMs));
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
    REQUIRE(QTest::qWaitFor([&] { return table.isVisible(); }, kPatienceMs));
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
    REQUIRE(QTest::qWaitFor([&] { return rates.of(desk.plan.cell) != nullptr; }, kPatienceMs));
    CHECK(rates.of(desk.plan.cell)->before.median.mbps < right.before.median.mbps);
}

TEST_CASE("the uplink stands beside the downlink: facts with workings, tables, and settings of the plan",
          "[gui][uplink]") {
    FactsDesk desk;
    const LiveUplink& uplink = desk.space().uplink;
    const auto there = [&] { return uplink.of(desk.plan.cell) != nullptr; };
    REQUIRE(QTest::qWaitFor([&] { return uplink.ledger() != nullptr; }, kPatienceMs));
    CHECK_FALSE(there()); // none was measured
    Cell measured = *desk.now().cells.find(desk.plan.cell);
    measured.load.ulPrbUse = 0.55;
    REQUIRE(desk.space().document.perform({"Measure the uplink", {Put{measured}}}));
    REQUIRE(QTest::qWaitFor(there, kPatienceMs));
    const UplinkLedger right = uplinkLedger(*desk.space().live.study(), desk.now().settings->uplink, 1);
    REQUIRE(right.cells.size() == 1);
    const UplinkLine& line = right.cells.front();
    CHECK(uplink.of(desk.plan.cell)->after == line.after);
    CHECK(line.after < line.before);

    desk.space().selection.setOne(desk.plan.cell);
    FactsSection& facts = desk.section(Kind::cell);
    const QString use = facts.derivedText(QStringLiteral("Uplink use"));
    CHECK(use.startsWith(percent(line.before, 1)));
    CHECK(use.endsWith(percent(line.after, 1)));
    CHECK(FactsDesk::opened(facts, QStringLiteral("Uplink use")).steps.back().value ==
          Approx(line.after * 100));
    CHECK(FactsDesk::opened(facts, QStringLiteral("Voice at the edge")).steps.back().value ==
          Approx(line.voiceEdge * 100));
    CHECK(FactsDesk::opened(facts, QStringLiteral("Near the rim")).steps.back().unit == "points");
    desk.space().selection.setOne(desk.plan.small);
    FactsSection& small = desk.section(Kind::smallCell);
    const UplinkSmall* heard = uplink.ofSmall(desk.plan.small);
    REQUIRE(heard);
    REQUIRE(heard->boundaryGapDb);
    CHECK(small.derivedText(QStringLiteral("Uplink noise rise")) ==
          figure(heard->noiseRiseDb, QStringLiteral("dB"), 1));
    CHECK(FactsDesk::opened(small, QStringLiteral("Uplink boundary")).steps.back().value ==
          *heard->boundaryGapDb);
    CHECK(FactsDesk::opened(small, QStringLiteral("Uplink noise rise")).steps.back().value ==
          heard->noiseRiseDb);
    REQUIRE(
        QTest::qWaitFor([&] { return desk.space().rates.ofSmall(desk.plan.small) != nullptr; }, kPatienceMs));
    const SmallRates* rates = desk.space().rates.ofSmall(desk.plan.small);
    CHECK(FactsDesk::opened(small, QStringLiteral("95 of 100 get")).steps.back().value ==
          Approx(rates->now.low.mbps));
    CHECK(FactsDesk::opened(small, QStringLiteral("Own use")).steps.back().unit == "%");

    const auto shown = [&](Stage stage, ItemId row, const QString& head) {
        ItemTable& m = desk.window.table(stage)->items();
        for (int c = 0; c < m.columnCount(); ++c)
            if (m.headerData(c, Qt::Horizontal, Qt::DisplayRole).toString() == head)
                return m.index(m.rowOf(row), c).data().toString();
        return QString();
    };
    CHECK(shown(Stage::load, desk.plan.cell, QStringLiteral("Uplink after (%)")) ==
          figure(line.after * 100, {}, 1));
    CHECK(shown(Stage::cells, desk.plan.small, QStringLiteral("Median (Mbit/s)")) ==
          figure(rates->now.median.mbps, {}, 1));

    // With full compensation and more at once, more users are at full power: the plan's own settings count.
    PlanSettings settings = *desk.now().settings;
    settings.uplink.alpha = 1;
    settings.uplink.maxPowerDbm = 10;
    REQUIRE(desk.space().document.perform({"Weaker devices", {PutSettings{settings}}}));
    CHECK(uplink.ledger() == nullptr);
    REQUIRE(QTest::qWaitFor(there, kPatienceMs));
    CHECK(uplink.of(desk.plan.cell)->fullPower > line.fullPower);
}

TEST_CASE("a building says how it is covered indoors and what its walls take, by two opinions",
          "[gui][indoor]") {
    FactsDesk desk;
    ItemId house;
    desk.now().scenery.forEachBuilding([&](const Building& b) {
        if (!house) house = b.id;
    });
    desk.space().selection.setOne(house);
    REQUIRE(QTest::qWaitFor([&] { return desk.space().indoor.of(house) != nullptr; }, kPatienceMs));
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

TEST_CASE("a small cell says how long users on streets stay, at the plan's speed, with the steps",
          "[gui][dwell]") {
    struct StreetDesk : OpenedWindow {
        StreetDesk() {
            Street s;
            Plan& p = plan.loaded.plan;
            s.id = p.lastId = p.nextId();
            s.name = "Quay Row";
            s.path = {fw::testing::place(-40, 4), fw::testing::place(200, 4)};
            p.streets.put(s);
            adopt();
        }
    } desk;
    LiveStudy& live = desk.space().live;
    REQUIRE(QTest::qWaitFor([&] { return live.study() && !live.stale(); }, kPatienceMs));
    const QString median = QStringLiteral("Median stay"), longest = QStringLiteral("Longest stay");
    desk.space().selection.setOne(desk.plan.small);
    FactsSection* facts = desk.window.bench()->facts()->section(Kind::smallCell);
    REQUIRE(facts);
    const Dwell d = dwellOf(*live.study(), desk.plan.small);
    REQUIRE(!d.chords.empty());
    const auto told = [](double seconds, double kmh) {
        return QStringLiteral("%1 at %2")
            .arg(figure(seconds, QStringLiteral("s"), 1), figure(kmh, QStringLiteral("km/h"), 0));
    };
    CHECK(facts->derivedText(median) == told(d.medianS, 50));
    CHECK(facts->derivedText(longest) == told(d.longestS, 50));
    for (const QString& label : {median, longest}) {
        const Working w = FactsDesk::opened(*facts, label);
        CHECK(w.steps.front().what == "Quay Row");
        CHECK(w.steps.back().value == d.medianS);
    }

    PlanSettings slow = *desk.now().settings;
    slow.model.streetSpeedKmh = 25;
    REQUIRE(desk.space().document.perform({"Slow down", {PutSettings{slow}}}));
    CHECK(
        QTest::qWaitFor([&] { return facts->derivedText(median) == told(2 * d.medianS, 25); }, kPatienceMs));
}
