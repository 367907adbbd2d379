// SPDX-License-Identifier: GPL-3.0-or-later
// The working of a building's indoor figures, and the second opinion on its walls against printed formulas.
#include "catch.h"
#include "radio/building_entry.h"
#include "study/hand_plan.h"
#include "study/indoor_working.h"

#include <cmath>

using namespace fw;
using namespace fw::testing;

TEST_CASE("The working of indoor coverage ends at the shares that the coverage counts") {
    HandPlan hand;
    hand.macro(place(-180, 0), 90, 0.8, 4);
    const ItemId house = hand.building(place(120, 30), 20, 4);
    hand.small(place(80, 0), 90);
    const auto study = *compute(hand.done());
    IndoorSpec spec;
    spec.fromDbm = -95;
    const IndoorCoverage all = indoorCoverage(*study, spec, 1);
    const BuildingCoverage* c = coverageOf(all, house);
    REQUIRE(c);
    CHECK(c->samples > 0);
    CHECK(coverageOf(all, {house.v + 1000}) == nullptr);
    const Working w = workingOfCoverage(*study, spec, *c);
    CHECK(w.steps.back().value == Approx(100.0 * c->after / c->samples));
    CHECK(w.steps[1].value == Approx(100.0 * c->before / c->samples));
    CHECK(w.inputs[1].value == -95);
    CHECK(w.source.find("P.2109") != std::string::npos);
}

TEST_CASE(
    "The loss into a building comes with the other model's, at the lowest carrier, whichever is the plan's") {
    HandPlan hand;
    hand.macro(place(-180, 0), 90, 0.8, 4);
    const ItemId house = hand.building(place(120, 30), 20, 4);
    Building b = *hand.plan.scenery.building(house);
    b.entry = EntryKind::efficient;
    hand.plan.scenery.putBuildings({b});
    const auto study = *compute(hand.done());
    const auto o = entryOpinion(*study, house);
    REQUIRE(o);
    // Rec. ITU-R P.2109-1, 3, at half of all places on a level path: 10 log10(10^(A/10) + 10^(B/10) +
    // 10^(C/10)) with A = 28.19 - 3.00 log f + 8.48 (log f)^2, B = 27.8 - 2.9 log f, C = -3 (table 1,
    // thermally efficient).
    const double f = o->frequency.v / 1e9, lf = std::log10(f);
    const double a = 28.19 - 3.00 * lf + 8.48 * lf * lf, c = 27.8 - 2.9 * lf;
    CHECK(o->chosenDb ==
          Approx(10 * std::log10(std::pow(10, a / 10) + std::pow(10, c / 10) + std::pow(10, -0.3)))
              .margin(0.006));
    // 3GPP TR 38.901, tables 7.4.3-1 and -2, high loss: 70 % coated glass, 30 % concrete; 0.5 dB a metre
    // over 7.32 m.
    const auto ratio = [](double db) { return std::pow(10.0, -db / 10); };
    const double wall = 5 - 10 * std::log10(0.7 * ratio(23 + 0.3 * f) + 0.3 * ratio(5 + 4 * f));
    CHECK(o->otherDb == Approx(wall + 0.5 * 7.3223).margin(0.006));
    const Working w = workingOfEntry(*study, house, *o);
    CHECK(w.steps.back().value == o->chosenDb);
    hand.set.model.entry = EntryModel::o2i;
    const auto turned = entryOpinion(**compute(hand.done()), house);
    REQUIRE(turned);
    CHECK(turned->chosenDb == o->otherDb);
    CHECK(turned->otherDb == o->chosenDb);
    CHECK_FALSE(entryOpinion(*study, {house.v + 1000}));
}
