// SPDX-License-Identifier: GPL-3.0-or-later
// From a plan to a choice: footprints held against the study's own levels, edits against plans set up by
// hand.
#include "catch.h"
#include "siting/choice_edit.h"
#include "siting/variant_cost.h"
#include "store/folder.h"
#include "study/chance.h"
#include "study/hand_plan.h"
#include "study/settled.h"
#include "support/places.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;

namespace {

// A full cell to the west; houses, and poles among them.
struct Row {
    HandPlan hand;
    ItemId cell;
    std::vector<ItemId> mounts;
    Plan plan;
    std::shared_ptr<const Terrain> terrain;
    std::shared_ptr<const Study> study;
    double target = 0.6; ///< PRB use

    explicit Row(int poles = 5) {
        cell = hand.macro(place(-230, 0), 90, 0.9);
        Cell c = *hand.plan.cells.find(cell);
        c.load.dailyDlPrbUse.assign(7, 0.9);
        c.load.userThroughputMbps = 1;
        hand.plan.cells.put(c);
        for (int k = 0; k < 5; ++k) {
            hand.building(place(20 + 45.0 * k, 40), 20, 4);
            hand.building(place(20 + 45.0 * k, -40), 20, 3);
        }
        for (int k = 0; k < poles; ++k) {
            Mount m;
            m.id = nextId();
            m.name = fmt::format("P-{}", k + 1);
            m.at = place(45.0 * k, k % 2 == 0 ? 12 : -12);
            hand.plan.mounts.put(m);
            mounts.push_back(m.id);
        }
        compute();
    }
    ItemId nextId() { return hand.plan.lastId = hand.plan.nextId(); }
    void compute() {
        plan = hand.done();
        PlanSettings settings = *plan.settings;
        settings.model.targetUse = target;
        plan.settings = std::make_shared<const PlanSettings>(settings);
        terrain = std::make_shared<const Terrain>(Terrain{});
        auto made = Study::advance(nullptr, plan, terrain);
        REQUIRE(made);
        study = *made;
    }
    [[nodiscard]] ChoiceAsk ask(int count) const {
        ChoiceAsk a;
        a.budget = count;
        a.threads = 1;
        return a;
    }
};

} // namespace

TEST_CASE("a footprint holds exactly the places where the cell is the stronger, azimuth by azimuth",
          "[choose]") {
    Row s(3);
    const auto feed = choiceFeed(*s.study, s.study->live(), s.ask(2), {});
    REQUIRE(feed);
    REQUIRE(feed->spots.size() == 3);
    // The same cells, each built at one azimuth, as the study computes them: sums over its 4 m pixels and
    // indoor receivers through levels alone.
    for (std::size_t k = 0; k < feed->spots.size(); ++k)
        for (const int at : {0, 7, 9, 18, 29}) {
            CAPTURE(k, at);
            const auto step = static_cast<std::uint16_t>(at);
            Plan plan = s.plan;
            Radio r = feed->spots[k].radio;
            r.id = plan.nextId();
            r.azimuth = azimuthOf(step);
            SmallCell c = feed->spots[k].cell;
            c.id = {r.id.v + 1};
            c.radio = r.id;
            c.variant = plan.settings->activeVariant;
            REQUIRE(apply(plan, Edit{"build", {Put{r}, Put{c}}}));
            const auto built = Study::advance(nullptr, plan, s.terrain);
            REQUIRE(built);
            const StudyCore& core = (*built)->core();
            const SmallSource source = core.source(0);
            std::int64_t open = 0, all = 0;
            for (const TilePart& t : core.base->tiles) {
                const auto& layer = t.levels->layers[0];
                const auto take = [&](std::size_t i, int level) {
                    const std::int64_t cost = t.cost->layers[0][i];
                    if (cost <= 0 || level == kNoLevel || level < levelOf(layer.strongest[0][i])) return;
                    all += static_cast<std::int64_t>(static_cast<double>(cost) / kPrbUnit * kWorthUnit);
                };
                for (int y = 0; y < kTilePixels; ++y)
                    for (int x = 0; x < kTilePixels; ++x)
                        take(static_cast<std::size_t>(y * kTilePixels + x),
                             smallLevel(source, t.receivers->key.x * kTilePixels + x - source.path->pixelX,
                                        t.receivers->key.y * kTilePixels + y - source.path->pixelY));
                for (const auto& list : source.path->indoor)
                    if (list.key == t.receivers->key)
                        for (const auto& in : list.list) take(in.receiver, smallLevelIndoor(source, in));
            }
            for (const auto& run : feed->problem.mounts[k].runs)
                if (inRange(run.at, step, kFootprintSteps)) open += feed->problem.worth[run.place];
            CHECK(open == all);
            CHECK(all > 0);
        }
}

