// SPDX-License-Identifier: GPL-3.0-or-later
// Tints of before, after and change: pictures, the source that keeps them, what card and legend say.
#include "catch.h"
#include "drawn_tint.h"
#include "gui_app.h"
#include "window_plan.h"

#include "canvas/legend.h"
#include "canvas/shown_card.h"
#include "study/change_rasters.h"
#include "support/random_plan.h"
#include "text/figures.h"

#include <QCheckBox>
#include <QComboBox>
#include <QSignalSpy>
#include <QSpinBox>

#include <cmath>

using namespace fw;
using namespace fwtest;

namespace {

TintRequest asked(GroundTint tint, TintMoment moment) {
    TintRequest q;
    q.tint = tint;
    q.moment = moment;
    return q;
}

// The strongest chosen small cell and macro at a place (dBm).
struct Levels {
    std::optional<double> before, after;
};
Levels levelsAt(const Study& study, PlanePoint p) {
    Levels out;
    if (const auto macro = study.macroAt(p)) out.before = out.after = macro->levelDbm;
    for (const SmallCellPart& s : study.smallCells())
        if (const auto level = s.chosen ? study.smallAt(s.id, p) : std::nullopt)
            out.after = std::max(out.after.value_or(-999), *level);
    return out;
}

double onBound(const TintPicture& p, double v) {
    double nearest = 1e9;
    for (const double b : p.bounds) nearest = std::min(nearest, std::abs(v - b));
    return nearest;
}

bool shows(Workspace& space, const GroundTintSource& source, GroundTint tint, TintMoment moment) {
    space.shown.setTint(tint);
    space.shown.setMoment(moment);
    return QTest::qWaitFor(
        [&] {
            return source.picture() && source.picture()->tint == tint && source.picture()->moment == moment;
        },
        kPatienceMs);
}

} // namespace

TEST_CASE("at a pixel's centre RSRP after, and its change, have the colour of what the study says",
          "[tints][change]") {
    needGuiApp();
    const auto study = townStudy();
    const TileKey key = tileOf(study->plan().settings->workArea.centre());
    for (const TintMoment moment : {TintMoment::after, TintMoment::change}) {
        const auto p = makeTintPicture(study, asked(GroundTint::rsrp, moment));
        REQUIRE(p);
        CHECK(p->bounds.size() == kTintSteps - 1);
        const QImage image = drawn(*p, key.bounds(), 4);
        int coloured = 0, plain = 0, wrong = 0;
        for (int y = 0; y < 128; ++y)
            for (int x = 0; x < 128; ++x) {
                const Levels l =
                    levelsAt(*study, {key.x * kTileM + x * 4 + 2, key.y * kTileM + (127 - y) * 4 + 2});
                if (!l.before || !l.after) continue;
                const double v = moment == TintMoment::after ? *l.after : *l.after - *l.before;
                if (onBound(*p, v) < 0.02 || std::abs(std::abs(v) - 0.5) < 0.02) continue;
                const QRgb got = reinterpret_cast<const QRgb*>(image.constScanLine(y))[x];
                if (moment == TintMoment::change && std::abs(v) < 0.5) {
                    ++plain;
                    wrong += qAlpha(got) != 0;
                    continue;
                }
                ++coloured;
                wrong += !near(
                    got,
                    qPremultiply(tintColor(GroundTint::rsrp, stepOf(*p, v), dayPalette(), moment).rgba()));
            }
        INFO((moment == TintMoment::after ? "after" : "change")
             << ": " << wrong << " of " << coloured << ", plain " << plain);
        CHECK(coloured > 500);
        CHECK(wrong == 0);
    }
}

