// SPDX-License-Identifier: GPL-3.0-or-later
// Nothing lost, as the window sees to it: journal, lock, backup, and work that comes back after a crash.
#include "store/folder.h"
#include "store/other_program.h"
#include "window_hand.h"

#include "dialogs/lost_work_dialog.h"
#include "dialogs/wait_aside.h"
#include "store/recovery.h"

#include <QLabel>
#include <QMessageBox>
#include <QPushButton>
#include <QTimer>

#include <chrono>
#include <thread>

using namespace fw;
using namespace fwtest;

namespace {

namespace fs = std::filesystem;

// All of it waits for a disk that others may use, too.

struct KeptWindow : OpenedWindow {
    testing::TestFolder folder;
    fs::path file = folder / "quay.plan.gpkg";

    KeptWindow() {
        for (const LostWork& work : findLostWork(stateFolder())) REQUIRE(forget(work).ok());
        REQUIRE(savePlan(plan.loaded.plan, file).ok());
    }
    void open() {
        window.openPlanFile(QString::fromStdString(file.string()));
        REQUIRE(QTest::qWaitFor([&] { return space().document.isOpen() && !space().jobs.runs("open"); },
                                kPatienceMs));
        settle();
    }
    void turn(double deg) {
        Radio r = *now().radios.find(chain(now()).radio);
        r.azimuth = TrueAzimuth::of(deg);
        REQUIRE(space().document.perform({"Turn the radio", {Put{r}}}).ok());
    }
    [[nodiscard]] Plan inFile() const { return openPlan(file)->plan; }
    /// Files that the window keeps for the event of a crash.
    static int journals() {
        int n = 0;
        std::error_code none;
        for (const auto& entry : fs::directory_iterator(stateFolder(), none))
            n += entry.path().extension() == ".journal";
        return n;
    }
    /// Journals are written and taken away on a thread of their own.
    static bool journalsBecome(int n) {
        return QTest::qWaitFor([n] { return journals() == n; }, kPatienceMs);
    }
    [[nodiscard]] bool isClean() { return space().document.history().isClean(); }
};

/// What a session that was killed left: two edits of a plan that is saved. The plan as it then was.
Plan crashOn(const fs::path& file) {
    OpenPlan opened;
    auto held = PlanFile::open(file, opened);
    REQUIRE(held);
    JournalBase base;
    base.planFile = file;
    base.saveCount = opened.saveCount;
    base.origin = file;
    auto journal = CrashJournal::begin(stateFolder(), opened.plan, base);
    REQUIRE(journal);
    Plan plan = opened.plan;
    for (const double height : {7.5, 8.25}) {
        Mount m = *plan.mounts.begin();
        m.height = {height};
        Edit edit{"Raise the mount", {Put{m}}};
        REQUIRE(apply(plan, edit));
        (*journal)->append(std::move(edit));
    }
    REQUIRE((*journal)->flush().ok());
    return plan;
}

QString wordsIn(const QWidget& where) {
    QStringList all;
    for (const QLabel* l : where.findChildren<QLabel*>())
        if (l->isVisible()) all << l->text();
    return all.join(QLatin1Char('\n'));
}

/// Answers the next box that asks with one of its buttons.
void answerNext(QMessageBox::StandardButton with, bool& asked) {
    auto* timer = new QTimer(qApp);
    QObject::connect(timer, &QTimer::timeout, timer, [timer, with, &asked] {
        auto* box = qobject_cast<QMessageBox*>(QApplication::activeModalWidget());
        if (!box) return;
        asked = true;
        timer->deleteLater();
        box->button(with)->click();
    });
    timer->start(20);
}

} // namespace

TEST_CASE("Edits are in a journal at once, saved ones in the file, and a plan left in order leaves nothing",
          "[keeping]") {
    KeptWindow o;
    {
        o.open();
        CHECK(KeptWindow::journals() == 0); // who only looks leaves no trace
        const std::string asOpened = testing::bytesOf(o.file);
        o.turn(200);
        CHECK(KeptWindow::journalsBecome(1));
        CHECK(testing::bytesOf(o.file) == asOpened);
        const Plan edited = o.now();
        o.window.action("save")->trigger();
        CHECK(o.isClean());
        CHECK(o.inFile() == edited);
        CHECK(openPlan(o.file)->saveCount == 2);
        // The file as it was opened lies beside it.
        CHECK(openPlan(backupPathOf(o.file))->saveCount == 1);
        o.turn(220);
        o.space().document.history().undo();
        CHECK(o.isClean());
        o.space().document.close();
    }
    CHECK(KeptWindow::journalsBecome(0));
    CHECK_FALSE(fs::exists(o.folder / ".quay.plan.gpkg.lock"));
    CHECK(findLostWork(stateFolder()).empty());
}

