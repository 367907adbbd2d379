// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "bench/facts_panel.h"
#include "bench/facts_section.h"
#include "models/item_field.h"
#include "text/figures.h"

#include <QCheckBox>
#include <QComboBox>
#include <QLineEdit>
#include <QSignalSpy>
#include <QToolButton>

using namespace fw;
using namespace fwtest;

namespace {

struct FactsBench {
    FactsBench() {
        needGuiApp();
        plan = windowPlan();
        REQUIRE(space.document.adopt(LoadedPlan(plan.loaded)));
        panel = std::make_unique<FactsPanel>(space);
        panel->resize(300, 240);
        panel->show();
        REQUIRE(QTest::qWaitForWindowExposed(panel.get(), kPatienceMs));
    }
    const Plan& now() const { return space.document.plan(); }
    Chain chain() const { return chainOf(now(), plan.small); }
    QString text(Kind kind, const QString& key) const {
        auto* line = qobject_cast<QLineEdit*>(panel->section(kind)->editor(key));
        REQUIRE(line);
        return line->text();
    }
    void type(Kind kind, const QString& key, const QString& typed) {
        panel->editField(kind, key);
        auto* line = qobject_cast<QLineEdit*>(panel->section(kind)->editor(key));
        REQUIRE(line);
        line->selectAll();
        if (typed.isEmpty())
            QTest::keyClick(line, Qt::Key_Delete);
        else
            QTest::keyClicks(line, typed);
        QTest::keyClick(line, Qt::Key_Return);
    }
    Workspace space;
    WindowPlan plan;
    std::unique_ptr<FactsPanel> panel;
};

} // namespace

TEST_CASE("A small cell brings its radio and mount, a macro cell its sector and site", "[facts]") {
    FactsBench b;
    CHECK(b.panel->section(Kind::mount) == nullptr);
    b.space.selection.setOne(b.plan.small);
    REQUIRE(b.panel->section(Kind::mount));
    CHECK(b.panel->section(Kind::mount)->items() == std::vector{b.chain().mount});
    CHECK(b.panel->section(Kind::radio)->items() == std::vector{b.chain().radio});
    CHECK(b.panel->section(Kind::smallCell)->items() == std::vector{b.plan.small});
    CHECK(b.text(Kind::radio, "azimuth_deg") == "90.0");
    b.space.selection.setOne(b.plan.cell);
    CHECK(b.panel->section(Kind::mount) == nullptr);
    CHECK(b.panel->section(Kind::sector)->items() == std::vector{b.now().cells.find(b.plan.cell)->sector});
    CHECK(b.text(Kind::cell, "dl_prb_use") == "85.0");
}

TEST_CASE("A number entered is one named step; a bad one is refused in place and the old one kept",
          "[facts]") {
    FactsBench b;
    b.space.selection.setOne(b.plan.small);
    b.type(Kind::mount, "height_m", "8,5");
    CHECK(b.now().mounts.find(b.chain().mount)->height.m == 7); // no comma in this locale
    CHECK(b.panel->section(Kind::mount)->refusedText("height_m").contains("8,5"));
    b.type(Kind::mount, "height_m", "8.5");
    CHECK(b.now().mounts.find(b.chain().mount)->height.m == 8.5);
    auto& history = b.space.document.history();
    REQUIRE(history.count() == 1);
    CHECK(history.undoText().startsWith("Set height of "));
    CHECK(b.panel->section(Kind::mount)->refusedText("height_m").isEmpty());

    b.type(Kind::mount, "height_m", "900");
    CHECK(history.count() == 1);
    CHECK(b.panel->section(Kind::mount)->refusedText("height_m").contains("height"));
    CHECK(b.text(Kind::mount, "height_m") == "8.5");
    history.undo();
    CHECK(b.text(Kind::mount, "height_m") == "7.0");
    // Enter without a change is no step.
    b.type(Kind::mount, "height_m", "7.0");
    CHECK(history.index() == 0);
}

TEST_CASE("Clearing an optional field makes it unknown, and a place goes in as latitude and longitude",
          "[facts]") {
    FactsBench b;
    b.space.selection.setOne(b.plan.small);
    b.type(Kind::mount, "fibre_m", "120");
    CHECK(b.now().mounts.find(b.chain().mount)->fibreM == 120.0);
    b.type(Kind::mount, "fibre_m", "");
    CHECK_FALSE(b.now().mounts.find(b.chain().mount)->fibreM.has_value());
    auto* line = qobject_cast<QLineEdit*>(b.panel->section(Kind::mount)->editor("fibre_m"));
    CHECK(line->placeholderText() == unknownFigure());
    b.type(Kind::mount, "height_m", "");
    CHECK_FALSE(b.panel->section(Kind::mount)->refusedText("height_m").isEmpty());
    CHECK(b.now().mounts.find(b.chain().mount)->height.m == 7);

    const PlanePoint wanted = fw::testing::place(20, 30);
    const GeoPoint geo = *b.space.document.frame().toGeo(wanted);
    b.type(Kind::mount, "place", QString("%1, %2").arg(geo.latDeg, 0, 'f', 8).arg(geo.lonDeg, 0, 'f', 8));
    const PlanePoint at = b.now().mounts.find(b.chain().mount)->at;
    CHECK(planeDistance(at, wanted) < 0.01); // eight digits are a millimetre
    CHECK(b.space.document.history().undoText().startsWith("Move "));
    b.type(Kind::mount, "place", "somewhere");
    CHECK(b.panel->section(Kind::mount)->refusedText("place").contains("somewhere"));
    CHECK(b.now().mounts.find(b.chain().mount)->at == at);
}

