// SPDX-License-Identifier: GPL-3.0-or-later
// What the calculator does besides computing: names, units, ranges, refusals.
#include "base/random.h"
#include "calc/calc.h"
#include "catch.h"

#include <cmath>
#include <map>
#include <set>
#include <string>

using namespace fw;
using Catch::Matchers::Contains;
using Inputs = std::map<std::string, std::string>;

namespace {

std::string refusal(std::string_view model, const Inputs& in) {
    const auto r = calculate(model, in);
    return r ? "computed " + std::to_string(r->steps.back().value) : r.error().sentence();
}
double value(std::string_view model, const Inputs& in) {
    const auto r = calculate(model, in);
    INFO(model);
    REQUIRE(r.ok());
    return r->steps.back().value;
}
const InputInfo& input(const ModelInfo& m, const std::string& name) {
    for (const InputInfo& in : m.inputs)
        if (in.name == name) return in;
    throw std::runtime_error(m.name + " has no input " + name);
}

} // namespace

TEST_CASE("the list of models is complete and unambiguous", "[calc]") {
    std::set<std::string> names;
    for (const ModelInfo& m : models()) {
        INFO(m.name);
        CHECK(names.insert(m.name).second);
        CHECK_FALSE(m.title.empty());
        CHECK_FALSE(m.result.empty());
        CHECK_FALSE(m.source.empty());
        std::set<std::string> keys;
        for (const InputInfo& in : m.inputs) {
            INFO(in.name);
            CHECK_FALSE(in.what.empty());
            CHECK(keys.insert(in.name).second);
            for (const InputAlias& a : in.aliases) CHECK(keys.insert(a.name).second);
            CHECK((in.kind == InputKind::choice) == !in.choices.empty());
            // A unit in the name is the unit that is stated.
            if (!in.unit.empty() && in.unit != "%" && in.name != "c" && in.name != "cap")
                CHECK(in.name.find('_') != std::string::npos);
        }
    }
    CHECK(names.size() > 40);
}

TEST_CASE("one input, several units", "[calc]") {
    const double mhz = value("free_space", {{"f_MHz", "2600"}, {"d_m", "100"}});
    CHECK(value("free_space", {{"f_GHz", "2.6"}, {"d_km", "0.1"}}) == Approx(mhz).margin(1e-9));
    CHECK(value("free_space", {{"f_Hz", "2.6e9"}, {"d_m", " +100 "}}) == Approx(mhz).margin(1e-9));
    CHECK_THAT(refusal("free_space", {{"f_MHz", "2600"}, {"f_GHz", "2.6"}, {"d_m", "100"}}),
               Contains("given twice"));
}

TEST_CASE("refusals name what is wrong and what is near", "[calc]") {
    CHECK_THAT(refusal("uma_nls", {}), Contains("no model \"uma_nls\"") && Contains("\"uma_nlos\""));
    CHECK_THAT(refusal("qqqqqqqqqqqqqqqq", {}), Contains("no model") && !Contains("Did you mean"));
    CHECK_THAT(refusal("free_space", {{"f_GHz", "2.6"}, {"dm", "100"}}),
               Contains("no input \"dm\"") && Contains("\"d_m\"") && Contains("f_GHz"));
    CHECK_THAT(refusal("free_space", {{"f_GHz", "2.6"}}), Contains("d_m is missing"));
    CHECK_THAT(refusal("free_space", {{"f_GHz", "2,6"}, {"d_m", "100"}}),
               Contains("\"2,6\" is not a number"));
    CHECK_THAT(refusal("free_space", {{"f_GHz", "nan"}, {"d_m", "100"}}), Contains("not a number"));
    CHECK_THAT(refusal("free_space", {{"f_GHz", "1e999"}, {"d_m", "100"}}), Contains("not a number"));
    CHECK_THAT(refusal("free_space", {{"f_GHz", "2.6"}, {"d_m", "-100"}}), Contains("must be above 0"));
    CHECK_THAT(refusal("free_space", {{"f_GHz", "2.6"}, {"d_m", "1e-300"}}),
               Contains("beyond what can be computed"));
    for (const char* p : {"0", "100", "-5", "120"}) // P.2109: 0 < p < 100, both ends exclusive
        CHECK_THAT(refusal("p2109_entry_loss", {{"f_GHz", "2.6"}, {"p_pct", p}}),
                   Contains("not possible: it must be more than 0 and less than 100."));
    CHECK_THAT(refusal("p2109_entry_loss", {{"f_GHz", "2.6"}, {"p_pct", "1e-8"}}),
               Contains("too near to 0 to be computed"));
    CHECK_THAT(refusal("thermal_noise", {{"B_Hz", "15000"}, {"NF_dB", "5000"}}),
               Contains("must be -500 to 500"));
    CHECK_THAT(refusal("p2109_entry_loss", {{"f_GHz", "2.6"}, {"cls", "efficient"}}),
               Contains("\"efficient\" is not one of traditional, thermally_efficient."));
    CHECK_THAT(refusal("earfcn_downlink", {{"N_DL", "1300.5"}}), Contains("whole number"));
    CHECK_THAT(refusal("earfcn_downlink", {{"N_DL", "19300"}}), Contains("19300") && Contains("uplink"));
    CHECK_THAT(refusal("lte_resource_blocks", {{"channel_bw_MHz", "7"}}), Contains("1.4, 3, 5, 10, 15, 20"));
    CHECK_THAT(refusal("p1411_site_general",
                       {{"row", "aboveroof_los"}, {"edition", "13"}, {"f_GHz", "3"}, {"d3D_m", "100"}}),
               Contains("edition 11 only"));
    CHECK_THAT(refusal("beam_reach", {{"hb_m", "8"}, {"tilt_deg", "2"}, {"edge", "upper"}}),
               Contains("never comes down"));
}

