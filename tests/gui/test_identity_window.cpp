// SPDX-License-Identifier: GPL-3.0-or-later
// The identity plan in the window: what it shows is what core gives, its ranges and buttons do what they say.
#include "catch.h"
#include "dialogs/identity_ranges.h"
#include "dialogs/identity_window.h"
#include "gui_app.h"
#include "store/folder.h"
#include "study/settled.h"
#include "window_plan.h"

#include <QAbstractButton>
#include <QFile>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QTableWidget>

using namespace fw;
using namespace fwtest;

namespace {

struct IdentityDesk {
    Workspace space;
    WindowPlan plan;
    IdentityWindow window{space};

    IdentityDesk() : plan(windowPlan()) {
        for (const ItemId id : {plan.small, plan.otherSmall}) { // both as if nobody had looked
            SmallCell c = *plan.loaded.plan.smallCells.find(id);
            c.pci = 5;
            plan.loaded.plan.smallCells.put(c);
        }
        REQUIRE(space.document.adopt(plan.loaded).ok());
        window.show();
        REQUIRE(ready());
    }
    [[nodiscard]] const Plan& now() const { return space.document.plan(); }
    [[nodiscard]] bool ready() {
        return QTest::qWaitFor([&] { return window.current() && !space.live.settling(); }, kPatienceMs);
    }
    [[nodiscard]] QAbstractButton* button(const QString& text) {
        for (QAbstractButton* b : window.findChildren<QAbstractButton*>())
            if (b->text().remove('&') == text) return b;
        FAIL("no button " << text.toStdString());
        return nullptr;
    }
    void type(const QString& field, const QString& text) {
        for (QLineEdit* e : window.findChildren<QLineEdit*>())
            if (e->accessibleName() == field) {
                e->setFocus();
                e->selectAll();
                QTest::keyClicks(e, text);
                QTest::keyClick(e, Qt::Key_Return);
                return;
            }
        FAIL("no field " << field.toStdString());
    }
    [[nodiscard]] QString cell(ItemId small, int column) {
        QTableWidget& t = window.table();
        const QString name = QString::fromStdString(now().label(small));
        for (int row = 0; row < t.rowCount(); ++row)
            if (t.item(row, 0)->text() == name) return t.item(row, column)->text();
        return {};
    }
};

} // namespace

TEST_CASE("the identity plan is shown as core makes it, applied as one step and written as a sheet",
          "[gui][identity]") {
    needGuiApp();
    IdentityDesk desk;
    CHECK(desk.window.stateText().contains(" block"));
    desk.type("eNB numbers for small cells", "5000-5099");
    REQUIRE(QTest::qWaitFor([&] { return desk.window.current() && desk.window.identities()->cells[0].node; },
                            kPatienceMs));

    IdentityOptions options = identityOptionsOf(desk.now());
    options.ranges.enb = "5000-5099";
    const auto study = Study::advance(nullptr, desk.now(), desk.plan.loaded.terrain, {1});
    const auto ledger = settle(**study);
    const auto want = identify(**study, *ledger, options);
    REQUIRE(want);
    CHECK(desk.window.identities()->cells == want->cells);
    CHECK(desk.window.identities()->after == want->after);
    CHECK(desk.window.table().rowCount() == 2);
    const CellPlan& first = want->cells.front();
    if (first.pci != 5)
        CHECK(desk.cell(first.small, 1) == QString("5 \u2192 %1").arg(first.pci));
    else
        CHECK(desk.cell(first.small, 1) == "5");
    CHECK(desk.cell(first.small, 4).endsWith(QString("5000-%1").arg(*first.cellNumber)));

    const testing::TestFolder folder;
    const QString file = QString::fromStdString((folder / "integration.csv").string());
    desk.window.writeSheet(file);
    REQUIRE(QTest::qWaitFor([&] { return desk.button("Save sheet ...")->isEnabled(); }, kPatienceMs));
    QFile sheet(file);
    REQUIRE(sheet.open(QIODevice::ReadOnly));
    CHECK(sheet.readAll().contains(QByteArray::number(static_cast<qlonglong>(*first.cellIdentity))));

    const Plan before = desk.now();
    QTest::mouseClick(desk.button("Apply"), Qt::LeftButton);
    CHECK(desk.now().smallCells.find(first.small)->pci == first.pci);
    CHECK(desk.now().smallCells.find(first.small)->identity.cell == first.cellIdentity);
    CHECK(desk.now().settings->identities.enb == "5000-5099");
    REQUIRE(desk.ready());
    CHECK_FALSE(desk.button("Apply")->isEnabled()); // nothing is left to be done
    CHECK(desk.window.identities()->before == want->after);
    desk.space.document.history().undo();
    CHECK(desk.now() == before);
}

TEST_CASE("a range that cannot be read is said, and a cell's conflicts and working open by keys",
          "[gui][identity]") {
    needGuiApp();
    IdentityDesk desk;
    desk.type("PCI for LTE small cells", "many");
    REQUIRE(QTest::qWaitFor([&] { return !desk.window.identities(); }, kPatienceMs));
    bool said = false;
    for (const QLabel* l : desk.window.findChildren<QLabel*>())
        said = said || (l->isVisible() && l->text().contains("PCI for LTE small cells"));
    CHECK(said);
    CHECK_FALSE(desk.button("Apply")->isEnabled());
    desk.type("PCI for LTE small cells", "7"); // one for both: they collide
    REQUIRE(desk.ready());
    REQUIRE(desk.window.identities());
    ItemId wanted;
    Working working;
    QObject::connect(&desk.window, &IdentityWindow::itemWanted, [&](ItemId id) { wanted = id; });
    QObject::connect(&desk.window, &IdentityWindow::workingWanted, [&](const Working& w) { working = w; });
    desk.window.table().setFocus();
    QTest::keyClick(&desk.window.table(), Qt::Key_Down);
    if (!wanted) QTest::keyClick(&desk.window.table(), Qt::Key_Down);
    CHECK((wanted == desk.plan.small || wanted == desk.plan.otherSmall));
    const auto* reasons = desk.window.findChild<QListWidget*>();
    REQUIRE(reasons->count() > 0);
    CHECK(reasons->item(0)->text().startsWith("block: "));
    CHECK(desk.cell(wanted, 6).contains(" block"));
    QTest::keyClick(&desk.window.table(), Qt::Key_Return);
    CHECK(working.title.find("Identities of") == 0);
}
