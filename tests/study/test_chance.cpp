// SPDX-License-Identifier: GPL-3.0-or-later
// Draws of the ledger held against closed forms where there are any, against the ledger itself, against plans
// changed by hand, and against each other.
#include "base/log_exp.h"
#include "catch.h"
#include "plan/variant_edits.h"
#include "study/chance_draw.h"
#include "study/hand_plan.h"
#include "study/settled.h"
#include "support/random_plan.h"

#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

// A full macro, houses round a small cell towards its rim.
struct HousesAtTheRim {
    HandPlan hand;
    ItemId macro, small;
    explicit HousesAtTheRim(Carrier carrier = {}, bool neighbour = true) {
        macro = hand.macro(place(neighbour ? -200 : -600, 0), 90, 0.8);
        if (neighbour) hand.macro(place(230, 200), 225, 0.4);
        for (int k = 0; k < 12; ++k)
            hand.building(place(20 + 40.0 * (k % 4), -60 + 50.0 * (k / 4)), 16, 2 + k % 3);
        small = hand.small(place(80, 15), 60, carrier);
    }
};

double mean(const std::vector<double>& v) {
    double sum = 0;
    for (const double x : v) sum += x;
    return sum / static_cast<double>(v.size());
}
double deviation(const std::vector<double>& v) {
    const double m = mean(v);
    double sum = 0;
    for (const double x : v) sum += (x - m) * (x - m);
    return std::sqrt(sum / static_cast<double>(v.size() - 1));
}

// Use after of one cell in each of `count` draws.
std::vector<double> draws(const Study& study, const ChanceSpots& spots, ItemId cell,
                          std::array<bool, kChanceInputs> which, int count) {
    const ChanceDraws draws(study.core(), spots, 1);
    const auto c = static_cast<std::size_t>(study.core().cellIndex(cell));
    std::vector<double> out;
    Drawn drawn;
    DrawSums sums;
    DrawLoads loads;
    for (int n = 0; n < count; ++n) {
        draws.draw(static_cast<std::size_t>(n), which, drawn);
        draws.loads(drawn, sums, loads);
        out.push_back(loads.after[c]);
    }
    return out;
}

constexpr std::array<bool, kChanceInputs> kShadowing{true, false, false, false},
    kDemandOnly{false, true, false, false}, kBuildOnly{false, false, true, false};

} // namespace

TEST_CASE("with nothing drawn the loads are the ledger's, live and settled") {
    const auto study = studyOf(HousesAtTheRim().hand.done());
    const auto settled = settle(*study);
    REQUIRE(settled);
    for (const Ledger* ledger : {&study->live(), &*settled}) {
        const ChanceSpots spots = spotsOf(study->core(), *ledger, {}, 1);
        REQUIRE(spots.spots.size() > 100);
        const ChanceDraws none(study->core(), spots, 1);
        DrawSums sums;
        DrawLoads loads;
        none.loads({}, sums, loads);
        for (const LedgerLine& line : ledger->cells) {
            INFO(study->plan().label(line.cell));
            // Costs are rounded down at each receiver; the settled loads agree to a hundredth of a point.
            CHECK(loads.after[static_cast<std::size_t>(study->core().cellIndex(line.cell))] ==
                  Approx(line.after).margin(ledger->kind == Ledger::Kind::live ? 1e-6 : 3e-4));
        }
    }
}

TEST_CASE("the chance that a small cell wins a place is the normal distribution's", "[slow]") {
    // P(margin + S_small - S_macro > 0), both normal, correlated: Phi(margin / sigma_d).
    const auto study = studyOf(HousesAtTheRim().hand.done());
    const ModelSettings& m = study->plan().settings->model;
    const double sigma = std::sqrt(m.macroSigmaDb * m.macroSigmaDb + m.smallSigmaDb * m.smallSigmaDb -
                                   2 * m.shadowCorrelation * m.macroSigmaDb * m.smallSigmaDb);
    ChanceSpots spots = spotsOf(study->core(), study->live(), {}, 1);
    spots.costElsewhere.clear();
    spots.reliefElsewhere.clear();
    int looked = 0;
    for (std::size_t i = 0; i < spots.spots.size(); i += 17) {
        ChanceSpots one = spots;
        one.spots = {spots.spots[i]};
        const ChanceDraws draws(study->core(), one, 5);
        const int count = 1200;
        int won = 0;
        Drawn drawn;
        DrawSums sums;
        DrawLoads loads;
        for (int n = 0; n < count; ++n) {
            draws.draw(static_cast<std::size_t>(n), kShadowing, drawn);
            draws.loads(drawn, sums, loads);
            won += sums.relief[spots.spots[i].rival[0].pair[0]] > 0;
        }
        const double p = normalCdfFixed(spots.spots[i].rival[0].marginCenti / 100.0 / sigma);
        INFO("margin " << spots.spots[i].rival[0].marginCenti / 100.0 << " dB");
        CHECK(won / static_cast<double>(count) ==
              Approx(p).margin(4.5 * std::sqrt(p * (1 - p) / count) + 0.003));
        ++looked;
    }
    CHECK(looked > 5);
}

