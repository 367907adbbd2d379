// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "canvas/legend.h"
#include "canvas/shown_card.h"

#include <QCheckBox>
#include <QComboBox>
#include <QSignalSpy>
#include <QToolButton>

#include <set>

using namespace fw;
using namespace fwtest;

TEST_CASE("every layer has a named switch that the keyboard reaches", "[card]") {
    needGuiApp();
    Workspace space;
    GroundTintSource tint(space);
    ShownCard card(space, tint);
    card.setLayersFolded(false);
    card.show();
    std::set<QString> names;
    for (int k = 0; k < static_cast<int>(MapLayer::count); ++k) {
        const auto layer = static_cast<MapLayer>(k);
        QCheckBox* box = card.layerBox(layer);
        REQUIRE(box);
        INFO(k);
        CHECK(box->isVisible());
        CHECK_FALSE(box->text().isEmpty());
        names.insert(box->text());
        CHECK((box->focusPolicy() & Qt::TabFocus));
        CHECK(box->isChecked() == space.shown.on(layer));
        box->setFocus();
        QTest::keyClick(box, Qt::Key_Space);
        CHECK_FALSE(space.shown.on(layer));
        space.shown.setOn(layer, true);
        CHECK(box->isChecked());
    }
    CHECK(names.size() == static_cast<std::size_t>(MapLayer::count));
}

TEST_CASE("tint and carrier are chosen in the card, and the card follows them", "[card]") {
    needGuiApp();
    Workspace space;
    GroundTintSource tint(space);
    ShownCard card(space, tint);
    card.show();
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    REQUIRE(allQuiet(space));
    CHECK(card.carrierBox()->count() == 2);
    space.shown.setTint(GroundTint::rsrp);
    CHECK(card.tintBox()->currentText() == tintName(GroundTint::rsrp));
    card.tintBox()->setFocus();
    QTest::keyClick(card.tintBox(), Qt::Key_Down);
    CHECK(space.shown.tint() == GroundTint::bestServer);
    QTest::keyClick(card.carrierBox(), Qt::Key_Down);
    CHECK(space.shown.carrier() == 0);
    CHECK(QTest::qWaitFor([&] { return tint.picture() && tint.picture()->carrier == 0; }, kPatienceMs));
    space.shown.setTint(GroundTint::none);
    CHECK_FALSE(card.carrierBox()->isEnabled());
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("folded, the card is one line that still says what colours the ground", "[card]") {
    needGuiApp();
    Workspace space;
    GroundTintSource tint(space);
    ShownCard card(space, tint);
    card.show();
    const int open = card.sizeHint().height();
    QSignalSpy folded(&card, &ShownCard::foldedChanged);
    card.foldButton()->setFocus();
    QTest::keyClick(card.foldButton(), Qt::Key_Space);
    CHECK(card.folded());
    CHECK(folded.count() == 1);
    CHECK(card.sizeHint().height() < open / 2);
    CHECK(card.sizeHint().height() < 3 * card.fontMetrics().height());
    CHECK(card.foldButton()->text().contains(tintName(space.shown.tint())));
    QTest::mouseClick(card.foldButton(), Qt::LeftButton);
    CHECK_FALSE(card.folded());
    CHECK_FALSE(card.foldButton()->accessibleName().isEmpty());
    space.shown.setOn(MapLayer::trees, false);
    CHECK(card.layersButton()->text().contains(QStringLiteral("1")));
}

TEST_CASE("the legend names sectors, fringes and amounts in words too", "[card]") {
    needGuiApp();
    Workspace space;
    GroundTintSource tint(space);
    TintLegend legend(tint);
    const WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(w.loaded));
    const auto see = [&](GroundTint t) {
        space.shown.setTint(t);
        return QTest::qWaitFor([&] { return tint.picture() && tint.picture()->tint == t; }, kPatienceMs);
    };
    REQUIRE(see(GroundTint::prbCost));
    CHECK(legend.hasBar());
    CHECK(legend.accessibleDescription().contains(tintUnit(GroundTint::prbCost)));
    REQUIRE(see(GroundTint::bestServer));
    CHECK_FALSE(legend.hasBar());
    const ItemId sector = space.document.plan().cells.find(w.cell)->sector;
    REQUIRE(!legend.rows().empty());
    CHECK(legend.rows()[0].mark == TintLegend::Row::Mark::color);
    CHECK(legend.rows()[0].text == QString::fromStdString(space.document.plan().label(sector)));
    REQUIRE(see(GroundTint::demandFringe));
    REQUIRE(!legend.rows().empty());
    CHECK(legend.rows()[0].mark == TintLegend::Row::Mark::hatch);
    CHECK(legend.rows()[0].text.contains(QString::fromStdString(space.document.plan().label(w.cell))));
    CHECK(legend.sizeHint().height() >= legend.fontMetrics().height() * 3);
    space.shown.setTint(GroundTint::none);
    CHECK(legend.rows().empty());
    CHECK(legend.isHidden());
    space.jobs.waitForDone(kPatienceMs);
}

TEST_CASE("the card grows with the font and draws from right to left", "[card]") {
    needGuiApp();
    Workspace space;
    GroundTintSource tint(space);
    ShownCard card(space, tint);
    card.setLayersFolded(false);
    card.show();
    const QSize before = card.sizeHint();
    QFont large = card.font();
    large.setPointSizeF(large.pointSizeF() * 1.5);
    card.setFont(large);
    QCoreApplication::processEvents();
    CHECK(card.sizeHint().height() > before.height() * 5 / 4);
    CHECK(card.sizeHint().width() > before.width() * 5 / 4);
    card.setLayoutDirection(Qt::RightToLeft);
    CHECK(card.layerBox(MapLayer::hillshade)->x() > card.layerBox(MapLayer::names)->x() - card.width());
    CHECK_FALSE(card.grab().isNull());
}
