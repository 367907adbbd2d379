// SPDX-License-Identifier: GPL-3.0-or-later
// Antennas row by row: gains that disagree or cannot be, planes that are missing, and the template.
#include "intake/kinds.h"
#include "intake_bench.h"
#include "radio/antenna.h"

#include <fmt/format.h>
#include <functional>

using namespace fw;
using namespace fw::testing;
using Weight = IntakeRemark::Weight;

namespace {

// Every 30 deg across and upright, made by hand; the gain as the row's number says.
std::string antenna(const std::string& name, const std::function<std::string(int)>& gainOfRow) {
    std::string out;
    int row = 0;
    for (int a = -180; a < 180; a += 30)
        out += fmt::format("{},horizontal,{},{},{}\n", name, a, std::min(25, a * a / 352), gainOfRow(++row));
    for (int a = -90; a <= 90; a += 30)
        out += fmt::format("{},vertical,{},{},{}\n", name, a, a == 0 ? 0 : 20, gainOfRow(++row));
    return out;
}
const std::string kHead = "antenna,plane,angle_deg,loss_db,gain_dbi\n";
std::string always(const std::string& name, const std::string& gain) {
    return antenna(name, [&](int) { return gain; });
}

} // namespace

TEST_CASE("rows of an antenna that give it different gains: left out, the rows are named, others come in") {
    const IntakeBench bench;
    const auto rising = [](int row) { return fmt::format("{}", row == 1 ? 17 : 17 + 5 * (row - 1)); };
    const auto p =
        bench.preview("a.csv", kHead + antenna("Odd", rising) + always("Even", "17"), IntakeKind::antennas);
    INFO(remarksOf(p));
    const auto cuts = putsOf<AntennaCut>(p.edit);
    REQUIRE(cuts.size() == 1);
    CHECK(cuts[0].name == "Even");
    CHECK(cuts[0].gainDbi == 17);
    // The header is a line of the file, so the first rows stand in lines 2 and 3.
    CHECK(
        says(p, Weight::look,
             "\"Odd\" is left out: row 2 gives it a gain of 17 dBi and row 3 one of 22 dBi; give one gain"));
    // Rounding is no contradiction, nor is a gain that stands in one row alone.
    const auto rounded = [](int row) { return std::string(row % 2 ? "17.02" : "17.0"); };
    const auto once = [](int row) { return std::string(row == 4 ? "16" : ""); };
    const auto q = bench.preview("b.csv", kHead + antenna("Round", rounded) + antenna("Once", once),
                                 IntakeKind::antennas);
    INFO(remarksOf(q));
    const auto both = putsOf<AntennaCut>(q.edit);
    REQUIRE(both.size() == 2);
    for (const AntennaCut& cut : both) CHECK(cut.gainDbi == (cut.name == "Once" ? 16 : 17.02));
}

TEST_CASE("a gain beyond those of antennas of cells is taken with a doubt") {
    const IntakeBench bench;
    const auto p =
        bench.preview("a.csv", kHead + always("High", "57") + always("Dish", "30.5") + always("Most", "30"),
                      IntakeKind::antennas);
    INFO(remarksOf(p));
    CHECK(putsOf<AntennaCut>(p.edit).size() == 3);
    CHECK(says(p, Weight::look, "\"High\" has a gain of 57 dBi"));
    CHECK(says(p, Weight::look, "\"Dish\" has a gain of 30.5 dBi"));
    CHECK_FALSE(says(p, Weight::look, "\"Most\" has a gain"));
}

TEST_CASE("an antenna that states no gain: what it counts as is said, and the plan's own stays") {
    IntakeBench bench;
    const std::string file = kHead + always("Mute", "") + always("Even", "17");
    const auto p = bench.preview("a.csv", file, IntakeKind::antennas);
    INFO(remarksOf(p));
    CHECK(says(p, Weight::look, "\"Mute\" states no gain and counts as 0 dBi"));
    CHECK_FALSE(says(p, Weight::look, "\"Even\" states no gain"));
    for (AntennaCut cut : putsOf<AntennaCut>(p.edit)) {
        if (cut.name != "Mute") continue;
        CHECK(cut.gainDbi == 0);
        cut.id = {900};
        cut.gainDbi = 15.5;
        bench.plan.antennaCuts.put(cut);
    }
    const auto q = bench.preview("b.csv", file, IntakeKind::antennas);
    INFO(remarksOf(q));
    CHECK(says(q, Weight::look, "\"Mute\" states no gain: the 15.5 dBi that the plan has stay."));
    for (const AntennaCut& cut : putsOf<AntennaCut>(q.edit))
        CHECK(cut.gainDbi == (cut.name == "Mute" ? 15.5 : 17));
}

TEST_CASE("a plane that is missing: what stands in for it is said, and is so") {
    IntakeBench bench;
    std::string across = kHead;
    for (int a = -180; a < 180; a += 30)
        across += fmt::format("Flat,horizontal,{},{},17\n", a, a == 0 ? 0 : 20);
    const auto p = bench.preview("a.csv", across, IntakeKind::antennas);
    INFO(remarksOf(p));
    CHECK(says(p, Weight::look,
               "\"Flat\" has no vertical cut: it counts as losing nothing upwards or downwards."));
    const auto cuts = putsOf<AntennaCut>(p.edit);
    REQUIRE(cuts.size() == 1);
    for (const double up : {-60.0, 0.0, 40.0}) CHECK(Pattern(cutTableOf(cuts[0])).gain(0, up, 0, 5).v == 17);

    AntennaCut there = cuts[0];
    there.id = {900};
    there.verticalDeg = {-90, 0, 90};
    there.verticalLossDb = {20, 0, 20};
    bench.plan.antennaCuts.put(there);
    const auto q = bench.preview("b.csv", across, IntakeKind::antennas);
    INFO(remarksOf(q));
    CHECK(says(q, Weight::look, "\"Flat\" has no vertical cut: the one that the plan has stays."));
    REQUIRE(putsOf<AntennaCut>(q.edit).size() == 1);
    CHECK(putsOf<AntennaCut>(q.edit)[0].verticalLossDb == there.verticalLossDb);
}

TEST_CASE("the template of antennas is a whole antenna of which nothing looks doubtful") {
    const IntakeBench bench;
    const auto p = bench.preview("t.csv", templateOf(IntakeKind::antennas), IntakeKind::antennas);
    INFO(remarksOf(p));
    CHECK(p.usable());
    CHECK(p.refused == 0);
    for (const IntakeRemark& r : p.remarks) CHECK(r.weight != Weight::look);
    const auto cuts = putsOf<AntennaCut>(p.edit);
    REQUIRE(cuts.size() == 1);
    // 3GPP TR 36.814, Table A.2.1.1-2: 12 (30 / 65)^2 = 2.6 dB at 30 deg across.
    CHECK(Pattern(cutTableOf(cuts[0])).gain(30, 0, 0, 0).v == Approx(17 - 2.6).margin(0.01));
}
