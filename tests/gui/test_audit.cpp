// SPDX-License-Identifier: GPL-3.0-or-later
// The inventory audit in its window: findings of planted faults, ticked and applied by real clicks.
#include "intake/audit_plan.h"
#include "store/folder.h"
#include "window_hand.h"

#include "dialogs/audit_window.h"
#include "models/audit_model.h"

#include <QHeaderView>
#include <QLabel>
#include <QTableView>

using namespace fw;
using namespace fwtest;

namespace {

struct AuditDesk : OpenedWindow {
    std::vector<ItemId> sectors;

    /// Puts faults into the plan before it is opened: two sectors at height 0 at a second site, two cells of
    /// one name, a channel outside its band where wanted.
    void plant() {
        Plan& p = plan.loaded.plan;
        const MacroSite home = *p.macroSites.begin();
        MacroSite site = home;
        site.id = p.lastId = p.nextId();
        site.name = "Gasworks";
        site.at = home.at + PlanePoint{350, 60};
        p.macroSites.put(site);
        const Sector model = *p.sectors.begin();
        const Cell cell = *p.cells.begin();
        for (int k = 0; k < 3; ++k) {
            Sector s = model;
            s.id = p.lastId = p.nextId();
            s.site = site.id;
            s.name = "Gasworks/" + std::to_string(k + 1);
            s.azimuth = TrueAzimuth::of(30 + 120 * k);
            s.height = {k == 0 ? 28.0 : 0.0};
            p.sectors.put(s);
            sectors.push_back(s.id);
            Cell c = cell;
            c.id = p.lastId = p.nextId();
            c.sector = s.id;
            c.name = k == 2 ? "GW-B" : std::string("GW-") + static_cast<char>('A' + k);
            c.pci = 40 + k;
            p.cells.put(c);
        }
    }
    AuditWindow& audit() {
        REQUIRE(window.audit());
        return *window.audit();
    }
    void fresh() {
        REQUIRE(QTest::qWaitFor([&] { return window.audit() && window.audit()->fresh(); }, kPatienceMs));
    }
    void open() {
        chooseInMenu(window, QStringLiteral("Plan"), QStringLiteral("audit"));
        fresh();
        REQUIRE(QTest::qWaitForWindowActive(&audit(), kPatienceMs));
    }
    int row(const std::string& check, ItemId about) {
        const auto& all = audit().model().findings();
        for (std::size_t k = 0; k < all.size(); ++k)
            if (all[k].check == check &&
                std::find(all[k].subjects.begin(), all[k].subjects.end(), about) != all[k].subjects.end())
                return static_cast<int>(k);
        return -1;
    }
    void clickCell(int row, int column) {
        QTableView& t = audit().table();
        t.scrollTo(t.model()->index(row, column));
        QRect r = t.visualRect(t.model()->index(row, column));
        // The box stands where reading begins.
        const QPoint at = column == AuditModel::Tick ? QPoint(r.left() + 12, r.center().y()) : r.center();
        click(*t.viewport(), at);
    }
    QString text(const QString& accessibleName) {
        for (auto* l : audit().findChildren<QLabel*>())
            if (l->accessibleName() == accessibleName) return l->text();
        return {};
    }
};

} // namespace

