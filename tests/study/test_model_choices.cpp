// SPDX-License-Identifier: GPL-3.0-or-later
// The models a plan chooses: what is computed with them is what a cold computation gives, each changes what
// it is for and nothing else, and nobody who chose nothing notices.
#include "catch.h"
#include "radio/throughput.h"
#include "study/hand_plan.h"

#include <cmath>

using namespace fw;
using namespace fw::testing;

namespace {

struct HouseAndShield : HandPlan {
    ItemId cell, small, house;
    HouseAndShield() {
        cell = macro(place(-180, 0), 90, 0.8, 4);
        house = building(place(60, 46), 18, 3);
        building(place(-60, -2), 24, 6); // hides the small cell's side from the macro
        small = HandPlan::small(place(0, 0), 90);
    }
    std::shared_ptr<const Study> study(const std::shared_ptr<const Study>& from = nullptr) {
        return *compute(done(), 1, from);
    }
};

} // namespace

TEST_CASE("Models are changed on a warm study to the same bytes as on a cold one, and back") {
    HouseAndShield town;
    const auto usual = town.study();
    const ModelSettings plain = town.set.model;
    auto warm = usual;
    for (int k = 0; k < 5; ++k) {
        town.set.model = plain;
        if (k == 0) town.set.model.efficiency = EfficiencyModel::cqiTable;
        if (k == 1) town.set.model.macroPath = MacroPathModel::urbanMacroOptional;
        if (k == 2) town.set.model.smallPath = SmallPathModel::urbanMicro;
        if (k == 3) town.set.model.entry = EntryModel::o2i;
        warm = town.study(warm);
        CAPTURE(k);
        CHECK(bytesOf(warm->live()) == bytesOf(town.study()->live()));
        CHECK((bytesOf(warm->live()) == bytesOf(usual->live())) == (k == 4));
    }
}

TEST_CASE("Each path model moves the levels it is for, by what its source says") {
    HouseAndShield town;
    const auto usual = town.study();
    const PlanePoint clear = place(101, 3), hidden = place(-34, -2);
    SECTION("small cells") {
        town.set.model.smallPath = SmallPathModel::urbanMicro;
        const auto study = town.study(usual);
        // In sight, on flat ground, 7 m over 1.5 m: P.1411-11, table 4 and TR 38.901, table 7.4.1-1 at the
        // carrier's 1.8425 GHz (EARFCN 1300 + 0.1 MHz a channel from 1805 MHz).
        const double f = std::log10(usual->layers().front().frequency.v / 1e9), d = std::hypot(101, 3),
                     d3 = std::hypot(d, 5.5);
        const double p1411 = 21.2 * std::log10(d3) + 29.2 + 21.1 * f,
                     umi = 32.4 + 21 * std::log10(d3) + 20 * f;
        REQUIRE(study->smallAt(town.small, clear));
        // The mount is looked at from the middle of its 2 m cell: up to 1.4 m of 101 m, 0.13 dB both ways
        // alike.
        CHECK(*usual->smallAt(town.small, clear) - *study->smallAt(town.small, clear) ==
              Approx(umi - p1411).margin(0.05));
        CHECK(*usual->macroCellAt(town.cell, clear) == *study->macroCellAt(town.cell, clear));
    }
    SECTION("macros without sight") {
        town.set.model.macroPath = MacroPathModel::urbanMacroOptional;
        const auto study = town.study(usual);
        CHECK(*study->macroCellAt(town.cell, hidden) != *usual->macroCellAt(town.cell, hidden));
        CHECK(*usual->smallAt(town.small, clear) == *study->smallAt(town.small, clear));
    }
    SECTION("into buildings") {
        town.set.model.entry = EntryModel::o2i;
        const auto study = town.study(usual);
        CHECK(*usual->macroCellAt(town.cell, clear) == *study->macroCellAt(town.cell, clear));
        const auto in = study->macroPathInto(town.cell, place(60, 46), 1.5),
                   was = usual->macroPathInto(town.cell, place(60, 46), 1.5);
        REQUIRE(in);
        REQUIRE(was);
        CHECK(std::fabs(in->levelDbm - was->levelDbm) > 0.5);
    }
}

TEST_CASE("What a link carries by the CQI table is TS 36.213's column of efficiencies") {
    const double printed[] = {0,      0.1523, 0.2344, 0.3770, 0.6016, 0.8770, 1.1758, 1.4766,
                              1.9141, 2.4063, 2.7305, 3.3223, 3.9023, 4.5234, 5.1152, 5.5547};
    for (double db = -20; db <= 45; db += 0.37) {
        const double carried = spectralEfficiency(db, EfficiencyModel::cqiTable);
        // The greatest that attenuated Shannon (TR 36.942, Annex A.1, without its cap) carries.
        const double bound = db < -10 ? 0 : 0.6 * std::log2(1 + std::pow(10.0, db / 10));
        double best = 0;
        for (const double v : printed)
            if (v <= bound) best = v;
        CAPTURE(db, bound);
        CHECK(carried == Approx(best).margin(5e-5));
        CHECK(spectralEfficiency(db, EfficiencyModel::attenuatedShannon) == spectralEfficiency(db));
    }
}
