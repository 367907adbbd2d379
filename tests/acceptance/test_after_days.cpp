// SPDX-License-Identifier: GPL-3.0-or-later
// From files of counters to a verdict: weeks made up hour by hour, whose relief is known.
#include "acceptance/hour_table.h"
#include "base/random.h"
#include "catch.h"
#include "intake/after_days.h"
#include "store/folder.h"
#include "support/random_plan.h"

#include <algorithm>
#include <map>

using namespace fw;
using namespace fwtest;
using Catch::Matchers::Contains;

namespace {

constexpr std::int32_t kOnAir = kMonday + 17, kLast = kOnAir + 28;

// Two cells of 12 are relieved by 16 and 8 points from a Thursday on; all drift upwards by 3, and each has
// its own noise. On the day of the change the use is in between.
struct Town {
    fw::testing::TestFolder folder;
    Plan plan;
    Ledger ledger;
    std::vector<Cell> cells;
    std::map<std::pair<std::string, std::int32_t>, double> use;

    Town() {
        Random random(11);
        fw::testing::RandomPlanSpec spec;
        spec.buildings = 3;
        spec.mounts = 2;
        plan = fw::testing::randomPlan(random, spec);
        Edit bare;
        for (Cell c : plan.cells) {
            if (cells.size() == 12) break;
            c.load = {};
            cells.push_back(c);
            bare.changes.push_back(Put{c});
        }
        REQUIRE(apply(plan, bare).ok());
        for (std::size_t k = 0; k < cells.size(); ++k) {
            const double relief = k == 0 ? 0.16 : k == 1 ? 0.08 : 0.0;
            const double base = random.between(0.45, 0.55), drift = 0.03 + 0.004 * random.normal();
            for (std::int32_t day = kMonday; day <= kLast; ++day) {
                const double weekend = weekday(day) >= 5 ? 0.12 : 0;
                const double since = day < kOnAir ? 0 : day == kOnAir ? 0.5 : 1;
                use[{cells[k].name, day}] =
                    base - weekend + since * (drift - relief) + 0.003 * random.normal();
            }
            LedgerLine l;
            l.cell = cells[k].id;
            l.before = base;
            if (k < 2) l.relief = {{plan.smallCells.begin()->id, k == 0 ? 0.20 : 0.10, 0}};
            l.after = base - (k == 0 ? 0.20 : k == 1 ? 0.10 : 0);
            ledger.cells.push_back(l);
        }
    }
    std::filesystem::path write(const std::string& name, std::int32_t from, std::int32_t to,
                                const std::string& more = {}) {
        std::string text = kHourHead;
        for (const Cell& c : cells)
            for (std::int32_t day = from; day <= to; ++day) text += dayRows(c.name, day, use[{c.name, day}]);
        fw::testing::writeBytes(folder / name, text + more);
        return folder / name;
    }
    AfterDays read(const AfterFiles& files) {
        auto days = readAfterDays(plan, files);
        INFO((days ? std::string() : days.error().sentence()));
        REQUIRE(days.ok());
        return std::move(*days);
    }
};

const CellDays& of(const AfterDays& days, ItemId cell) {
    const auto it =
        std::find_if(days.cells.begin(), days.cells.end(), [&](const CellDays& d) { return d.cell == cell; });
    REQUIRE(it != days.cells.end());
    return *it;
}

bool says(const AfterDays& days, IntakeRemark::Weight weight, const std::string& words) {
    return std::any_of(days.remarks.begin(), days.remarks.end(), [&](const IntakeRemark& r) {
        return r.weight == weight && r.text.find(words) != std::string::npos;
    });
}

} // namespace

TEST_CASE("one file with the day on air gives the relief that was put in, drift and weekends taken off",
          "[acceptance]") {
    Town t;
    AfterFiles files;
    files.after = t.write("all.csv", kMonday, kLast);
    files.onAir = kOnAir;
    const AfterDays days = t.read(files);
    CHECK(days.usable());
    CHECK(days.fromPlan == 0);
    REQUIRE(days.cells.size() == t.cells.size());
    for (const Cell& c : t.cells) {
        const CellDays& d = of(days, c.id);
        REQUIRE(d.before.size() == 17);
        REQUIRE(d.after.size() == 28);
        // The day on which they went on air was both, and is neither.
        for (const DayUse& u : d.before) {
            CHECK(u.day < kOnAir);
            CHECK(u.use == Approx(t.use[{c.name, u.day}]).margin(1e-5 / 2 + 1e-12)); // as it was written
        }
        for (const DayUse& u : d.after) CHECK(u.day > kOnAir);
    }
    const Acceptance a = compareAfterLoad(t.plan, t.ledger, days.cells);
    CHECK(a.state == AcceptanceState::weeks4);
    REQUIRE(a.targets.size() == 2);
    CHECK(a.controls.size() == 10);
    // Four standard errors, with noise of the means of days put to it: 0.3 points over the root of 17 days.
    const double noise = 0.003 / std::sqrt(17.0) * 2;
    CHECK(a.targets[0].relief == Approx(0.16).margin(4 * (a.targets[0].errorRelief + noise)));
    CHECK(a.targets[1].relief == Approx(0.08).margin(4 * (a.targets[1].errorRelief + noise)));
    CHECK(a.targets[0].errorRelief < 0.01);
    CHECK(*a.ratio == Approx(0.8).margin(0.1));
}