TEST_CASE("Facts follow a drag while the button is down", "[facts]") {
    FactsBench b;
    REQUIRE(allQuiet(b.space));
    b.space.selection.setOne(b.chain().mount);
    FactsSection& mount = *b.panel->section(Kind::mount);
    FactsSection& small = *b.panel->section(Kind::smallCell);
    const QString near = mount.derivedText("Nearest macro"), fit = small.derivedText("Fit");
    CHECK(near.contains("180"));
    CHECK(mount.derivedText("Radiation centre").contains("19.0"));
    CHECK(fit != unknownFigure());
    REQUIRE(b.space.drag.begin({b.chain().mount}));
    const PlanePoint to = fw::testing::place(-120, 40);
    b.space.drag.moveTo(to);
    CHECK(b.text(Kind::mount, "east_m") == figure(to.x, {}, 2));
    CHECK(mount.derivedText("Nearest macro") != near);
    CHECK(small.derivedText("Fit") != fit);
    b.space.drag.abandon();
    CHECK(mount.derivedText("Nearest macro") == near);
    REQUIRE(b.space.drag.beginRadio(b.chain().radio));
    b.space.drag.turnTo(TrueAzimuth{123});
    CHECK(b.text(Kind::radio, "azimuth_deg") == "123.0");
    b.space.drag.finish();
    CHECK(b.text(Kind::radio, "azimuth_deg") == "123.0");
    CHECK(b.now().radios.find(b.chain().radio)->azimuth.deg == 123);
}

TEST_CASE("Several chosen share their fields, and one entry sets them all in one step", "[facts]") {
    FactsBench b;
    b.space.selection.set({b.plan.small, b.plan.otherSmall});
    FactsSection* radios = b.panel->section(Kind::radio);
    REQUIRE(radios);
    CHECK(radios->items().size() == 2);
    auto* azimuth = qobject_cast<QLineEdit*>(radios->editor("azimuth_deg"));
    CHECK(azimuth->text().isEmpty());
    CHECK(azimuth->placeholderText() == "several");
    CHECK(radios->editor("name")->isHidden());
    b.type(Kind::radio, "tilt_deg", "9");
    int changed = 0;
    for (const Radio& r : b.now().radios) changed += r.tiltDeg == 9;
    CHECK(changed == 2);
    CHECK(b.space.document.history().count() == 1);
    CHECK(b.space.document.history().undoText() == "Set tilt of 2 radios to 9.0°");
}

TEST_CASE("Choices, ticks and workings answer to mouse and keyboard", "[facts]") {
    FactsBench b;
    REQUIRE(allQuiet(b.space));
    b.space.selection.setOne(b.plan.small);
    b.panel->editField(Kind::mount, "consent");
    auto* consent = qobject_cast<QComboBox*>(b.panel->section(Kind::mount)->editor("consent"));
    QTest::keyClick(consent, Qt::Key_End);
    CHECK(b.now().mounts.find(b.chain().mount)->consent == ConsentState::refused);
    auto* chosen = qobject_cast<QCheckBox*>(b.panel->section(Kind::smallCell)->editor("chosen"));
    b.panel->editField(Kind::smallCell, "chosen");
    QTest::keyClick(chosen, Qt::Key_Space);
    CHECK_FALSE(b.now().smallCells.find(b.plan.small)->chosen);
    QSignalSpy wanted(b.panel.get(), &FactsPanel::workingWanted);
    for (QToolButton* open : b.panel->section(Kind::mount)->findChildren<QToolButton*>())
        if (open->accessibleName().contains("Radiation centre")) open->click();
    REQUIRE(wanted.size() == 1);
    const auto working = wanted[0][0].value<Working>();
    REQUIRE(working.steps.size() == 1);
    CHECK(working.inputs[0].value + working.inputs[1].value == Approx(working.steps[0].value).epsilon(1e-12));
}

TEST_CASE("Esc brings back what stood in a field", "[facts]") {
    FactsBench b;
    b.space.selection.setOne(b.plan.small);
    b.panel->editField(Kind::radio, "tilt_deg");
    auto* line = qobject_cast<QLineEdit*>(b.panel->section(Kind::radio)->editor("tilt_deg"));
    QTest::keyClicks(line, "44");
    QTest::keyClick(line, Qt::Key_Escape);
    CHECK(line->text() == "3.0");
    CHECK(b.space.document.history().count() == 0);
}
