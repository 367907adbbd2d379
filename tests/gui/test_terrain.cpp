// SPDX-License-Identifier: GPL-3.0-or-later
// Ground heights through the window: shown, taken in beside the plan as one step, undone, brought back;
// always what a cold computation of the saved file says.
#include "drop_files.h"
#include "store/folder.h"
#include "window_hand.h"

#include "dialogs/intake_window.h"
#include "dialogs/raster_part.h"
#include "dialogs/rasters_in_use.h"
#include "shell/lost_work_list.h"
#include "store/plan_terrain.h"
#include "study/settled.h"
#include "surface/raster_io.h"
#include "text/figures.h"

#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>

#include <cmath>
#include <fmt/format.h>
#include <fstream>

using namespace fw;
using namespace fwtest;
namespace fs = std::filesystem;

namespace {

struct GroundDesk : OpenedWindow {
    testing::TestFolder folder;
    fs::path file = folder / "quay.plan.gpkg";

    void open() {
        for (const LostWork& work : findLostWork(stateFolder())) REQUIRE(forget(work).ok());
        REQUIRE(savePlan(plan.loaded.plan, file).ok());
        window.openPlanFile(QString::fromStdString(file.string()));
        REQUIRE(QTest::qWaitFor([&] { return space().document.isOpen() && !space().jobs.runs("open"); },
                                kPatienceMs));
        settle();
    }
    /// A ridge across the plan, 40 m over the rest, where the small cells' ground lies.
    [[nodiscard]] Grid<float> ridge(double reachM = 1100) const {
        Grid<float> g(testing::kMiddle.x - reachM, testing::kMiddle.y - reachM, 10,
                      static_cast<int>(reachM / 5), static_cast<int>(reachM / 5), 12.0F);
        for (int row = 0; row < g.height; ++row)
            for (int col = 0; col < g.width; ++col) {
                const double off = (g.centre(col, row).x - (testing::kMiddle.x + 90)) / 60;
                g.at(col, row) += static_cast<float>(40 * std::exp(-off * off));
            }
        return g;
    }
    QString write(const std::string& name) const {
        REQUIRE(writeTerrain(folder / name, ridge(), 32627).ok());
        return QString::fromStdString((folder / name).string());
    }
    IntakeWindow& intake() {
        REQUIRE(window.intake());
        return *window.intake();
    }
    const IntakeFile& first() { return intake().files().files().at(0); }
    void read() {
        REQUIRE(QTest::qWaitFor([&] { return window.intake() && !window.intake()->files().reading(); },
                                kPatienceMs));
        REQUIRE(QTest::qWaitForWindowActive(&intake(), kPatienceMs));
        QApplication::processEvents();
    }
    void takeIn() {
        click(*buttonIn(intake(), QStringLiteral("Take in")));
        REQUIRE(QTest::qWaitFor([&] { return !intake().files().taking(); }, kPatienceMs));
        INFO(first().trouble.toStdString());
        REQUIRE(first().taken);
        settle();
    }
    /// What the window shows of the plan, as the commands write it.
    std::string shown() {
        const LiveStudy& live = space().live;
        REQUIRE(live.settled());
        return cli::reviewJson(*live.study(), live.review()) +
               cli::ledgerJson(*live.study(), &live.study()->live(), live.settled());
    }
    /// The same from the file alone.
    static std::string cold(const fs::path& from) {
        const auto opened = openPlan(from);
        REQUIRE(opened.ok());
        const auto terrain = loadTerrain(opened->plan, from);
        REQUIRE(terrain.ok());
        const auto study = Study::advance(nullptr, opened->plan, *terrain);
        REQUIRE(study.ok());
        ReviewOptions quick;
        quick.remedies = false;
        const auto settled = fw::settle(**study);
        REQUIRE(settled.ok());
        return cli::reviewJson(**study, reviewAll(**study, quick)) +
               cli::ledgerJson(**study, &(*study)->live(), &*settled);
    }
};

} // namespace