TEST_CASE("What a crash left is offered first, comes back exactly, and is gone once it is saved",
          "[keeping]") {
    KeptWindow o;
    const Plan lost = crashOn(o.file);
    MainWindow window(windowData());
    window.resize(1200, 800);
    window.show();
    window.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&window, kPatienceMs));
    StartPage& start = *window.startPage();
    REQUIRE(QTest::qWaitFor([&] { return start.lostWork()->isVisible(); }, kPatienceMs));
    QTest::qWait(20);
    CHECK(wordsIn(start).contains("2 edits that were not saved"));
    CHECK(wordsIn(start).contains("Raise the mount; Raise the mount"));
    CHECK(wordsIn(start).contains("quay.plan.gpkg"));
    click(*buttonIn(start, "Bring it back"));
    PlanDocument& doc = window.space().document;
    REQUIRE(QTest::qWaitFor([&] { return doc.isOpen() && window.notice()->isVisible(); }, kPatienceMs));
    CHECK(doc.plan() == lost);
    CHECK(doc.plan().lastId == lost.lastId);
    CHECK(window.isWindowModified());
    CHECK(window.notice()->text().contains("2 edits came back"));
    // Until it is saved it is in a journal, now of this session, and another start would not offer it.
    CHECK(KeptWindow::journalsBecome(1));
    CHECK(findLostWork(stateFolder()).empty());
    CHECK_FALSE(o.inFile() == lost);
    window.action("save")->trigger();
    CHECK_FALSE(window.isWindowModified());
    CHECK(o.inFile() == lost);
    REQUIRE(allQuiet(window.space()));
    doc.close();
    CHECK(KeptWindow::journalsBecome(0));
}

TEST_CASE("Lost work that is put off is kept and can be found; thrown away only after a question",
          "[keeping]") {
    KeptWindow o;
    crashOn(o.file);
    MainWindow window(windowData());
    window.resize(1200, 800);
    window.show();
    window.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&window, kPatienceMs));
    StartPage& start = *window.startPage();
    REQUIRE(QTest::qWaitFor([&] { return start.lostWork()->isVisible(); }, kPatienceMs));
    QTest::qWait(20);
    click(*buttonIn(start, "Not now"));
    CHECK(QTest::qWaitFor([&] { return !start.lostWork()->isVisible(); }, kPatienceMs));
    CHECK(KeptWindow::journalsBecome(1));
    window.action("lostWork")->trigger();
    auto* dialog = window.findChild<LostWorkDialog*>();
    REQUIRE(dialog);
    REQUIRE(QTest::qWaitFor([&] { return dialog->isVisible() && !dialog->list()->isEmpty(); }, kPatienceMs));
    CHECK(wordsIn(*dialog).contains("kept for 30 days"));
    bool asked = false;
    answerNext(QMessageBox::Cancel, asked);
    buttonIn(*dialog, "Throw away")->click();
    CHECK(asked);
    CHECK(KeptWindow::journalsBecome(1));
    asked = false;
    answerNext(QMessageBox::Discard, asked);
    buttonIn(*dialog, "Throw away")->click();
    CHECK(asked);
    CHECK(QTest::qWaitFor([&] { return dialog->list()->isEmpty(); }, kPatienceMs));
    CHECK(KeptWindow::journalsBecome(0));
}

TEST_CASE("Who opens the plan of a session that crashed is told of what was lost", "[keeping]") {
    KeptWindow o;
    const Plan lost = crashOn(o.file);
    MainWindow window(windowData());
    window.resize(1200, 800);
    window.show();
    window.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&window, kPatienceMs));
    REQUIRE(QTest::qWaitFor([&] { return window.startPage()->lostWork()->isVisible(); }, kPatienceMs));
    window.openPlanFile(QString::fromStdString(o.file.string()));
    REQUIRE(QTest::qWaitFor([&] { return window.notice()->isVisible(); }, kPatienceMs));
    CHECK(window.notice()->text().contains("2 edits that were not saved"));
    REQUIRE(allQuiet(window.space()));
    click(*buttonIn(*window.notice(), "See it"));
    auto* dialog = window.findChild<LostWorkDialog*>();
    REQUIRE(dialog);
    REQUIRE(QTest::qWaitFor([&] { return dialog->isVisible() && !dialog->list()->isEmpty(); }, kPatienceMs));
    buttonIn(*dialog, "Bring it back")->click();
    REQUIRE(QTest::qWaitFor([&] { return window.isWindowModified(); }, kPatienceMs));
    CHECK(window.space().document.plan() == lost);
    CHECK(window.space().document.path() == o.file);
    REQUIRE(allQuiet(window.space()));
}

