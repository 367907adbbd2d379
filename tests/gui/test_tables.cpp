// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "bench/stage_table.h"
#include "models/stage_tables.h"
#include "plan/validate.h"
#include "support/random_plan.h"
#include "text/figures.h"

#include <QAbstractItemModelTester>
#include <QAction>
#include <QComboBox>
#include <QLineEdit>
#include <QSignalSpy>
#include <QTableView>
#include <QToolButton>

using namespace fw;
using namespace fwtest;

namespace {

// Catches what a model tester has to say.
struct Complaints {
    Complaints() {
        texts().clear();
        m_before =
            qInstallMessageHandler([](QtMsgType, const QMessageLogContext& where, const QString& text) {
                if (where.category && QLatin1String(where.category) == QLatin1String("qt.modeltest"))
                    texts() << text;
            });
    }
    ~Complaints() { qInstallMessageHandler(m_before); }
    static QStringList& texts() {
        static QStringList list;
        return list;
    }
    QtMessageHandler m_before;
};

struct Open {
    Open() {
        needGuiApp();
        plan = windowPlan();
        REQUIRE(space.document.adopt(LoadedPlan(plan.loaded)));
    }
    const Plan& now() const { return space.document.plan(); }
    Chain chain() const { return chainOf(now(), plan.small); }
    Workspace space;
    WindowPlan plan;
};

int columnCalled(const QAbstractItemModel& model, const QString& head) {
    for (int c = 0; c < model.columnCount(); ++c)
        if (model.headerData(c, Qt::Horizontal).toString() == head) return c;
    FAIL("no column " << head.toStdString());
    return -1;
}

QString cellText(const StageTable& table, ItemId row, const QString& head) {
    ItemTable& m = table.items();
    return m.index(m.rowOf(row), columnCalled(m, head)).data().toString();
}

void selectRow(StageTable& table, ItemId row, Qt::KeyboardModifiers keys = Qt::NoModifier) {
    QTableView& view = table.view();
    for (int r = 0; r < view.model()->rowCount(); ++r)
        if (view.model()->index(r, 0).data(ItemTable::IdRole).toUInt() == row.v) {
            const QRect at = view.visualRect(view.model()->index(r, 1));
            QTest::mouseClick(view.viewport(), Qt::LeftButton, keys, at.center());
            return;
        }
    FAIL("no such row");
}

} // namespace

TEST_CASE("Choosing rows chooses items, and choosing items chooses rows", "[tables]") {
    Open open;
    StageTable table(Stage::cells, open.space);
    table.resize(1000, 240);
    table.show();
    REQUIRE(QTest::qWaitForWindowExposed(&table, kPatienceMs));
    selectRow(table, open.plan.small);
    CHECK(open.space.selection.items() == std::vector{open.plan.small});
    selectRow(table, open.plan.otherSmall, Qt::ControlModifier);
    CHECK(open.space.selection.items() == std::vector{open.plan.small, open.plan.otherSmall});
    CHECK(open.space.selection.primary() == open.plan.otherSmall);

    // A mount that is chosen on the map marks what hangs on it, and stays what is chosen.
    QSignalSpy changes(&open.space.selection, &Selection::changed);
    open.space.selection.setOne(open.chain().mount);
    const auto rows = table.view().selectionModel()->selectedRows();
    REQUIRE(rows.size() == 1);
    CHECK(rows[0].data(ItemTable::IdRole).toUInt() == open.plan.small.v);
    CHECK(open.space.selection.items() == std::vector{open.chain().mount});
    CHECK(changes.size() == 1);

    StageTable works(Stage::works, open.space);
    CHECK(works.view().selectionModel()->selectedRows().size() == 1);
    open.space.selection.clear();
    CHECK_FALSE(works.view().selectionModel()->hasSelection());
    CHECK_FALSE(table.view().selectionModel()->hasSelection());
}

