// SPDX-License-Identifier: GPL-3.0-or-later
// Calibration in its window: measured levels of a known truth go in by a drop, the truth comes out, is
// applied by a real click, and undone.
#include "drop_files.h"
#include "store/folder.h"
#include "window_hand.h"

#include "base/random.h"
#include "canvas/residual_layer.h"
#include "charts/residual_histogram.h"
#include "dialogs/calibration_window.h"
#include "dialogs/working_view.h"
#include "models/calibration_model.h"

#include <QComboBox>
#include <QLabel>
#include <QTableView>

#include <fmt/format.h>

#include <cmath>
#include <numeric>

using namespace fw;
using namespace fwtest;

namespace {

constexpr double kTruthDb = 5;

struct CalibrationDesk : OpenedWindow {
    testing::TestFolder folder;

    /// Levels as the plan's study predicts them, `kTruthDb` stronger and scattered by 2 dB, at places of the
    /// work area where the one macro is heard.
    QString drive(const std::string& name, int places, std::uint64_t seed = 5) {
        const Study& study = *space().live.study();
        const Box area = now().settings->workArea;
        const Cell& cell = *now().cells.find(plan.cell);
        Random random(seed);
        std::string rows = "latitude,longitude,rsrp_dbm,cell\n";
        for (int n = 0; n < places;) {
            const PlanePoint at{random.between(area.x0, area.x1), random.between(area.y0, area.y1)};
            const auto level = study.macroCellAt(plan.cell, at);
            const auto geo = study.frame().toGeo(at);
            if (!level || !geo || *level < -140) continue;
            ++n;
            rows += fmt::format("{:.7f},{:.7f},{:.2f},{}\n", geo->latDeg, geo->lonDeg,
                                *level + kTruthDb + 2 * random.normal(), cell.name);
        }
        testing::writeBytes(folder / name, rows);
        return QString::fromStdString((folder / name).string());
    }
    CalibrationWindow& tool() {
        REQUIRE(window.calibration());
        return *window.calibration();
    }
    void open() {
        chooseInMenu(window, QStringLiteral("Plan"), QStringLiteral("calibrate"));
        REQUIRE(QTest::qWaitForWindowActive(&tool(), kPatienceMs));
    }
    void compared() {
        REQUIRE(QTest::qWaitFor([&] { return !tool().run().running(); }, kPatienceMs));
        QApplication::processEvents();
    }
    void clickRow(int row) {
        QTableView& t = tool().cells();
        click(*t.viewport(), t.visualRect(t.model()->index(row, 0)).center());
    }
    /// A label of the main window says it.
    bool says(const QString& words) {
        for (auto* l : window.findChildren<QLabel*>())
            if (l->window() == &window && l->text().contains(words)) return true;
        return false;
    }
    QString cellText(int row, int column) {
        return tool().cells().model()->index(row, column).data().toString();
    }
};

std::size_t total(const ErrorHistogram& h) { return std::accumulate(h.begin(), h.end(), std::size_t{0}); }

} // namespace