TEST_CASE("a dropped terrain is shown, taken in beside the plan as one step, undone and redone",
          "[terrain]") {
    GroundDesk desk;
    desk.open();
    const Plan before = desk.now();
    const std::string flat = desk.shown();
    const int steps = desk.steps();
    drop(desk.window, {desk.write("heights.tif")});
    desk.read();
    REQUIRE(desk.first().ground);
    CHECK(desk.first().ground->usable());
    CHECK_FALSE(desk.intake().extent().empty());
    CHECK(desk.intake().stateText().startsWith(
        QStringLiteral("Ground from %1 to 5").arg(figure(12, QStringLiteral("m")))));
    const QString facts = desk.intake().findChild<RasterPart*>()->factsText();
    INFO(facts.toStdString());
    CHECK(facts.contains(QStringLiteral("GeoTIFF with 220 × 220 cells")));
    CHECK(facts.contains(QStringLiteral("flat ground at ") + figure(12, QStringLiteral("m"))));
    CHECK(desk.now() == before);
    CHECK(desk.steps() == steps);

    desk.takeIn();
    CHECK(desk.steps() == steps + 1);
    CHECK(desk.space().document.history().undoText().contains(QStringLiteral("heights.tif")));
    CHECK(desk.now().settings->terrain.file == "quay-terrain.tif");
    CHECK(fs::exists(desk.folder / "quay-terrain.tif"));
    CHECK_FALSE(desk.space().document.terrain()->heights.empty());
    const std::string hilly = desk.shown();
    CHECK(hilly != flat);
    REQUIRE(desk.space().document.save().ok());
    CHECK(hilly == GroundDesk::cold(desk.file));

    desk.space().document.history().undo();
    desk.settle();
    CHECK(desk.now() == before);
    CHECK(desk.space().document.terrain()->heights.empty());
    CHECK(desk.shown() == flat);
    CHECK_FALSE(desk.first().taken);
    desk.space().document.history().redo();
    desk.settle();
    CHECK(desk.shown() == hilly);
}

TEST_CASE("a raster is taken in as demand or as land cover, and the load follows", "[terrain]") {
    GroundDesk desk;
    desk.open();
    const std::string before = desk.shown();
    // Numbers that could be either: more in the east.
    Grid<float> g(testing::kMiddle.x - 1100, testing::kMiddle.y - 1100, 20, 110, 110, 1.0F);
    for (int row = 0; row < g.height; ++row)
        for (int col = g.width / 2; col < g.width; ++col) g.at(col, row) = 4;
    REQUIRE(writeTerrain(desk.folder / "map.tif", g, 32627).ok());
    desk.window.takeFilesIn({QString::fromStdString((desk.folder / "map.tif").string())});
    desk.read();
    auto& part = *desk.intake().findChild<RasterPart*>();
    auto* use = part.findChildren<QComboBox*>().at(0);
    const auto choose = [&](int row) {
        use->setFocus();
        QTest::keyClick(use, row == 0 ? Qt::Key_Home : Qt::Key_Down);
        desk.read();
    };
    choose(1);
    REQUIRE(desk.first().ground->use == RasterUse::demand);
    CHECK(desk.intake().stateText() == QStringLiteral("Demand up to 4 a cell."));
    CHECK(part.factsText().contains(QStringLiteral("follows floor area")));
    desk.takeIn();
    CHECK(desk.now().settings->demandRaster.file == "quay-demand.tif");
    CHECK(part.factsText().contains(QStringLiteral("quay-demand.tif")));
    const std::string shifted = desk.shown();
    CHECK(shifted != before);
    REQUIRE(desk.space().document.save().ok());
    CHECK(shifted == GroundDesk::cold(desk.file));
    desk.space().document.history().undo();
    desk.settle();
    CHECK(desk.shown() == before);

    choose(2);
    REQUIRE(desk.first().ground->use == RasterUse::landCover);
    CHECK(desk.intake().stateText() == QStringLiteral("Classes of land cover: 2."));
    CHECK_FALSE(buttonIn(desk.intake(), QStringLiteral("Take in"))->isEnabled());
    auto* weights = part.findChildren<QLineEdit*>().at(2);
    REQUIRE(weights->isVisible());
    weights->setFocus();
    QTest::keyClicks(weights, QStringLiteral("4=0"));
    QTest::keyClick(weights, Qt::Key_Return);
    desk.read();
    CHECK(buttonIn(desk.intake(), QStringLiteral("Take in"))->isEnabled());
    desk.takeIn();
    CHECK(desk.now().settings->landCoverWeights == "4=0");
    const std::string covered = desk.shown();
    CHECK(covered != before);
    REQUIRE(desk.space().document.save().ok());
    CHECK(covered == GroundDesk::cold(desk.file));

    // It stands among the rasters in use, and is left there.
    auto& inUse = *desk.intake().findChild<RastersInUse*>();
    CHECK(inUse.text(RasterUse::landCover) == QStringLiteral("Land cover: quay-land-cover.tif"));
    CHECK(inUse.leaveButton(RasterUse::demand) == nullptr);
    REQUIRE(inUse.leaveButton(RasterUse::landCover));
    click(*inUse.leaveButton(RasterUse::landCover));
    desk.settle();
    CHECK(desk.now().settings->landCover == RasterRef{});
    CHECK(desk.shown() == before);
    CHECK_FALSE(inUse.isVisible());
    CHECK(std::filesystem::exists(desk.folder / "quay-land-cover.tif"));
    desk.space().document.history().undo();
    desk.settle();
    CHECK(desk.shown() == covered);
    CHECK(inUse.isVisible());
}