TEST_CASE("A value entered in a cell is one step of the history with a name", "[tables]") {
    Open open;
    StageTable table(Stage::cells, open.space);
    table.resize(1400, 240);
    table.show();
    REQUIRE(QTest::qWaitForWindowExposed(&table, kPatienceMs));
    ItemTable& m = table.items();
    const int tilt = columnCalled(m, "Tilt (°)");
    QTableView& view = table.view();
    const auto edit = [&](const QString& text) {
        QModelIndex at;
        for (int r = 0; r < view.model()->rowCount(); ++r)
            if (view.model()->index(r, tilt).data(ItemTable::IdRole).toUInt() == open.plan.small.v)
                at = view.model()->index(r, tilt);
        view.setCurrentIndex(at);
        view.edit(at);
        auto* line = view.viewport()->findChild<QLineEdit*>();
        REQUIRE(line);
        line->selectAll();
        QTest::keyClicks(line, text);
        QTest::keyClick(line, Qt::Key_Return);
        QTest::qWait(1);
    };
    edit("6.5");
    REQUIRE(open.space.document.history().count() == 1);
    const Radio& r = *open.now().radios.find(open.chain().radio);
    CHECK(r.tiltDeg == 6.5);
    CHECK(open.space.document.history().undoText() ==
          QString("Set tilt of %1 to 6.5°").arg(QString::fromStdString(open.now().label(r.id))));
    CHECK(cellText(table, open.plan.small, "Tilt (°)") == "6.5");
    CHECK(table.message().isEmpty());

    edit("95");
    CHECK(open.space.document.history().count() == 1);
    CHECK(table.message().contains("tilt"));
    CHECK(cellText(table, open.plan.small, "Tilt (°)") == "6.5");
    edit("steep");
    CHECK(open.space.document.history().count() == 1);
    CHECK(table.message().contains("steep"));

    open.space.document.history().undo();
    CHECK(cellText(table, open.plan.small, "Tilt (°)") == "3.0");
    CHECK(table.message().isEmpty());
}

TEST_CASE("Leaving a cell out by its box is an edit, a site left out of the pack is none", "[tables]") {
    Open open;
    StageTable cells(Stage::cells, open.space), pack(Stage::pack, open.space);
    ItemTable& c = cells.items();
    CHECK(pack.chosenSites().size() == 2);
    REQUIRE(c.setData(c.index(c.rowOf(open.plan.small), 0), Qt::Unchecked, Qt::CheckStateRole));
    CHECK_FALSE(open.now().smallCells.find(open.plan.small)->chosen);
    CHECK(open.space.document.history().count() == 1);
    CHECK(open.space.document.history().undoText().startsWith("Leave "));
    CHECK(pack.items().rowCount() == 1);
    open.space.document.history().undo();
    CHECK(pack.items().rowCount() == 2);

    ItemTable& p = pack.items();
    QSignalSpy changed(&pack, &StageTable::chosenSitesChanged);
    REQUIRE(p.setData(p.index(0, 0), Qt::Unchecked, Qt::CheckStateRole));
    CHECK(changed.size() == 1);
    CHECK(pack.chosenSites() == std::vector{p.idAt(1)});
    CHECK(open.space.document.history().count() == 1);
    CHECK_FALSE(open.space.document.history().canUndo());
}