TEST_CASE("measurements of a known truth are dropped, shown, applied as one step, undone", "[calibration]") {
    CalibrationDesk desk;
    desk.adopt();
    const QString file = desk.drive("drive.csv", 900);
    desk.open();
    const Plan before = desk.now();
    const int steps = desk.steps();
    CHECK_FALSE(buttonIn(desk.tool(), QStringLiteral("Apply offsets"))->isEnabled());
    drop(desk.tool(), {file});
    desk.compared();
    INFO(desk.tool().stateText().toStdString() << " / " << desk.tool().verdictText().toStdString());
    REQUIRE(desk.tool().run().result());
    const Calibration& c = desk.tool().run().result()->calibration;
    CHECK(c.given == 900);
    REQUIRE(c.usable);
    REQUIRE(desk.tool().cells().model()->rowCount() == 2);
    CHECK(desk.cellText(1, CalibrationModel::Name).toStdString() == desk.now().label(desk.plan.cell));
    // The truth that was put in comes out, within four standard errors and the rounding.
    const CellCalibration& cell = c.cells.front();
    CHECK(cell.offsetAfterDb == Approx(kTruthDb).margin(0.05 + 4 * cell.errorDb));
    CHECK(desk.cellText(1, CalibrationModel::Offset).contains(QStringLiteral("\u2192 +")));
    CHECK(desk.now() == before);

    // The figures are those of a count of our own over the residuals.
    std::array<std::size_t, kHistogramClasses> own{};
    std::size_t held = 0;
    double sum = 0;
    for (const PointResidual& r : c.residuals) {
        if (!r.heldOut) continue;
        ++held;
        sum += r.afterDb;
        for (int k = 0; k < kHistogramClasses; ++k)
            if (r.afterDb >= -41 + 2 * k && r.afterDb < -39 + 2 * k) ++own[static_cast<std::size_t>(k)];
    }
    REQUIRE(held > 50);
    CHECK(desk.tool().histogram().tallies().after == own);
    CHECK(total(desk.tool().histogram().tallies().before) == held);
    CHECK(desk.cellText(1, CalibrationModel::HeldMean)
              .endsWith(
                  QString::fromStdString(fmt::format("{:.1f}", std::fabs(sum / static_cast<double>(held))))));
    // On the map lie all the points, coloured by the difference before.
    REQUIRE(desk.window.residuals());
    CHECK(desk.window.residuals()->marks().size() == c.residuals.size());

    click(*buttonIn(desk.tool(), QStringLiteral("Apply offsets")));
    CHECK(desk.steps() == steps + 1);
    CHECK(desk.space().document.history().undoText() == QStringLiteral("Calibrate cells against drive test"));
    CHECK(desk.now().cells.find(desk.plan.cell)->offsetDb == cell.offsetAfterDb);
    CHECK(QString::fromStdString(desk.now().settings->calibrationNote)
              .contains(QStringLiteral("\"drive.csv\"")));
    CHECK(desk.tool().verdictText().contains(QStringLiteral("Applied.")));
    CHECK_FALSE(buttonIn(desk.tool(), QStringLiteral("Apply offsets"))->isEnabled());
    desk.space().document.history().undo();
    CHECK(desk.now() == before);
    CHECK(buttonIn(desk.tool(), QStringLiteral("Apply offsets"))->isEnabled());
    key(Qt::Key_Escape);
    CHECK_FALSE(desk.tool().isVisible());
    CHECK(desk.window.residuals()->marks().empty());
}

TEST_CASE("a cell's row shows its points alone, its working opens, the map tells a point's value",
          "[calibration]") {
    CalibrationDesk desk;
    desk.adopt();
    desk.open();
    desk.tool().run().setFile(desk.drive("drive.csv", 700));
    desk.compared();
    REQUIRE(desk.tool().run().result());
    desk.clickRow(1);
    CHECK(desk.space().selection.items() == std::vector<ItemId>{desk.plan.cell});
    const auto& marks = desk.window.residuals()->marks();
    std::size_t ofCell = 0;
    for (const PointResidual& r : desk.tool().run().result()->calibration.residuals)
        ofCell += r.cell == desk.plan.cell;
    CHECK(marks.size() == ofCell);
    click(*buttonIn(desk.tool(), QStringLiteral("Working")));
    const auto* working = desk.window.findChild<WorkingView*>();
    REQUIRE(working);
    CHECK(working->working().steps.back().value ==
          desk.tool().run().result()->calibration.cells.front().offsetAfterDb);
    desk.clickRow(0);
    click(*buttonIn(desk.tool(), QStringLiteral("Working")));
    CHECK(working->working().steps.back().value ==
          desk.tool().run().result()->calibration.heldOut.after.rmseDb);
    desk.clickRow(1);

    // A point in view: its pixel has the colour of its step, and its value is told.
    desk.map().zoomTo(
        Box{marks.back().at.x - 40, marks.back().at.y - 40, marks.back().at.x + 40, marks.back().at.y + 40});
    const QPointF on = desk.map().camera().toScreen(marks.back().at);
    QTest::mouseMove(windowOf(desk.map()), desk.map().mapTo(&desk.window, on.toPoint()));
    CHECK(QTest::qWaitFor([&] { return desk.says(QStringLiteral("measured less predicted")); }, kPatienceMs));
    const auto found = desk.window.residuals()->markAt(desk.map().camera(), marks.back().at);
    REQUIRE(found);
    CHECK(found->at == marks.back().at);
    CHECK(desk.map().rect().contains(on.toPoint()));

    // Switched off it is gone.
    click(*buttonIn(desk.tool(), QStringLiteral("Show the differences on the map")));
    CHECK(desk.window.residuals()->marks().empty());
}

