// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "gui_app.h"
#include "window_plan.h"

#include "commands/commands.h"
#include "study/settled.h"

#include <QElapsedTimer>
#include <QSignalSpy>

#include <atomic>
#include <chrono>
#include <filesystem>
#include <optional>
#include <thread>

using namespace fw;
using namespace fwtest;

namespace {

Edit renamed(const Plan& plan, ItemId mount, const std::string& name) {
    Mount m = *plan.mounts.find(mount);
    m.name = name;
    return {"Rename mount", {Put{m}}};
}

// The plan as a fresh process would compute it.
std::shared_ptr<const Study> cold(const Plan& plan, const std::shared_ptr<const Terrain>& terrain) {
    auto study = Study::advance(nullptr, plan, terrain);
    REQUIRE(study);
    return *study;
}

} // namespace

TEST_CASE("Undo and redo bring back exactly what was, and the saved state is the clean one", "[document]") {
    needGuiApp();
    Workspace space;
    WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(std::move(w.loaded)));
    const Plan before = space.document.plan();
    const ItemId mount = chainOf(before, w.small).mount;
    REQUIRE(space.document.perform(renamed(before, mount, "Lantern post")));
    const Plan after = space.document.plan();
    CHECK_FALSE(after == before);
    CHECK(space.document.history().undoText() == "Rename mount");
    CHECK_FALSE(space.document.history().isClean());
    space.document.history().undo();
    CHECK(space.document.plan() == before);
    CHECK(space.document.history().isClean());
    space.document.history().redo();
    CHECK(space.document.plan() == after);
    const auto file = std::filesystem::temp_directory_path() / "fw-document.plan.gpkg";
    std::filesystem::remove(file);
    REQUIRE(space.document.saveAs(file));
    CHECK(space.document.history().isClean());
    const auto again = loadPlan(file);
    REQUIRE(again);
    CHECK(again->plan == after);
    std::filesystem::remove(file);
}

TEST_CASE("Nudges of one item under one text are one step, others are not", "[document]") {
    needGuiApp();
    Workspace space;
    WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(std::move(w.loaded)));
    const Plan before = space.document.plan();
    const ItemId mount = chainOf(before, w.small).mount;
    const auto nudge = [&](double east) {
        Mount m = *space.document.plan().mounts.find(mount);
        m.at.x += east;
        REQUIRE(space.document.perform({"Move P", {Put{m}}}, true));
    };
    nudge(1);
    nudge(1);
    nudge(1);
    CHECK(space.document.history().count() == 1);
    REQUIRE(space.document.perform(renamed(space.document.plan(), mount, "Q")));
    nudge(1);
    CHECK(space.document.history().count() == 3);
    while (space.document.history().canUndo()) space.document.history().undo();
    CHECK(space.document.plan() == before);
}

TEST_CASE("An edit applied elsewhere is one step like any other, and is refused once the plan has moved on",
          "[document]") {
    needGuiApp();
    Workspace here, there;
    WindowPlan w = windowPlan();
    REQUIRE(here.document.adopt(w.loaded));
    REQUIRE(there.document.adopt(w.loaded));
    const Plan before = here.document.plan();
    const ItemId mount = chainOf(before, w.small).mount;
    const Edit edit = renamed(before, mount, "Lantern post");
    std::optional<Result<AppliedEdit>> made;
    std::thread([&] { made = AppliedEdit::make(before, edit); }).join();
    REQUIRE(made->ok());
    const AppliedEdit once = **made;
    QSignalSpy changed(&here.document, &PlanDocument::planChanged);
    REQUIRE(here.document.perform(AppliedEdit(once)).ok());
    REQUIRE(there.document.perform(edit).ok());
    CHECK(changed.count() == 1);
    CHECK(here.document.plan() == there.document.plan());
    CHECK(here.document.plan().lastId == there.document.plan().lastId);
    CHECK(here.document.history().undoText() == there.document.history().undoText());
    here.document.history().undo();
    CHECK(here.document.plan() == before);
    here.document.history().redo();
    CHECK(here.document.plan() == there.document.plan());
    // Another plan by now: nothing is written over.
    QSignalSpy refused(&here.document, &PlanDocument::refused);
    CHECK_FALSE(here.document.perform(AppliedEdit(once)).ok());
    CHECK(refused.count() == 1);
    CHECK(here.document.plan() == there.document.plan());
    CHECK(here.document.history().count() == 1);
    CHECK_FALSE(AppliedEdit::make(before, {"Remove what is not there", {Remove{ItemId{999999}}}}).ok());
}

