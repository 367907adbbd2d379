// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "reference_cases.h"

using namespace fwtest;

TEST_CASE("A reference line is read field by field", "[reference]") {
    const auto c = referenceCaseOf("A-1 | Rec. X, 4.1 | f_GHz=2.6; d_m = 100 |-3.5|dB|2%|published", "t:1");
    CHECK(c.id == "A-1");
    CHECK(c.source == "Rec. X, 4.1");
    CHECK(c.number("f_GHz") == 2.6);
    CHECK(c.number("d_m") == 100);
    CHECK(c.number("h_m", 7.0) == 7.0);
    CHECK(c.expected() == -3.5);
    CHECK(c.tolerance() == Approx(0.07));
    CHECK(c.met(-3.44));
    CHECK_FALSE(c.met(-3.42));
    CHECK_FALSE(c.met(std::nan("")));
    CHECK(c.basis == "published");
}

TEST_CASE("A broken reference line cannot pass for a case", "[reference]") {
    CHECK_THROWS(referenceCaseOf("A | s | a=1 | 2 | dB | 0", "t:1"));             // six fields
    CHECK_THROWS(referenceCaseOf("A | s | a | 2 | dB | 0 | published", "t:1"));   // no '='
    CHECK_THROWS(referenceCaseOf("A |   | a=1 | 2 | dB | 0 | published", "t:1")); // no source
    const auto c = referenceCaseOf("A | s | a=1x | 2,5 | dB | - | published", "t:1");
    CHECK_THROWS(c.number("a"));
    CHECK_THROWS(c.number("b"));
    CHECK_THROWS(c.expected());
    CHECK_THROWS(c.tolerance());
    CHECK_THROWS(referenceCases("no-such-file.txt"));
}