TEST_CASE("A site is ready when nothing blocks it and its owner agrees, in the table as in the stage",
          "[tables]") {
    Open open;
    StageTable pack(Stage::pack, open.space);
    const auto states = [&] {
        std::vector<QString> out;
        for (const ItemId id : pack.items().ids()) out.push_back(cellText(pack, id, "State"));
        return out;
    };
    const auto consent = [&](ConsentState given) {
        Edit edit{"Consent", {}};
        for (Mount m : open.now().mounts) {
            m.consent = given;
            edit.changes.emplace_back(Put{m});
        }
        REQUIRE(open.space.document.perform(edit));
        REQUIRE(QTest::qWaitFor([&] { return open.space.live.study() && !open.space.live.stale(); }, 20000));
    };
    const auto ready = [&] {
        const auto all = states();
        return QString::number(std::count(all.begin(), all.end(), QStringLiteral("ready")));
    };
    consent(ConsentState::asked);
    CHECK(stageCount(Stage::pack, open.space) == "0");
    CHECK(ready() == "0");
    CHECK(stageState(Stage::pack, open.space) == "no site ready");
    consent(ConsentState::refused);
    CHECK(ready() == "0");
    for (const QString& s : states()) CHECK((s == "consent refused" || s == "blocked by a finding"));
    consent(ConsentState::given);
    const auto blocked = [&] {
        const auto all = states();
        return std::count(all.begin(), all.end(), QStringLiteral("blocked by a finding"));
    };
    CHECK(ready() == QString::number(pack.items().rowCount() - blocked()));
    CHECK(stageCount(Stage::pack, open.space) == ready());
}

TEST_CASE("While a mount is dragged only its rows change, and they follow before the button is up",
          "[tables]") {
    Open open;
    StageTable cells(Stage::cells, open.space), load(Stage::load, open.space);
    for (StageTable* t : {&cells, &load}) {
        t->resize(1200, 200);
        t->show();
        REQUIRE(QTest::qWaitForWindowExposed(t, kPatienceMs));
    }
    REQUIRE(allQuiet(open.space));
    REQUIRE(QTest::qWaitFor(
        [&] { return cellText(cells, open.plan.otherSmall, "Fit (0–100)") != unknownFigure(); },
        kPatienceMs));
    const QString after = cellText(load, open.plan.cell, "After, live (%)");
    const int rows = cells.items().rowOf(open.plan.small);
    cells.grab();
    QSignalSpy resets(&cells.items(), &QAbstractItemModel::modelReset);
    QSignalSpy changes(&cells.items(), &QAbstractItemModel::dataChanged);
    REQUIRE(open.space.drag.beginRadio(open.chain().radio));
    open.space.drag.turnTo(TrueAzimuth{271.5});
    CHECK(cellText(cells, open.plan.small, "Azimuth true (°)") == "271.5");
    CHECK(cellText(load, open.plan.cell, "After, live (%)") != after);
    REQUIRE_FALSE(changes.empty());
    for (const auto& change : changes) CHECK(change[0].toModelIndex().row() == rows);
    CHECK(resets.empty());
    open.space.drag.abandon();
    CHECK(cellText(cells, open.plan.small, "Azimuth true (°)") == "90.0");
    CHECK(cellText(load, open.plan.cell, "After, live (%)") == after);
}

TEST_CASE("A works cell makes the works of a mount with its first entry", "[tables]") {
    Open open;
    StageTable table(Stage::works, open.space);
    ItemTable& m = table.items();
    const ItemId mount = open.chain().mount;
    const auto enter = [&](const QString& head, const QString& text) {
        return m.setData(m.index(m.rowOf(mount), columnCalled(m, head)), text, Qt::EditRole);
    };
    REQUIRE(enter("Cabinet", "Wall box"));
    REQUIRE(open.now().siteWorks.size() == 1);
    CHECK(open.now().siteWorks.begin()->cabinet == "Wall box");
    REQUIRE(enter("Earth pit", "One rod"));
    CHECK(open.now().siteWorks.size() == 1);
    CHECK(open.now().siteWorks.begin()->mount == mount);
    CHECK(cellText(table, mount, "Cabinet") == "Wall box");
    CHECK(cellText(table, mount, "To be settled").contains("consent"));
    REQUIRE(enter("Consent", "given"));
    CHECK(open.now().mounts.find(mount)->consent == ConsentState::given);
    CHECK_FALSE(cellText(table, mount, "To be settled").contains("consent"));
    open.space.document.history().undo();
    CHECK(cellText(table, mount, "To be settled").contains("consent"));
}

