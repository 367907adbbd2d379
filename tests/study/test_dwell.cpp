// SPDX-License-Identifier: GPL-3.0-or-later
// Chords of streets through the ground where a small cell leads, held against the study's own levels asked
// for centimetre by centimetre along the street.
#include "study/dwell.h"

#include "catch.h"
#include "hand_plan.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;

namespace {

struct Crossing {
    HandPlan hand;
    ItemId macro, small;
    Crossing() {
        macro = hand.macro(place(-240, 0), 270, 0.7, 4);
        small = hand.small(place(60, 3), 90);
    }
    void street(const Line& path) {
        Street s;
        s.id = hand.plan.lastId = hand.plan.nextId();
        s.name = "Quay Row";
        s.path = path;
        hand.plan.streets.put(s);
    }
};

bool leadsAt(const Study& study, const Crossing& c, PlanePoint p) {
    const auto mine = study.smallAt(c.small, p), macro = study.macroCellAt(c.macro, p);
    return mine && (!macro || *mine > *macro);
}

// Stretches along a straight street, in steps of a centimetre.
std::vector<double> stretchesByHand(const Study& study, const Crossing& c, PlanePoint a, PlanePoint b) {
    const double length = std::hypot(b.x - a.x, b.y - a.y);
    std::vector<double> out;
    double run = 0;
    for (double s = 0.005; s < length; s += 0.01) {
        if (leadsAt(study, c, {a.x + (b.x - a.x) * s / length, a.y + (b.y - a.y) * s / length})) {
            run += 0.01;
        } else {
            if (run > 0) out.push_back(run);
            run = 0;
        }
    }
    if (run > 0) out.push_back(run);
    return out;
}

} // namespace

TEST_CASE("The chord of a straight street is the stretch where the small cell is stronger",
          "[study][dwell]") {
    Crossing c;
    const PlanePoint a = place(-200, -2), b = place(240, -2);
    c.street({a, b});
    const auto study = compute(c.hand.done());
    REQUIRE(study);
    const auto hand = stretchesByHand(**study, c, a, b);
    REQUIRE(!hand.empty());
    const double longest = *std::max_element(hand.begin(), hand.end());
    const auto all = dwells(**study);
    REQUIRE(all.size() == 1);
    CHECK(all[0].small == c.small);
    CHECK(longest > 20);
    CHECK(all[0].longestM == Approx(longest).margin(1.01)); // a piece at either end, half of it each
    // 50 km/h are 13.89 m/s.
    CHECK(all[0].longestS == Approx(all[0].longestM / 13.888889).epsilon(1e-6));
    CHECK(all[0].speedKmh == 50);
    CHECK(all[0].allAreShort() == (all[0].longestS < 5));
    CHECK(dwellOf(**study, c.small) == all[0]);
}

TEST_CASE("The plan's speed makes stays long or short, and the note says so with that speed",
          "[study][dwell]") {
    Crossing c;
    c.street({place(-200, -2), place(240, -2)}); // a long chord, and two short ones across
    c.street({place(66, -200), place(66, 200)});
    const auto at = [&](double kmh) {
        Plan plan = c.hand.done();
        PlanSettings settings = *plan.settings;
        settings.model.streetSpeedKmh = kmh;
        plan.settings = std::make_shared<const PlanSettings>(settings);
        const auto study = compute(plan);
        REQUIRE(study);
        return dwellOf(**study, c.small);
    };
    const Dwell slow = at(3.6); // a metre a second
    REQUIRE(slow.chords.size() >= 2);
    CHECK(slow.longestS == Approx(slow.longestM).epsilon(1e-9));
    CHECK(slow.medianS == Approx(slow.medianM).epsilon(1e-9));
    CHECK_FALSE(slow.mostAreShort());
    CHECK(noteOf(slow).empty());
    REQUIRE(slow.medianM < slow.longestM);
    // Between both: the median under 5 s, the longest not.
    const double between = 3.6 / 5 * (slow.medianM + slow.longestM) / 2;
    const Dwell most = at(between);
    CHECK(most.medianM == slow.medianM); // the ground does not know the speed
    CHECK(most.mostAreShort());
    CHECK_FALSE(most.allAreShort());
    CHECK(noteOf(most).find("most stretches") != std::string::npos);
    const Dwell all = at(std::min(300.0, 3.6 * slow.longestM)); // the longest in about a second
    CHECK(all.allAreShort());
    CHECK(noteOf(all).find("even the longest") != std::string::npos);
    CHECK(noteOf(all) != noteOf(most));
}

