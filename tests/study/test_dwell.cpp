// SPDX-License-Identifier: GPL-3.0-or-later
// Chords of streets through the ground where a small cell leads, held against the study's own levels asked
// for centimetre by centimetre along the street.
#include "study/dwell.h"

#include "catch.h"
#include "hand_plan.h"

#include <algorithm>
#include <cmath>

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
    CHECK(all[0].passed == (all[0].longestS < 5));
    DwellOptions slow;
    slow.speedKmh = 3.6; // a metre a second
    CHECK(dwells(**study, slow)[0].longestS == Approx(all[0].longestM).epsilon(1e-9));
    CHECK_FALSE(dwells(**study, slow)[0].passed);
    DwellOptions fast;
    fast.speedKmh = 3.6 * longest; // passed in about a second
    CHECK(dwells(**study, fast)[0].passed);
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
    CHECK(two.chords == one.chords);
    CHECK(two.longestM == Approx(one.longestM).margin(1.01));

    c.street({place(70, -200), place(70, 200)});
    c.street({place(90, -200), place(90, 200)});
    const auto more = compute(c.hand.done());
    REQUIRE(more);
    const Dwell many = dwells(**more)[0];
    REQUIRE(many.chords > 0);
    CHECK(many.chords > two.chords);
    CHECK(many.medianM <= many.longestM);
    std::vector<double> lengths;
    for (const auto& [from, to] : {std::pair{a, b}, std::pair{place(70, -200), place(70, 200)},
                                   std::pair{place(90, -200), place(90, 200)}})
        for (const double m : stretchesByHand(**more, c, from, to))
            if (m >= 4) lengths.push_back(m);
    std::sort(lengths.begin(), lengths.end());
    REQUIRE(lengths.size() == static_cast<std::size_t>(many.chords));
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
    CHECK(all[0].chords == 0);
    CHECK(all[0].longestS == 0);
    CHECK_FALSE(all[0].passed);
}
