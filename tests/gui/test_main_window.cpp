// SPDX-License-Identifier: GPL-3.0-or-later
// The window as a whole: how it opens, what it refuses and says, its keys and names, what it remembers.
#include "base/sanitized.h"
#include "catch.h"
#include "drop_files.h"
#include "store/folder.h"
#include "support/random_plan.h"
#include "window_hand.h"

#include "bench/stage_table.h"
#include "canvas/shown_card.h"
#include "dialogs/dialog_parts.h"
#include "store/plan_file.h"

#include <QAccessible>
#include <QDialog>
#include <QElapsedTimer>
#include <QLabel>
#include <QLineEdit>
#include <QMimeData>
#include <QPushButton>
#include <QScreen>
#include <QSettings>
#include <QSplitter>
#include <QTableView>
#include <QTimer>

#include <map>
#include <set>

using namespace fw;
using namespace fwtest;

namespace {

QString pathIn(const testing::TestFolder& folder, const char* name) {
    return QString::fromStdString((folder / name).string());
}

QString savedPlan(const testing::TestFolder& folder, const char* name) {
    REQUIRE(savePlan(windowPlan().loaded.plan, folder / name));
    return pathIn(folder, name);
}

/// What a page says, over all its visible words.
QString wordsOf(const QWidget& where) {
    QStringList all;
    for (const QLabel* l : where.findChildren<QLabel*>())
        if (l->isVisible()) all << l->text();
    return all.join(QLatin1Char('\n'));
}

/// The box that something opens, left by Esc. Its class, or "none".
std::string boxThatAsks(const std::function<void()>& trigger) {
    std::string seen = "none";
    QTimer look;
    look.setInterval(20);
    QObject::connect(&look, &QTimer::timeout, &look, [&] {
        for (QWidget* box : QApplication::topLevelWidgets()) {
            if (!box->isVisible() || !qobject_cast<QDialog*>(box)) continue;
            seen = box->metaObject()->className();
            QTest::keyClick(box, Qt::Key_Escape);
        }
    });
    look.start();
    trigger(); // comes back when the box is left, or at once
    (void)QTest::qWaitFor([&] { return seen != "none"; }, kPatienceMs);
    return seen;
}

QChar mnemonicOf(const QString& text) {
    for (qsizetype k = 0; k + 1 < text.size(); ++k)
        if (text[k] == QLatin1Char('&') && text[k + 1] != QLatin1Char('&')) return text[k + 1].toLower();
    return {};
}

void checkMnemonics(const QList<QAction*>& actions, const QString& where) {
    std::map<QChar, QString> taken;
    for (const QAction* a : actions) {
        if (a->isSeparator()) continue;
        INFO(where.toStdString() << ": " << a->text().toStdString());
        CHECK_FALSE(a->text().remove(QLatin1Char('&')).trimmed().isEmpty());
        const QChar c = mnemonicOf(a->text());
        if (!c.isNull()) {
            CHECK_THAT((taken.count(c) ? taken[c] : QString()).toStdString(), Catch::Matchers::Equals(""));
            taken[c] = a->text();
        }
        if (a->menu()) checkMnemonics(a->menu()->actions(), where + QLatin1Char('/') + a->text());
    }
}

/// What a screen reader would be told of the visible parts that take the focus.
void checkNames(QWidget& window) {
    for (QWidget* w : window.findChildren<QWidget*>()) {
        if (!w->isVisible() || w->focusPolicy() == Qt::NoFocus || w->focusProxy()) continue;
        if (w->inherits("QScrollBar") || w->inherits("QMenuBar") || w->inherits("QLabel")) continue;
        if (QString::fromLatin1(w->metaObject()->className()).startsWith(QLatin1String("QTableCorner")))
            continue;
        if (w->objectName().startsWith(QLatin1String("qt_"))) continue; // parts of Qt's own composites
        QAccessibleInterface* told = QAccessible::queryAccessibleInterface(w);
        INFO(w->metaObject()->className() << " " << w->objectName().toStdString() << " in "
                                          << w->parentWidget()->metaObject()->className());
        REQUIRE(told);
        CHECK_FALSE(told->text(QAccessible::Name).trimmed().isEmpty());
    }
}

} // namespace

