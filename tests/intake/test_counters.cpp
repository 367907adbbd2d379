// SPDX-License-Identifier: GPL-3.0-or-later
// Busy hours of weeks that are worked by hand beside each case.
#include "intake/counter_week.h"
#include "study/study.h"

using namespace fw;
using namespace fwtest;

TEST_CASE("the busy-hour use is the mean of the daily busy hours", "[counters]") {
    // Every hour 20 %, but for one hour a day:
    //   Mon 18:00 70, Tue 19:00 72, Wed 19:00 74, Thu 20:00 76, Fri 19:00 78, Sat 12:00 60, Sun 12:00 55.
    // Mean (70+72+74+76+78+60+55)/7 = 485/7 = 69.2857 %. Hours: 19 three times, 12 twice, so 19.
    const int hours[] = {18, 19, 19, 20, 19, 12, 12};
    const double peaks[] = {0.70, 0.72, 0.74, 0.76, 0.78, 0.60, 0.55};
    CounterCollector collector;
    for (int d = 0; d < 7; ++d)
        for (int h = 0; h < 24; ++h) {
            CounterSample s = sampleAt("PM01-1", kMonday + d, h, h == hours[d] ? peaks[d] : 0.20);
            // Users and throughput belong to the busy hour: 30 + day there, 5 elsewhere; 2 + day/10, 20
            // elsewhere.
            s.of(CounterFigure::users) = h == hours[d] ? 30 + d : 5;
            s.of(CounterFigure::throughput) = h == hours[d] ? 2 + d / 10.0 : 20;
            // Uplink has a busy hour of its own at 08:00: 40 % every day.
            s.of(CounterFigure::uplinkPrb) = h == 8 ? 0.40 : 0.10;
            collector.add(s);
        }
    const auto r = finished(collector);
    REQUIRE(r.cells.size() == 1);
    const CounterCell& c = r.cells[0];
    CHECK(*c.load.dlPrbUse == Approx(4.85 / 7).margin(1e-12));
    CHECK(c.load.dailyDlPrbUse == std::vector<double>(std::begin(peaks), std::end(peaks)));
    CHECK(c.load.hour == 19);
    CHECK(c.load.date == "2026-04-12");
    CHECK(*c.load.ulPrbUse == Approx(0.40).margin(1e-12));
    CHECK(*c.load.users == Approx(33).margin(1e-12));               // (30+...+36)/7
    CHECK(*c.load.userThroughputMbps == Approx(2.3).margin(1e-12)); // (2.0+...+2.6)/7
    CHECK(c.missingHours == 0);
    CHECK(c.limiting == CounterFigure::downlinkPrb);
    SECTION("trigger: 70 % on five of seven, and under 3 Mbit/s") {
        CHECK(c.daysOver == 5);
        CHECK(c.triggered);
        CounterOptions strict;
        strict.model.triggerUse = 0.71; // Monday no longer: four days
        CHECK(finished(collector, strict).cells[0].daysOver == 4);
        CHECK_FALSE(finished(collector, strict).cells[0].triggered);
        CounterOptions fast;
        fast.model.triggerThroughputMbps = 2.3; // not below it
        CHECK_FALSE(finished(collector, fast).cells[0].triggered);
    }
    SECTION("the workings end in the figures") {
        const auto workings = workingsOf(c, {});
        REQUIRE(workings.size() == 6); // downlink, uplink, users, throughput, trigger, limit
        CHECK(workings[0].inputs.size() == 7);
        CHECK(workings[0].inputs[0].name == "Mon 2026-04-06 18:00");
        CHECK(workings[0].steps.back().value == Approx(485.0 / 7).margin(1e-9));
        CHECK(workings[1].steps.back().value == Approx(40).margin(1e-9));
        CHECK(workings[2].steps.back().value == Approx(33).margin(1e-9));
        CHECK(workings[3].steps.back().value == Approx(2.3).margin(1e-9));
        CHECK(workings[4].steps.back().value == 1);
        for (const Working& w : workings) {
            CHECK_FALSE(w.source.empty());
            CHECK_FALSE(w.title.empty());
        }
    }
}

