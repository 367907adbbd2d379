// SPDX-License-Identifier: GPL-3.0-or-later
// The job from end to end in the window: drag a cell before a macro, see what is found while the button is
// down, turn away, undo, redo, keep with a reason, write the pack, read it.
#include "catch.h"
#include "cli/program.h"
#include "pdf_reader.h"
#include "store/folder.h"
#include "window_hand.h"

#include "bench/stage_table.h"
#include "dialogs/pack_preview.h"
#include "print/pack_files.h"

#include <QLineEdit>
#include <QTableView>

using namespace fw;
using namespace fwtest;

namespace {

std::string saidTo(const Words& words) {
    const Ran ran = run(words, {{"QT_QPA_PLATFORM", ""}});
    INFO(ran.err);
    REQUIRE((ran.code == cli::exitClean || ran.code == cli::exitBlocked));
    return ran.out;
}

// The plan as the drag would leave it, saved and computed anew by the program from the command line.
void checkAgainstTheProgram(OpenedWindow& o, const std::filesystem::path& file) {
    Plan there = o.now();
    for (const Mount& m : o.space().drag.mounts()) REQUIRE(apply(there, {"", {Put{m}}}));
    for (const Radio& r : o.space().drag.radios()) REQUIRE(apply(there, {"", {Put{r}}}));
    REQUIRE_FALSE(there == o.now());
    saveOrThrow(there, file);
    const LiveStudy& live = o.space().live;
    const Study& study = *live.study();
    Review review = live.review();
    for (Finding& f : review.findings) f.remedy.reset();
    CHECK(cli::reviewJson(study, review) == saidTo({"review", file.string(), "--no-remedies", "--json"}));
    CHECK(cli::ledgerJson(study, live.ledger(), nullptr) ==
          saidTo({"ledger", file.string(), "--live", "--json"}));
    std::vector<Fit> fits;
    for (const SmallCellPart& s : study.smallCells()) fits.push_back(live.fit(s.id).value());
    std::stable_sort(fits.begin(), fits.end(), [](const Fit& a, const Fit& b) { return a.value > b.value; });
    CHECK(fits.size() == 2);
    CHECK(cli::fitJson(study, fits, false) == saidTo({"fit", file.string(), "--json"}));
}

// Of the open findings about the cell, one to keep: any but the one that comes and goes.
int rowToKeep(OpenedWindow& o) {
    const auto& model = *static_cast<FindingsModel*>(o.panel().list().model());
    for (int r = 0; r < model.rowCount(); ++r)
        if (model.at(r).standing == Standing::open && model.at(r).rule != "faces-macro") return r;
    FAIL("nothing to keep");
    return -1;
}

void readPack(OpenedWindow& o, const QString& folder, const QString& reason) {
    const auto files = packFilesIn(folder.toStdString());
    REQUIRE(std::filesystem::exists(files.sheets));
    const QString text = textIn(files.sheets);
    CHECK(text.contains(QLatin1String(kSiteName)));
    const QString azimuth = QString::number(o.azimuth()).rightJustified(3, QLatin1Char('0'));
    CHECK(text.contains(azimuth + QChar(0xb0)));
    CHECK(text.contains(reason));
}

} // namespace

