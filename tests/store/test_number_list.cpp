// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/number_list.h"

#include "base/random.h"
#include "catch.h"

#include <bit>
#include <cmath>

using namespace fw;

TEST_CASE("any number comes back from its text with the same bits") {
    Random random(16);
    for (int k = 0; k < 20000; ++k) {
        const double v = std::bit_cast<double>(random.next());
        if (!std::isfinite(v)) continue;
        const auto back = numberFrom(numberText(v));
        REQUIRE(back);
        REQUIRE(std::bit_cast<std::uint64_t>(*back) == std::bit_cast<std::uint64_t>(v + 0.0));
    }
    CHECK(numberText(-0.0) == "0");
    CHECK(numberText(0.1) == "0.1");
}

TEST_CASE("lists are JSON arrays of numbers and nothing else (RFC 8259, 5)") {
    CHECK(listText({0, 3, 6.5}) == "[0,3,6.5]");
    CHECK(listText({}) == "[]");
    CHECK(listFrom("[]") == std::vector<double>{});
    CHECK(listFrom(" [ 0, 3 ,\n6.5e1 ] ") == std::vector<double>{0, 3, 65});
    for (const char* bad :
         {"", "[", "]", "0,3", "[0,3", "[0,,3]", "[0,]", "[,0]", "[a]", "[1 2]", "[[1]]", "[1]x", "null"}) {
        INFO(bad);
        CHECK_FALSE(listFrom(bad));
    }
}