TEST_CASE("profiles are checked", "[calc]") {
    const Inputs good = {
        {"d_km", "0|0.1|0.2"}, {"g_m", "0|10|0"}, {"ht_m", "8"}, {"hr_m", "1.5"}, {"f_GHz", "2.6"}};
    CHECK(value("deygout", good) > 6);
    const auto with = [&](const char* key, const char* text) {
        Inputs in = good;
        in[key] = text;
        return refusal("deygout", in);
    };
    CHECK_THAT(with("g_m", "0,10"), Contains("2 values"));
    CHECK_THAT(with("d_km", "0,0.2,0.1"), Contains("must rise"));
    CHECK_THAT(with("d_km", "0,,0.1"), Contains("not a number"));
    CHECK_THAT(with("R_m", "0,1,2,3"), Contains("4 values"));
}

TEST_CASE("outside the stated range: a result with a remark", "[calc]") {
    // Rec. ITU-R P.1411-11, Table 4: line of sight 5 to 660 m, 0.8 to 82 GHz.
    const auto far = calculate("p1411_site_general", {{"f_GHz", "0.7"}, {"d3D_m", "700"}});
    REQUIRE(far.ok());
    REQUIRE(far->remarks.size() == 2);
    CHECK_THAT(far->remarks[0], Contains("f_GHz = 0.7 GHz is outside the stated range 0.8 to 82 GHz"));
    CHECK_THAT(far->remarks[1], Contains("d3D_m = 700 m"));
    CHECK(calculate("p1411_site_general", {{"f_GHz", "0.8"}, {"d3D_m", "660"}})->remarks.empty());
    // TR 38.901 fixes the station of UMi at 10 m.
    CHECK(calculate("umi_los", {{"f_GHz", "2.6"}, {"d2D_m", "100"}})->remarks.empty());
    const auto low = calculate("umi_los", {{"f_GHz", "2.6"}, {"d2D_m", "100"}, {"hBS_m", "7"}});
    REQUIRE(low->remarks.size() == 1);
    CHECK(low->remarks[0] == "hBS_m = 7 m is not the 10 m it is stated for.");
}

TEST_CASE("free space in the near field, and more received than sent: said in remarks", "[calc]") {
    // The reactive field of a small antenna reaches to lambda / 2 pi (IEEE Std 145, from memory): 23.9 mm at
    // 2 GHz.
    const auto remarks = [](const char* model, const char* metres, Inputs more) {
        more["f_GHz"] = "2";
        more["d_m"] = metres;
        return calculate(model, more)->remarks;
    };
    CHECK(remarks("free_space", "0.0239", {}).empty());
    REQUIRE(remarks("free_space", "0.0238", {}).size() == 1);
    CHECK_THAT(remarks("free_space", "0.0238", {}).front(), Contains("not in the far field"));
    // 142 W of 1 W: the isotropic loss is below 0 dB nearer than lambda / 4 pi.
    const auto near = remarks("friis", "0.001", {{"Pt_W", "1"}});
    REQUIRE(near.size() == 2);
    CHECK_THAT(near[1], Contains("More would be received than is sent"));
    // A round aperture of 30 dBi without losses is sqrt(1000) / pi = 10.07 wavelengths wide: 2 D^2 / lambda
    // is 202.6 wavelengths, 30.4 m at 2 GHz.
    const Inputs dish = {{"Pt_W", "1"}, {"Gr_dBi", "30"}};
    CHECK(remarks("friis", "30.4", dish).empty());
    REQUIRE(remarks("friis", "30.3", dish).size() == 1);
    CHECK_THAT(remarks("friis", "30.3", dish).front(), Contains("30.4 m at the earliest"));
    CHECK(remarks("rsrp_free_space", "1", {{"P_total_dBm", "46"}, {"N_RB", "100"}, {"G_dBi", "17"}}).size() ==
          1);
    CHECK(calculate("free_space_rounded", {{"f_GHz", "2"}, {"d_km", "1e-5"}})->remarks.size() == 1);
}