TEST_CASE("a raster that names no system is asked for it, and feet can be said", "[terrain]") {
    GroundDesk desk;
    desk.open();
    const Grid<float> g = desk.ridge();
    std::ofstream out(desk.folder / "grid.asc");
    out << "ncols " << g.width << "\nnrows " << g.height
        << fmt::format("\nxllcorner {}\nyllcorner {}\ncellsize 10\n", g.x0, g.y0);
    for (int row = g.height; row-- > 0;)
        for (int col = 0; col < g.width; ++col)
            out << fmt::format("{:.1f}{}", g.at(col, row) / 0.3048, col + 1 < g.width ? ' ' : '\n');
    out.close();
    desk.window.takeFilesIn({QString::fromStdString((desk.folder / "grid.asc").string())});
    desk.read();
    REQUIRE(desk.first().ground);
    CHECK_FALSE(desk.first().ground->usable());
    CHECK_FALSE(buttonIn(desk.intake(), QStringLiteral("Take in"))->isEnabled());
    click(*buttonIn(desk.intake(), QStringLiteral("The plan's own")));
    desk.read();
    CHECK(desk.first().ground->usable());
    auto& part = *desk.intake().findChild<RasterPart*>();
    auto* unit = part.findChildren<QComboBox*>().at(1);
    click(*unit);
    key(Qt::Key_End);
    key(Qt::Key_Return);
    desk.read();
    CHECK(desk.first().groundRequest.feet == true);
    desk.takeIn();
    // Feet and metres: 0.3048 (NIST SP 811, B.8); the raster has tenths of a foot.
    CHECK(desk.space().document.terrain()->at(testing::kMiddle + PlanePoint{-600, 0}) ==
          Approx(12).margin(0.02));
}

TEST_CASE("a plan without a file is asked to be saved first, and nothing is lost", "[terrain]") {
    GroundDesk desk;
    desk.adopt();
    const Plan before = desk.now();
    desk.window.takeFilesIn({desk.write("heights.tif")});
    desk.read();
    CHECK(desk.first().ground->usable());
    CHECK_FALSE(buttonIn(desk.intake(), QStringLiteral("Take in"))->isEnabled());
    QAbstractButton* save = buttonIn(desk.intake(), QStringLiteral("Save the plan"));
    CHECK(save->isEnabled());
    CHECK_FALSE(desk.intake().files().takeIn(0).ok());
    CHECK(desk.now() == before);
    REQUIRE(desk.space().document.saveAs(desk.file).ok()); // what the button leads to
    QApplication::processEvents();
    CHECK_FALSE(save->isVisible());
    desk.takeIn();
    CHECK(desk.now().settings->terrain.file == "quay-terrain.tif");
}

TEST_CASE("a raster without a plan begins one where it lies", "[terrain]") {
    GroundDesk desk;
    desk.window.takeFilesIn({desk.write("heights.tif")});
    REQUIRE(QTest::qWaitFor([&] { return desk.space().document.isOpen(); }, kPatienceMs));
    CHECK(desk.now().settings->epsg == 32627);
    desk.read();
    CHECK(desk.first().ground->usable());
    CHECK(buttonIn(desk.intake(), QStringLiteral("Save the plan"))->isVisible());
}

TEST_CASE("a drag keeps the plan it began with: what is taken in comes when it ends", "[terrain]") {
    GroundDesk desk;
    desk.open();
    const Plan before = desk.now();
    desk.window.takeFilesIn({desk.write("heights.tif")});
    desk.read();
    LiveDrag& drag = desk.space().drag;
    REQUIRE(desk.intake().files().takeIn(0).ok());
    REQUIRE(drag.begin({desk.mount()}));
    drag.moveTo(before.mounts.find(desk.mount())->at + PlanePoint{5, 0});
    QTest::qWait(700); // long enough for what does not rest
    CHECK(desk.now() == before);
    drag.finish();
    REQUIRE(QTest::qWaitFor([&] { return !desk.intake().files().taking(); }, kPatienceMs));
    desk.settle();
    CHECK(desk.steps() == 2);
    CHECK(desk.now().settings->terrain.file == "quay-terrain.tif");
    REQUIRE(desk.space().document.save().ok());
    CHECK(desk.shown() == GroundDesk::cold(desk.file));
}

TEST_CASE("taking a terrain in is stopped without a trace", "[terrain]") {
    GroundDesk desk;
    desk.open();
    const Plan before = desk.now();
    desk.window.takeFilesIn({desk.write("heights.tif")});
    desk.read();
    REQUIRE(desk.intake().files().takeIn(0).ok());
    desk.intake().files().stop();
    REQUIRE(QTest::qWaitFor([&] { return !desk.intake().files().taking(); }, kPatienceMs));
    CHECK(desk.now() == before);
    CHECK(desk.steps() == 0);
    CHECK_FALSE(fs::exists(desk.folder / "quay-terrain.tif"));
    CHECK(desk.intake().stateText().contains(QStringLiteral("stopped")));
    desk.takeIn(); // and can be taken in after all
}

