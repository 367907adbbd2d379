// SPDX-License-Identifier: GPL-3.0-or-later
// Proposals in the window: looked for, shown as ghosts, taken by one key.
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "bench/findings_panel.h"
#include "bench/proposal_list.h"
#include "models/finding_index.h"
#include "models/findings_model.h"
#include "shell/notice_line.h"
#include "window_hand.h"

#include <QListView>
#include <QListWidget>
#include <QPushButton>

using namespace fw;
using namespace fwtest;

namespace {

struct ProposalsDesk {
    ProposalsDesk() {
        needGuiApp();
        plan = windowPlan();
        const ItemId radio = chainOf(plan.loaded.plan, plan.small).radio;
        Radio r = *plan.loaded.plan.radios.find(radio);
        r.azimuth = TrueAzimuth{270};
        plan.loaded.plan.radios.put(r);
        REQUIRE(space.document.adopt(LoadedPlan(plan.loaded)));
        panel = std::make_unique<FindingsPanel>(space);
        panel->resize(420, 420);
        panel->show();
        REQUIRE(QTest::qWaitForWindowExposed(panel.get(), kPatienceMs));
        REQUIRE(allQuiet(space));
        QObject::connect(panel.get(), &FindingsPanel::proposed, panel.get(),
                         [this](const Ghosts& g) { ghosts = g; });
        space.selection.setOne(plan.small);
        const auto& model = *static_cast<FindingsModel*>(panel->list().model());
        for (int row = 0; row < model.rowCount(); ++row)
            if (model.at(row).rule == "faces-macro") panel->list().setCurrentIndex(model.index(row));
        REQUIRE(panel->current());
        REQUIRE(panel->current()->rule == "faces-macro");
    }
    ProposalList& list() const { return panel->proposals(); }
    void ask() {
        panel->propose(true);
        REQUIRE(QTest::qWaitFor([&] { return !list().searching(); }, kPatienceMs));
        INFO(list().stateText().toStdString());
        REQUIRE(list().current());
    }
    Workspace space;
    WindowPlan plan;
    std::unique_ptr<FindingsPanel> panel;
    Ghosts ghosts;
};

} // namespace

TEST_CASE("Proposals are listed best fit first, each is a ghost, and Enter takes the one in hand",
          "[findings]") {
    ProposalsDesk d;
    const Plan before = d.space.document.plan();
    d.ask();
    REQUIRE(d.list().list().count() >= 2);
    double last = 1000;
    for (int r = 0; r < d.list().list().count(); ++r) {
        d.list().list().setCurrentRow(r);
        const auto p = d.list().current();
        REQUIRE(p);
        CHECK(p->fitKept <= last);
        last = p->fitKept;
        REQUIRE(!d.ghosts.empty());
        CHECK(d.ghosts.front().radio->azimuth == p->ghosts.front().azimuth);
        CHECK(d.list().working());
    }
    d.list().list().setCurrentRow(0);
    QTest::keyClick(&d.list().list(), Qt::Key_Down);
    const auto taken = d.list().current();
    REQUIRE(taken);
    QTest::keyClick(&d.list().list(), Qt::Key_Return);
    Plan wanted = before;
    REQUIRE(apply(wanted, taken->edit));
    CHECK(d.space.document.plan() == wanted);
    CHECK(d.space.document.history().count() == 1);
    CHECK(d.space.document.history().undoText().toStdString() == taken->edit.text);
    CHECK_FALSE(d.panel->proposing());
    CHECK(d.ghosts.empty());
    REQUIRE(allQuiet(d.space));
    const auto& model = *static_cast<FindingsModel*>(d.panel->list().model());
    for (int r = 0; r < model.rowCount(); ++r)
        if (model.at(r).rule == "faces-macro") CHECK(model.at(r).severity == Severity::note);
}

TEST_CASE("Esc leaves the proposals without a trace, and a change of the plan drops them",
          "[findings][slow]") {
    ProposalsDesk d;
    const Plan before = d.space.document.plan();
    d.ask();
    QTest::keyClick(&d.list().list(), Qt::Key_Escape);
    CHECK_FALSE(d.panel->proposing());
    CHECK(d.ghosts.empty());
    CHECK_FALSE(d.list().isVisible());
    CHECK(d.space.document.plan() == before);
    CHECK(d.space.document.history().count() == 0);

    d.ask();
    Mount m = *before.mounts.find(chainOf(before, d.plan.otherSmall).mount);
    m.name = "Elsewhere";
    REQUIRE(d.space.document.perform(Edit{"Rename", {Put{m}}}));
    CHECK_FALSE(d.panel->proposing());
    CHECK(d.ghosts.empty());
    CHECK_FALSE(d.list().current());
}

TEST_CASE("Asked again while it searches, the first search is stopped", "[findings][slow]") {
    ProposalsDesk d;
    d.panel->propose(true);
    CHECK(d.list().searching());
    d.panel->propose(false);
    CHECK_FALSE(d.list().searching());
    d.ask();
    CHECK(d.list().current());
}

TEST_CASE("R answers a refusal: the next best mount is taken, one step that Undo brings back", "[findings]") {
    OpenedWindow o;
    o.adopt();
    Workspace& space = o.space();
    MainWindow& window = o.window;
    const Plan before = space.document.plan();
    const ItemId mount = o.mount();
    space.selection.setOne(mount);
    window.action("refusedNextBest")->trigger();
    REQUIRE(QTest::qWaitFor([&] { return space.document.history().count() == 1; }, kPatienceMs));
    CHECK(space.document.plan().mounts.find(mount)->consent == ConsentState::refused);
    CHECK_FALSE(window.notice()->text().isEmpty());
    space.document.history().undo();
    CHECK(space.document.plan() == before);
    space.jobs.waitForDone(kPatienceMs);
}