TEST_CASE("The start page opens the sample as a copy, plans of late, and asks for others", "[window]") {
    const testing::TestFolder folder;
    needGuiApp();
    QSettings().clear();
    savedPlan(folder, "sample.plan.gpkg");
    const QString late = savedPlan(folder, "late.plan.gpkg");
    const QString gone = pathIn(folder, "gone.plan.gpkg");
    QSettings().setValue("plans/recent", QStringList{late, gone});
    WindowData data = windowData();
    data.sample = folder / "sample.plan.gpkg";
    MainWindow window(std::move(data));
    window.resize(1200, 800);
    window.show();
    window.activateWindow();
    REQUIRE(QTest::qWaitForWindowActive(&window, kPatienceMs));
    QTest::qWait(20);
    StartPage& start = *window.startPage();
    REQUIRE(start.isVisible());
    CHECK_FALSE(buttonIn(start, "gone.plan.gpkg")->isEnabled());

    CHECK(boxThatAsks([&] { click(*buttonIn(start, "New empty plan")); }) == "fw::NewPlanDialog");
    CHECK(boxThatAsks([&] { click(*buttonIn(start, "Open a plan")); }) == "QFileDialog");
    CHECK(start.isVisible());

    click(*start.sampleButton());
    REQUIRE(QTest::qWaitFor([&] { return window.space().document.isOpen(); }, kPatienceMs));
    CHECK_FALSE(start.isVisible());
    CHECK(window.space().document.path().empty()); // saving asks for a name
    REQUIRE(allQuiet(window.space()));
    window.action("closePlan")->trigger();
    CHECK(QTest::qWaitFor([&] { return start.isVisible(); }, kPatienceMs));
    QTest::qWait(20); // the list is laid out
    click(*buttonIn(start, "late.plan.gpkg"));
    REQUIRE(QTest::qWaitFor([&] { return window.space().document.isOpen(); }, kPatienceMs));
    CHECK(window.space().document.path() == folder / "late.plan.gpkg");
    REQUIRE(allQuiet(window.space()));
}

TEST_CASE("A damaged file is refused by a sentence where one looks, and nothing else changes", "[window]") {
    const testing::TestFolder folder;
    OpenedWindow o;
    testing::writeBytes(folder / "torn.plan.gpkg", std::string(4000, 'x'));
    const QString torn = pathIn(folder, "torn.plan.gpkg");
    o.window.openPlanFile(torn);
    CHECK(QTest::qWaitFor([&] { return wordsOf(*o.window.startPage()).contains("torn.plan.gpkg"); },
                          kPatienceMs));
    CHECK(o.window.startPage()->isVisible());
    o.adopt();
    const Plan before = o.now();
    o.window.openPlanFile(torn);
    CHECK(QTest::qWaitFor([&] { return o.window.notice()->text().contains("torn.plan.gpkg"); }, kPatienceMs));
    CHECK(o.window.notice()->isVisible());
    CHECK(o.now() == before);
    CHECK_FALSE(QApplication::activeModalWidget());
}

TEST_CASE("A plan can be dropped; a folder, a file that says nothing or two plans get a sentence",
          "[window]") {
    const testing::TestFolder folder;
    OpenedWindow o;
    const QString one = savedPlan(folder, "one.plan.gpkg"), two = savedPlan(folder, "two.plan.gpkg");
    testing::writeBytes(folder / "notes.txt", "some words");
    std::filesystem::create_directory(folder / "town");
    const auto says = [&](const QStringList& files, const char* word) {
        drop(o.window, files);
        INFO(word);
        // Files are looked at on a worker.
        CHECK(QTest::qWaitFor(
            [&] {
                const QString said =
                    o.space().document.isOpen() ? o.window.notice()->text() : wordsOf(*o.window.startPage());
                return said.contains(QLatin1String(word));
            },
            5000));
    };
    for (const bool open : {false, true}) {
        if (open) {
            drop(o.window, {one});
            REQUIRE(QTest::qWaitFor([&] { return o.space().document.isOpen(); }, kPatienceMs));
            CHECK(o.space().document.path() == folder / "one.plan.gpkg");
            REQUIRE(allQuiet(o.space()));
        }
        says({pathIn(folder, "town")}, "is a folder");
        if (!open) says({pathIn(folder, "notes.txt")}, "says where it lies");
        says({one, two}, "one plan by itself");
        CHECK(o.space().document.isOpen() == open);
    }
    CHECK(o.space().document.path() == folder / "one.plan.gpkg");
    // Text from elsewhere is not taken at all.
    QMimeData text;
    text.setText("words");
    QDragEnterEvent enter({40, 40}, Qt::CopyAction, &text, Qt::LeftButton, {});
    enter.ignore();
    QCoreApplication::sendEvent(&o.window, &enter);
    CHECK_FALSE(enter.isAccepted());
}