TEST_CASE("over many draws of shadowing the mean use is what the ledger says", "[slow]") {
    const bool own = GENERATE(false, true);
    HousesAtTheRim town(own ? bandForty() : Carrier{});
    const auto study = studyOf(town.hand.done());
    const LedgerLine& line = *lineOf(study->live(), town.macro);
    REQUIRE(line.before - line.after > 0.02);
    const ChanceSpots spots = spotsOf(study->core(), study->live(), {}, 1);
    const auto after = draws(*study, spots, town.macro, kShadowing, 1500);
    INFO("ledger " << line.after << ", draws " << mean(after) << " +- " << deviation(after));
    CHECK(deviation(after) > 0.002);
    // The ledger's five points of macro shadowing are good to about 3 % of the relief (see the users drawn
    // one by one in test_load_twin).
    CHECK(mean(after) ==
          Approx(line.after)
              .margin(4 * deviation(after) / std::sqrt(1500.0) + 0.04 * (line.before - line.after)));
}

TEST_CASE("shadowing over longer distances makes a verdict less sure", "[slow]") {
    HousesAtTheRim near, far;
    near.hand.set.spread.macroShadowM = near.hand.set.spread.smallShadowM = 5;
    far.hand.set.spread.macroShadowM = far.hand.set.spread.smallShadowM = 200;
    std::vector<double> spreads;
    for (HousesAtTheRim* t : {&near, &far}) {
        const auto study = studyOf(t->hand.done());
        const ChanceSpots spots = spotsOf(study->core(), study->live(), {}, 1);
        spreads.push_back(deviation(draws(*study, spots, t->macro, kShadowing, 400)));
    }
    CHECK(spreads[1] > 1.25 * spreads[0]); // dear places are few here
}

TEST_CASE("shadowing of a macro and a small cell at one place agree as the plan says", "[slow]") {
    HousesAtTheRim town;
    town.hand.set.model.shadowCorrelation = GENERATE(0.0, 0.5, 0.8);
    const auto study = studyOf(town.hand.done());
    const double rho = study->plan().settings->model.shadowCorrelation;
    const ChanceSpots spots = spotsOf(study->core(), study->live(), {}, 1);
    const ChanceDraws draws(study->core(), spots, 3);
    const Spot& s = spots.spots[spots.spots.size() / 2];
    double product = 0;
    const int count = 4000;
    Drawn drawn;
    for (int n = 0; n < count; ++n) {
        draws.draw(static_cast<std::size_t>(n), kShadowing, drawn);
        const auto z = [&](std::int32_t at) { return static_cast<double>(drawn.shadow[at]); };
        const double a = std::sqrt(rho), b = std::sqrt(1 - rho);
        product += (a * z(s.common) + b * z(s.site)) * (a * z(s.common) + b * z(s.rival[0].shadow));
    }
    CHECK(product / count == Approx(rho).margin(4 * std::sqrt((1 + rho * rho) / count)));
}

TEST_CASE("demand off by squares spreads the relief as its own sums say", "[slow]") {
    HousesAtTheRim town;
    const auto study = studyOf(town.hand.done());
    const ChanceSpots spots = spotsOf(study->core(), study->live(), {}, 1);
    const auto c = static_cast<std::size_t>(study->core().cellIndex(town.macro));
    // Relief R = sum r_q g_q over cost C = sum c_q g_q, with g log-normal: to first order the share's
    // variance is sum (r_q / R - c_q / C)^2 var(g) / mean(g)^2, var(g) / mean(g)^2 = exp(s^2) - 1, s in
    // natural units.
    std::map<std::int32_t, std::pair<double, double>> by;
    double relief = 0, cost = 0;
    const auto add = [&](std::int32_t q, double r, double k) {
        by[q].first += r;
        by[q].second += k;
        relief += r;
        cost += k;
    };
    for (const auto* list : {&spots.costAtSpots, &spots.costElsewhere})
        for (const SquareCost& s : *list)
            if (s.view.at[0].macro == c) add(s.square, -s.harm, s.cost);
    for (const auto* list : {&spots.reliefAtSpots, &spots.reliefElsewhere})
        for (const SquareRelief& s : *list)
            if ((spots.pairs[s.pair[0]] & 0xffff) == c) add(s.square, s.relief, 0);
    double spread = 0;
    for (const auto& [q, v] : by) spread += std::pow(v.first / relief - v.second / cost, 2);
    const double natural = 1.5 * std::log(10) / 10; // small enough for the first order: 1.5 dB
    town.hand.set.spread.demandDb = 1.5;
    const auto calm = studyOf(town.hand.done());
    const ChanceSpots calmSpots = spotsOf(calm->core(), calm->live(), {}, 1);
    const auto after = draws(*calm, calmSpots, town.macro, kDemandOnly, 2000);
    const double expected = relief / calm->macroCell(town.macro)->resourceBlocks *
                            std::sqrt(spread * (std::exp(natural * natural) - 1));
    CHECK(deviation(after) ==
          Approx(expected).epsilon(0.1)); // 2000 draws: 1.6 %; second order: some per cent
}