TEST_CASE("two files give what one file with the day on air gives", "[acceptance]") {
    Town t;
    AfterFiles one;
    one.after = t.write("all.csv", kMonday, kLast);
    one.onAir = kOnAir;
    AfterFiles two;
    two.before = t.write("before.csv", kMonday, kOnAir - 1);
    two.after = t.write("after.csv", kOnAir + 1, kLast);
    const AfterDays a = t.read(one), b = t.read(two);
    CHECK(b.usable());
    const Acceptance x = compareAfterLoad(t.plan, t.ledger, a.cells),
                     y = compareAfterLoad(t.plan, t.ledger, b.cells);
    REQUIRE(y.targets.size() == 2);
    CHECK(x.targets[0].relief == y.targets[0].relief);
    CHECK(x.targets[0].errorRelief == y.targets[0].errorRelief);
    CHECK(x.ratio == y.ratio);
    CHECK(x.days == y.days);
    // With days in common they do not tell by themselves which came after.
    AfterFiles overlap = two;
    overlap.before = t.write("long.csv", kMonday, kOnAir + 3);
    const AfterDays open = t.read(overlap);
    CHECK_FALSE(open.usable());
    CHECK(says(open, IntakeRemark::Weight::question, "on which day did the small cells go on air?"));
    overlap.onAir = kOnAir;
    const AfterDays told = t.read(overlap);
    CHECK(told.usable());
    CHECK(compareAfterLoad(t.plan, t.ledger, told.cells).ratio == x.ratio);
}

TEST_CASE("days before that no file has are those that the plan keeps, and that is said", "[acceptance]") {
    Town t;
    AfterFiles two;
    two.before = t.write("before.csv", kMonday, kOnAir - 1);
    two.after = t.write("after.csv", kOnAir + 1, kLast);
    const AfterDays both = t.read(two);
    AfterFiles alone;
    alone.after = two.after;
    const AfterDays nothing = t.read(alone);
    CHECK_FALSE(nothing.usable());
    CHECK(says(nothing, IntakeRemark::Weight::question, "keeps no busy hours from before 2026-05-22"));

    IntakeRequest counters;
    counters.kind = IntakeKind::counters;
    const auto taken = previewIntake(t.plan, two.before, counters);
    REQUIRE(taken.ok());
    REQUIRE(apply(t.plan, taken->edit).ok());
    const AfterDays kept = t.read(alone);
    CHECK(kept.usable());
    CHECK(kept.fromPlan == t.cells.size());
    CHECK(says(kept, IntakeRemark::Weight::look,
               "Days before of 12 of 12 cells are those that the plan keeps, up to 2026-05-20"));
    for (const Cell& c : t.cells) {
        const CellDays &x = of(both, c.id), &y = of(kept, c.id);
        REQUIRE(x.before.size() == y.before.size());
        for (std::size_t k = 0; k < x.before.size(); ++k) {
            CHECK(x.before[k].day == y.before[k].day);
            CHECK(x.before[k].use == y.before[k].use);
        }
    }
    CHECK_FALSE(says(kept, IntakeRemark::Weight::look, "has the relief in it already"));
    // Loads from after are no days before, and no ground for a prediction.
    const auto late = previewIntake(t.plan, two.after, counters);
    REQUIRE(late.ok());
    REQUIRE(apply(t.plan, late->edit).ok());
    CHECK_FALSE(t.read(alone).usable());
    const AfterDays told = t.read(two);
    CHECK(told.usable());
    CHECK(says(told, IntakeRemark::Weight::look, "Loads of 12 cells"));
}

TEST_CASE("what counters refuse and ask, these do: unknown cells, short days, ambiguous dates",
          "[acceptance]") {
    Town t;
    AfterFiles files;
    files.onAir = kOnAir;
    // A cell of another plan, a figure that is none, and a day of the first cell with seven hours only.
    files.after = t.write("all.csv", kMonday, kLast,
                          dayRows("Elsewhere 1", kLast, 0.5) + t.cells[0].name + ",2026-06-20 03:00,x\n" +
                              dayRows(t.cells[0].name, kLast + 1, 0.9, 7));
    const AfterDays days = t.read(files);
    CHECK(days.usable());
    CHECK(days.after.refused == 25);
    CHECK(says(days, IntakeRemark::Weight::look, "25 of"));
    CHECK(says(days, IntakeRemark::Weight::look, "is no cell of the plan"));
    CHECK(of(days, t.cells[0].id).after.size() == 28);

    std::string both = "cell,time,DL PRB use [%]\n";
    for (int day = 1; day <= 12; ++day)
        for (int h = 0; h < 24; ++h)
            both += fmt::format("{},{:02}/05/2026 {:02}:00,50\n", t.cells[0].name, day, h);
    fw::testing::writeBytes(t.folder / "slashes.csv", both);
    files.after = t.folder / "slashes.csv";
    const AfterDays open = t.read(files);
    CHECK_FALSE(open.usable());
    CHECK(says(open, IntakeRemark::Weight::question, "day and month cannot be told apart"));
    fw::testing::writeBytes(t.folder / "colours.csv", "cell,colour\nM-1,red\n");
    files.after = t.folder / "colours.csv";
    const AfterDays none = t.read(files);
    CHECK_FALSE(none.usable());
    CHECK(says(none, IntakeRemark::Weight::question, "No column holds"));
    files.after = t.folder / "none.csv";
    CHECK_FALSE(readAfterDays(t.plan, files).ok());
}

TEST_CASE("a day is YYYY-MM-DD and nothing else", "[acceptance]") {
    CHECK(dayFrom("1970-01-01") == 0);
    CHECK(dayFrom("2026-05-04") == kMonday);
    for (const char* other : {"", "2026-5-4", "04.05.2026", "2026-02-30", "2026-05-04 10:00", "tomorrow"})
        CHECK_FALSE(dayFrom(other));
}