TEST_CASE("under 50 matched points it says so, and nothing can be applied", "[calibration]") {
    CalibrationDesk desk;
    desk.adopt();
    desk.open();
    const Plan before = desk.now();
    desk.tool().run().setFile(desk.drive("few.csv", 49));
    desk.compared();
    REQUIRE(desk.tool().run().result());
    CHECK(desk.tool().verdictText().contains(QStringLiteral("49 matched points")));
    CHECK(desk.tool().verdictText().contains(QStringLiteral("are too few")));
    CHECK_FALSE(buttonIn(desk.tool(), QStringLiteral("Apply offsets"))->isEnabled());
    CHECK_FALSE(desk.tool().run().apply().ok());
    CHECK(desk.now() == before);
}

TEST_CASE(
    "a comparison is stopped, what is no measurement is refused, and a changed plan asks to compare again",
    "[calibration]") {
    CalibrationDesk desk;
    desk.adopt();
    desk.open();
    const Plan before = desk.now();
    const QString file = desk.drive("drive.csv", 600);
    desk.tool().run().setFile(file);
    REQUIRE(desk.tool().run().running());
    click(*buttonIn(desk.tool(), QStringLiteral("Stop")));
    desk.compared();
    CHECK_FALSE(desk.tool().run().result());
    CHECK(desk.tool().stateText().contains(QStringLiteral("Stopped.")));
    CHECK(desk.now() == before);

    testing::writeBytes(desk.folder / "names.csv", "name,colour\na,red\n");
    desk.tool().run().setFile(QString::fromStdString((desk.folder / "names.csv").string()));
    desk.compared();
    CHECK_FALSE(desk.tool().run().result());
    CHECK(desk.tool().stateText().contains(QStringLiteral("leaves something open")));

    desk.tool().run().setFile(file);
    desk.compared();
    REQUIRE(desk.tool().run().current());
    Cell cell = *desk.now().cells.find(desk.plan.cell);
    cell.offsetDb = 1;
    REQUIRE(desk.space().document.perform({"Set offset", {Put{cell}}}).ok());
    CHECK_FALSE(buttonIn(desk.tool(), QStringLiteral("Apply offsets"))->isEnabled());
    CHECK(desk.tool().verdictText().contains(QStringLiteral("compare it again")));
    click(*buttonIn(desk.tool(), QStringLiteral("Compare again")));
    desk.compared();
    CHECK(desk.tool().run().current());
    CHECK(buttonIn(desk.tool(), QStringLiteral("Apply offsets"))->isEnabled());
}

