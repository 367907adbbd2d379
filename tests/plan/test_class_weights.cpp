// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "plan/class_weights.h"

using namespace fw;

TEST_CASE("Weights of land-cover classes are read as they are written") {
    const auto weights = classWeights(" 80=0;50 = 1.5 ; 7=100;");
    REQUIRE(weights);
    CHECK(*weights == std::map<std::int32_t, double>{{7, 100}, {50, 1.5}, {80, 0}});
    CHECK(classWeightsText(*weights) == "7=100; 50=1.5; 80=0");
    CHECK(*classWeights(classWeightsText(*weights)) == *weights);
    CHECK(classWeights("")->empty());
    CHECK(classWeightsText({}).empty());
}

TEST_CASE("Weights that cannot be meant are refused by a sentence") {
    for (const char* text :
         {"80", "80=", "=1", "80=much", "80=-1", "80=101", "80=nan", "8.5=1", "80=1,5", "80=1=2"}) {
        CAPTURE(text);
        const auto weights = classWeights(text);
        REQUIRE_FALSE(weights);
        CHECK(weights.error().text.find("class=weight") != std::string::npos);
    }
    CHECK(classWeights("80=1; 80=2").error().text.find("two weights") != std::string::npos);
    std::string many;
    for (int k = 0; k < 257; ++k) many += std::to_string(k) + "=1;";
    CHECK_FALSE(classWeights(many));
}
