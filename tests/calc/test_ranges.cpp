// SPDX-License-Identifier: GPL-3.0-or-later
// The range each published model states for itself, as the calculator tells it: at its ends a result without
// a word, beyond them a result with a remark that names the input.
#include "calc/calc.h"
#include "catch.h"

#include <algorithm>
#include <iterator>
#include <map>
#include <string>
#include <vector>

using namespace fw;
using Inputs = std::map<std::string, std::string>;

namespace {

struct Limit {
    const char* input;
    const char* within; ///< the end of the range, which belongs to it
    const char* beyond;
};
struct Case {
    const char* model;
    Inputs inside;
    std::vector<Limit> limits;
};

// Ends as the sources state them; the edition and clause of each stands with the model.
const std::vector<Case>& cases() {
    static const std::vector<Case> all = {
        {"p1411_low_terminal",
         {{"f_GHz", "2"}, {"d_m", "100"}},
         {{"f_GHz", "0.3", "0.299"}, {"f_GHz", "3", "3.01"}}},
        {"p1411_over_rooftop",
         {{"f_GHz", "2"}, {"d3D_m", "500"}, {"h1_m", "30"}, {"h2_m", "1.5"}, {"hr_m", "20"}},
         {{"f_GHz", "0.8", "0.79"},
          {"f_GHz", "26", "26.1"},
          {"d3D_m", "20", "19"},
          {"d3D_m", "5000", "5001"},
          {"h1_m", "4", "3.9"},
          {"h1_m", "55", "56"},
          {"h2_m", "1", "0.9"},
          {"h2_m", "3", "3.1"}}},
        {"p1411_variability",
         {{"f_GHz", "2"}, {"d3D_m", "100"}, {"row", "belowroof_nlos_urban_highrise"}},
         {{"f_GHz", "0.8", "0.79"}, {"d3D_m", "30", "29"}, {"d3D_m", "715", "716"}}},
        {"p2108_terminal",
         {{"f_GHz", "1.8"}, {"h_m", "1.5"}, {"R_m", "15"}},
         {{"f_GHz", "0.03", "0.029"}, {"f_GHz", "3", "3.01"}}},
        {"p2108_terrestrial",
         {{"f_GHz", "1.8"}, {"d_km", "1"}},
         {{"f_GHz", "0.5", "0.49"}, {"f_GHz", "67", "68"}, {"d_km", "0.25", "0.249"}}},
        {"p2108_slant",
         {{"f_GHz", "20"}, {"theta_deg", "20"}},
         {{"f_GHz", "10", "9.9"}, {"f_GHz", "100", "101"}}},
        {"rma_los",
         {{"f_GHz", "0.8"}, {"d2D_m", "1000"}},
         {{"f_GHz", "0.5", "0.49"},
          {"f_GHz", "30", "30.1"},
          {"d2D_m", "10", "9"},
          {"d2D_m", "10000", "10001"},
          {"hBS_m", "150", "151"},
          {"hUT_m", "10", "10.1"},
          {"h_m", "50", "51"},
          {"W_m", "5", "4.9"}}},
        {"rma_nlos", {{"f_GHz", "0.8"}, {"d2D_m", "1000"}}, {{"d2D_m", "5000", "5001"}}},
        {"tr38901_wall", {{"f_GHz", "2"}}, {{"f_GHz", "0.5", "0.49"}, {"f_GHz", "100", "101"}}},
        {"uma_los_mean", {{"f_GHz", "2"}, {"d2D_m", "100"}, {"hUT_m", "20"}}, {{"hUT_m", "22.5", "22.6"}}},
        {"okumura_hata",
         {{"f_MHz", "900"}, {"d_km", "2"}, {"hb_m", "30"}},
         {{"f_MHz", "150", "149"},
          {"f_MHz", "1500", "1501"},
          {"d_km", "1", "0.9"},
          {"d_km", "20", "21"},
          {"hb_m", "30", "29"},
          {"hb_m", "200", "201"},
          {"hm_m", "10", "11"}}},
        {"cost231_hata",
         {{"f_MHz", "1800"}, {"d_km", "2"}, {"hb_m", "30"}},
         {{"f_MHz", "1500", "1499"}, {"f_MHz", "2000", "2001"}}},
        {"m2135_nlos",
         {{"f_GHz", "3"}, {"d_m", "500"}},
         {{"f_GHz", "2", "1.9"}, {"f_GHz", "6", "6.1"}, {"d_m", "5000", "5001"}}},
        {"p838_attenuation",
         {{"f_GHz", "23"}, {"R_mm_h", "25"}},
         {{"f_GHz", "1", "0.9"}, {"f_GHz", "1000", "1001"}}},
        {"p676_attenuation", {{"f_GHz", "23"}}, {{"f_GHz", "1", "0.9"}, {"f_GHz", "1000", "1001"}}},
        {"p530_distance_factor",
         {{"f_GHz", "23"}, {"d_km", "1"}, {"R001_mm_h", "25"}},
         {{"f_GHz", "1", "0.9"}, {"f_GHz", "100", "101"}, {"d_km", "60", "61"}}},
        {"p530_multipath",
         {{"K", "1e-4"}, {"f_GHz", "6"}, {"d_km", "20"}, {"A_dB", "20"}},
         {{"d_km", "5", "4.9"}}},
        {"spherical_earth",
         {{"f_GHz", "2"}, {"d_km", "30"}, {"ht_m", "20"}, {"hr_m", "10"}},
         {{"f_GHz", "0.03", "0.029"}, {"f_GHz", "50", "51"}}},
        {"cell_individual_offset",
         {{"value_dB", "6"}},
         {{"value_dB", "24", "25"}, {"value_dB", "-24", "-25"}}},
    };
    return all;
}

// Remarks that say an input leaves its range.
std::vector<std::string> rangeRemarks(const char* model, const Inputs& in) {
    const auto r = calculate(model, in);
    if (!r) FAIL(r.error().sentence());
    std::vector<std::string> out;
    std::copy_if(r->remarks.begin(), r->remarks.end(), std::back_inserter(out), [](const std::string& s) {
        return s.find("outside the stated range") != std::string::npos;
    });
    return out;
}

} // namespace