TEST_CASE("a radio built off its azimuth relieves what a plan with that azimuth says") {
    HousesAtTheRim town;
    const auto study = studyOf(town.hand.done());
    const ChanceSpots spots = spotsOf(study->core(), study->live(), {}, 1);
    const ChanceDraws draws(study->core(), spots, 1);
    const auto c = static_cast<std::size_t>(study->core().cellIndex(town.macro));
    const SmallCell cell = *town.hand.plan.smallCells.find(town.small);
    for (const int off : {-120, -50, 50, 120}) { // 0.1 deg
        Drawn d;
        d.azimuth = {off};
        d.tilt = {0};
        DrawSums sums;
        DrawLoads loads;
        draws.loads(d, sums, loads);
        Plan changed = town.hand.done();
        Radio r = *changed.radios.find(cell.radio);
        r.azimuth = TrueAzimuth::of(r.azimuth.deg + off / 10.0);
        changed.radios.put(r);
        const auto there = studyOf(changed);
        INFO("off by " << off / 10.0 << " deg");
        CHECK(loads.after[c] == Approx(lineOf(there->live(), town.macro)->after).margin(0.003)); // 4 % of it
    }
}

namespace {

// Use after of a cell when macro cells stand off their listed azimuths: as a draw has it, and as a plan whose
// sectors are turned has it.
struct TurnedUse {
    double drawn = 0, planned = 0;
};
TurnedUse turnedUse(const Plan& plan, const Study& study, ItemId cell, const std::vector<int>& off) {
    const ChanceSpots spots = spotsOf(study.core(), study.live(), {}, 1);
    const ChanceDraws draws(study.core(), spots, 1);
    Drawn d;
    d.listed = off;
    DrawSums sums;
    DrawLoads loads;
    draws.loads(d, sums, loads);
    Plan turned = plan;
    for (std::size_t n = 0; n < off.size(); ++n) {
        Sector s = *turned.sectors.find(study.macroCells()[n].sector);
        s.azimuth = TrueAzimuth::of(s.azimuth.deg + off[n] / 10.0);
        turned.sectors.put(s);
    }
    const auto there = studyOf(turned);
    return {loads.after[static_cast<std::size_t>(study.core().cellIndex(cell))],
            lineOf(there->live(), cell)->after};
}

} // namespace

TEST_CASE("a macro that stands off its listed azimuth weighs places as a plan with that azimuth does") {
    HousesAtTheRim town({}, false);
    const auto study = studyOf(town.hand.done());
    const double nominal = lineOf(study->live(), town.macro)->after;
    for (const int off : {-200, -70, 70, 200}) {
        const TurnedUse use = turnedUse(town.hand.done(), *study, town.macro, {off});
        INFO("off by " << off / 10.0 << " deg");
        const double change = std::fabs(use.planned - nominal);
        CHECK(change > 0.003);
        // Users at a place keep their part of those who move, where the plan divides them anew, and places
        // without a small cell as listed get none: it tells far off the usual 7 degrees.
        const double lost = std::abs(off) > 100 ? 0.4 : 0.2;
        CHECK(use.drawn == Approx(use.planned).margin(0.001 + lost * change));
        CHECK((use.drawn < nominal) == (use.planned < nominal));
    }
}

