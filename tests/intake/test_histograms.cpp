// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "intake/histograms.h"

using namespace fw;

TEST_CASE("a step stands at the end of a column's name", "[histograms]") {
    CHECK(stepOf("5") == 5);
    CHECK(stepOf("TA 12") == 12);
    CHECK(stepOf("CQI_07") == 7);
    CHECK(stepOf("ta[3]") == 3);
    CHECK(stepOf("ta.index.4") == 4);
    CHECK(stepOf("TA-12") == 12);
    for (const char* name : {"cell", "", "0-78 m", "78-156", "1.5", "-3", "TA 12 m"}) {
        CAPTURE(name);
        CHECK_FALSE(stepOf(name));
    }
}

TEST_CASE("long and wide rows make the same histogram", "[histograms]") {
    HistogramCollector lengthy(HistogramKind::timingAdvance), wide(HistogramKind::timingAdvance);
    CHECK(lengthy.add("A", 0, 120).ok());
    CHECK(lengthy.add("A", 2, 30).ok());
    CHECK(lengthy.add("A", 0, 80).ok());
    CHECK(wide.add("A", {0, 1, 2}, {120, std::nullopt, 30}).ok());
    CHECK(wide.add("A", {0, 1, 2}, {80, std::nullopt, std::nullopt}).ok());
    const std::vector<double> expected{200, 0, 30};
    CHECK(lengthy.finish().cells.at(0).counts == expected);
    CHECK(wide.finish().cells.at(0).counts == expected);
    CHECK(wide.finish().cells.at(0).rows == 2);
}

TEST_CASE("steps and counts out of range are refused, and the row leaves nothing", "[histograms]") {
    // TS 36.213, 7.2.3: a CQI is 0 to 15.
    HistogramCollector cqi(HistogramKind::cqi);
    CHECK(cqi.add("A", 15, 1).ok());
    CHECK_FALSE(cqi.add("A", 16, 1).ok());
    CHECK_FALSE(cqi.add("A", -1, 1).ok());
    CHECK_FALSE(cqi.add("A", 3, -1).ok());
    CHECK_FALSE(cqi.add("B", {0, 16}, {5, 5}).ok());
    CHECK_FALSE(cqi.add("B", {0, 1}, {std::nullopt, std::nullopt}).ok());
    CHECK(cqi.add("C", {0, 1}, {0, 0}).ok());
    const auto r = cqi.finish();
    REQUIRE(r.cells.size() == 1);
    CHECK(r.cells[0].cell == "A");
    REQUIRE(r.notes.size() == 1);
    CHECK(r.notes[0].find("Cells without samples") == 0);
}

TEST_CASE("a histogram that may count from 1 is pointed out", "[histograms]") {
    HistogramCollector ta(HistogramKind::timingAdvance);
    CHECK(ta.add("A", {1, 2, 3}, {500, 300, 10}).ok());
    const auto r = ta.finish();
    REQUIRE(r.notes.size() == 1);
    CHECK(r.notes[0].find("step 0") != std::string::npos);
    CHECK_FALSE(ta.add("A", 4096, 1).ok());
}