TEST_CASE("A plan that another session has is shown for reading, or worked on as a copy", "[keeping]") {
    KeptWindow o;
    auto taken = SessionLock::take(o.file);
    REQUIRE(taken);
    const auto other = std::make_unique<SessionLock>(std::move(std::get<SessionLock>(*taken)));
    o.open();
    CHECK(o.space().document.readOnly());
    CHECK(o.window.windowTitle().contains("reading only"));
    CHECK(o.window.notice()->text().contains("has this plan open in another window since"));
    const Plan before = o.now();
    Mount m = *before.mounts.begin();
    m.height = {8};
    const Edit raise{"Raise", {Put{m}}};
    CHECK_FALSE(o.space().document.perform(raise).ok());
    o.window.openPlanFile(QString::fromStdString(o.file.string()));
    REQUIRE(QTest::qWaitFor([&] { return !o.space().jobs.runs("open"); }, kPatienceMs));
    REQUIRE(QTest::qWaitFor([&] { return o.window.notice()->isVisible(); }, kPatienceMs));
    click(*buttonIn(*o.window.notice(), "Work on a copy"));
    CHECK_FALSE(o.space().document.readOnly());
    CHECK(o.space().document.path().empty()); // saving asks for a name
    CHECK(o.space().document.perform(raise).ok());
    CHECK(o.inFile() == before);
    // Nor is it written over by a save under its name.
    const Status over = o.space().document.saveAs(o.file);
    REQUIRE_FALSE(over.ok());
    CHECK(over.error().sentence().find("open in") != std::string::npos);
    REQUIRE(o.space().document.saveAs(o.folder / "mine.plan.gpkg").ok());
    CHECK(openPlan(o.folder / "mine.plan.gpkg")->plan == o.now());
    CHECK(o.inFile() == before);
    o.settle();
}

TEST_CASE("The window opens its own plan once more, and keeps the right to write it", "[keeping]") {
    KeptWindow o;
    o.open();
    o.open();
    CHECK_FALSE(o.space().document.readOnly());
    o.turn(130);
    o.window.action("save")->trigger();
    CHECK(o.inFile() == o.now());
    CHECK(o.isClean());
    o.settle();
}

TEST_CASE("A save that is refused says why, and the work stays in the journal", "[keeping]") {
    KeptWindow o;
    o.open();
    o.turn(130);
    testing::OtherProgram(o.file).run("UPDATE mounts SET owner='the other one'");
    o.window.action("save")->trigger();
    CHECK_FALSE(o.isClean());
    CHECK(o.window.notice()->text().contains("Another program has changed"));
    CHECK(KeptWindow::journalsBecome(1));
    const Plan edited = o.now();
    REQUIRE(o.space().document.saveAs(o.folder / "mine.plan.gpkg").ok());
    CHECK(o.isClean());
    CHECK(openPlan(o.folder / "mine.plan.gpkg")->plan == edited);
    CHECK(KeptWindow::journalsBecome(0));
    o.settle();
}

TEST_CASE("While a plan is written edits wait, and so does a second save", "[keeping]") {
    KeptWindow o;
    o.open();
    o.turn(130);
    const Plan edited = o.now();
    PlanDocument& document = o.space().document;
    int written = 0;
    document.setWriter([&](const PlanKeeping::Writing& work) {
        ++written;
        Mount m = *o.now().mounts.begin();
        m.height = {8};
        const Status edit = document.perform({"Raise", {Put{m}}});
        REQUIRE_FALSE(edit.ok());
        CHECK(edit.error().sentence().find("is being saved") != std::string::npos);
        const Status again = document.save();
        REQUIRE_FALSE(again.ok());
        CHECK(again.error().sentence().find("being saved already") != std::string::npos);
        return work({});
    });
    REQUIRE(document.save().ok());
    CHECK(written == 1);
    CHECK(o.now() == edited);
    CHECK(o.inFile() == edited);
    CHECK(o.isClean());
    o.turn(140); // and now again
    o.settle();
}

TEST_CASE("A save under another name that is stopped changes nothing", "[keeping]") {
    KeptWindow o;
    o.open();
    o.turn(130);
    PlanDocument& document = o.space().document;
    std::stop_source stop;
    stop.request_stop();
    document.setWriter([&](const PlanKeeping::Writing& work) { return work(stop.get_token()); });
    const fs::path other = o.folder / "other.plan.gpkg";
    const Status done = document.saveAs(other);
    REQUIRE_FALSE(done.ok());
    CHECK(done.error().code == ErrorCode::cancelled);
    CHECK_FALSE(fs::exists(other));
    CHECK_FALSE(fs::exists(fs::path(other) += ".part"));
    CHECK(document.path() == o.file);
    CHECK_FALSE(o.isClean());
    document.setWriter({});
    REQUIRE(document.saveAs(other).ok());
    CHECK(openPlan(other)->plan == o.now());
    o.settle();
}