TEST_CASE("macros that stand off their listed azimuths part the ground anew, as turned plans do", "[slow]") {
    HandPlan hand;
    const ItemId full = hand.macro(place(-250, 0), 80, 0.8);
    Cell cell = *hand.plan.cells.find(full);
    cell.load.dailyDlPrbUse.assign(7, 0.8);
    cell.load.userThroughputMbps = 1.2;
    hand.plan.cells.put(cell);
    hand.macro(place(-250, 0), 200, 0.5);
    hand.macro(place(260, 150), 240, 0.4);
    hand.macro(place(150, -320), 330, 0.3);
    for (int k = 0; k < 30; ++k)
        hand.building(place(-160 + 70.0 * (k % 6), -170 + 80.0 * (k / 6)), 16, 2 + k % 3);
    hand.small(place(80, 15), 60, {});
    const Plan plan = hand.done();
    const auto study = studyOf(plan);
    const double nominal = lineOf(study->live(), full)->after;
    double drawn = 0, planned = 0, apart = 0, spread = 0;
    const int plans = 40;
    for (int n = 0; n < plans; ++n) {
        std::vector<int> off;
        for (std::uint64_t c = 0; c < 4; ++c)
            off.push_back(
                static_cast<int>(std::lround(70 * normalOf(mixed(7, static_cast<std::uint64_t>(n), c)))));
        const TurnedUse use = turnedUse(plan, *study, full, off);
        drawn += use.drawn / plans;
        planned += use.planned / plans;
        apart += std::pow(use.drawn - use.planned, 2) / plans;
        spread += std::pow(use.planned - nominal, 2) / plans;
    }
    INFO("spread " << std::sqrt(spread) << ", apart " << std::sqrt(apart));
    CHECK(std::sqrt(spread) > 0.01);
    // Places divide as listed and only the three strongest change: part of the spread is lost by that.
    CHECK(std::sqrt(apart) < 0.3 * std::sqrt(spread));
    CHECK(drawn == Approx(planned).margin(0.2 * std::sqrt(spread)));
}

TEST_CASE("chance is the same for any number of threads, and another for another seed") {
    Random random(4711);
    RandomPlanSpec spec;
    spec.areaM = 700;
    spec.buildings = 80;
    spec.mounts = 6;
    const auto study = studyOf(randomPlan(random, spec));
    const auto one = chanceOf(*study, study->live(), {60, 9, 1});
    const auto two = chanceOf(*study, study->live(), {60, 9, 2});
    const auto three = chanceOf(*study, study->live(), {60, 9, 3});
    const auto seed = chanceOf(*study, study->live(), {60, 10, 2});
    REQUIRE((one && two && three && seed));
    CHECK(*one == *two);
    CHECK(*one == *three);
    REQUIRE_FALSE(one->cells.empty());
    CHECK_FALSE(one->cells == seed->cells);
}

TEST_CASE("figures of chance hang together") {
    HousesAtTheRim town;
    const auto study = studyOf(town.hand.done());
    const auto chance = chanceOf(*study, study->live(), {300, 1, 2});
    REQUIRE(chance);
    REQUIRE_FALSE(chance->cells.empty());
    const auto cell = std::find_if(chance->cells.begin(), chance->cells.end(),
                                   [&](const CellChance& c) { return c.cell == town.macro; });
    REQUIRE(cell != chance->cells.end());
    CHECK(cell->after.p10 < cell->after.p50);
    CHECK(cell->after.p50 < cell->after.p90);
    CHECK(cell->reaches >= 0);
    CHECK(cell->reaches <= 1);
    // The target lies under the lower tenth, above the upper, or between.
    if (cell->target < cell->after.p10) CHECK(cell->reaches <= 0.1);
    if (cell->target >= cell->after.p90) CHECK(cell->reaches >= 0.9);
    for (std::size_t i = 0; i < kChanceInputs; ++i)
        CHECK(cell->alone[i].span() <= cell->alone[static_cast<std::size_t>(cell->widest)].span());
    const Working w = workingOf(*study, *chance, *cell);
    REQUIRE_FALSE(w.steps.empty());
    CHECK(w.steps.back().value == Approx(100 * cell->reaches));
    CHECK(w.source.find("38.901") != std::string::npos);
}

TEST_CASE("draws of what stays do not change when something else comes into the plan") {
    HousesAtTheRim town;
    const auto before = studyOf(town.hand.done());
    town.hand.small(place(-120, -150), 200);
    const auto after = studyOf(town.hand.done());
    const ChanceSpots a = spotsOf(before->core(), before->live(), {}, 1),
                      b = spotsOf(after->core(), after->live(), {}, 1);
    const ChanceDraws first(before->core(), a, 8), second(after->core(), b, 8);
    Drawn x, y;
    first.draw(3, {false, true, true, true}, x);
    second.draw(3, {false, true, true, true}, y);
    CHECK(x.azimuth.front() == y.azimuth.front());
    CHECK(x.listed == y.listed);
    std::map<std::uint64_t, double> by;
    for (std::size_t k = 0; k < a.squares.size(); ++k) by[a.squares[k]] = x.demand[k];
    for (std::size_t k = 0; k < b.squares.size(); ++k)
        if (const auto it = by.find(b.squares[k]); it != by.end()) CHECK(it->second == y.demand[k]);
}