TEST_CASE("A window that has no place yet opens within its screen", "[window]") {
    needGuiApp();
    QSettings().clear();
    const MainWindow window(windowData());
    const QSize screen = window.screen()->availableSize();
    CHECK(window.width() <= screen.width());
    CHECK(window.height() <= screen.height());
    QWidget wide;
    openAtSize(wide, {screen.width() * 2, 100});
    CHECK(wide.size() == QSize(screen.width() * 9 / 10, 100));
    openAtSize(wide, {120, screen.height() + 1});
    CHECK(wide.size() == QSize(120, screen.height() * 9 / 10));
}

TEST_CASE("The next window lies as the last one did", "[window]") {
    QByteArray bench;
    QSize size;
    QList<int> sizes;
    {
        OpenedWindow o;
        o.adopt();
        o.window.resize(1310, 820);
        click(*o.window.stages()->button(static_cast<int>(Stage::works)));
        auto* work = qobject_cast<QSplitter*>(o.window.bench()->parentWidget());
        REQUIRE(work);
        QTest::qWait(30);
        work->setSizes({work->height() - 260, 260});
        auto* row = o.window.bench()->findChild<QSplitter*>();
        row->setSizes({260, 420, 300, 330});
        o.space().shown.setOn(MapLayer::trees, false);
        QTest::qWait(30);
        size = o.window.size();
        bench = o.window.bench()->state();
        sizes = work->sizes();
        REQUIRE(o.window.close());
    }
    MainWindow again(windowData());
    again.show();
    REQUIRE(QTest::qWaitForWindowExposed(&again, kPatienceMs));
    const WindowPlan plan = windowPlan();
    REQUIRE(again.space().document.adopt(plan.loaded));
    QTest::qWait(30);
    CHECK(again.size() == size);
    CHECK(again.stages()->current() == static_cast<int>(Stage::works));
    CHECK(again.bench()->state() == bench);
    CHECK(qobject_cast<QSplitter*>(again.bench()->parentWidget())->sizes() == sizes);
    CHECK_FALSE(again.space().shown.on(MapLayer::trees));
    CHECK(again.space().shown.on(MapLayer::smallCells));
    REQUIRE(allQuiet(again.space()));
    QSettings().clear();
}

TEST_CASE("F6 goes through every part of the window and comes back, and Shift+F6 the other way", "[window]") {
    OpenedWindow o;
    o.adopt();
    o.space().selection.setOne(o.mount());
    o.map().setFocus();
    const auto round = [&](Qt::KeyboardModifiers with) {
        std::vector<QWidget*> seen;
        for (int k = 0; k < 30; ++k) {
            key(Qt::Key_F6, with);
            QWidget* now = QApplication::focusWidget();
            REQUIRE(now);
            if (!seen.empty() && now == seen.front()) return seen;
            seen.push_back(now);
        }
        return seen;
    };
    const std::vector<QWidget*> there = round({});
    std::vector<QWidget*> back = round(Qt::ShiftModifier);
    CHECK(there.size() == std::set<QWidget*>(there.begin(), there.end()).size());
    CHECK(std::set<QWidget*>(there.begin(), there.end()) == std::set<QWidget*>(back.begin(), back.end()));
    const Bench& bench = *o.window.bench();
    for (const QWidget* part :
         {static_cast<const QWidget*>(o.window.stages()), static_cast<const QWidget*>(o.window.map()),
          static_cast<const QWidget*>(o.window.findChild<ShownCard*>()),
          static_cast<const QWidget*>(o.window.findChild<QWidget*>("tools")),
          reinterpret_cast<const QWidget*>(o.window.table(Stage::load)),
          reinterpret_cast<const QWidget*>(bench.facts()), reinterpret_cast<const QWidget*>(bench.fit()),
          static_cast<const QWidget*>(bench.skyline()), reinterpret_cast<const QWidget*>(bench.ledger()),
          static_cast<const QWidget*>(bench.findings())}) {
        INFO(part->metaObject()->className());
        CHECK(std::any_of(there.begin(), there.end(),
                          [&](const QWidget* w) { return w == part || part->isAncestorOf(w); }));
    }
}

