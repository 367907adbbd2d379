// SPDX-License-Identifier: GPL-3.0-or-later
// What the rim cuts off, counted again by questions to the serving map and by geometry.
#include "catch.h"
#include "study/hand_plan.h"
#include "study/ledger_working.h"
#include "study/rim.h"

#include <algorithm>
#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

// The ground computed: one tile of 512 m.
const Box kGround{kMiddle.x - 256, kMiddle.y - 256, kMiddle.x + 256, kMiddle.y + 256};

// Metres of the rim where a cell is strongest in the open: asked pixel by pixel.
double rimByMap(const Study& study, ItemId cell) {
    double out = 0;
    for (int k = 0; k < 128; ++k) {
        const double along = 4 * k + 2;
        for (const PlanePoint p :
             {PlanePoint{kGround.x0 + along, kGround.y0 + 2}, PlanePoint{kGround.x0 + along, kGround.y1 - 2},
              PlanePoint{kGround.x0 + 2, kGround.y0 + along},
              PlanePoint{kGround.x1 - 2, kGround.y0 + along}}) {
            const auto served = study.macroAt(0, p);
            if (served && served->cell == cell) out += 4;
        }
    }
    return out;
}

// Share of its PRB that users within 100 m of the rim cost.
double nearByList(const Study& study, ItemId cell) {
    const StudyCore& core = study.core();
    const int n = core.cellIndex(cell);
    double sum = 0;
    for (const TilePart& t : core.base->tiles)
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k)
            for (std::size_t i = 0; i < t.cost->layers[k].size(); ++i) {
                const PlanePoint p = t.receivers->placeOf(i) - kMiddle;
                const bool near = std::max(std::fabs(p.x), std::fabs(p.y)) > 156;
                if (near && t.cost->layers[k][i] && rosterOf(t.levels->layers[k].strongest[0][i]) == n)
                    sum += static_cast<double>(t.cost->layers[k][i]) / kPrbUnit;
            }
    return sum / study.macroCell(cell)->resourceBlocks;
}

struct RimTown : HandPlan {
    ItemId full, other, small;
    RimTown() {
        full = macro(place(-120, 10), 90, 0.8);
        other = macro(place(-500, 0), 90, 0.3); // beyond the western side, within its 800 m of reach
        macro(place(5000, 0), 270, 0.5);        // reaches nothing
        for (int k = 0; k < 8; ++k) building(place(-200 + 55.0 * k, k % 2 ? 190 : 40), 16, 3);
        small = HandPlan::small(place(100, 40), 60);
    }
};

} // namespace

TEST_CASE("What a cell serves of the rim, and what lies near it, are those of the serving map and the cost") {
    const RimTown town;
    const auto study = *compute(town.done());
    const Rim& rim = rimOf(*study);
    CHECK(rim.ground == kGround);
    for (const ItemId cell : {town.full, town.other}) {
        const RimCell* c = rimCellOf(*study, cell);
        REQUIRE(c);
        CHECK(c->rimM == rimByMap(*study, cell));
        CHECK(c->rimM > 100);
        CHECK(c->nearRim == Approx(nearByList(*study, cell)).epsilon(1e-9));
        CHECK(c->nearRim > 0.01);
        CHECK(c->nearRim <= c->spread);
        CHECK_FALSE(c->unreached);
        const Working w = workingOfRim(*study, cell);
        CHECK(w.steps.back().value == Approx(100 * c->nearRim));
        CHECK_FALSE(w.remarks.empty());
    }
    // All of the rim in the open is served by somebody, on one carrier.
    double all = 0;
    for (const RimCell& c : rim.cells) all += c.rimM;
    CHECK(all <= 4 * 512);
    REQUIRE(rim.outOfReach.size() == 1);
    CHECK(study->plan().macroSites.find(rim.outOfReach.front())->at == place(5000, 0));
    CHECK(rim.bare == std::vector{RimSide::south, RimSide::east, RimSide::north});
}

TEST_CASE("What lies in a small cell's reach beyond the rim is the disc less the square") {
    HandPlan hand;
    hand.macro(place(0, 0), 90, 0.8);
    const ItemId middle = hand.small(place(0, 0), 0), corner = hand.small(place(255, 255), 0);
    hand.set.model.smallReachM = 300;
    const auto study = *compute(hand.done());
    // Four segments of a disc of 300 m cut at 256 m; at the corner about three quarters.
    const double segment = 300.0 * 300 * std::acos(256.0 / 300) - 256 * std::sqrt(300.0 * 300 - 256 * 256);
    CHECK(beyondRim(*study, middle) == Approx(4 * segment / (M_PI * 300 * 300)).margin(2e-3)); // strips
    CHECK(beyondRim(*study, corner) == Approx(0.75).margin(0.004)); // 1 m inside either side
    CHECK(beyondRim(*study, {}) == 0);
}

TEST_CASE("The rim is told where it matters: congested cells, sites out of reach, bare sides, small cells") {
    const RimTown town;
    const auto study = *compute(town.done());
    const auto told = rimRemarks(*study);
    const auto tells = [&](const std::string& words) {
        return std::count_if(told.begin(), told.end(),
                             [&](const std::string& r) { return r.find(words) != std::string::npos; });
    };
    const Plan& plan = study->plan();
    CHECK(tells(plan.label(town.full) + " serves") == 1);
    CHECK(tells(plan.label(town.other) + " serves") == 0); // it is not over the trigger
    CHECK(tells("1 macro site reaches none") == 1);
    CHECK(tells("to the south, east, north") == 1);
    CHECK(tells("in reach of " + plan.label(town.small)) == 1);
    CHECK(told.size() == 4);
    // It stands in the working of the figure that it touches, too.
    const Working after = workingOf(*study, study->live(), town.full);
    CHECK(std::find(after.remarks.begin(), after.remarks.end(), rimSentence(*study, town.full)) !=
          after.remarks.end());
    CHECK(workingOfRim(*study, town.small).steps.empty());
}

TEST_CASE("The rim of a plan that grew is the grown one's, and small cells do not change it") {
    RimTown town;
    const auto before = *compute(town.done());
    const double near = rimCellOf(*before, town.full)->nearRim;
    const ItemId added = town.HandPlan::small(place(0, -60), 180);
    const auto more = *compute(town.done(), 1, before);
    REQUIRE(more->smallCell(added));
    CHECK(rimCellOf(*more, town.full)->nearRim == near);
    town.set.workArea = town.set.workArea.grown(600);
    const auto wide = *compute(town.done(), 1, more), cold = *compute(town.done());
    CHECK(rimOf(*wide).ground == kGround.grown(2 * 512));
    const RimCell *a = rimCellOf(*wide, town.full), *b = rimCellOf(*cold, town.full);
    CHECK((a == nullptr) == (b == nullptr));
    if (a && b) CHECK(a->nearRim == b->nearRim);
    CHECK((!a || a->nearRim < near));
}
