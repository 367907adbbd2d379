// SPDX-License-Identifier: GPL-3.0-or-later
// What users get, held against lists over receivers that know nothing of bins, points or tiles.
#include "catch.h"
#include "study/hand_plan.h"
#include "study/settled.h"
#include "study/user_rates.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

using namespace fw;
using namespace fw::testing;

namespace {

// Attenuated Shannon as TR 36.942, Annex A.1 prints it, with the floor of CQI 1.
double efficiencyByHand(double sinrDb) {
    const double raw = sinrDb < -10 ? 0 : std::min(4.4, 0.6 * std::log2(1 + std::pow(10.0, sinrDb / 10)));
    return std::max(0.15, raw);
}

struct User {
    double bits = 0, sinrDb = 0;
    PlanePoint at;
    bool indoors = false;
};

// Every receiver of a cell. Without shadowing its PRB cost is its bits over the efficiency.
std::vector<User> usersOf(const Study& study, ItemId id) {
    const int n = study.core().cellIndex(id);
    std::vector<User> out;
    for (const TilePart& t : study.core().base->tiles)
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k)
            for (std::size_t i = 0; i < t.cost->layers[k].size(); ++i) {
                const std::int64_t cost = t.cost->layers[k][i];
                if (cost <= 0 || rosterOf(t.levels->layers[k].strongest[0][i]) != n) continue;
                const double sinr = t.levels->layers[k].sinr[i] / 100.0;
                out.push_back({static_cast<double>(cost) * efficiencyByHand(sinr), sinr,
                               t.receivers->placeOf(i), i >= kTileArea});
            }
    return out;
}

// SINR that a share of the bits does not exceed.
double quantile(std::vector<User> users, double share) {
    std::sort(users.begin(), users.end(), [](const User& a, const User& b) { return a.sinrDb < b.sinrDb; });
    double all = 0, below = 0;
    for (const User& u : users) all += u.bits;
    for (const User& u : users) {
        below += u.bits;
        if (below >= share * all) return u.sinrDb;
    }
    return users.back().sinrDb;
}

// 100 PRB of 180 kHz at an efficiency, of which `use` is taken.
double mbps(double sinrDb, double use) { return 18 * (1 - use) * efficiencyByHand(sinrDb); }

// SINR is kept to 0.1 dB (half a step either way) and levels to 0.01; the least spread of shadowing, 0.1 dB,
// moves users by up to 0.29 dB.
constexpr double kSinrDb = 0.4;

struct Quiet : HandPlan {
    ItemId cell;
    explicit Quiet(double use = 0.8) {
        noShadowing();
        cell = macro(place(-180, 0), 90, use, 4);
        macro(place(180, 120), 250, 0.5, 4);
        for (int k = 0; k < 6; ++k) building(place(-90 + 40.0 * k, k % 2 ? 60 : -60), 18, 3);
    }
};

} // namespace

TEST_CASE("Before small cells the median and the five of a hundred are those of a list over all receivers") {
    Quiet town;
    const auto study = *compute(town.done());
    const auto rates = userRates(*study, study->live(), 1);
    REQUIRE(rates.size() == 2);
    for (const UserRates& r : rates) {
        const auto users = usersOf(*study, r.cell);
        REQUIRE(users.size() > 500);
        const double use = lineOf(study->live(), r.cell)->before;
        for (const auto& [rate, share] : {std::pair{r.before.median, 0.5}, std::pair{r.before.low, 0.05}}) {
            const double sinr = quantile(users, share);
            CHECK(rate.sinrDb == Approx(sinr).margin(kSinrDb));
            CHECK(rate.mbps >= mbps(sinr - kSinrDb, use) - 1e-9);
            CHECK(rate.mbps <= mbps(sinr + kSinrDb, use) + 1e-9);
        }
        // Nothing is built: the same after.
        REQUIRE(r.after);
        CHECK(r.stay == 1);
        CHECK(r.after->median.mbps == Approx(r.before.median.mbps));
    }
}