TEST_CASE("a choice in the plan is what it says, and one undo takes it back", "[choose]") {
    Row s;
    const auto ask = s.ask(2);
    const auto p = planChoice(s.study, s.terrain, ask, {});
    REQUIRE(p);
    CHECK(p->choice.chosen.size() == 2);
    const auto edit = choiceEdit(s.plan, p->feed, p->choice, true);
    REQUIRE(edit);
    Plan plan = s.plan;
    const auto undo = apply(plan, *edit);
    REQUIRE(undo);
    CHECK(plan.smallCells.size() == 2);
    for (const ChosenOption& o : p->choice.chosen) {
        const ItemId mount = p->feed.spots[o.option.mount].mount;
        int here = 0;
        for (const Radio& r : plan.radios) here += r.mount == mount && r.azimuth == azimuthOf(o.option.step);
        CHECK(here == 1);
    }
    // The settled value stated beside it, computed by itself.
    const auto after = Study::advance(nullptr, plan, s.terrain);
    REQUIRE(after);
    const auto ledger = settle(**after);
    REQUIRE(ledger);
    double relief = 0;
    for (const LedgerLine& l : ledger->cells)
        for (const auto& part : l.relief) relief += 100 * part.use;
    CHECK(p->reliefPoints == Approx(relief).epsilon(1e-12));
    CHECK(p->reliefPoints > 0);
    REQUIRE(apply(plan, *undo));
    CHECK(plan == s.plan);
}

TEST_CASE("the working of one of a choice counts its relief once more, and its cost comes to the sum",
          "[choose]") {
    Row s;
    auto ask = s.ask(2);
    ask.inMoney = true;
    ask.budget = 60000;
    const CostTable costs;
    const auto p = planChoice(s.study, s.terrain, ask, costs);
    REQUIRE(p);
    REQUIRE(p->choice.chosen.size() >= 2);
    for (const ChosenOption& o : p->choice.chosen) {
        const Working w = workingOf(s.plan, *p, ask, costs, o);
        const auto step = [&](const char* what) {
            const auto it = std::find_if(w.steps.begin(), w.steps.end(),
                                         [&](const WorkingStep& at) { return at.what == what; });
            REQUIRE(it != w.steps.end());
            return it->value;
        };
        // The search keeps gains up to date step by step; the working counts places anew.
        CHECK(step("marginal relief") == static_cast<double>(o.marginal) / kWorthUnit);
        CHECK(step("relief alone") == static_cast<double>(o.alone) / kWorthUnit);
        CHECK(step("radio") + step("site") == static_cast<double>(o.cost));
        CHECK(w.inputs.back().origin.find("replace with yours") != std::string::npos);
    }
    for (const SettledTarget& t : p->targets)
        CHECK(workingOf(s.plan, t).steps.back().value == Approx(100 * t.after));
    // A variant that holds the set and nothing else costs what the search counted.
    Plan plan = s.plan;
    const auto edit = choiceEdit(plan, p->feed, p->choice, true);
    REQUIRE(edit);
    REQUIRE(apply(plan, *edit));
    CHECK(variantCost(plan, plan.settings->activeVariant, costs).total == p->choice.cost);
}

TEST_CASE("stopped while it searches, the choice stands without the full model's figures", "[choose]") {
    Row s;
    auto ask = s.ask(2);
    std::stop_source stop;
    Job job;
    job.stop = stop.get_token();
    const auto atOnce = [&](const ChoicePoint&) { stop.request_stop(); };
    for (const bool keep : {true, false}) {
        ask.keepStopped = keep;
        const auto p = planChoice(s.study, s.terrain, ask, {}, atOnce, job);
        stop = std::stop_source{};
        job.stop = stop.get_token();
        REQUIRE(p.ok() == keep);
        if (!keep) {
            CHECK(p.error().code == ErrorCode::cancelled);
            continue;
        }
        CHECK(p->choice.stopped);
        CHECK_FALSE(p->settled);
        CHECK(p->targets.empty());
        CHECK(p->choice.chosen.size() == 2);
        Plan plan = s.plan;
        const auto edit = choiceEdit(plan, p->feed, p->choice, true);
        REQUIRE(edit);
        REQUIRE(apply(plan, *edit));
        CHECK(plan.smallCells.size() == 2);
    }
}

