// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "plan/edit.h"
#include "plan/id_ranges.h"
#include "plan/validate.h"

using namespace fw;

TEST_CASE("Ranges of identities are read as people write them") {
    CHECK(*idRanges("100-119, 140", 503) == std::vector<IdRange>{{100, 119}, {140, 140}});
    CHECK(*idRanges(" 7 ", 503) == std::vector<IdRange>{{7, 7}});
    CHECK(*idRanges("30-40,10-20,21,35-50", 503) == std::vector<IdRange>{{10, 21}, {30, 50}});
    CHECK(idRanges("", 503)->empty());
    CHECK(idRanges("  ", 503)->empty());
    CHECK(countOf(*idRanges("0-503", 503)) == 504);
    CHECK(countOf({}) == 0);
}

TEST_CASE("Ranges that cannot be meant are refused by a sentence") {
    for (const char* text :
         {"a", "1-", "-1", "1--2", "1.5", "1,", ",1", "1 2", "0x10", "99999999999999999999"}) {
        CAPTURE(text);
        const auto ranges = idRanges(text, 503);
        REQUIRE_FALSE(ranges);
        CHECK(ranges.error().text.find("neither a number nor a range") != std::string::npos);
    }
    CHECK(idRanges("20-10", 503).error().text.find("ends before it begins") != std::string::npos);
    CHECK(idRanges("500-504", 503).error().text.find("above 503") != std::string::npos);
    std::string many;
    for (int k = 0; k < 1001; ++k) many += (k ? "," : "") + std::to_string(2 * k);
    CHECK_FALSE(idRanges(many, 1 << 20));
}

TEST_CASE("A plan takes ranges that its identities have, and no others") {
    PlanSettings s;
    s.identities = {"100-503", "0-1007", "0-837", "5", "4096-4351", "16777215", 24, "0-255"};
    CHECK(validate(s).ok());
    s.identities.gnb = "16777216"; // 24 bits hold one less
    CHECK_FALSE(validate(s).ok());
    s.identities.gnbBits = 25;
    CHECK(validate(s).ok());
    s.identities.pciLte = "504";
    CHECK(validate(s).error().text.find("PCI for LTE small cells") != std::string::npos);
    s.identities.pciLte = "";
    s.identities.gnbBits = 33;
    CHECK_FALSE(validate(s).ok());
}

TEST_CASE("Identities of a cell keep to the bits that the standards give them") {
    SmallCell s;
    s.id = {3}, s.radio = {2}, s.variant = {1};
    s.identity = {837, 65535, 268435455};
    CHECK(validate(Item{s}).ok());
    s.identity.cell = 268435456;
    CHECK_FALSE(validate(Item{s}).ok());
    s.carrier = {Technology::nr, 630000, 20, Duplex::tdd, 0.74, 30};
    s.identity = {0, 16777215, 68719476735};
    CHECK(validate(Item{s}).ok());
    s.identity.trackingArea = 16777216;
    CHECK_FALSE(validate(Item{s}).ok());
    s.identity = {838, {}, {}};
    CHECK_FALSE(validate(Item{s}).ok());
}