TEST_CASE("before and after of a pair have the same steps and the same colours", "[tints][change]") {
    needGuiApp();
    const auto study = townStudy();
    for (const GroundTint tint : {GroundTint::rsrp, GroundTint::sinr, GroundTint::rate, GroundTint::prbCost,
                                  GroundTint::indoor, GroundTint::bestServer}) {
        INFO(tintName(tint).toStdString());
        const TintPair pair = makeTintPair(study, asked(tint, TintMoment::after));
        REQUIRE(pair.before);
        REQUIRE(pair.after);
        CHECK(pair.before->moment == TintMoment::before);
        CHECK(pair.after->moment == TintMoment::after);
        CHECK(pair.before->bounds == pair.after->bounds);
        CHECK(pair.before->values == pair.after->values);
        REQUIRE(pair.before->classes.size() <= pair.after->classes.size());
        for (std::size_t n = 0; n < pair.before->classes.size(); ++n) {
            CHECK(pair.before->classes[n].sector == pair.after->classes[n].sector);
            CHECK(pair.before->classes[n].color == pair.after->classes[n].color);
        }
        const Box box = study->plan().settings->workArea;
        CHECK(drawn(*pair.before, box, 4) != drawn(*pair.after, box, 4));
        // The pair's before is the picture of before.
        const auto alone = makeTintPicture(study, asked(tint, TintMoment::before));
        REQUIRE(alone);
        if (tint != GroundTint::rsrp) // whose levels are rounded another way within a step
            CHECK(drawn(*alone, box, 4) == drawn(*pair.before, box, 4));
    }
    CHECK_FALSE(makeTintPair(study, asked(GroundTint::demandFringe, TintMoment::after)).after);
    TintRequest none = asked(GroundTint::sinr, TintMoment::after);
    none.carrier = 9;
    CHECK_FALSE(makeTintPair(study, none).after);
    CHECK_FALSE(makeTintPicture(study, none));
}

TEST_CASE("best server after names small cells in their own colour; the change shows them alone",
          "[tints][change]") {
    needGuiApp();
    const auto study = townStudy();
    const auto after = makeTintPicture(study, asked(GroundTint::bestServer, TintMoment::after)),
               change = makeTintPicture(study, asked(GroundTint::bestServer, TintMoment::change));
    REQUIRE(after);
    REQUIRE(change);
    std::size_t small = 0, changed = 0, wrong = 0;
    for (const TintPicture::Class& c : after->classes) {
        small += c.small;
        CHECK(c.small == (study->smallCell(c.sector) != nullptr));
    }
    CHECK(small > 2);
    for (std::size_t t = 0; t < change->tiles.size(); ++t)
        for (std::size_t i = 0; i < change->tiles[t].server[0].size(); ++i) {
            const auto c = change->tiles[t].server[0][i];
            if (!c) continue;
            ++changed;
            wrong += !change->classes[c - 1u].small;
        }
    CHECK(changed > 100);
    CHECK(wrong == 0);
}