TEST_CASE("Drag, see, decide: the whole job by mouse and keys", "[window][whole]") {
    const testing::TestFolder folder;
    OpenedWindow o;
    o.adopt();
    click(o.map(), o.onMount());
    REQUIRE(o.space().selection.primary() == o.mount());
    CHECK_FALSE(o.facesMacro());

    // On the map: the site follows the pointer, and the figures are those of the place under it.
    const QPoint from = o.onMount();
    const PlanePoint before = o.now().mounts.find(o.mount())->at;
    press(o.map(), from);
    for (int k = 1; k <= 4; ++k) moveTo(o.map(), from + QPoint(3 * k, -4 * k));
    REQUIRE(o.space().drag.active());
    CHECK(o.steps() == 0);
    checkAgainstTheProgram(o, folder / "moved.plan.gpkg");
    CHECK(o.now().mounts.find(o.mount())->at == before);
    release(o.map(), from + QPoint(12, -16));
    CHECK(o.steps() == 1);
    CHECK_FALSE(o.now().mounts.find(o.mount())->at == before);
    o.settle();

    // By the strip: the beam goes round to the macro in the west; it is in the list while the button is down.
    const QPoint east = o.onStrip(90), west = o.onStrip(268), away = o.onStrip(37);
    press(o.strip(), east);
    for (int k = 1; k <= 5; ++k) moveTo(o.strip(), east + (west - east) * k / 5);
    REQUIRE(o.space().drag.active());
    REQUIRE(o.facesMacro());
    const QListView& list = o.panel().list();
    CHECK(
        list.viewport()->rect().intersects(list.visualRect(list.model()->index(o.rowOf("faces-macro"), 0))));
    CHECK(o.steps() == 1);
    checkAgainstTheProgram(o, folder / "turned.plan.gpkg");
    release(o.strip(), west);
    CHECK(o.steps() == 2);
    o.settle();
    CHECK(o.facesMacro());

    // And away: gone while the button is down, one step when it is up.
    press(o.strip(), west);
    for (int k = 1; k <= 5; ++k) moveTo(o.strip(), west + (away - west) * k / 5);
    CHECK_FALSE(o.facesMacro());
    CHECK(o.steps() == 2);
    release(o.strip(), away);
    CHECK(o.steps() == 3);
    o.settle();
    CHECK_FALSE(o.facesMacro());

    // Undo brings the finding back, redo takes it away.
    key(Qt::Key_Z, Qt::ControlModifier);
    o.settle();
    CHECK(o.facesMacro());
    key(Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
    o.settle();
    CHECK_FALSE(o.facesMacro());
    CHECK(std::abs(o.azimuth() - 37) <= 1);

    // Another finding stands, because.
    const int row = rowToKeep(o);
    click(*o.panel().list().viewport(),
          o.panel().list().visualRect(o.panel().list().model()->index(row, 0)).center());
    click(*buttonIn(o.panel(), "Stands, because"));
    type("agreed with the harbour");
    key(Qt::Key_Tab);
    type("A. Planner");
    key(Qt::Key_Return);
    o.settle();
    CHECK(o.steps() == 4);
    CHECK(o.kept() == 1);

    // The pack, to a folder of its own.
    key(Qt::Key_P, Qt::ControlModifier);
    PackPreview* pack = o.window.packPreview();
    REQUIRE(pack);
    REQUIRE(QTest::qWaitFor([&] { return pack->current(); }, kPatienceMs));
    const QString where = QString::fromStdString((folder / "pack").string());
    pack->setFolder(where);
    bool written = false;
    QObject::connect(pack, &PackPreview::written, pack, [&] { written = true; });
    click(*buttonIn(*pack, "Write pack"));
    REQUIRE(QTest::qWaitFor([&] { return written; }, kPatienceMs));
    readPack(o, where, "agreed with the harbour");
}

TEST_CASE("The whole job by keys alone", "[window][slow][whole]") {
    const testing::TestFolder folder;
    OpenedWindow o;
    o.adopt();
    const HandCount hands;

    // The table of cells; the row of the cell; its strip.
    key(Qt::Key_3, Qt::AltModifier);
    REQUIRE(o.window.stages()->current() == 2);
    key(Qt::Key_Down);
    CHECK(o.window.table(Stage::cells)->view().currentIndex().row() == 0);
    for (int k = 0; k < 3 && o.space().selection.primary() != o.plan.small; ++k) key(Qt::Key_Down);
    REQUIRE(o.space().selection.primary() == o.plan.small);
    for (int k = 0; k < 12 && !o.strip().hasFocus(); ++k) key(Qt::Key_F6);
    REQUIRE(o.strip().hasFocus());
    o.settle();
    key(Qt::Key_Right, Qt::ShiftModifier, 18);
    CHECK(o.azimuth() == 270);
    o.settle();
    CHECK(o.facesMacro());
    CHECK(o.steps() == 1);

    // To the finding, see what would clear it, take it; undo.
    for (int k = 0; k < 9 && !(o.panel().current() && o.panel().current()->rule == "faces-macro"); ++k)
        key(Qt::Key_F4);
    REQUIRE(o.panel().current()->rule == "faces-macro");
    REQUIRE(QTest::qWaitFor([&] { return buttonIn(o.panel(), "Take")->isEnabled(); }, kPatienceMs));
    key(Qt::Key_F3);
    CHECK_FALSE(o.map().ghosts().empty());
    CHECK(o.azimuth() == 270);
    key(Qt::Key_F3, Qt::ShiftModifier);
    CHECK(o.map().ghosts().empty());
    CHECK_FALSE(o.azimuth() == 270);
    o.settle();
    CHECK_FALSE(o.facesMacro());
    key(Qt::Key_Z, Qt::ControlModifier);
    o.settle();
    CHECK(o.facesMacro());

    // On the map: away by { and [, after a look at it; back and forth again.
    QTest::qWait(2100);
    for (int k = 0; k < 12 && !o.map().hasFocus(); ++k) key(Qt::Key_F6, Qt::ShiftModifier);
    REQUIRE(o.map().hasFocus());
    key(Qt::Key_BraceLeft, Qt::ShiftModifier, 23);
    key(Qt::Key_BracketLeft, {}, 3);
    CHECK(o.azimuth() == 37);
    CHECK(o.steps() == 2);
    o.settle();
    CHECK_FALSE(o.facesMacro());
    key(Qt::Key_Z, Qt::ControlModifier);
    o.settle();
    CHECK(o.facesMacro());
    key(Qt::Key_Z, Qt::ControlModifier | Qt::ShiftModifier);
    o.settle();
    CHECK_FALSE(o.facesMacro());

    // A finding by its key, kept with a reason.
    key(Qt::Key_F4);
    REQUIRE(o.panel().current());
    for (int k = 0; k < 12 && !o.panel().list().hasFocus(); ++k) key(Qt::Key_F6);
    REQUIRE(o.panel().list().hasFocus());
    QAbstractButton* stands = buttonIn(o.panel(), "Stands, because");
    for (int k = 0; k < 10 && !stands->hasFocus(); ++k) key(Qt::Key_Tab);
    REQUIRE(stands->hasFocus());
    key(Qt::Key_Space);
    type("agreed with the harbour");
    key(Qt::Key_Tab);
    type("A. Planner");
    key(Qt::Key_Return);
    o.settle();
    CHECK(o.kept() == 1);

    // The pack: its own line for the folder, its own key to write.
    key(Qt::Key_P, Qt::ControlModifier);
    PackPreview* pack = o.window.packPreview();
    REQUIRE(pack);
    REQUIRE(QTest::qWaitForWindowActive(pack, kPatienceMs));
    REQUIRE(QTest::qWaitFor([&] { return pack->current(); }, kPatienceMs));
    bool written = false;
    QObject::connect(pack, &PackPreview::written, pack, [&] { written = true; });
    const QString where = QString::fromStdString((folder / "pack").string());
    key(Qt::Key_F, Qt::AltModifier);
    key(Qt::Key_A, Qt::ControlModifier);
    type(where);
    CHECK(pack->folder() == where);
    key(Qt::Key_W, Qt::AltModifier);
    REQUIRE(QTest::qWaitFor([&] { return written; }, kPatienceMs));
    readPack(o, where, "agreed with the harbour");
    key(Qt::Key_Escape);
    CHECK(QTest::qWaitFor([&] { return !pack->isVisible(); }, kPatienceMs));
    CHECK(hands.presses == 0);
}

TEST_CASE("The whole job by the pointer alone, but for the reason", "[window][whole][slow]") {
    const testing::TestFolder folder;
    OpenedWindow o;
    const std::filesystem::path file = folder / "quay.plan.gpkg";
    saveOrThrow(o.plan.loaded.plan, file);
    QSettings().setValue("plans/recent", QStringList{QString::fromStdString(file.string())});
    QSettings().setValue("you/name", "A. Planner");
    o.window.startPage()->showRecent();
    QTest::qWait(20);
    const HandCount hands;

    click(*buttonIn(*o.window.startPage(), "quay.plan.gpkg"));
    REQUIRE(QTest::qWaitFor([&] { return o.space().document.isOpen(); }, kPatienceMs));
    o.settle();
    click(o.map(), o.onMount());
    REQUIRE(o.space().selection.primary() == o.mount());
    const QPoint east = o.onStrip(90), west = o.onStrip(268), away = o.onStrip(37);
    press(o.strip(), east);
    for (int k = 1; k <= 5; ++k) moveTo(o.strip(), east + (west - east) * k / 5);
    CHECK(o.facesMacro());
    release(o.strip(), west);
    o.settle();
    CHECK(o.facesMacro());
    press(o.strip(), west);
    for (int k = 1; k <= 5; ++k) moveTo(o.strip(), west + (away - west) * k / 5);
    CHECK_FALSE(o.facesMacro());
    release(o.strip(), away);
    o.settle();
    CHECK(o.steps() == 2);
    chooseInMenu(o.window, "Edit", "undo");
    o.settle();
    CHECK(o.facesMacro());
    chooseInMenu(o.window, "Edit", "redo");
    o.settle();
    CHECK_FALSE(o.facesMacro());

    const int row = rowToKeep(o);
    QListView& list = o.panel().list();
    click(*list.viewport(), list.visualRect(list.model()->index(row, 0)).center());
    click(*buttonIn(o.panel(), "Stands, because"));
    CHECK(hands.keys == 0);
    type("agreed with the harbour");
    const int typed = hands.keys;
    click(*buttonIn(o.panel(), "Keep"));
    o.settle();
    CHECK(o.kept() == 1);

    click(*o.window.stages()->button(static_cast<int>(Stage::pack)));
    click(*buttonIn(*o.window.centralWidget(), "Site plan pack"));
    PackPreview* pack = o.window.packPreview();
    REQUIRE(pack);
    REQUIRE(QTest::qWaitFor([&] { return pack->current(); }, kPatienceMs));
    bool written = false;
    QObject::connect(pack, &PackPreview::written, pack, [&] { written = true; });
    const QString where = pack->folder();
    CHECK(where.startsWith(QString::fromStdString(folder.path().string()))); // beside the plan
    click(*buttonIn(*pack, "Write pack"));
    REQUIRE(QTest::qWaitFor([&] { return written; }, kPatienceMs));
    readPack(o, where, "agreed with the harbour");
    CHECK(hands.keys == typed);
}
