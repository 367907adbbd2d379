// SPDX-License-Identifier: GPL-3.0-or-later
// What a preview counts, lists and leaves as it was.
#include "intake/intake_bench.h"
#include "intake/map_places.h"

#include <algorithm>
#include <fmt/format.h>

using namespace fw;
using namespace fw::testing;
using Weight = IntakeRemark::Weight;
using Catch::Matchers::Contains;

TEST_CASE("of a hundred rows ninety-five come in, five are listed with row, column, value and reason") {
    const IntakeBench bench;
    std::string table = "name,latitude,longitude,height_m\n";
    for (int k = 1; k <= 100; ++k) {
        const double lat = 36.92 + k * 1e-4;
        if (k == 10)
            table += fmt::format("M-{},{:.6f},-20.42,12,5x\n", k, lat);
        else if (k == 20)
            table += fmt::format("M-{},{:.6f},-20.42,NaNa\n", k, lat);
        else if (k == 30)
            table += fmt::format("M-{},{:.6f},-20.42,9000\n", k, lat);
        else if (k == 40)
            table += fmt::format("M-{},,-20.42,7\n", k);
        else if (k == 50)
            table += "M-49,36.93,-20.42,7\n";
        else
            table += fmt::format("M-{},{:.6f},-20.42,7\n", k, lat);
    }
    // Row 10 has a field too many; its height reads 12.
    table.replace(table.find("12,5x"), 5, "\"12,5x\"");
    const auto p = bench.preview("hundred.csv", table, IntakeKind::mounts);
    INFO(remarksOf(p));
    CHECK(p.rows == 100);
    CHECK(p.good == 95);
    CHECK(p.refused == 5);
    CHECK(p.duplicates == 1);
    REQUIRE(p.refusals.size() == 5);
    CHECK(p.refusals[0].row == 11); // the header is line 1
    CHECK(p.refusals[0].column == "height_m");
    CHECK(p.refusals[0].value == "12,5x");
    CHECK(p.refusals[2].row == 31);
    CHECK_THAT(p.refusals[2].reason, Contains("500"));
    CHECK_THAT(p.refusals[3].reason, Contains("place"));
    CHECK_THAT(p.refusals[4].reason, Contains("row 50"));
    CHECK(p.usable());

    // One step that undo takes back to the very plan it was.
    Plan plan = bench.plan;
    const auto inverse = apply(plan, p.edit);
    REQUIRE(inverse);
    CHECK(plan.mounts.size() == 95);
    REQUIRE(apply(plan, *inverse));
    CHECK(plan == bench.plan);

    // The refused rows as a file: mended there, they come in.
    std::string csv = refusedAsCsv(p);
    CHECK_THAT(csv, Contains("row,reason,name,latitude,longitude,height_m"));
    CHECK(std::count(csv.begin(), csv.end(), '\n') == 6);
    csv.replace(csv.find("\"12,5x\"", csv.find("M-10")), 7, "12.5");
    const auto again = bench.preview("mended.csv", csv, IntakeKind::mounts);
    INFO(remarksOf(again));
    CHECK(again.good == 2); // row 10, and M-49, which is no longer there twice
}

TEST_CASE("taking the same file in twice changes nothing the second time") {
    IntakeBench bench;
    const auto mounts = bench.write("m.csv", "name,latitude,longitude\nA,36.93,-20.42\nB,36.931,-20.42\n");
    const auto houses = bench.write("b.csv", "wkt,height\n\"" + footprint(36.93, -20.42) + "\",9\n");
    for (const auto& [file, kind] :
         {std::pair{mounts, IntakeKind::mounts}, {houses, IntakeKind::buildings}}) {
        const auto first = bench.preview(file, kind);
        INFO(remarksOf(first));
        REQUIRE(first.usable());
        REQUIRE(apply(bench.plan, first.edit));
        const auto second = bench.preview(file, kind);
        INFO(remarksOf(second));
        CHECK(second.edit.changes.empty());
        CHECK((second.good == 0 || says(second, Weight::note, "already")));
    }
}

TEST_CASE("empty files, files without rows and files without a place say so") {
    const IntakeBench bench;
    const auto bare = bench.preview("bare.csv", "name,latitude,longitude\n", IntakeKind::mounts);
    CHECK(bare.rows == 0);
    CHECK_FALSE(bare.usable());
    CHECK(says(bare, Weight::look, "no rows"));
    const auto nowhere = bench.preview("nowhere.csv", "name,height_m\nA,7\n", IntakeKind::mounts);
    CHECK_FALSE(nowhere.usable());
    CHECK(says(nowhere, Weight::question, "No column gives a place"));
    const auto empty = previewIntake(bench.plan, bench.write("empty.csv", ""), {});
    if (empty)
        CHECK_FALSE(empty->usable());
    else
        CHECK(empty.error().sentence().size() > 20);
}

TEST_CASE("a stopped preview gives nothing and says that it was stopped") {
    const IntakeBench bench;
    std::string table = "name,latitude,longitude\n";
    for (int k = 0; k < 5000; ++k) table += fmt::format("M{},36.93,{:.5f}\n", k, -20.42 + k * 1e-6);
    const auto file = bench.write("long.csv", table);
    std::stop_source stop;
    stop.request_stop();
    IntakeRequest request;
    request.kind = IntakeKind::mounts;
    const auto p = previewIntake(bench.plan, file, request, {stop.get_token(), {}});
    REQUIRE_FALSE(p);
    CHECK(p.error().code == ErrorCode::cancelled);
}

TEST_CASE("a plan without a work area gets one from the first rows, in the same step") {
    IntakeBench bench;
    PlanSettings settings = *bench.plan.settings;
    settings.workArea = {};
    bench.plan.settings = std::make_shared<const PlanSettings>(settings);
    const auto p = bench.preview("m.csv", "name,latitude,longitude\nA,36.93,-20.42\nB,36.94,-20.41\n",
                                 IntakeKind::mounts);
    REQUIRE(p.usable());
    CHECK(says(p, Weight::note, "work area"));
    REQUIRE(apply(bench.plan, p.edit));
    for (const Mount& m : bench.plan.mounts) CHECK(bench.plan.settings->workArea.contains(m.at));
}