TEST_CASE("pictures of after follow small cells, wait while one is dragged and are right after it",
          "[tints][change]") {
    needGuiApp();
    Workspace space;
    GroundTintSource source(space);
    TintLegend legend(source);
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(shows(space, source, GroundTint::sinr, TintMoment::after));
    REQUIRE(allQuiet(space));
    REQUIRE(space.jobs.waitForDone(kPatienceMs));
    const auto before = source.picture();
    CHECK_FALSE(source.behindDrag());
    CHECK(legend.accessibleDescription().contains(QStringLiteral("chosen small cells")));
    const ItemId mount = chainOf(space.document.plan(), w.small).mount;
    REQUIRE(space.drag.begin({mount}));
    space.drag.moveTo(fw::testing::place(20, 9));
    CHECK(QTest::qWaitFor([&] { return source.behindDrag(); }, kPatienceMs));
    CHECK(source.picture() == before);
    CHECK(legend.accessibleDescription().contains(QStringLiteral("before this drag")));
    space.drag.finish();
    CHECK(QTest::qWaitFor([&] { return source.picture() != before; }, kPatienceMs));
    CHECK_FALSE(source.behindDrag());
    REQUIRE(allQuiet(space));
    REQUIRE(space.jobs.waitForDone(kPatienceMs));
    const auto fresh = makeTintPicture(*fw::testing::compute(space.document.plan()),
                                       asked(GroundTint::sinr, TintMoment::after));
    REQUIRE(fresh->tiles.size() == source.picture()->tiles.size());
    for (std::size_t t = 0; t < fresh->tiles.size(); ++t)
        CHECK(fresh->tiles[t].amount[0] == source.picture()->tiles[t].amount[0]);
    // A candidate that is not chosen any more, too.
    SmallCell c = *space.document.plan().smallCells.find(w.small);
    c.chosen = false;
    const auto moved = source.picture();
    REQUIRE(space.document.perform({"Leave out", {Put{c}}}));
    CHECK(QTest::qWaitFor([&] { return source.picture() != moved; }, kPatienceMs));
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("the value under the pointer says after and by how much", "[tints][change]") {
    needGuiApp();
    Workspace space;
    GroundTintSource source(space);
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(shows(space, source, GroundTint::sinr, TintMoment::after));
    const PlanePoint at = fw::testing::place(30, 2);
    const auto study = space.live.study();
    const auto sinr = [&](Moment moment) {
        for (const RadioRaster& r : radioRasters(*study, -1, moment))
            if (r.key == tileOf(at)) {
                const auto x = static_cast<std::size_t>((at.x - r.key.x * kTileM) / 4),
                           y = static_cast<std::size_t>((at.y - r.key.y * kTileM) / 4);
                return r.sinrCenti[y * 128 + x] / 100.0;
            }
        return -999.0;
    };
    const double was = sinr(Moment::before), is = sinr(Moment::after);
    const QString dB = QStringLiteral("dB");
    CHECK(source.valueAt(at) ==
          QStringLiteral("SINR %1, after; %2").arg(figure(is, dB, 1), signedFigure(is - was, dB, 1)));
    REQUIRE(shows(space, source, GroundTint::sinr, TintMoment::before));
    CHECK(source.valueAt(at) == QStringLiteral("SINR %1, before").arg(figure(was, dB, 1)));
    REQUIRE(shows(space, source, GroundTint::sinr, TintMoment::change));
    CHECK(source.valueAt(at)->contains(signedFigure(is - was, dB, 1)));
    REQUIRE(shows(space, source, GroundTint::bestServer, TintMoment::after));
    CHECK(source.valueAt(at)->contains(QString::fromStdString(space.document.plan().label(w.small))));
    CHECK(source.valueAt(at)->contains(QString::fromStdString(space.document.plan().label(w.cell))));
    REQUIRE(shows(space, source, GroundTint::indoor, TintMoment::after));
    const auto house = source.valueAt(fw::testing::place(60, 46));
    REQUIRE(house);
    CHECK(house->contains(QStringLiteral("of 12 samples"))); // four facades, three storeys
    CHECK_FALSE(source.valueAt(at));                         // not in a house
    CHECK_FALSE(source.valueAt(fw::testing::place(5000, 0)));
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("with a divider the value is told of the side that it lies on", "[tints][change]") {
    needGuiApp();
    Workspace space;
    GroundTintSource source(space);
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    space.shown.setTint(GroundTint::sinr);
    space.shown.setSwipe(true);
    REQUIRE(QTest::qWaitFor([&] { return source.leftPicture() && source.picture(); }, kPatienceMs));
    const PlanePoint at = fw::testing::place(30, 2);
    source.setDivider(at.x - 1);
    CHECK(source.valueAt(at)->contains(QStringLiteral("after")));
    source.setDivider(at.x + 1);
    CHECK(source.valueAt(at)->contains(QStringLiteral("before")));
    space.shown.setSwipe(false);
    CHECK_FALSE(source.leftPicture());
    space.shown.setSwipe(true);
    space.shown.setTint(GroundTint::demandFringe); // has no before and after
    CHECK(QTest::qWaitFor(
        [&] { return source.picture() && source.picture()->tint == GroundTint::demandFringe; }, kPatienceMs));
    CHECK_FALSE(source.leftPicture());
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("the card offers moments, storeys and the divider where they mean something", "[card][change]") {
    needGuiApp();
    Workspace space;
    GroundTintSource tint(space);
    ShownCard card(space, tint);
    card.show();
    space.shown.setTint(GroundTint::demandFringe);
    CHECK(card.momentBox()->isHidden());
    CHECK(card.swipeBox()->isHidden());
    space.shown.setTint(GroundTint::sinr);
    CHECK(card.momentBox()->isVisible());
    CHECK(card.swipeBox()->isVisible());
    CHECK(card.storeyBox()->isHidden());
    card.momentBox()->setFocus();
    QTest::keyClick(card.momentBox(), Qt::Key_Down);
    CHECK(space.shown.moment() == TintMoment::after);
    QTest::keyClick(card.momentBox(), Qt::Key_Down);
    CHECK(space.shown.moment() == TintMoment::change);
    QTest::keyClick(card.swipeBox(), Qt::Key_Space);
    CHECK(space.shown.swipe());
    CHECK(card.momentBox()->isHidden()); // both are shown
    space.shown.setSwipe(false);
    CHECK_FALSE(card.swipeBox()->isChecked());
    space.shown.setTint(GroundTint::indoor);
    REQUIRE(card.storeyBox()->isVisible());
    QTest::keyClick(card.storeyBox(), Qt::Key_End);
    CHECK(space.shown.storey() == Storey::top);
    REQUIRE(card.indoorFromBox()->isVisible());
    CHECK_FALSE(space.shown.indoorFromDbm());
    card.indoorFromBox()->setFocus();
    card.indoorFromBox()->selectAll();
    QTest::keyClicks(card.indoorFromBox(), QStringLiteral("-100"));
    QTest::keyClick(card.indoorFromBox(), Qt::Key_Return);
    CHECK(space.shown.indoorFromDbm() == -100);
}

TEST_CASE("what is shown is kept with its moment, and older states are still read", "[card][change]") {
    needGuiApp();
    Shown a, b;
    a.setTint(GroundTint::indoor);
    a.setMoment(TintMoment::change);
    a.setSwipe(true);
    b.setState(a.state());
    CHECK(b.tint() == GroundTint::indoor);
    CHECK(b.moment() == TintMoment::change);
    CHECK_FALSE(b.swipe());
    QString old = a.state().section(QLatin1Char(' '), 0, 0) + QStringLiteral(" 2");
    b.setState(old);
    CHECK(b.tint() == GroundTint::rsrp);
    CHECK(b.moment() == TintMoment::before);
    // Kept before there were owners' answers: a layer fewer, and those are shown.
    b.setState(QStringLiteral("0").repeated(static_cast<int>(MapLayer::owners)) + QStringLiteral(" 2"));
    CHECK_FALSE(b.on(MapLayer::names));
    CHECK(b.on(MapLayer::owners));
    b.setState(old);
    CHECK(b.on(MapLayer::names));
    b.setState(old + QStringLiteral(" 7"));
    b.setState(old + QStringLiteral(" x"));
    CHECK(b.tint() == GroundTint::rsrp);
    CHECK(b.moment() == TintMoment::before);
}

TEST_CASE("the legend gives steps of a change with their signs, and says what is meant", "[card][change]") {
    needGuiApp();
    Workspace space;
    GroundTintSource tint(space);
    TintLegend legend(tint);
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(shows(space, tint, GroundTint::sinr, TintMoment::change));
    CHECK(legend.hasBar());
    CHECK(legend.accessibleDescription().contains(tintChangeFigure(GroundTint::sinr, 12)));
    CHECK(legend.accessibleDescription().contains(QStringLiteral("after less before")));
    REQUIRE(shows(space, tint, GroundTint::rate, TintMoment::after));
    CHECK(legend.accessibleDescription().contains(QStringLiteral("one more user")));
    REQUIRE(shows(space, tint, GroundTint::indoor, TintMoment::before));
    CHECK(legend.accessibleDescription().contains(figure(-124, QStringLiteral("dBm"), 0)));
    CHECK(legend.accessibleDescription().contains(QStringLiteral("90")));
    for (const TintLegend::Row& r : legend.rows())
        CHECK(legend.fontMetrics().horizontalAdvance(r.text) <= legend.sizeHint().width());
    space.jobs.waitForDone(kPatienceMs);
}