TEST_CASE("the slope is told when asked for, and a sector is turned to where it was measured",
          "[calibration]") {
    CalibrationDesk desk;
    desk.adopt();
    // The truth looks where the plan says; then somebody enters another azimuth.
    const QString file = desk.drive("drive.csv", 1500);
    const ItemId sector = desk.now().cells.find(desk.plan.cell)->sector;
    const double truth = desk.now().sectors.find(sector)->azimuth.deg;
    Sector wrong = *desk.now().sectors.find(sector);
    wrong.azimuth = TrueAzimuth::of(truth + 50);
    REQUIRE(desk.space().document.perform({"Turn", {Put{wrong}}}).ok());
    const Plan before = desk.now();
    desk.settle();
    desk.open();
    desk.tool().run().setFile(file);
    desk.compared();
    REQUIRE(desk.tool().run().result());
    CHECK_FALSE(desk.cellText(1, CalibrationModel::Verdict).contains(QStringLiteral("Slope")));
    click(*buttonIn(desk.tool(), QStringLiteral("Slope over distance")));
    desk.compared();
    REQUIRE(desk.tool().run().result());
    CHECK(desk.tool().run().result()->calibration.options.slope);
    CHECK(desk.cellText(1, CalibrationModel::Verdict).contains(QStringLiteral("Slope")));

    key(Qt::Key_Z, Qt::AltModifier);
    QTableView& table = desk.tool().azimuths();
    REQUIRE(QTest::qWaitFor([&] { return table.isVisible(); }, kPatienceMs));
    REQUIRE(table.model()->rowCount() == 1);
    const MeasuredAzimuth& m = desk.tool().run().result()->azimuths.front();
    REQUIRE(m.known);
    INFO("measured " << m.measured.deg << " +- " << m.errorDeg << ", truth " << truth);
    CHECK(std::fabs(wrap180(m.measured.deg - truth)) < 1 + 4 * m.errorDeg);
    CHECK(
        table.model()->index(0, AzimuthModel::Says).data().toString().startsWith(QStringLiteral("Look at")));
    click(*table.viewport(), table.visualRect(table.model()->index(0, 0)).center());
    CHECK(desk.space().selection.items() == std::vector<ItemId>{sector});
    click(*buttonIn(desk.tool(), QStringLiteral("Working")));
    CHECK(desk.window.findChild<WorkingView*>()->working().steps.back().value == m.measured.deg);
    click(*buttonIn(desk.tool(), QStringLiteral("Turn the sector")));
    CHECK(desk.now().sectors.find(sector)->azimuth.deg == std::round(m.measured.deg));
    CHECK_FALSE(buttonIn(desk.tool(), QStringLiteral("Turn the sector"))->isEnabled());
    desk.space().document.history().undo();
    CHECK(desk.now() == before);
}

TEST_CASE("one carrier is looked at alone: its cells in the list, on the map and in the histogram",
          "[calibration]") {
    CalibrationDesk desk;
    Cell other = *desk.plan.loaded.plan.cells.find(desk.plan.cell);
    other.id = desk.plan.loaded.plan.lastId = desk.plan.loaded.plan.nextId();
    other.name = "Second";
    other.carrier.channel = 300; // band 1
    desk.plan.loaded.plan.cells.put(other);
    desk.adopt();
    // The same places and levels for both cells.
    const QString file = desk.drive("drive.csv", 600);
    std::string rows = testing::bytesOf(file.toStdString()), both = rows;
    const std::string first = desk.now().cells.find(desk.plan.cell)->name;
    for (std::size_t at = rows.find('\n') + 1; at < rows.size();) {
        const std::size_t end = rows.find('\n', at);
        both += rows.substr(at, end - at - first.size()) + "Second\n";
        at = end + 1;
    }
    testing::writeBytes(file.toStdString(), both);
    desk.open();
    QComboBox& carriers = desk.tool().carriers();
    CHECK_FALSE(carriers.isVisible());
    desk.tool().run().setFile(file);
    desk.compared();
    REQUIRE(desk.tool().run().result());
    const Calibration& c = desk.tool().run().result()->calibration;
    REQUIRE(c.cells.size() == 2);
    REQUIRE(carriers.isVisible());
    REQUIRE(carriers.count() == 3);
    const std::size_t all = total(desk.tool().histogram().tallies().before);
    CHECK(desk.window.residuals()->marks().size() == c.residuals.size());

    carriers.setFocus();
    QTest::keyClick(&carriers, Qt::Key_Down); // band 1 comes first: 300 is below 1300
    REQUIRE(carriers.currentText().contains(QStringLiteral("300")));
    std::size_t marked = 0, held = 0;
    for (const PointResidual& r : c.residuals) {
        marked += r.cell == other.id;
        held += r.cell == other.id && r.heldOut && !r.indoor;
    }
    REQUIRE(marked > 100);
    CHECK(desk.window.residuals()->marks().size() == marked);
    CHECK(total(desk.tool().histogram().tallies().before) == held);
    CHECK(held < all);
    CHECK(desk.tool().marksTitle().contains(carriers.currentText()));
    for (int row = 1; row < 3; ++row) {
        const bool hidden = desk.tool().cells().isRowHidden(row);
        CHECK(hidden == (desk.cellText(row, CalibrationModel::Name) !=
                         QString::fromStdString(desk.now().label(other.id))));
    }
    QTest::keyClick(&carriers, Qt::Key_Home);
    CHECK(desk.window.residuals()->marks().size() == c.residuals.size());
    CHECK(total(desk.tool().histogram().tallies().before) == all);
}