TEST_CASE("Every action has words, its keys are its own, and mnemonics do not clash", "[window]") {
    OpenedWindow o;
    o.adopt();
    std::map<QString, QString> owner;
    for (const QAction* a : o.window.actions()) {
        INFO(a->objectName().toStdString());
        CHECK_FALSE(a->objectName().isEmpty());
        CHECK_FALSE(a->text().isEmpty());
        for (const QKeySequence& sequence : a->shortcuts()) {
            const QString k = sequence.toString();
            INFO("key " << k.toStdString());
            CHECK_THAT((owner.count(k) ? owner[k] : QString()).toStdString(), Catch::Matchers::Equals(""));
            owner[k] = a->objectName();
        }
    }
    CHECK(owner.size() > 30);
    checkMnemonics(o.window.menuBar()->actions(), "bar");
    // Buttons of the start page live beside the bar.
    QList<QAction*> beside = o.window.menuBar()->actions();
    QObject keeper;
    for (const QAbstractButton* b : o.window.startPage()->findChildren<QAbstractButton*>())
        if (!mnemonicOf(b->text()).isNull()) beside << new QAction(b->text(), &keeper);
    CHECK(beside.size() > o.window.menuBar()->actions().size());
    checkMnemonics(beside, "start");
    // A mnemonic of the bar is Alt with a letter: the stages' keys must not meet it.
    for (const QAction* a : o.window.menuBar()->actions()) {
        const QString alt = QStringLiteral("Alt+") + mnemonicOf(a->text()).toUpper();
        CHECK_THAT((owner.count(alt) ? owner[alt] : QString()).toStdString(), Catch::Matchers::Equals(""));
    }
}

TEST_CASE("A stage's key leads to its table, and folds it only from inside", "[window]") {
    OpenedWindow o;
    o.adopt();
    o.settle();
    const int works = static_cast<int>(Stage::works);
    key(Qt::Key_4, Qt::AltModifier);
    REQUIRE(o.window.stages()->current() == works);
    o.window.map()->setFocus();
    key(Qt::Key_4, Qt::AltModifier);
    CHECK(o.window.stages()->current() == works);
    const QWidget* focus = QApplication::focusWidget();
    REQUIRE(focus);
    CHECK(o.window.table(Stage::works)->isAncestorOf(focus));
    key(Qt::Key_4, Qt::AltModifier);
    CHECK(o.window.stages()->current() == -1);
}

TEST_CASE("Every part that takes the focus has a name to be told by", "[window]") {
    OpenedWindow o;
    checkNames(o.window);
    o.adopt();
    o.space().selection.setOne(o.mount());
    o.settle();
    for (int k = 0; k < 6; ++k) {
        click(*o.window.stages()->button(k == 0 ? 1 : k));
        checkNames(o.window);
    }
}

TEST_CASE("A plan open for reading only refuses with a sentence", "[window]") {
    OpenedWindow o;
    o.plan.loaded.readOnly = true;
    o.adopt();
    const Plan before = o.now();
    o.space().selection.setOne(o.mount());
    o.strip().setFocus();
    key(Qt::Key_Right);
    CHECK(o.window.notice()->isVisible());
    CHECK(o.window.notice()->text().contains("reading only"));
    click(*buttonIn(*o.window.notice(), QString(QChar(0xd7))));
    CHECK_FALSE(o.window.notice()->isVisible());
    o.map().setFocus();
    key(Qt::Key_BracketRight);
    CHECK(o.window.notice()->text().contains("reading only"));
    const QPoint at = o.onMount();
    press(o.map(), at);
    for (int k = 1; k < 5; ++k) moveTo(o.map(), at + QPoint(6 * k, 0));
    CHECK_FALSE(o.space().drag.active());
    CHECK(wordsOf(o.window).contains("reading only"));
    release(o.map(), at + QPoint(24, 0));
    CHECK(o.now() == before);
    CHECK(o.steps() == 0);
}