TEST_CASE("the network hour is one clock hour for all cells", "[counters]") {
    // A: 80 % at 18:00, 60 % at 20:00, else 10 %. B: 20 % at 18:00, 70 % at 20:00, else 10 %.
    // Totals: 18:00 100 %, 20:00 130 %, others 20 %. So 20:00: A 60 %, B 70 %; by daily busy hours A 80 %.
    CounterCollector collector;
    addDays(collector, "A", kMonday, 7, [](int, int h) { return h == 18 ? 0.8 : h == 20 ? 0.6 : 0.1; });
    addDays(collector, "B", kMonday, 7, [](int, int h) { return h == 18 ? 0.2 : h == 20 ? 0.7 : 0.1; });
    CounterOptions network;
    network.rule = BusyHourRule::network;
    const auto r = finished(collector, network);
    CHECK(r.summary.networkHour == 20);
    CHECK(*r.cells[0].load.dlPrbUse == Approx(0.6).margin(1e-12));
    CHECK(r.cells[0].load.hour == 20);
    CHECK(*r.cells[1].load.dlPrbUse == Approx(0.7).margin(1e-12));
    const auto daily = finished(collector);
    CHECK(*daily.cells[0].load.dlPrbUse == Approx(0.8).margin(1e-12));
    CHECK(daily.cells[0].load.hour == 18);
}

TEST_CASE("gaps are counted, and a day with too few hours does not count", "[counters]") {
    // Seven days of 50 % at 19:00; Wednesday lacks 19:00 and three more (20 hours left: it counts, with 20
    // %), Thursday lacks five (19 left: it does not). Mean (50 x 5 + 20) / 6 = 45 %.
    CounterCollector collector;
    for (int d = 0; d < 7; ++d)
        for (int h = 0; h < 24; ++h) {
            if (d == 2 && h >= 19 && h < 23) continue;
            if (d == 3 && h < 5) continue;
            collector.add(sampleAt("A", kMonday + d, h, h == 19 ? 0.5 : 0.2));
        }
    const auto r = finished(collector);
    const CounterCell& c = r.cells[0];
    CHECK(c.days.size() == 6);
    CHECK(c.daysLeftOut == 1);
    CHECK(c.missingHours == 9);
    CHECK(*c.load.dlPrbUse == Approx(0.45).margin(1e-12));
    CHECK(says(r.summary.notes, "missing: 9 of 168."));
    CHECK(says(r.summary.notes, "fewer than 20 hours, not counted: 1."));
}

TEST_CASE("rows that repeat count once, rows that differ are listed and the later is taken", "[counters]") {
    CounterCollector collector;
    addDays(collector, "A", kMonday, 1, [](int, int h) { return h == 19 ? 0.5 : 0.2; });
    CounterSample again = sampleAt("A", kMonday, 3, 0.2);
    again.row = 26;
    collector.add(again);
    CounterSample other = sampleAt("A", kMonday, 19, 0.6);
    other.row = 27;
    collector.add(other);
    CounterSample users = sampleAt("A", kMonday, 19, 0.6);
    users.figures = {};
    users.of(CounterFigure::users) = 12;
    collector.add(users);
    const auto r = finished(collector);
    CHECK(r.summary.samples == 27);
    CHECK(r.summary.identical == 1);
    CHECK(r.summary.conflicts == 1);
    CHECK(r.summary.completed == 1);
    REQUIRE(r.summary.conflicting.size() == 1);
    CHECK(r.summary.conflicting[0].cell == "A");
    CHECK(r.summary.conflicting[0].at == LocalHour{kMonday, 19, 0, {}});
    CHECK(r.summary.conflicting[0].takenRow == 27);
    CHECK(*r.cells[0].load.dlPrbUse == 0.6);
    CHECK(*r.cells[0].load.users == 12);
    CHECK(says(r.summary.notes, "The first is A at 2026-04-06 19:00"));
}