TEST_CASE("an edit that names another terrain has it read, or says why it cannot be", "[terrain]") {
    GroundDesk desk;
    desk.open();
    static_cast<void>(desk.write("by-hand.tif"));
    const auto edit = useRaster(desk.now(), desk.file, RasterUse::height, desk.folder / "by-hand.tif");
    REQUIRE(edit.ok());
    REQUIRE(desk.space().document.perform(*edit).ok());
    CHECK_FALSE(desk.space().document.terrainIsRead());
    desk.settle();
    CHECK(desk.space().document.terrainIsRead());
    REQUIRE(desk.space().document.save().ok());
    CHECK(desk.shown() == GroundDesk::cold(desk.file));

    PlanSettings gone = *desk.now().settings;
    gone.terrain = {"gone.tif", "0", 12};
    REQUIRE(desk.space().document.perform({"Use another terrain", {PutSettings{gone}}}).ok());
    REQUIRE(QTest::qWaitFor([&] { return desk.window.notice()->isVisible(); }, kPatienceMs));
    CHECK(desk.window.notice()->text().contains(QStringLiteral("terrain file is not there")));
    CHECK(desk.space().live.stale());
    desk.space().document.history().undo();
    desk.settle();
    CHECK(desk.shown() == GroundDesk::cold(desk.file));
}

TEST_CASE("a plan saved into another folder takes along the terrains that undo goes back to", "[terrain]") {
    GroundDesk desk;
    desk.open();
    desk.window.takeFilesIn({desk.write("heights.tif")});
    desk.read();
    desk.takeIn();
    Grid<float> other = desk.ridge();
    for (float& h : other.cells) h += 3;
    REQUIRE(writeTerrain(desk.folder / "second.tif", other, 32627).ok());
    const auto edit = useRaster(desk.now(), desk.file, RasterUse::height, desk.folder / "second.tif");
    REQUIRE(edit.ok());
    REQUIRE(desk.space().document.perform(*edit).ok());
    desk.settle();
    const testing::TestFolder elsewhere;
    const fs::path moved = elsewhere / "moved.plan.gpkg";
    REQUIRE(desk.space().document.saveAs(moved).ok());
    desk.space().document.history().undo();
    desk.settle();
    REQUIRE(desk.space().document.save().ok());
    CHECK(desk.now().settings->terrain.file == "quay-terrain.tif");
    CHECK(desk.shown() == GroundDesk::cold(moved));
}

TEST_CASE("a crash after a terrain was taken in brings back plan and ground", "[terrain]") {
    GroundDesk desk;
    for (const LostWork& work : findLostWork(stateFolder())) REQUIRE(forget(work).ok());
    REQUIRE(savePlan(desk.plan.loaded.plan, desk.file).ok());
    static_cast<void>(desk.write("quay-terrain.tif"));
    {
        OpenPlan opened;
        auto held = PlanFile::open(desk.file, opened);
        REQUIRE(held);
        JournalBase base;
        base.planFile = base.origin = desk.file;
        base.saveCount = opened.saveCount;
        auto journal = CrashJournal::begin(stateFolder(), opened.plan, base);
        REQUIRE(journal);
        const auto edit =
            useRaster(opened.plan, desk.file, RasterUse::height, desk.folder / "quay-terrain.tif");
        REQUIRE(edit.ok());
        (*journal)->append(*edit);
        REQUIRE((*journal)->flush().ok());
    }
    MainWindow window(windowData());
    window.resize(1200, 800);
    window.show();
    window.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&window, kPatienceMs));
    REQUIRE(QTest::qWaitFor([&] { return window.startPage()->lostWork()->isVisible(); }, kPatienceMs));
    click(*buttonIn(*window.startPage(), QStringLiteral("Bring it back")));
    PlanDocument& doc = window.space().document;
    REQUIRE(QTest::qWaitFor([&] { return doc.isOpen() && window.notice()->isVisible(); }, kPatienceMs));
    CHECK(doc.plan().settings->terrain.file == "quay-terrain.tif");
    CHECK_FALSE(doc.terrain()->heights.empty());
    REQUIRE(allQuiet(window.space()));
    REQUIRE(doc.save().ok());
    const LiveStudy& live = window.space().live;
    CHECK(cli::reviewJson(*live.study(), live.review()) +
              cli::ledgerJson(*live.study(), &live.study()->live(), live.settled()) ==
          GroundDesk::cold(desk.file));
    doc.close();
}