TEST_CASE("A refused edit says why and leaves plan and history as they are", "[document]") {
    needGuiApp();
    Workspace space;
    WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(std::move(w.loaded)));
    const Plan before = space.document.plan();
    QSignalSpy refused(&space.document, &PlanDocument::refused);
    Mount m = *before.mounts.find(chainOf(before, w.small).mount);
    m.height = {-4};
    CHECK_FALSE(space.document.perform({"Lower", {Put{m}}}));
    CHECK(space.document.plan() == before);
    CHECK(space.document.history().count() == 0);
    REQUIRE(refused.count() == 1);
    CHECK(refused[0][0].toString().contains("-4"));
}

TEST_CASE("What a drag shows is what a cold computation of that place gives, to the byte", "[document]") {
    needGuiApp();
    Workspace space;
    WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(std::move(w.loaded)));
    REQUIRE(allQuiet(space));
    const ItemId mount = chainOf(space.document.plan(), w.small).mount;
    REQUIRE(space.drag.begin({mount}));
    const PlanePoint from = space.document.plan().mounts.find(mount)->at;
    for (const PlanePoint step : {PlanePoint{4, 3}, PlanePoint{21, -8}, PlanePoint{-7, 12.5}}) {
        space.drag.moveTo(from + step);
        Plan there = space.document.plan();
        REQUIRE(apply(there, {"", {Put{space.drag.mounts().front()}}}));
        const auto study = cold(there, space.document.terrain());
        Review quick = reviewAll(*study, {false, {}});
        CHECK(cli::reviewJson(*space.live.study(), space.live.review()) == cli::reviewJson(*study, quick));
        CHECK(cli::ledgerJson(*space.live.study(), space.live.ledger(), nullptr) ==
              cli::ledgerJson(*study, &study->live(), nullptr));
        Fit fit = fitOf(*study, w.small);
        fit.buildable = !quick.blocked(w.small);
        CHECK(cli::fitJson(*space.live.study(), {*space.live.fit(w.small)}, false) ==
              cli::fitJson(*study, {fit}, false));
    }
    CHECK(space.document.history().count() == 0);
    space.drag.finish();
    CHECK(space.document.history().count() == 1);
    REQUIRE(allQuiet(space));
    const auto settled = settle(*cold(space.document.plan(), space.document.terrain()));
    REQUIRE(settled);
    REQUIRE(space.live.settled());
    CHECK(testing::bytesOf(*space.live.settled()) == testing::bytesOf(*settled));
}

TEST_CASE("Esc out of a drag leaves no trace", "[document]") {
    needGuiApp();
    Workspace space;
    WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(std::move(w.loaded)));
    REQUIRE(allQuiet(space));
    const Plan before = space.document.plan();
    const auto study = space.live.study();
    REQUIRE(space.drag.beginRadio(chainOf(before, w.small).radio));
    space.drag.turnTo(TrueAzimuth::of(270));
    CHECK(space.live.study() != study);
    space.drag.abandon();
    CHECK(space.live.study() == study);
    CHECK(space.document.plan() == before);
    CHECK_FALSE(space.jobs.resting());
}

TEST_CASE("A drag that begins while the plan is being computed gets its figures as soon as they are there",
          "[document]") {
    needGuiApp();
    Workspace space;
    WindowPlan w = windowPlan();
    REQUIRE(space.document.adopt(std::move(w.loaded)));
    REQUIRE(space.drag.beginRadio(chainOf(space.document.plan(), w.small).radio));
    space.drag.turnTo(TrueAzimuth::of(200));
    CHECK_FALSE(space.live.study());
    REQUIRE(QTest::qWaitFor([&] { return space.live.study() != nullptr; }, kPatienceMs));
    CHECK(
        space.live.study()->plan().radios.find(chainOf(space.document.plan(), w.small).radio)->azimuth.deg ==
        200);
    space.drag.abandon();
    CHECK(allQuiet(space));
}