TEST_CASE("Tables stay consistent and complete through random edits, undo and redo", "[tables]") {
    needGuiApp();
    const Complaints complaints;
    Workspace space;
    Random random(20261125);
    LoadedPlan loaded;
    loaded.plan = fw::testing::randomPlan(random, {60, 2, 8, 10, 600, 900, {553000, 4084000}});
    loaded.terrain = std::make_shared<Terrain>();
    REQUIRE(space.document.adopt(LoadedPlan(loaded)));
    space.live.cancel();
    std::vector<std::unique_ptr<ItemTable>> tables;
    std::vector<std::unique_ptr<QAbstractItemModelTester>> testers;
    for (int s = 0; s < kStages; ++s) {
        tables.emplace_back(makeStageTable(static_cast<Stage>(s), space, nullptr));
        testers.push_back(std::make_unique<QAbstractItemModelTester>(
            tables.back().get(), QAbstractItemModelTester::FailureReportingMode::Warning));
    }
    const auto everything = [](ItemTable& t) {
        QStringList out;
        for (int r = 0; r < t.rowCount(); ++r)
            for (int c = 0; c < t.columnCount(); ++c)
                out << t.index(r, c).data().toString() + t.index(r, c).data(Qt::CheckStateRole).toString();
        return out;
    };
    QSignalSpy resets(tables[2].get(), &QAbstractItemModel::modelReset);
    for (int step = 0; step < 60; ++step) {
        space.live.cancel();
        auto& history = space.document.history();
        if (random.chance(0.2) && history.canUndo())
            history.undo();
        else if (random.chance(0.1) && history.canRedo())
            history.redo();
        else
            REQUIRE(space.document.perform(fw::testing::randomEdit(
                space.document.plan(), random, static_cast<fw::testing::EditKind>(random.below(11)))));
        for (int s = 0; s < kStages; ++s) {
            const std::unique_ptr<ItemTable> fresh(makeStageTable(static_cast<Stage>(s), space, nullptr));
            INFO("step " << step << ", stage " << s);
            CHECK(tables[static_cast<std::size_t>(s)]->ids() == fresh->ids());
            CHECK(everything(*tables[static_cast<std::size_t>(s)]) == everything(*fresh));
        }
    }
    CHECK(resets.empty());
    REQUIRE(space.document.adopt(LoadedPlan(loaded)));
    CHECK(resets.size() == 1);
    CHECK_THAT(Complaints::texts().join('\n').toStdString(), Catch::Matchers::Equals(""));
}

TEST_CASE("Fields state the ranges that the plan keeps", "[tables]") {
    needGuiApp();
    const auto as = [](auto item) {
        item.id = {1};
        return Item{std::move(item)};
    };
    Street street;
    street.path = {{0, 0}, {9, 9}};
    OverheadLine line;
    line.path = street.path;
    Tree tree;
    tree.crownBottomM = 0;
    const Item samples[] = {as(Sector{}), as(Cell{}), as(Mount{}),    as(Radio{}), as(SmallCell{}),
                            as(street),   as(line),   as(PowerTap{}), as(tree)};
    int looked = 0;
    for (const Item& sample : samples) {
        for (const ItemField& f : itemFields(kindOf(sample))) {
            if ((f.low == 0 && f.high == 0) || f.shape == FieldShape::numbers) continue;
            INFO(nameOf(kindOf(sample)) << " " << f.key.toStdString());
            const auto fine = [&](double v) {
                Item item = sample;
                f.write(item, v);
                return validate(item).ok();
            };
            // The widest of these belong to NR, and these samples are LTE.
            const bool wide =
                f.key == "scs_khz" || f.key == "pci" || f.key == "tracking_area" || f.key == "cell_identity";
            if (!wide) CHECK(fine(f.high));
            CHECK(fine(f.low));
            CHECK_FALSE(fine(f.high + 1));
            CHECK_FALSE(fine(f.low - 1));
            ++looked;
        }
    }
    CHECK(looked > 30);
}

