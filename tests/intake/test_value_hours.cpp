// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "intake/value_reader.h"

using namespace fw;

namespace {

LocalHour hour(std::string_view text, DateOrder order = DateOrder::yearFirst) {
    const auto h = hourFrom(text, order);
    INFO(text << ": " << (h ? "" : h.error().text));
    REQUIRE(h.ok());
    return *h;
}

} // namespace

TEST_CASE("days are numbered from 1970 and named by weekday", "[hours]") {
    // ISO 8601:2004, 2.2.10: 20 May 1875 is in the reference calendar; 2000-01-01 was a Saturday.
    CHECK(dayText(0) == "1970-01-01");
    CHECK(dayText(10957) == "2000-01-01");
    CHECK(weekday(10957) == 5);
    CHECK(dayText(20541) == "2026-03-29");
    CHECK(weekday(20541) == 6); // the last Sunday of March 2026, when summer time begins in Europe
    CHECK(dayText(11016) == "2000-02-29");
    CHECK(weekday(-1) == 2);
}

TEST_CASE("one hour in every usual spelling is one hour", "[hours]") {
    const LocalHour expected{20541, 14, 0, {}};
    // ISO 8601:2004, 4.3.2 (extended and basic format), and what exports write.
    for (const char* text :
         {"2026-03-29T14:00:00", "2026-03-29 14:00", "20260329T140000", "20260329T14", "2026-03-29 14",
          "2026032914", "202603291400", "20260329140000", "2026/03/29 14:00", "2026.03.29 14:00",
          "2026-03-29 2:00 PM", "29-Mar-2026 14:00", "29-MAR-26 02.00.00 PM", "29 March 2026, 14:00",
          "Mar 29, 2026 14:00", "2026-03-29 14:00:00.000", "2026-03-29 14:00 - 15:00",
          "2026-03-29 14:00-15:00", "2026-3-29 14:00"}) {
        CAPTURE(text);
        CHECK(hour(text) == expected);
    }
    for (const char* text :
         {"29.03.2026 14:00", "29/03/2026 14", "29.3.26 14:00", "29/03/2026 2:00 PM", "2026-03-29 14:00"}) {
        CAPTURE(text);
        CHECK(hour(text, DateOrder::dayFirst) == expected);
    }
    for (const char* text : {"03/29/2026 14:00", "3/29/2026 2:00 PM", "03-29-26 14:00"}) {
        CAPTURE(text);
        CHECK(hour(text, DateOrder::monthFirst) == expected);
    }
    CHECK(hour("2026-03-29") == LocalHour{20541, 0, 0, {}});
    CHECK(hour("20260329") == LocalHour{20541, 0, 0, {}});
    CHECK(hour("2026-03-29 14:45") == LocalHour{20541, 14, 45, {}});
}

TEST_CASE("midnight, noon and the end of a day", "[hours]") {
    CHECK(hour("2026-03-29 24:00") == LocalHour{20542, 0, 0, {}}); // ISO 8601:2004, 4.2.3
    CHECK(hour("2026-03-29 12:00 AM") == LocalHour{20541, 0, 0, {}});
    CHECK(hour("2026-03-29 12:00 PM") == LocalHour{20541, 12, 0, {}});
    CHECK(hour("2026-03-29 23:00-00:00") == LocalHour{20541, 23, 0, {}});
}

TEST_CASE("offsets from UTC are kept", "[hours]") {
    // ISO 8601:2004, 4.2.5.
    CHECK(hour("2026-10-25T02:00:00+02:00").offsetMinutes == 120);
    CHECK(hour("2026-10-25T02:00:00+0100").offsetMinutes == 60);
    CHECK(hour("2026-10-25T02:00:00Z").offsetMinutes == 0);
    CHECK(hour("2026-10-25T02:00-03:30").offsetMinutes == -210);
    CHECK(hour("2026-10-25 02:00 CEST").offsetMinutes == 120);
    CHECK(hour("2026-10-25 02:00 UTC+1").offsetMinutes == 60);
    CHECK_FALSE(hourFrom("2026-10-25 02:00 IST", DateOrder::yearFirst).ok());
}

TEST_CASE("day numbers of spreadsheets and seconds since 1970", "[hours]") {
    // The handbooks of spreadsheets give DATEVALUE("1/1/2008") = 39448 as their example.
    CHECK(dayText(hour("39448").day) == "2008-01-01");
    CHECK(hour("46110.5833333333") == LocalHour{20541, 14, 0, {}});
    CHECK(hour("46110,5833333333") == LocalHour{20541, 14, 0, {}});
    CHECK(hour("1774792800") == LocalHour{20541, 14, 0, 0});
    CHECK(hour("1774792800000") == LocalHour{20541, 14, 0, 0});
}

TEST_CASE("date and hour from two columns", "[hours]") {
    const LocalHour expected{20541, 14, 0, {}};
    for (const char* text : {"14", "14:00", "H14", "14h", "2 PM", "1400", "14:00-15:00", "0.5833333333"}) {
        CAPTURE(text);
        const auto h = hourFrom("29.03.2026", text, DateOrder::dayFirst);
        REQUIRE(h.ok());
        CHECK(*h == expected);
    }
    CHECK(*hourFrom("2026-03-29", "24", DateOrder::yearFirst) == LocalHour{20542, 0, 0, {}});
    CHECK_FALSE(hourFrom("2026-03-29", "25", DateOrder::yearFirst).ok());
    CHECK_FALSE(hourFrom("2026-03-29", "", DateOrder::yearFirst).ok());
}

TEST_CASE("hours that are none are refused", "[hours]") {
    for (const char* text :
         {"", "today", "2026-02-29", "2026-13-01", "2026-03-29 25:00", "2026-03-29 14:60", "29.03.2026",
          "03/04/2026 14:00", "2026-03-29 13:00 PM", "12.5", "2026-03-29 14:00 or so", "2026-03-29 24:01"}) {
        CAPTURE(text);
        CHECK_FALSE(hourFrom(text, DateOrder::yearFirst).ok());
    }
    CHECK_FALSE(hourFrom("30/02/2026", DateOrder::dayFirst).ok());
    CHECK_FALSE(hourFrom("03/29/2026", DateOrder::dayFirst).ok());
}

TEST_CASE("the order of day and month is settled by a column, or not at all", "[hours]") {
    CHECK(dateOrderOf({"2026-03-29 14:00"}) == DateOrder::yearFirst);
    CHECK(dateOrderOf({"03/04/2026 14:00", "13/04/2026 14:00"}) == DateOrder::dayFirst);
    CHECK(dateOrderOf({"03/04/2026 14:00", "03/29/2026 2:00 PM"}) == DateOrder::monthFirst);
    CHECK(dateOrderOf({"03/04/2026", "05/06/2026"}) == std::nullopt);
    CHECK(dateOrderOf({"13/04/2026", "04/13/2026"}) == std::nullopt);
    CHECK(dateOrderOf({"03.04.2026 10"}) == DateOrder::dayFirst); // dates with points begin with the day
    CHECK(dateOrderOf({"46110.58", "46111"}) == DateOrder::yearFirst);
}