TEST_CASE("Cancel answers within 0.2 s and the window's thread gets the outcome", "[jobs]") {
    needGuiApp();
    JobBoard jobs;
    std::atomic<bool> running = false;
    std::optional<Outcome> outcome;
    jobs.start(
        "k", "Long",
        [&](const Job& job) {
            running = true;
            while (!job.stopped()) std::this_thread::sleep_for(std::chrono::milliseconds(5));
        },
        [&](Outcome o) { outcome = o; });
    REQUIRE(QTest::qWaitFor([&] { return running.load(); }, kPatienceMs));
    CHECK(jobs.states().size() == 1);
    jobs.cancel("k");
    CHECK(QTest::qWaitFor([&] { return outcome.has_value(); }, kAtOnceMs));
    CHECK(outcome == Outcome::cancelled);
    CHECK(jobs.states().empty());
}

TEST_CASE("Of jobs under one key the newest wins, one after the other", "[jobs]") {
    needGuiApp();
    JobBoard jobs;
    std::vector<std::pair<int, Outcome>> order;
    std::atomic<int> at_once = 0;
    bool overlapped = false;
    for (int k = 0; k < 4; ++k)
        jobs.start(
            "k", "Job",
            [&](const Job& job) {
                if (++at_once > 1) overlapped = true;
                for (int n = 0; n < 4 && !job.stopped(); ++n)
                    std::this_thread::sleep_for(std::chrono::milliseconds(2));
                --at_once;
            },
            [&order, k](Outcome o) { order.emplace_back(k, o); });
    REQUIRE(jobs.waitForDone(kPatienceMs));
    CHECK_FALSE(overlapped);
    REQUIRE(order.size() == 4);
    CHECK(order.back() == std::pair(3, Outcome::done));
    for (int k = 0; k < 3; ++k) CHECK(order[static_cast<std::size_t>(k)].second == Outcome::cancelled);
}

TEST_CASE("Jobs rest while a button is down, and a resting one can be cancelled", "[jobs]") {
    needGuiApp();
    JobBoard jobs;
    jobs.setResting(true);
    std::atomic<bool> ran = false, steadyRan = false;
    jobs.start("rests", "Job", [&](const Job&) { ran = true; }, {});
    jobs.start(
        "steady", "Job", [&](const Job&) { steadyRan = true; }, {}, JobBoard::Manner::steady);
    CHECK(QTest::qWaitFor([&] { return steadyRan.load(); }, kPatienceMs));
    QTest::qWait(30);
    CHECK_FALSE(ran);
    std::optional<Outcome> outcome;
    jobs.start(
        "cancelled", "Job", [](const Job&) {}, [&](Outcome o) { outcome = o; });
    jobs.cancel("cancelled");
    CHECK(QTest::qWaitFor([&] { return outcome == Outcome::cancelled; }, kAtOnceMs));
    jobs.setResting(false);
    CHECK(QTest::qWaitFor([&] { return ran.load(); }, kPatienceMs));
    CHECK(jobs.waitForDone(2000));
}

TEST_CASE("What goes aside waits while a frame is made, though not for ever, and can be cancelled",
          "[jobs]") {
    needGuiApp();
    JobBoard jobs;
    std::atomic<int> steps = 0;
    std::optional<Outcome> outcome;
    jobs.setResting(true); // a button is down
    jobs.start(
        "aside", "Job",
        [&](const Job& job) {
            while (!job.stopped()) {
                job.report(0, "step");
                ++steps;
                std::this_thread::sleep_for(std::chrono::milliseconds(1));
            }
        },
        [&](Outcome o) { outcome = o; }, JobBoard::Manner::aside);
    REQUIRE(QTest::qWaitFor([&] { return steps > 3; }, kPatienceMs));
    jobs.setInFrame(true);
    QElapsedTimer since;
    since.start();
    const int before = steps;
    QTest::qWait(200);
    const int made = steps - before;
    CHECK(made <= since.elapsed() / 20 + 2); // where frames leave no gap, one every 20 ms
    CHECK(QTest::qWaitFor([&] { return steps > before; }, kPatienceMs));
    jobs.cancel("aside");
    CHECK(QTest::qWaitFor([&] { return outcome == Outcome::cancelled; }, kAtOnceMs));
}