TEST_CASE("A plan that comes in while another is written does not get that one's file", "[keeping]") {
    KeptWindow o;
    o.open();
    o.turn(130);
    PlanDocument& document = o.space().document;
    const Plan edited = o.now();
    const fs::path other = o.folder / "other.plan.gpkg";
    document.setWriter([&](const PlanKeeping::Writing& work) {
        REQUIRE(document.adopt(windowPlan().loaded).ok());
        return work({});
    });
    CHECK(document.saveAs(other).ok());
    CHECK(openPlan(other)->plan == edited);
    CHECK(document.path().empty());
    document.setWriter({});
    o.settle();
}

TEST_CASE("What lasts is waited for in a window that stops it; what is quick shows none", "[keeping]") {
    OpenedWindow o;
    const auto shown = [] {
        QDialog* found = nullptr;
        for (QWidget* w : QApplication::topLevelWidgets())
            if (w->objectName() == QLatin1String("wait") && w->isVisible()) found = qobject_cast<QDialog*>(w);
        return found;
    };
    bool seen = false;
    QTimer look;
    QObject::connect(&look, &QTimer::timeout, [&] {
        QDialog* d = shown();
        if (!d || seen) return;
        seen = true;
        d->close(); // neither the frame's button nor Escape leaves it: both stop the work
        CHECK(d->isVisible());
        CHECK_FALSE(d->findChild<QPushButton*>()->isEnabled());
    });
    look.start(20);
    std::thread::id there;
    const Status quick = waitAside(&o.window, "Quick", [&](const std::stop_token&) -> Status {
        there = std::this_thread::get_id();
        return Done{};
    });
    CHECK(quick.ok());
    CHECK(there != std::this_thread::get_id());
    CHECK_FALSE(seen);
    const Status stopped = waitAside(&o.window, "Long", [](const std::stop_token& stop) -> Status {
        while (!stop.stop_requested()) std::this_thread::sleep_for(std::chrono::milliseconds(5));
        return Error{ErrorCode::cancelled, "stopped", ""};
    });
    CHECK(seen);
    REQUIRE_FALSE(stopped.ok());
    CHECK(stopped.error().code == ErrorCode::cancelled);
    CHECK_FALSE(shown());
}

TEST_CASE("A plan without a file comes back, too", "[keeping]") {
    KeptWindow o;
    Plan lost;
    {
        const Plan fresh = windowPlan().loaded.plan;
        auto journal = CrashJournal::begin(stateFolder(), fresh, {{}, 0, {}, false, {}});
        REQUIRE(journal);
        lost = fresh;
        Mount m = *lost.mounts.begin();
        m.name = "Never saved";
        Edit edit{"Name the mount", {Put{m}}};
        REQUIRE(apply(lost, edit));
        (*journal)->append(std::move(edit));
        REQUIRE((*journal)->flush().ok());
    }
    MainWindow window(windowData());
    window.resize(1200, 800);
    window.show();
    window.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&window, kPatienceMs));
    REQUIRE(QTest::qWaitFor([&] { return window.startPage()->lostWork()->isVisible(); }, kPatienceMs));
    QTest::qWait(20);
    CHECK(wordsIn(*window.startPage()).contains("a plan without a file of its own"));
    click(*buttonIn(*window.startPage(), "Bring it back"));
    REQUIRE(QTest::qWaitFor([&] { return window.isWindowModified(); }, kPatienceMs));
    CHECK(window.space().document.plan() == lost);
    CHECK(window.space().document.path().empty());
    CHECK(KeptWindow::journalsBecome(1));
    REQUIRE(window.space().document.saveAs(o.folder / "named.plan.gpkg").ok());
    CHECK(openPlan(o.folder / "named.plan.gpkg")->plan == lost);
    CHECK(KeptWindow::journalsBecome(0));
    REQUIRE(allQuiet(window.space()));
}

TEST_CASE("What kept a plan from being saved is no longer said once it is saved", "[keeping]") {
    KeptWindow o;
    o.open();
    o.turn(130);
    {
        testing::OtherProgram other(o.file);
        other.run("BEGIN IMMEDIATE");
        o.window.action("save")->trigger();
        CHECK_FALSE(o.isClean());
        CHECK(o.window.notice()->text().contains("using the file just now"));
        other.run("ROLLBACK");
    }
    o.window.action("save")->trigger();
    CHECK(o.isClean());
    CHECK_FALSE(o.window.notice()->isVisible());
    CHECK(o.inFile() == o.now());
    o.settle();
}

TEST_CASE("A backup that cannot be made is told of, and the plan is saved all the same", "[keeping]") {
    KeptWindow o;
    fs::create_directories(backupPathOf(o.file) / "taken"); // a folder stands where it would go
    o.open();
    o.turn(130);
    o.window.action("save")->trigger();
    CHECK(o.isClean());
    CHECK(o.inFile() == o.now());
    CHECK(o.window.notice()->text().contains("could not be kept beside the plan"));
    o.settle();
}