TEST_CASE("The fringe of a full cell becomes an area by two keys and one step", "[window]") {
    OpenedWindow o;
    o.adopt();
    o.space().selection.setOne(o.plan.cell);
    REQUIRE_FALSE(o.panel().current());
    key(Qt::Key_F3); // nothing to propose
    CHECK_FALSE(o.window.action("propose")->isChecked());
    key(Qt::Key_F, Qt::ControlModifier);
    REQUIRE(QTest::qWaitFor([&] { return !o.space().fringes.maps().empty(); }, kPatienceMs));
    CHECK(o.steps() == 0);
    const std::size_t before = o.now().congestionAreas.size();
    key(Qt::Key_F, Qt::ControlModifier | Qt::ShiftModifier);
    REQUIRE(o.now().congestionAreas.size() > before);
    CHECK(o.steps() == 1);
    key(Qt::Key_Z, Qt::ControlModifier);
    CHECK(o.now().congestionAreas.size() == before);
    o.settle();
}

TEST_CASE("Stop answers at once; the figures before stay in view and are marked stale", "[window][slow]") {
    OpenedWindow o;
    Random random(11);
    testing::RandomPlanSpec spec;
    spec.sites = 9;
    spec.areaM = 2000;
    spec.macroReachM = 3000;
    o.plan.loaded.plan = testing::randomPlan(random, spec);
    REQUIRE(o.space().document.adopt(o.plan.loaded));
    REQUIRE(allQuiet(o.space(), 120000));
    const auto shown = o.space().live.study();
    Edit all{"Move all sites", {}};
    for (MacroSite s : o.now().macroSites) {
        s.at = s.at + PlanePoint{3, 1};
        all.changes.push_back(Put{s});
    }
    REQUIRE(o.space().document.perform(all));
    QAbstractButton* stop = nullptr;
    for (QAbstractButton* b : o.window.findChildren<QAbstractButton*>())
        if (b->text() == QLatin1String("Stop")) stop = b;
    REQUIRE(stop);
    REQUIRE(QTest::qWaitFor([&] { return stop->isVisible(); }, kPatienceMs));
    QTest::qWait(150);
    REQUIRE(o.space().live.stale()); // still at it
    QElapsedTimer clock;
    clock.start();
    click(*stop);
    REQUIRE(o.space().jobs.waitForDone(kPatienceMs));
    CHECK(clock.elapsed() < kAtOnceMs);
    QTest::qWait(50);
    CHECK(o.space().live.stale());
    CHECK(o.space().live.study() == shown);
    CHECK(wordsOf(o.window).contains("not up to date"));
    key(Qt::Key_F5);
    REQUIRE(allQuiet(o.space(), 120000));
    CHECK_FALSE(o.space().live.study() == shown);
}

TEST_CASE("An owner's answer is put down for all chosen rows of the works by one press and one step",
          "[window]") {
    OpenedWindow o;
    o.adopt();
    o.window.stages()->button(static_cast<int>(Stage::works))->click();
    StageTable& works = *o.window.table(Stage::works);
    REQUIRE(QTest::qWaitFor([&] { return works.view().model()->rowCount() == 2; }, kPatienceMs));
    CHECK_FALSE(buttonIn(works, "Consent given")->isEnabled());
    works.view().selectAll();
    QTest::qWait(20);
    click(*buttonIn(works, "Consent given"));
    for (const ItemId small : {o.plan.small, o.plan.otherSmall})
        CHECK(o.now().mounts.find(chainOf(o.now(), small).mount)->consent == ConsentState::given);
    CHECK(o.steps() == 1);
    CHECK(o.space().document.history().undoText().contains("2 mounts: given"));
    o.settle();
}