TEST_CASE("of the sets that reach a target by the full model the one that is told is as small as any",
          "[choose]") {
    Row s;
    for (const double target : {0.7, 0.55}) {
        CAPTURE(target);
        s.target = target;
        s.compute();
        auto ask = s.ask(0);
        ask.goal = ChoiceGoal::reachTargets;
        const auto p = planChoice(s.study, s.terrain, ask, {});
        REQUIRE(p);
        REQUIRE(p->targets.at(0).reached());
        // With one radio less, by every mount and azimuth that could be the most relief, it is missed.
        auto less = s.ask(static_cast<int>(p->choice.cost) - 1);
        if (less.budget == 0) continue;
        const auto most = planChoice(s.study, s.terrain, less, {});
        REQUIRE(most);
        CHECK(most->targets.at(0).after > target);
    }
}

TEST_CASE("a target asked for at a chance is reached in that share of draws made by themselves", "[choose]") {
    Row s;
    // A target that one radio just meets by the ledger: by the draws about as often as not.
    const auto one = planChoice(s.study, s.terrain, s.ask(1), {});
    REQUIRE(one);
    s.target = one->targets.at(0).after + 0.001;
    s.compute();
    auto ask = s.ask(0);
    ask.goal = ChoiceGoal::reachTargets;
    ask.draws = 200;
    // Drawn from a cold computation of the plan with the choice in it.
    const auto chanceWith = [&](const PlannedChoice& p) {
        Plan plan = s.plan;
        const auto edit = choiceEdit(plan, p.feed, p.choice, true);
        REQUIRE(edit);
        REQUIRE(apply(plan, *edit));
        const auto built = Study::advance(nullptr, plan, s.terrain);
        REQUIRE(built);
        const auto ledger = settle(**built);
        REQUIRE(ledger);
        const auto chance = chanceOf(**built, *ledger, {ask.draws, ask.seed, 1, 0.9});
        REQUIRE(chance);
        for (const CellChance& c : chance->cells)
            if (c.cell == s.cell) return c.reaches;
        return 0.0;
    };
    const auto plain = planChoice(s.study, s.terrain, ask, {});
    REQUIRE(plain);
    CHECK_FALSE(plain->targets.at(0).chance);
    ask.chance = 0.9;
    const auto sure = planChoice(s.study, s.terrain, ask, {});
    REQUIRE(sure);
    REQUIRE(sure->targets.at(0).chance);
    const double with = chanceWith(*sure), without = chanceWith(*plain);
    INFO("chance " << without << " without asking, " << with << " with");
    CHECK(without < 0.9);
    CHECK(with >= 0.9);
    CHECK(*sure->targets[0].chance == with);
    CHECK(sure->targets[0].atChance <= sure->targets[0].target + 1e-9);
    CHECK(sure->choice.cost >= plain->choice.cost);

    ask.chance = 1;
    CHECK_FALSE(planChoice(s.study, s.terrain, ask, {}));
    ask.chance = 0.9;
    ask.goal = ChoiceGoal::mostRelief;
    CHECK_FALSE(planChoice(s.study, s.terrain, ask, {}));
}

TEST_CASE("a choice as a variant of its own leaves the active one alone", "[choose]") {
    Row s;
    s.hand.small(place(200, 30), 180);
    s.compute();
    const auto p = planChoice(s.study, s.terrain, s.ask(1), {});
    REQUIRE(p);
    CHECK(p->choice.chosen.size() == 2); // one stands and costs nothing
    const auto made = choiceVariant(s.plan, p->feed, p->choice, "Chosen");
    REQUIRE(made);
    Plan plan = s.plan;
    REQUIRE(apply(plan, made->edit));
    CHECK(plan.settings->activeVariant == s.plan.settings->activeVariant);
    int active = 0, own = 0;
    for (const SmallCell& c : plan.smallCells) (c.variant == made->variant ? own : active) += 1;
    CHECK(active == 1);
    CHECK(own == 2);
    CHECK_FALSE(choiceVariant(plan, p->feed, p->choice, "Chosen"));
}

