// SPDX-License-Identifier: GPL-3.0-or-later
// Cuts of one antenna in sections: the same antenna as from the table of antennas.
#include "intake/cut_sheet.h"
#include "intake_bench.h"

#include "radio/antenna.h"

#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;

namespace {

// A parabola of 65 and 12 deg, written by hand; in the section's own vertical angles down is positive.
double loss(double deg, double beam, double most) { return std::min(12 * deg / beam * deg / beam, most); }

std::string sheet(const char* separator) {
    std::string out =
        "# a panel\n\nGain_dBi" + std::string(separator) + "17.5\nHorizontal" + separator + "\n";
    for (int a = -180; a < 180; a += 5) out += fmt::format("{}{}{:.4f}\n", a, separator, loss(a, 65, 25));
    out += "Vertical\nangle" + std::string(separator) + "loss\n";
    for (int a = -90; a <= 90; a += 3) out += fmt::format("{}{}{:.4f}\n", a, separator, loss(a - 6, 12, 20));
    return out;
}

// The same as the antennas' own table has it: a row an angle, upwards positive.
std::string table() {
    std::string out = "antenna,plane,angle_deg,loss_db,gain_dbi\n";
    for (int a = -180; a < 180; a += 5)
        out += fmt::format("Panel,horizontal,{},{:.4f},17.5\n", a, loss(a, 65, 25));
    for (int a = -90; a <= 90; a += 3)
        out += fmt::format("Panel,vertical,{},{:.4f},17.5\n", -a, loss(a - 6, 12, 20));
    return out;
}

} // namespace

TEST_CASE("cuts in sections come in as the antenna that the file is called after") {
    const IntakeBench bench;
    const auto rows = bench.preview("table.csv", table(), IntakeKind::antennas);
    const auto want = putsOf<AntennaCut>(rows.edit);
    REQUIRE(want.size() == 1);
    for (const char* separator : {",", ";"}) {
        const auto p = bench.preview("Panel.csv", sheet(separator), IntakeKind::antennas);
        INFO(remarksOf(p));
        REQUIRE(p.usable());
        CHECK(p.refused == 0);
        const auto cuts = putsOf<AntennaCut>(p.edit);
        REQUIRE(cuts.size() == 1);
        CHECK(cuts[0].name == "Panel");
        CHECK(cuts[0].gainDbi == 17.5);
        const Pattern a(cutTableOf(cuts[0])), b(cutTableOf(want[0]));
        CHECK(a.horizontalTable() == b.horizontalTable());
        CHECK(a.verticalTable(2) == b.verticalTable(2));
        CHECK(a.gain(0, -6, 0, 0).v == 17.5); // 6 deg down, as measured
    }
}

TEST_CASE("a sheet of cuts that does not read is refused with its line, and a table is no sheet") {
    const IntakeBench bench;
    const auto broken = openSource(bench.write("broken.csv", "Horizontal\n0,1\nten,2\n"));
    REQUIRE_FALSE(broken);
    CHECK_THAT(broken.error().sentence(), Catch::Matchers::Contains("row 3"));
    CHECK_FALSE(looksLikeCuts(bench.write("a.csv", table())));
    CHECK_FALSE(looksLikeCuts(bench.write("b.csv", "name,latitude\nhorizontal,1\n")));
    CHECK_FALSE(looksLikeCuts(bench.write("c.csv", "gain_dbi,antenna\n17,Panel\n")));
    CHECK_FALSE(looksLikeCuts(bench.write("d.csv", "")));
    CHECK(looksLikeCuts(bench.write("e.csv", "\xEF\xBB\xBF# x\r\n\r\n\"Vertical\",,\r\n0,1\r\n")));
}