TEST_CASE("After, those that stay are counted: nine in ten devices leave where a small cell on its own "
          "carrier reaches") {
    Quiet town(0.45);
    const ItemId small = town.small(place(0, 0), 90, bandForty());
    const auto study = *compute(town.done());
    const auto rates = userRates(*study, study->live(), 1);
    const UserRates* r = ratesOf(rates, town.cell);
    REQUIRE(r);
    const Ledger& ledger = study->live();
    REQUIRE(useOf(ledger, small)->use <= useOf(ledger, small)->cap);
    // Relief counts PRB, what stays counts bits: with every user's own efficiency the one follows from the
    // other. Outdoors the level is asked for place by place; the few indoors stay between none and nine in
    // ten.
    double least = 0, most = 0, all = 0;
    std::vector<User> stays;
    for (const User& u : usersOf(*study, town.cell)) {
        all += u.bits;
        const auto level = study->smallAt(small, u.at);
        const bool reached = level && *level > town.set.model.ownCarrierFromDbm;
        User left = u;
        if (reached && !u.indoors) left.bits *= 1 - town.set.model.ownCarrierShare;
        stays.push_back(left);
        most += left.bits;
        least += u.indoors ? u.bits * (1 - town.set.model.ownCarrierShare) : left.bits;
    }
    CHECK(r->stay >=
          least / all - 0.01); // 0.01: receivers within 0.3 dB of the level from which devices move
    CHECK(r->stay <= most / all + 0.01);
    CHECK(r->stay < 0.9);
    REQUIRE(r->after);
    // Another carrier harms nobody: what the median gets follows from use and SINR alone.
    const double use = lineOf(ledger, town.cell)->after;
    CHECK(use < lineOf(ledger, town.cell)->before);
    CHECK(r->after->median.mbps == Approx(mbps(r->after->median.sinrDb, use)).epsilon(0.002));
    CHECK(r->after->low.mbps == Approx(mbps(r->after->low.sinrDb, use)).epsilon(0.002));
    CHECK(r->after->low.mbps > r->before.low.mbps);
}

TEST_CASE("A small cell on the macros' carrier takes bits and harms those that stay") {
    Quiet town;
    town.set.model.macroSigmaDb = 6;
    town.set.model.smallSigmaDb = 7;
    town.small(place(20, 0), 90);
    const auto study = *compute(town.done());
    const auto before = *compute([&] {
        Plan p = town.done();
        for (SmallCell c : std::vector<SmallCell>(p.smallCells.begin(), p.smallCells.end())) {
            c.chosen = false;
            p.smallCells.put(c);
        }
        return p;
    }());
    const Ledger settled = *settle(*study);
    for (const Ledger* ledger : {&study->live(), &settled}) {
        const auto rates = userRates(*study, *ledger, 1);
        const UserRates* r = ratesOf(rates, town.cell);
        const auto was = userRates(*before, before->live(), 1);
        REQUIRE(r);
        REQUIRE(r->after);
        CHECK(r->stay < 1);
        CHECK(r->stay > 0.2);
        // The state before does not know of the small cell.
        CHECK(r->before.median.mbps == Approx(ratesOf(was, town.cell)->before.median.mbps));
        // By PRB and by bits about the same share leaves; users of the fringe are dearer than the mean.
        const LedgerLine* line = lineOf(*ledger, town.cell);
        double relief = 0;
        for (const auto& p : line->relief) relief += p.use;
        CHECK(1 - r->stay == Approx(relief / (line->before - line->fixed)).margin(0.25));
        for (const bool median : {true, false}) {
            const Working w = workingOfRates(*study, *r, median);
            CHECK(w.steps.back().value == Approx((median ? r->after->median : r->after->low).mbps));
            CHECK(w.steps.back().unit == "Mbit/s");
            CHECK_FALSE(w.source.empty());
        }
        const auto many = userRates(*study, *ledger, 3);
        REQUIRE(many.size() == rates.size());
        for (std::size_t k = 0; k < many.size(); ++k) {
            CHECK(many[k].before.low.mbps == rates[k].before.low.mbps);
            CHECK(many[k].after->low.mbps == rates[k].after->low.mbps);
            CHECK(many[k].stay == rates[k].stay);
        }
    }
}

TEST_CASE("A full cell leaves nothing, a cell without a measured load has no figure, a stopped search none") {
    HandPlan hand;
    const ItemId full = hand.macro(place(-180, 0), 90, 1.0, 4);
    const ItemId unknown = hand.macro(place(180, 0), 270, std::nullopt, 4);
    hand.building(place(-40, 0), 18, 3);
    const auto study = *compute(hand.done());
    const auto rates = userRates(*study, study->live(), 1);
    REQUIRE(ratesOf(rates, full));
    CHECK(ratesOf(rates, full)->before.median.mbps == 0);
    CHECK(ratesOf(rates, unknown) == nullptr);
    std::stop_source stop;
    stop.request_stop();
    CHECK(userRates(*study, study->live(), 1, {stop.get_token(), {}}).empty());
}