TEST_CASE("planted faults are listed, ticked by mouse, applied as one step, undone", "[audit]") {
    AuditDesk desk;
    desk.plant();
    desk.adopt();
    desk.open();
    const Plan before = desk.now();
    const int steps = desk.steps();
    const int second = desk.row("height", desk.sectors[1]), third = desk.row("height", desk.sectors[2]);
    REQUIRE(second >= 0);
    REQUIRE(third >= 0);
    const ItemId cell = [&] {
        for (const Cell& c : desk.now().cells)
            if (c.name == "GW-B") return c.id;
        return ItemId{};
    }();
    const int names = desk.row("name-twice", cell);
    REQUIRE(names >= 0);
    const AuditModel& model = desk.audit().model();
    CHECK(model.ticked().empty());
    CHECK(desk.audit().stateText().startsWith(QString::number(static_cast<int>(model.findings().size())) +
                                              QStringLiteral(" findings: ")));
    CHECK_FALSE(buttonIn(desk.audit(), QStringLiteral("Apply ticked"))->isEnabled());
    // What only a person can mend has no tick and says so.
    CHECK_FALSE(model.index(names, AuditModel::Tick).data(Qt::CheckStateRole).isValid());
    CHECK(model.index(names, AuditModel::Proposal).data().toString().startsWith(QStringLiteral("For you: ")));
    desk.clickCell(names, AuditModel::Tick);
    CHECK(model.ticked().empty());

    // A row chosen is chosen on the map and brought into view.
    desk.clickCell(second, AuditModel::What);
    CHECK(desk.space().selection.items() == std::vector<ItemId>{desk.sectors[1]});
    const auto at =
        desk.map().camera().toScreen(before.macroSites.find(before.sectors.find(desk.sectors[1])->site)->at);
    CHECK(QRectF(desk.map().rect()).contains(at));
    CHECK(desk.text(QStringLiteral("The chosen finding")).contains(QStringLiteral("0.0 m above ground")));

    desk.clickCell(second, AuditModel::Tick);
    CHECK(model.ticked() == std::vector{static_cast<std::size_t>(second)});
    desk.clickCell(third, AuditModel::What);
    key(Qt::Key_Space);
    CHECK(model.ticked().size() == 2);
    CHECK(desk.now() == before);
    click(*buttonIn(desk.audit(), QStringLiteral("Apply ticked (2)")));
    CHECK(desk.steps() == steps + 1);
    CHECK(desk.space().document.history().undoText() ==
          QStringLiteral("Apply 2 proposals of the inventory audit"));
    // Their one sound neighbour stands at 28 m.
    CHECK(desk.now().sectors.find(desk.sectors[1])->height.m == 28);
    CHECK(desk.now().sectors.find(desk.sectors[2])->height.m == 28);
    desk.fresh();
    CHECK(desk.row("height", desk.sectors[1]) == -1);
    CHECK(desk.row("name-twice", cell) >= 0);
    CHECK(desk.audit().model().ticked().empty());

    desk.space().document.history().undo();
    CHECK(desk.now() == before);
    desk.fresh();
    CHECK(desk.row("height", desk.sectors[1]) >= 0);
    CHECK(desk.audit().model().ticked().empty());
}

TEST_CASE("the list follows the plan, and ticks stay with proposals that are the same", "[audit]") {
    AuditDesk desk;
    desk.plant();
    desk.adopt();
    desk.open();
    desk.clickCell(desk.row("height", desk.sectors[1]), AuditModel::Tick);
    desk.clickCell(desk.row("height", desk.sectors[2]), AuditModel::Tick);
    REQUIRE(desk.audit().model().ticked().size() == 2);
    // Somebody mends one of them elsewhere.
    Sector s = *desk.now().sectors.find(desk.sectors[1]);
    s.height = {28};
    REQUIRE(desk.space().document.perform({"Set height", {Put{s}}}).ok());
    CHECK_FALSE(buttonIn(desk.audit(), QStringLiteral("Apply ticked"))->isEnabled());
    desk.fresh();
    CHECK(desk.row("height", desk.sectors[1]) == -1);
    const auto ticked = desk.audit().model().ticked();
    REQUIRE(ticked.size() == 1);
    CHECK(static_cast<int>(ticked[0]) == desk.row("height", desk.sectors[2]));
    key(Qt::Key_Escape);
    CHECK_FALSE(desk.audit().isVisible());
}

TEST_CASE("without anything to audit the window says so", "[audit]") {
    AuditDesk desk;
    desk.adopt();
    desk.open();
    desk.space().document.close();
    desk.fresh();
    CHECK(desk.audit().stateText().startsWith(QStringLiteral("Open a plan")));
    CHECK_FALSE(buttonIn(desk.audit(), QStringLiteral("Apply ticked"))->isEnabled());
    // A network that the audit's own tests hold to be sound.
    LoadedPlan loaded = desk.plan.loaded;
    loaded.plan = Network().plan;
    REQUIRE(desk.space().document.adopt(loaded));
    desk.fresh();
    CHECK(desk.audit().stateText() == QStringLiteral("Nothing in the inventory is doubtful."));
    CHECK(desk.audit().model().rowCount() == 0);
    CHECK_FALSE(buttonIn(desk.audit(), QStringLiteral("Tick all"))->isEnabled());
}

TEST_CASE("cells that only a file of counters has are listed while that file is at hand", "[audit]") {
    AuditDesk desk;
    desk.plant();
    desk.adopt();
    testing::TestFolder folder;
    testing::writeBytes(folder / "counters.csv", "cell;date;hour;DL PRB use (%)\nGW-X;05.10.2026;18;55\n"
                                                 "GW-A;05.10.2026;18;44\n");
    desk.open();
    const auto lost = [&]() -> const AuditFinding* {
        for (const AuditFinding& f : desk.audit().model().findings())
            if (f.check == "load-without-cell") return &f;
        return nullptr;
    };
    CHECK_FALSE(lost());
    desk.window.takeFilesIn({QString::fromStdString((folder / "counters.csv").string())});
    REQUIRE(QTest::qWaitFor([&] { return lost() != nullptr; }, kPatienceMs));
    CHECK(lost()->text.find("\"GW-X\"") != std::string::npos);
    CHECK(lost()->text.find("GW-A") == std::string::npos);
    CHECK(lost()->subjects.empty());
}