TEST_CASE("each model says when an input leaves the range its source states", "[calc]") {
    for (const Case& c : cases()) {
        INFO(c.model);
        CHECK(rangeRemarks(c.model, c.inside).empty());
        for (const Limit& limit : c.limits) {
            INFO(limit.input << " " << limit.within << " / " << limit.beyond);
            Inputs in = c.inside;
            in[limit.input] = limit.within;
            CHECK(rangeRemarks(c.model, in).empty());
            in[limit.input] = limit.beyond;
            CHECK_FALSE(rangeRemarks(c.model, in).empty());
        }
    }
}

TEST_CASE("models refuse what they have no result for, with a sentence", "[calc]") {
    const auto refusal = [](const char* model, const Inputs& in) {
        const auto r = calculate(model, in);
        return r ? std::string("computed") : r.error().sentence();
    };
    using Catch::Matchers::Contains;
    CHECK_THAT(refusal("p1411_over_rooftop",
                       {{"f_GHz", "2"}, {"d3D_m", "500"}, {"h1_m", "30"}, {"h2_m", "20"}, {"hr_m", "20"}}),
               Contains("below the roofs"));
    CHECK_THAT(refusal("p1411_street_canyon",
                       {{"f_GHz", "5"}, {"d_m", "100"}, {"h1_m", "6"}, {"h2_m", "1.5"}, {"hs_m", "1.5"}}),
               Contains("above the road"));
    CHECK_THAT(refusal("delta_bullington",
                       {{"d_km", "0,1,2"}, {"g_m", "0,5,0"}, {"ht_m", "0"}, {"hr_m", "5"}, {"f_GHz", "2"}}),
               Contains("above 0"));
}