TEST_CASE("owners, must, must not, spacing and streets are followed", "[choose]") {
    Row s;
    const auto mountsOf = [&](const ChoiceAsk& ask) {
        std::vector<ItemId> out;
        const auto feed = choiceFeed(*s.study, s.study->live(), ask, {});
        REQUIRE(feed);
        ChooseOptions o;
        o.budget = ask.budget;
        const auto c = choose(feed->problem, o);
        REQUIRE(c);
        for (const auto& each : c->chosen) out.push_back(feed->spots[each.option.mount].mount);
        return out;
    };
    const auto has = [](const std::vector<ItemId>& list, ItemId id) {
        return std::find(list.begin(), list.end(), id) != list.end();
    };
    const auto best = mountsOf(s.ask(1));
    REQUIRE(best.size() == 1);
    ChoiceAsk ask = s.ask(1);
    ask.mustNot = best;
    CHECK_FALSE(has(mountsOf(ask), best[0]));
    const ItemId other = s.mounts[0] == best[0] ? s.mounts[4] : s.mounts[0];
    ask.mustNot.clear();
    ask.must = {other};
    CHECK(mountsOf(ask) == std::vector{other});
    ask.mustNot = {other};
    CHECK_FALSE(choiceFeed(*s.study, s.study->live(), ask, {}));

    Mount m = *s.hand.plan.mounts.find(best[0]);
    m.consent = ConsentState::refused;
    s.hand.plan.mounts.put(m);
    s.compute();
    CHECK_FALSE(has(mountsOf(s.ask(5)), best[0]));

    ask = s.ask(5);
    ask.spacingM = 100;
    const auto apart = mountsOf(ask);
    for (const ItemId a : apart)
        for (const ItemId b : apart)
            if (a != b) CHECK(planeDistance(s.plan.mounts.find(a)->at, s.plan.mounts.find(b)->at) >= 99.9);
    Street street;
    street.id = s.nextId();
    street.path = {place(-10, 0), place(250, 0)};
    s.hand.plan.streets.put(street);
    s.compute();
    ask = s.ask(5);
    ask.perStreet = 2;
    CHECK(mountsOf(ask).size() == 2);
}

TEST_CASE("what a plan cannot give is said in a sentence", "[choose]") {
    Row s;
    ChoiceAsk ask = s.ask(1);
    ask.cells = {s.mounts[0]};
    const auto odd = choiceFeed(*s.study, s.study->live(), ask, {});
    REQUIRE_FALSE(odd);
    CHECK(odd.error().text.find("no measured load") != std::string::npos);
    ask = s.ask(1);
    ask.must = {s.cell};
    CHECK(choiceFeed(*s.study, s.study->live(), ask, {}).error().text.find("not a mount") !=
          std::string::npos);
    ask = s.ask(1);
    ask.mustNot = s.mounts;
    CHECK(choiceFeed(*s.study, s.study->live(), ask, {}).error().text.find("no mount to choose") !=
          std::string::npos);
}

TEST_CASE("the table of costs reads as shipped and says what is wrong with another", "[choose]") {
    const std::string shipped = bytesOf(fw::testing::sourceFile("resources/costs.toml"));
    const auto costs = costsFromToml(shipped);
    REQUIRE(costs);
    CHECK(*costs == CostTable{});
    for (std::size_t at = 0, end = 0; at < shipped.size(); at = end + 1) { // every figure is marked
        end = std::min(shipped.find('\n', at), shipped.size());
        const std::string line = shipped.substr(at, end - at);
        if (line.find(" = ") != std::string::npos)
            CHECK(line.find("replace with yours") != std::string::npos);
    }
    const auto says = [](const char* text) { return costsFromToml(text).error().sentence(); };
    CHECK(says("[mount]\npole = -3\n").find("line 2: 'mount.pole' is -3") != std::string::npos);
    CHECK(says("[mount]\npale = 3\n").find("line 2: there is no cost called 'mount.pale'") !=
          std::string::npos);
    CHECK(says("[mount]\npole = \"dear\"\n").find("must be a number") != std::string::npos);
    CHECK(says("pole = 3\n").find("outside every table") != std::string::npos);
    CHECK(says("[mount\n").find("this is not TOML") != std::string::npos);

    // By hand: 20 m of fibre on the mount, power 1.3 times 30 m away.
    Row s(1);
    Mount m = *s.plan.mounts.find(s.mounts[0]);
    m.fibreM = 20;
    Plan plan = s.plan;
    PowerTap tap;
    tap.id = plan.nextId();
    tap.at = m.at + PlanePoint{30, 0};
    plan.powerTaps.put(tap);
    CHECK(costOf(plan, m, {}).site() == Approx(5000 + 1500 + 20 * 60 + 1200 + 39 * 45 + 300));
}