TEST_CASE("a working carries its inputs with origin, its steps and its source", "[calc]") {
    const auto w =
        calculate("knife_edge_path", {{"h_m", "5"}, {"d1_m", "100"}, {"d2_m", "200"}, {"f_GHz", "2.6"}});
    REQUIRE(w.ok());
    REQUIRE(w->inputs.size() == 5);
    CHECK(w->inputs[0].name == "h_m");
    CHECK(w->inputs[0].value == 5);
    CHECK(w->inputs[0].origin == "entered");
    CHECK(w->inputs[4].origin == "default"); // the speed of light
    REQUIRE(w->steps.size() == 3);
    CHECK(w->steps[1].unit == "1");
    CHECK_THAT(w->source, Contains("P.526"));
}

TEST_CASE("combinations agree with their parts", "[calc]") {
    CHECK(value("reference_signal_power", {{"P_total_dBm", "46"}, {"N_RB", "100"}, {"ports", "4"}}) ==
          Approx(value("resource_element_power", {{"P_total_dBm", "46"}, {"N_RB", "100"}}) -
                 10 * std::log10(4.0))
              .margin(1e-9));
    CHECK(value("earfcn_pair", {{"N_DL", "1350"}}) ==
          Approx(value("earfcn_uplink", {{"N_UL", "19350"}})).margin(1e-9));
    CHECK(value("composed_loss", {{"los_dB", "80"}, {"nlos_dB", "100"}, {"edge_dB", "6"}}) == 86);
    CHECK(value("composed_loss", {{"los_dB", "80"}, {"nlos_dB", "100"}, {"edge_dB", "30"}}) == 100);
    CHECK(value("composed_loss", {{"los_dB", "80"}, {"nlos_dB", "70"}, {"edge_dB", "30"}}) == 80);
    CHECK(value("composed_loss",
                {{"los_dB", "80"}, {"nlos_dB", "100"}, {"edge_dB", "30"}, {"path", "clear"}}) == 80);
    CHECK(
        value("double_edge",
              {{"a_m", "60"}, {"b_m", "12"}, {"c_m", "90"}, {"h1_m", "3"}, {"h2_m", "3"}, {"f_GHz", "2.6"}}) >
        value("knife_edge_path", {{"h_m", "3"}, {"d1_m", "60"}, {"d2_m", "102"}, {"f_GHz", "2.6"}}));
    CHECK(value("p2109_mix_median", {{"f_GHz", "1.8"}, {"share", "0"}}) ==
          Approx(value("p2109_entry_loss", {{"f_GHz", "1.8"}})).margin(1e-3));
}

TEST_CASE("whatever is typed, a finite result or a sentence comes back", "[calc]") {
    const char* const odd[] = {"0",   "-1",  "1",     "1e12", "-1e12",  "1e-9", "89.999",
                               "90",  "180", "1e300", "abc",  "",       "0x10", "1|2",
                               "3,4", "inf", "-inf",  "NaN",  "600000", "12"};
    Random r(11);
    int computed = 0;
    for (const ModelInfo& m : models())
        for (int k = 0; k < 300; ++k) {
            Inputs in;
            for (const InputInfo& each : m.inputs) {
                if (!each.fallback.empty() && r.between(0, 1) < 0.4) continue;
                const auto pick = static_cast<std::size_t>(r.between(0, 19.999));
                in[each.name] = !each.choices.empty() && r.between(0, 1) < 0.9
                                    ? each.choices[static_cast<std::size_t>(
                                          r.between(0, double(each.choices.size()) - 1e-9))]
                                    : odd[pick];
            }
            const auto result = calculate(m.name, in);
            if (result) {
                ++computed;
                REQUIRE(std::isfinite(result->steps.back().value));
                REQUIRE_FALSE(result->steps.back().unit.empty());
            } else {
                REQUIRE_FALSE(result.error().text.empty());
            }
        }
    CHECK(computed > 500); // else the inputs above test only the refusals
}

TEST_CASE("stated ranges stand in the list", "[calc]") {
    for (const ModelInfo& m : models())
        if (m.name == "uma_los") {
            CHECK(input(m, "f_GHz").low == 0.5); // TR 38.901, 7.4.1: 0.5 to 100 GHz
            CHECK(input(m, "f_GHz").high == 100);
            CHECK(input(m, "d2D_m").low == 10);
        }
}