TEST_CASE(
    "By the CQI table users get the table's efficiencies and no others, and never more than Shannon gives") {
    // As printed in TS 36.213, table 7.2.3-1; 0.15 is the floor below CQI 1.
    const std::set<double> printed{0.15,   0.1523, 0.2344, 0.3770, 0.6016, 0.8770, 1.1758, 1.4766,
                                   1.9141, 2.4063, 2.7305, 3.3223, 3.9023, 4.5234, 5.1152, 5.5547};
    Quiet town;
    const auto smooth = *compute(town.done());
    town.set.model.efficiency = EfficiencyModel::cqiTable;
    const auto steps = *compute(town.done(), 1, smooth); // from the other study: nothing of it may stay
    const auto cold = *compute(town.done());
    CHECK(bytesOf(steps->live()) == bytesOf(cold->live()));
    const auto rates = userRates(*steps, steps->live(), 1);
    for (const UserRates& r : rates)
        for (const UserRate& rate : {r.before.median, r.before.low}) {
            const auto near = std::min_element(printed.begin(), printed.end(), [&](double a, double b) {
                return std::fabs(a - rate.efficiency) < std::fabs(b - rate.efficiency);
            });
            CHECK(rate.efficiency == Approx(*near).margin(5e-5)); // four printed places
            if (rate.efficiency > 0.16)
                CHECK(rate.efficiency <= 0.6 * std::log2(1 + std::pow(10.0, (rate.sinrDb + 0.01) / 10)));
        }
    // The measured use is spread anew, not changed.
    CHECK(lineOf(steps->live(), town.cell)->before == lineOf(smooth->live(), town.cell)->before);
}

TEST_CASE("What users of a small cell get is that of a list over the places that it takes", "[rates]") {
    // Open ground alone and no shadowing: a place moves as a whole, nine in ten devices of each.
    HandPlan hand;
    hand.noShadowing();
    const ItemId cell = hand.macro(place(-180, 0), 90, 0.6, 4);
    hand.set.model.ownCarrierFromDbm = -118;
    const ItemId small = hand.small(place(0, 0), 90, bandForty(), -8);
    const auto study = *compute(hand.done());
    const auto rates = smallRates(*study, study->live(), 1);
    REQUIRE(rates.size() == 1);
    const SmallRates& r = rates.front();
    CHECK(r.small == small);
    CHECK(ratesOf(rates, small) == &r);
    CHECK(ratesOf(rates, cell) == nullptr);
    // Nobody else sends there: noise alone. -174 dBm/Hz over 15 kHz and 9 dB.
    const double noise = -174 + 10 * std::log10(15000.0) + 9;
    std::vector<User> taken;
    for (const User& u : usersOf(*study, cell))
        if (const auto level = study->smallAt(small, u.at); level && *level > -118)
            taken.push_back({u.bits, *level - noise, u.at, false});
    REQUIRE(taken.size() > 300);
    const double use = useOf(study->live(), small)->use;
    CHECK(r.use == Approx(use));
    for (const auto& [rate, share] : {std::pair{r.now.median, 0.5}, std::pair{r.now.low, 0.05}}) {
        const double sinr = quantile(taken, share);
        CHECK(rate.sinrDb == Approx(sinr).margin(kSinrDb));
        // 100 PRB of 180 kHz, 74 % of the time.
        CHECK(rate.mbps == Approx(13.32 * (1 - use) * rate.efficiency).epsilon(1e-9));
        CHECK(rate.efficiency >= efficiencyByHand(sinr - kSinrDb) - 1e-3);
        CHECK(rate.efficiency <= efficiencyByHand(sinr + kSinrDb) + 1e-3);
    }
    CHECK(r.now.low.mbps < r.now.median.mbps);
    for (const bool median : {true, false}) {
        const Working w = workingOfRates(*study, r, median);
        CHECK(w.steps.back().value == Approx((median ? r.now.median : r.now.low).mbps));
        CHECK_FALSE(w.source.empty());
    }
}

TEST_CASE(
    "Users of a small cell on the macros' carrier: the same for any threads, spent as the ledger has it",
    "[rates]") {
    Quiet town;
    town.set.model.macroSigmaDb = 6;
    town.set.model.smallSigmaDb = 7;
    const ItemId small = town.small(place(20, 0), 90);
    const auto study = *compute(town.done());
    const Ledger settled = *settle(*study);
    for (const Ledger* ledger : {&study->live(), &settled}) {
        const auto one = smallRates(*study, *ledger, 1), three = smallRates(*study, *ledger, 3);
        REQUIRE(one.size() == 1);
        REQUIRE(three.size() == 1);
        CHECK(one.front().now.low.mbps == three.front().now.low.mbps);
        CHECK(one.front().now.median.mbps == three.front().now.median.mbps);
        CHECK(one.front().use <= useOf(*ledger, small)->cap + 1e-3);
        CHECK(one.front().now.low.mbps > 0);
        CHECK(one.front().now.low.mbps < one.front().now.median.mbps);
        // A small cell near its users gives more than the rim of a full macro did.
        CHECK(one.front().now.median.mbps >
              ratesOf(userRates(*study, *ledger, 1), town.cell)->before.median.mbps);
    }
    std::stop_source stop;
    stop.request_stop();
    CHECK(smallRates(*study, study->live(), 1, {stop.get_token(), {}}).empty());
}