TEST_CASE("clocks set back without offsets: the hour that stands twice is two hours", "[counters][clock]") {
    // 2026-10-25 is the last Sunday of October (Directive 2000/84/EC, article 3): 02:00 comes twice in Port
    // Merrow.
    constexpr std::int32_t kSunday = 20751;
    REQUIRE(dayText(kSunday) == "2026-10-25");
    CounterCollector collector;
    addDays(collector, "A", kSunday - 1, 3, [](int d, int h) { return h == 2 && d == 1 ? 0.9 : 0.2; });
    collector.add(sampleAt("A", kSunday, 2, 0.3));
    SECTION("both are kept") {
        const auto r = finished(collector);
        CHECK(r.summary.repeatedHours == 1);
        CHECK(r.summary.conflicts == 0);
        CHECK(r.summary.identical == 0);
        CHECK(r.summary.missingHours == 0);
        CHECK(r.cells[0].days[1].hours == 25);
        CHECK(r.cells[0].days[1].busy[0] == BusyHour{2, 0.9});
    }
    SECTION("another hour of that day twice as well: then rows are duplicates") {
        collector.add(sampleAt("A", kSunday, 15, 0.2));
        const auto r = finished(collector);
        CHECK(r.summary.repeatedHours == 0);
        CHECK(r.summary.conflicts == 1);
        CHECK(r.summary.identical == 1);
    }
    SECTION("a day later the same would be a duplicate") {
        collector.add(sampleAt("A", kSunday + 1, 2, 0.3));
        const auto r = finished(collector);
        CHECK(r.summary.conflicts == 1);
    }
}

TEST_CASE("clocks set back with offsets are exact, whatever the day", "[counters][clock]") {
    CounterCollector collector;
    // A Wednesday, so that only the offsets can tell: 02:00+02:00 and 02:00+01:00, and a true duplicate of
    // the latter.
    constexpr std::int32_t kDay = kMonday + 2;
    const auto at = [&](int hour, int offset, double use) {
        CounterSample s = sampleAt("A", kDay, hour, use);
        s.at.offsetMinutes = offset;
        return s;
    };
    for (int h = 0; h < 3; ++h) collector.add(at(h, 120, 0.2));
    for (int h = 2; h < 24; ++h) collector.add(at(h, 60, h == 19 ? 0.7 : 0.3));
    collector.add(at(2, 60, 0.3));
    const auto r = finished(collector);
    CHECK(r.summary.repeatedHours == 1);
    CHECK(r.summary.identical == 1);
    CHECK(r.summary.conflicts == 0);
    CHECK(r.cells[0].days[0].hours == 25);
    CHECK(*r.cells[0].load.dlPrbUse == 0.7);
}

TEST_CASE("the hour that clocks skip is no gap", "[counters][clock]") {
    // 2026-03-29: 02:00 does not exist in central Europe.
    constexpr std::int32_t kSunday = 20541;
    CounterCollector collector;
    for (int d = -1; d < 2; ++d)
        for (int h = 0; h < 24; ++h)
            if (d != 0 || h != 2) collector.add(sampleAt("A", kSunday + d, h, 0.2));
    CHECK(finished(collector).cells[0].missingHours == 0);
    CounterCollector wednesday;
    for (int d = -1; d < 2; ++d)
        for (int h = 0; h < 24; ++h)
            if (d != 0 || h != 2) wednesday.add(sampleAt("A", kMonday + 2 + d, h, 0.2));
    CHECK(finished(wednesday).cells[0].missingHours == 1);
}

TEST_CASE("what runs out first is said when it is not the downlink", "[counters]") {
    CounterCollector collector;
    for (int d = 0; d < 7; ++d)
        for (int h = 0; h < 24; ++h) {
            CounterSample s = sampleAt("A", kMonday + d, h, h == 19 ? 0.55 : 0.2);
            s.of(CounterFigure::control) = h == 19 ? 0.86 : 0.3;
            s.of(CounterFigure::connected) = 0.4;
            collector.add(s);
        }
    const auto r = finished(collector);
    CHECK(r.cells[0].limiting == CounterFigure::control);
    CHECK(r.cells[0].limitingShare == Approx(0.86).margin(1e-12));
    CHECK(says(r.cells[0].notes, "the control channel (86 %), not the downlink resource blocks (55 %)"));
    CHECK_FALSE(r.cells[0].triggered);
}