TEST_CASE("The working of a stay names each street with its length, and ends with the median",
          "[study][dwell]") {
    Crossing c;
    c.street({place(-200, -2), place(240, -2)});
    c.street({place(66, -200), place(66, 200)});
    const Plan plan = c.hand.done();
    const auto study = compute(plan);
    REQUIRE(study);
    const Dwell d = dwellOf(**study, c.small);
    const Working w = workingOf(plan, d);
    REQUIRE(w.steps.size() == d.chords.size() + 2);
    for (std::size_t k = 0; k < d.chords.size(); ++k) {
        CHECK(w.steps[k].what == "Quay Row");
        // Length over speed in m/s, by hand.
        CHECK(w.steps[k].value == Approx(d.chords[k].lengthM / (50 / 3.6)).epsilon(1e-12));
        CHECK(w.steps[k].formula.find(fmt::format("{:.1f} m", d.chords[k].lengthM)) != std::string::npos);
    }
    CHECK(w.steps.back().what == "median");
    CHECK(w.steps.back().value == d.medianS);
    CHECK(w.inputs.front().value == 50);
    CHECK_FALSE(w.source.empty());
}

TEST_CASE("A corner does not end a chord, and each street has its own", "[study][dwell]") {
    Crossing c;
    const PlanePoint a = place(-200, -2), b = place(240, -2), corner = place(66, -2);
    c.street({a, corner, b});
    const auto bent = compute(c.hand.done());
    REQUIRE(bent);
    Crossing plain;
    plain.street({a, b});
    const auto straight = compute(plain.hand.done());
    REQUIRE(straight);
    const Dwell one = dwells(**straight)[0], two = dwells(**bent)[0];
    CHECK(two.chords.size() == one.chords.size());
    CHECK(two.longestM == Approx(one.longestM).margin(1.01));

    c.street({place(70, -200), place(70, 200)});
    c.street({place(90, -200), place(90, 200)});
    const auto more = compute(c.hand.done());
    REQUIRE(more);
    const Dwell many = dwells(**more)[0];
    REQUIRE(!many.chords.empty());
    CHECK(many.chords.size() > two.chords.size());
    CHECK(many.medianM <= many.longestM);
    std::vector<double> lengths;
    for (const auto& [from, to] : {std::pair{a, b}, std::pair{place(70, -200), place(70, 200)},
                                   std::pair{place(90, -200), place(90, 200)}})
        for (const double m : stretchesByHand(**more, c, from, to))
            if (m >= 4) lengths.push_back(m);
    std::sort(lengths.begin(), lengths.end());
    REQUIRE(lengths.size() == many.chords.size());
    const std::size_t half = lengths.size() / 2;
    const double median = lengths.size() % 2 ? lengths[half] : (lengths[half - 1] + lengths[half]) / 2;
    CHECK(many.medianM == Approx(median).margin(1.01));
}

TEST_CASE("Without a street through it nobody passes, and who is not chosen has no line", "[study][dwell]") {
    Crossing c;
    c.street({place(-250, 250), place(-240, 250)});
    SmallCell off = *c.hand.plan.smallCells.find(c.hand.small(place(0, 60), 0));
    off.chosen = false;
    c.hand.plan.smallCells.put(off);
    const auto study = compute(c.hand.done());
    REQUIRE(study);
    const auto all = dwells(**study);
    REQUIRE(all.size() == 1);
    CHECK(all[0].chords.empty());
    CHECK(all[0].longestS == 0);
    CHECK_FALSE(all[0].mostAreShort());
    CHECK(noteOf(all[0]).empty());
}