TEST_CASE("Rows sort by value, unknown last, and the filter keeps rows that hold every word", "[tables]") {
    Open open;
    Edit edit{"Name", {}};
    Mount m = *open.now().mounts.find(open.chain().mount);
    m.name = "W-10";
    m.height = {10};
    Mount other = *open.now().mounts.find(chainOf(open.now(), open.plan.otherSmall).mount);
    other.name = "W-9";
    other.height = {8.5};
    edit.changes = {Put{m}, Put{other}};
    REQUIRE(open.space.document.perform(edit));
    StageTable table(Stage::cells, open.space);
    table.show();
    const auto first = [&] { return table.view().model()->index(0, 0).data(ItemTable::IdRole).toUInt(); };
    const int name = columnCalled(table.items(), "Mount"), height = columnCalled(table.items(), "Height (m)");
    table.view().sortByColumn(name, Qt::AscendingOrder);
    CHECK(first() == open.plan.otherSmall.v);
    table.view().sortByColumn(height, Qt::DescendingOrder);
    CHECK(first() == open.plan.small.v);
    QTest::keyClicks(&table.filterLine(), "w-9 pole");
    CHECK(table.view().model()->rowCount() == 1);
    QTest::keyClicks(&table.filterLine(), " harbour");
    CHECK(table.view().model()->rowCount() == 0);
}

TEST_CASE("Enter goes to the item, actions stand above the table", "[tables]") {
    Open open;
    StageTable table(Stage::cells, open.space);
    QAction aim("Aim"), leave("Leave out");
    table.setActions({&aim, &leave});
    table.resize(900, 220);
    table.show();
    REQUIRE(QTest::qWaitForWindowExposed(&table, kPatienceMs));
    QSignalSpy activated(&table, &StageTable::itemActivated), aimed(&aim, &QAction::triggered);
    selectRow(table, open.plan.otherSmall);
    QTest::keyClick(&table.view(), Qt::Key_Return);
    REQUIRE(activated.size() == 1);
    CHECK(activated[0][0].value<ItemId>() == open.plan.otherSmall);
    const auto buttons = table.findChildren<QToolButton*>("stageAction");
    REQUIRE(buttons.size() == 2);
    QTest::mouseClick(buttons[0], Qt::LeftButton);
    CHECK(aimed.size() == 1);
}

TEST_CASE("Actions without room stand whole behind one button, none is cut off", "[tables]") {
    Open open;
    StageTable table(Stage::cells, open.space);
    std::vector<std::unique_ptr<QAction>> made;
    QList<QAction*> actions;
    for (const char* text :
         {"Choose a set", "Propose a change", "Take the proposal", "Identity plan", "Delete"}) {
        made.push_back(std::make_unique<QAction>(text));
        actions.append(made.back().get());
    }
    table.setActions(actions);
    table.resize(360, 220);
    table.show();
    REQUIRE(QTest::qWaitForWindowExposed(&table, kPatienceMs));
    const auto shown = [&] {
        int n = 0;
        for (const QToolButton* b : table.findChildren<QToolButton*>("stageAction")) {
            if (!b->isVisible()) continue;
            CHECK(b->width() >= b->sizeHint().width());
            ++n;
        }
        return n;
    };
    const int few = shown();
    CHECK(few >= 1);
    CHECK(few < 5);
    auto* more = table.findChild<QToolButton*>("qt_toolbar_ext_button");
    REQUIRE(more);
    CHECK(more->isVisible());
    CHECK(more->accessibleName() == "More actions");
    REQUIRE(more->menu());
    CHECK(table.filterLine().width() >= table.fontMetrics().averageCharWidth() * 12);
    table.resize(1200, 220);
    QApplication::processEvents();
    CHECK(shown() == 5);
    CHECK_FALSE(more->isVisible());
}