TEST_CASE("variants with the same brackets are drawn alike, so that what parts them is seen the sharper") {
    HousesAtTheRim town;
    // A second radio on the mount: its bracket errs on its own.
    Radio second = *town.hand.plan.radios.find(town.hand.plan.smallCells.find(town.small)->radio);
    second.id = town.hand.plan.lastId = town.hand.plan.nextId();
    second.azimuth = TrueAzimuth::of(200);
    town.hand.plan.radios.put(second);
    SmallCell cell = *town.hand.plan.smallCells.find(town.small);
    cell.id = town.hand.plan.lastId = town.hand.plan.nextId();
    cell.radio = second.id;
    town.hand.plan.smallCells.put(cell);
    Plan plan = town.hand.done();
    const auto copy = copyVariant(plan, plan.settings->activeVariant);
    REQUIRE(copy);
    REQUIRE(apply(plan, copy->edit));
    // There its first radio is turned a little.
    Plan other = plan;
    PlanSettings as = *plan.settings;
    as.activeVariant = copy->variant;
    other.settings = std::make_shared<const PlanSettings>(as);
    Radio turned;
    for (const SmallCell& c : other.smallCells)
        if (c.variant == copy->variant && !turned.id) turned = *other.radios.find(c.radio);
    turned.azimuth = TrueAzimuth::of(turned.azimuth.deg + 8);
    other.radios.put(turned);

    const auto first = studyOf(plan), then = studyOf(other);
    const ChanceSpots a = spotsOf(first->core(), first->live(), {}, 1),
                      b = spotsOf(then->core(), then->live(), {}, 1);
    const ChanceDraws one(first->core(), a, 1), two(then->core(), b, 1);
    Drawn x, y;
    for (std::size_t n = 0; n < 20; ++n) {
        one.draw(n, kBuildOnly, x);
        two.draw(n, kBuildOnly, y);
        REQUIRE(x.azimuth.size() == 2);
        CHECK(x.azimuth == y.azimuth);
        CHECK(x.tilt == y.tilt);
        CHECK((x.azimuth[0] != x.azimuth[1] || x.tilt[0] != x.tilt[1]));
    }
    // Of draws that share nothing the variances would add up.
    const auto before = draws(*first, a, town.macro, kBuildOnly, 200),
               after = draws(*then, b, town.macro, kBuildOnly, 200);
    std::vector<double> apart;
    for (std::size_t k = 0; k < before.size(); ++k) apart.push_back(after[k] - before[k]);
    const auto variance = [](const std::vector<double>& v) { return deviation(v) * deviation(v); };
    INFO(deviation(before) << ", " << deviation(after) << ", apart " << deviation(apart));
    CHECK(variance(apart) < 0.5 * (variance(before) + variance(after)));
}

TEST_CASE("chance says what is wrong with its orders, and stops when told") {
    const auto study = studyOf(HousesAtTheRim().hand.done());
    for (const int draws : {0, -5, 100001}) {
        const auto none = chanceOf(*study, study->live(), {draws, 1, 1});
        REQUIRE_FALSE(none);
        CHECK(none.error().code == ErrorCode::badInput);
    }
    std::stop_source stop;
    Job job;
    job.stop = stop.get_token();
    int reports = 0;
    job.progress = [&](double share, std::string_view) {
        CHECK(share >= 0);
        CHECK(share <= 1);
        if (++reports == 3) stop.request_stop();
    };
    const auto stopped = chanceOf(*study, study->live(), {2000, 1, 2}, job);
    REQUIRE_FALSE(stopped);
    CHECK(stopped.error().code == ErrorCode::cancelled);
    CHECK(reports < 6);
}

TEST_CASE("what a verdict hangs on is named, with what spans about as much, or is nothing") {
    CellChance c;
    CHECK(hangsOn(c) == "nothing that is drawn");
    c.alone[1] = {0.5, 0.52, 0.56};
    c.widest = ChanceInput::demand;
    CHECK(hangsOn(c) == "demand");
    c.alone[3] = {0.5, 0.53, 0.556};
    CHECK(hangsOn(c) == "demand and macro azimuths");
    CHECK(inHundred(0.998) == 99);
    CHECK(inHundred(1) == 100);
    CHECK(inHundred(0.001) == 1);
    CHECK(inHundred(0) == 0);
}