TEST_CASE("of four weeks the latest seven days decide", "[counters]") {
    // Three busy weeks at 80 %, then a week at 50 %: the trigger looks at the last.
    CounterCollector collector;
    addDays(collector, "A", kMonday, 28, [](int d, int h) { return h == 19 ? (d < 21 ? 0.8 : 0.5) : 0.2; });
    addDays(collector, "B", kMonday, 28, [](int d, int h) { return h == 19 ? (d < 21 ? 0.5 : 0.8) : 0.2; });
    const auto r = finished(collector);
    CHECK(r.cells[0].load.dailyDlPrbUse.size() == 28);
    CHECK(*r.cells[0].load.dlPrbUse == Approx((21 * 0.8 + 7 * 0.5) / 28).margin(1e-12));
    CHECK_FALSE(r.cells[0].triggered);
    CHECK(r.cells[1].triggered);
    CHECK(r.cells[1].triggered == overTrigger(r.cells[1].load, {}));
}

TEST_CASE("files of working hours, of one row a day, of quarters of an hour", "[counters]") {
    SECTION("16 hours a day: 14 make a day") {
        CounterCollector collector;
        for (int d = 0; d < 7; ++d)
            for (int h = 6; h < 22; ++h)
                if (d != 6 || h >= 9) collector.add(sampleAt("A", kMonday + d, h, h == 19 ? 0.5 : 0.2));
        const auto r = finished(collector);
        CHECK(r.summary.hoursNeeded == 14); // 16 x 20/24 = 13.3, rounded up
        CHECK(r.cells[0].days.size() == 6);
        CHECK(says(r.summary.notes, "16 hours of the day"));
    }
    SECTION("one row a day") {
        CounterCollector collector;
        for (int d = 0; d < 7; ++d) collector.add(sampleAt("A", kMonday + d, 0, 0.5 + d / 100.0));
        const auto r = finished(collector);
        CHECK(r.cells[0].days.size() == 7);
        CHECK(*r.cells[0].load.dlPrbUse == Approx(0.53).margin(1e-12));
        CHECK(says(r.summary.notes, "one hour a day"));
    }
    SECTION("one row a day, and a stray one") {
        CounterCollector collector;
        for (int d = 0; d < 14; ++d) collector.add(sampleAt("A", kMonday + d, 0, 0.5));
        collector.add(sampleAt("A", kMonday + 3, 17, 0.9));
        const auto r = finished(collector);
        CHECK(r.summary.hoursNeeded == 1);
        CHECK(r.cells[0].days.size() == 14);
        CHECK(r.cells[0].missingHours == 0);
        CHECK(*r.cells[0].load.dlPrbUse == Approx((13 * 0.5 + 0.9) / 14).margin(1e-12));
    }
    SECTION("quarters") {
        CounterCollector collector;
        for (int h = 0; h < 24; ++h)
            for (int q = 0; q < 4; ++q) {
                CounterSample s = sampleAt("A", kMonday, h, h == 19 ? 0.5 + q / 10.0 : 0.2);
                s.at.minute = q * 15;
                collector.add(s);
            }
        CHECK(*finished(collector).cells[0].load.dlPrbUse == Approx(0.65).margin(1e-12)); // (50+60+70+80)/4
    }
}

TEST_CASE("what is missing is absent, never zero", "[counters]") {
    CounterCollector collector;
    CounterSample s = sampleAt("A", kMonday, 0, 0);
    s.figures = {};
    s.of(CounterFigure::users) = 3;
    collector.add(s);
    addDays(collector, "B", kMonday, 1, [](int, int) { return 0.0; });
    const auto r = finished(collector);
    CHECK(r.cells[0].load == CellLoad{});
    CHECK(says(r.cells[0].notes, "no busy hour"));
    CHECK(r.cells[1].load.dlPrbUse == 0.0);
    CHECK(r.cells[1].load.hour == 0);
    CHECK_FALSE(r.cells[1].load.ulPrbUse);
    CHECK_FALSE(CounterCollector().finish({}).ok());
    std::stop_source stop;
    stop.request_stop();
    CHECK(collector.finish({}, {stop.get_token(), {}}).error().code == ErrorCode::cancelled);
}

TEST_CASE("a file in UTC says so", "[counters]") {
    CounterCollector collector;
    CounterSample s = sampleAt("A", kMonday, 19, 0.5);
    s.at.offsetMinutes = 0;
    collector.add(s);
    CHECK(says(finished(collector).summary.notes, "All hours are in UTC"));
}
