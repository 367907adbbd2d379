// SPDX-License-Identifier: GPL-3.0-or-later
// Whoever opens a working can redo it: from the steps as they are printed, and the inputs, the figure comes
// out again by the formula of its source, typed here a second time. The clause of each stands with the model.
#include "calc/calc.h"
#include "calc/redone.h"
#include "catch.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <vector>

using namespace fwtest;

namespace {

double entryAgain(const Sheet& s) {
    CHECK(s("mu1") == Approx(s("median for horizontal") + s("correction for elevation")).margin(1e-5));
    CHECK(s("A") == Approx(s("mu1") + s("sigma1") * s("quantile")).margin(1e-4));
    CHECK(s("B") == Approx(s("mu2") + s("sigma2") * s("quantile")).margin(1e-4));
    return 10 * lg(ratio(s("A")) + ratio(s("B")) + ratio(-3));
}

double terrestrialAgain(const Sheet& s) {
    const double a = std::pow(10, -0.2 * s("Ll")), b = std::pow(10, -0.2 * s("Ls"));
    CHECK(s("Ls") ==
          Approx(32.98 + 23.9 * lg(s("distance that counts")) + 3 * lg(s.in("f_GHz"))).margin(1e-4));
    CHECK(s("median") == Approx(-5 * lg(a + b)).margin(1e-4));
    CHECK(s("spread, sigma") == Approx(std::sqrt((16 * a + 36 * b) / (a + b))).margin(1e-4));
    return s("median") + s("spread, sigma") * s("quantile");
}

double rainLawAgain(const Sheet& s, bool k) {
    const double e = std::cos(s.in("elevation_deg") * M_PI / 180), t = std::cos(s.in("tilt_deg") * M_PI / 90);
    const double kh = s("k, horizontal"), kv = s("k, vertical");
    const double both = (kh + kv + (kh - kv) * e * e * t) / 2;
    if (k) return both;
    const double h = kh * s("alpha, horizontal"), v = kv * s("alpha, vertical");
    return (h + v + (h - v) * e * e * t) / (2 * both);
}

double ratioAgain(const Sheet& s, double p) { return s("C1") * std::pow(p, -(s("C2") + s("C3") * lg(p))); }

double snirAgain(const Sheet& s) {
    CHECK(s("SNIR as a ratio") == Approx(ratio(s.in("SNIR_dB"))).margin(1e-4));
    if (s.in("SNIR_dB") < s.in("SNIR_min_dB")) return 0;
    return std::min(s.in("cap"), s("share of Shannon"));
}

double sectorAgain(const Sheet& s) {
    const double behind = s("G_hr(180");
    CHECK(s("R") == Approx((s("G_hr(phi") - behind) / (0 - behind)).margin(1e-4));
    return s.in("G0_dBi") + s("G_hr(phi") + s("R") * s("G_vr(theta");
}

void addPlaces(std::vector<Redone>& out) {
    for (const char* cls : {"traditional", "thermally_efficient"})
        out.push_back({"p2109_entry_loss",
                       {{"f_GHz", "2.6"}, {"theta_deg", "20"}, {"p_pct", "80"}, {"cls", cls}},
                       entryAgain});
    out.push_back({"p2109_mix_median", {{"f_GHz", "2.6"}, {"share", "0.3"}}, [](const Sheet& s) {
                       CHECK(0.7 * s("traditional ones") + 0.3 * s("efficient ones") ==
                             Approx(0.5).margin(1e-5));
                       return s("median of the mixture"); // found by search; what is shown is what it solves
                   }});
    for (const char* d : {"0.4", "5"})
        for (const char* p : {"50", "99"})
            out.push_back(
                {"p2108_terrestrial", {{"f_GHz", "2.6"}, {"d_km", d}, {"p_pct", p}}, terrestrialAgain});
    out.push_back(
        {"p2108_slant", {{"f_GHz", "20"}, {"theta_deg", "20"}, {"p_pct", "70"}}, [](const Sheet& s) {
             CHECK(s("base") ==
                   Approx(-s("K1") * std::log(0.3) / std::tan(s("angle") * M_PI / 180)).epsilon(1e-5));
             return std::pow(s("base"), s("exponent")) - 1 + 0.6 * s("quantile");
         }});
    for (const char* kind : {"urban", "rural"})
        out.push_back({"p2108_terminal",
                       {{"f_GHz", "1.8"}, {"h_m", "1.5"}, {"R_m", "15"}, {"clutter", kind}},
                       [](const Sheet& s) {
                           if (s.has("K_h2")) return -s("K_h2") * lg(0.1);
                           CHECK(s("nu") == Approx(0.342 * std::sqrt(1.8 * 13.5 * s("angle"))).margin(1e-5));
                           CHECK(s("J(nu)") == Approx(edgeLoss(s("nu"))).margin(1e-4));
                           return s("J(nu)") - 6.03;
                       }});
    for (const std::string wall : {"low", "high"})
        out.push_back({"tr38901_wall", {{"f_GHz", "2"}, {"wall", wall}}, [wall](const Sheet& s) {
                           const double share = wall == "low" ? 0.3 : 0.7;
                           return 5 - 10 * lg(share * ratio(-s(wall == "low" ? "glass" : "coated glass")) +
                                              (1 - share) * ratio(-s("concrete")));
                       }});
    out.push_back({"tr38901_shadowing_correlation", {{"dx_m", "20"}}, [](const Sheet& s) {
                       return std::exp(-20 / s("correlation distance"));
                   }});
}

void addAntennas(std::vector<Redone>& out) {
    const auto sum = [](const Sheet& s) { return -std::min(-(s("A_H") + s("A_V")), s.in("Am_dB")); };
    for (const char* phi : {"20", "150"})
        for (const char* tilt : {"0", "6"})
            out.push_back({"antenna_combined",
                           {{"phi_deg", phi}, {"theta_deg", "3"}, {"etilt_deg", "8"}, {"mtilt_deg", tilt}},
                           sum});
    out.push_back({"antenna_element", {{"phi_deg", "40"}, {"zenith_deg", "100"}}, [](const Sheet& s) {
                       CHECK(s("A_H") == Approx(-12 * std::pow(40.0 / 65, 2)).margin(1e-5));
                       CHECK(s("A_V") == Approx(-12 * std::pow(10.0 / 65, 2)).margin(1e-5));
                       return 8 - std::min(-(s("A_H") + s("A_V")), 30.0);
                   }});
    for (const char* theta : {"0", "4", "20", "60", "90"})
        for (const char* tilt : {"0", "5"})
            for (const char* lobes : {"peak", "average"})
                out.push_back({"f1336_sector",
                               {{"phi_deg", "50"},
                                {"theta_deg", theta},
                                {"G0_dBi", "18"},
                                {"phi3_deg", "65"},
                                {"mtilt_deg", tilt},
                                {"etilt_deg", tilt},
                                {"lobes", lobes}},
                               sectorAgain});
}

void addHops(std::vector<Redone>& out) {
    for (const std::string which : {"k", "alpha"})
        out.push_back({"p838_coefficient",
                       {{"f_GHz", "23"}, {"elevation_deg", "10"}, {"tilt_deg", "30"}, {"coefficient", which}},
                       [=](const Sheet& s) { return rainLawAgain(s, which == "k"); }});
    out.push_back({"p838_attenuation", {{"f_GHz", "23"}, {"R_mm_h", "25"}}, [](const Sheet& s) {
                       // The words "k" and "alpha" begin the laws of either polarisation, too: of horizontal
                       // waves they are the same.
                       return s("k") * std::pow(25, s("alpha"));
                   }});
    const Inputs hop = {{"f_GHz", "23"}, {"d_km", "1.5"}, {"R001_mm_h", "25"}};
    const auto factor = [](const Sheet& s) {
        return 1 / (0.477 * std::pow(1.5, 0.633) * std::pow(25, 0.073 * s("alpha")) * std::pow(23, 0.123) -
                    10.579 * (1 - std::exp(-0.024 * 1.5)));
    };
    out.push_back({"p530_distance_factor", hop, factor});
    Inputs rain = hop;
    rain["p_pct"] = "0.1";
    out.push_back(
        {"p530_rain", rain, [=](const Sheet& s) {
             CHECK(s("specific attenuation at this rate") ==
                   Approx(s("k") * std::pow(25, s("alpha"))).margin(1e-4));
             CHECK(s("distance factor") == Approx(factor(s)).margin(1e-4));
             CHECK(s("rain exceeded 0.01 %") ==
                   Approx(s("specific attenuation at this rate") * 1.5 * s("distance factor")).margin(1e-4));
             CHECK(s("ratio to that") == Approx(ratioAgain(s, 0.1)).margin(1e-5));
             return s("rain exceeded 0.01 %") * s("ratio to that");
         }});
    out.push_back({"p530_rain_ratio", {{"f_GHz", "23"}, {"p_pct", "0.1"}}, [](const Sheet& s) {
                       return ratioAgain(s, 0.1);
                   }});
    out.push_back({"p530_rain_coefficient", {{"f_GHz", "23"}, {"coefficient", "C1"}}, [](const Sheet& s) {
                       return std::pow(0.07, s("C0")) * std::pow(0.12, 1 - s("C0"));
                   }});
    out.push_back(
        {"p530_hop",
         {{"f_GHz", "60.48"},
          {"d_km", "0.6"},
          {"EIRP_dBm", "40"},
          {"Grx_dBi", "38"},
          {"BW_Hz", "2.16e9"},
          {"required_SNR_dB", "12"},
          {"R001_mm_h", "26.48"}},
         [](const Sheet& s) {
             CHECK(s("gases") == Approx(0.6 * s("specific attenuation by gases")).margin(1e-4));
             CHECK(s("received in clear air") == Approx(78 - s("free-space loss") - s("gases")).margin(1e-4));
             CHECK(s("margin") == Approx(s("received in clear air") - s("noise") - 12).margin(1e-4));
             // At the outage rain takes the whole margin.
             CHECK(s("rain exceeded 0.01 %") * ratioAgain(s, s("rain outage")) ==
                   Approx(s("margin")).margin(0.01));
             return 100 - s("rain outage");
         }});
    out.push_back({"p530_obstruction",
                   {{"d1_m", "300"}, {"d2_m", "500"}, {"f_GHz", "23"}, {"h_over_F1", "-0.4"}},
                   [](const Sheet& s) {
                       CHECK(s("path above the obstacle") ==
                             Approx(-0.4 * s("first Fresnel radius")).margin(1e-5));
                       return 10 - 20 * s("path above the obstacle") / s("first Fresnel radius");
                   }});
    out.push_back({"p676_attenuation", {{"f_GHz", "23"}}, [](const Sheet& s) {
                       return s("oxygen") + s("water vapour");
                   }});
}

void addLinks(std::vector<Redone>& out) {
    const Inputs element = {{"P_total_dBm", "46"}, {"N_RB", "100"}};
    Inputs path = element, ports = element;
    path.insert({{"f_GHz", "2"}, {"d_m", "500"}, {"G_dBi", "15"}});
    ports["ports"] = "4";
    out.push_back({"rsrp_free_space", path, [](const Sheet& s) {
                       return s("power per resource element") + 15 - s("free-space loss");
                   }});
    out.push_back({"reference_signal_power", ports,
                   [](const Sheet& s) { return s("power per resource element") - 10 * lg(4); }});
    for (const char* snir : {"-12", "5", "40"}) out.push_back({"throughput", {{"SNIR_dB", snir}}, snirAgain});
    out.push_back({"cqi_efficiency", {{"cqi", "9"}}, [](const Sheet& s) {
                       return s("bits per symbol") * s("code rate") / 1024;
                   }});
    for (const char* edge : {"6", "30"})
        out.push_back(
            {"composed_loss", {{"los_dB", "80"}, {"nlos_dB", "100"}, {"edge_dB", edge}}, [](const Sheet& s) {
                 CHECK(s("with sight, over the edge") == 80 + s.in("edge_dB"));
                 CHECK(s("at most without sight") == std::min(s("with sight, over the edge"), 100.0));
                 return std::max(80.0, s("at most without sight"));
             }});
    out.push_back({"free_space", {{"f_GHz", "2"}, {"d_m", "500"}}, [](const Sheet& s) {
                       return 20 * lg(4 * M_PI * 500 / s("wavelength"));
                   }});
    out.push_back({"free_space_rounded",
                   {{"f_GHz", "2"}, {"d_km", "0.5"}, {"hts_masl", "300"}},
                   [](const Sheet& s) { return 92.4 + 20 * lg(2) + 20 * lg(s("slant distance")); }});
    out.push_back(
        {"friis", {{"f_GHz", "2"}, {"d_m", "500"}, {"Pt_W", "20"}, {"Gt_dBi", "15"}}, [](const Sheet& s) {
             CHECK(s("received power") ==
                   Approx(s("transmitted power") + 15 - s("free-space loss")).margin(1e-4));
             return ratio(s("received power")) / 1000;
         }});
    out.push_back({"earfcn_downlink", {{"N_DL", "1350"}}, [](const Sheet& s) {
                       return s("F_DL_low") + 0.1 * (1350 - s("N_Offs_DL"));
                   }});
    out.push_back({"earfcn_uplink", {{"N_UL", "19350"}}, [](const Sheet& s) {
                       return s("F_UL_low") + 0.1 * (19350 - s("N_Offs_UL"));
                   }});
    out.push_back({"earfcn_pair", {{"N_DL", "1350"}}, [](const Sheet& s) {
                       return s("F_UL_low") + 0.1 * (1350 - s("N_Offs_DL"));
                   }});
    out.push_back({"nr_arfcn", {{"N_REF", "640000"}}, [](const Sheet& s) {
                       return 3000 + s("raster step") / 1000 * 40000;
                   }});
    out.push_back({"lte_occupied_bandwidth", {{"channel_bw_MHz", "20"}}, [](const Sheet& s) {
                       return 0.18 * s("resource blocks");
                   }});
    out.push_back({"fresnel_radius", {{"d1_m", "70"}, {"d2_m", "210"}, {"f_GHz", "2"}}, [](const Sheet& s) {
                       return std::sqrt(s("wavelength") * 70 * 210 / 280);
                   }});
    out.push_back({"knife_edge_nu",
                   {{"h_m", "2"}, {"d1_m", "70"}, {"d2_m", "210"}, {"f_GHz", "2"}},
                   [](const Sheet& s) { return 2 * std::sqrt(2 * 280 / (s("wavelength") * 70 * 210)); }});
    out.push_back({"beam_reach", {{"hb_m", "8"}, {"tilt_deg", "5"}}, [](const Sheet& s) {
                       return 6.5 / std::tan(s("angle below the horizon") * M_PI / 180);
                   }});
    out.push_back({"antenna_horizontal", {{"phi_deg", "200"}, {"boresight_deg", "170"}}, [](const Sheet& s) {
                       return -std::min(12 * std::pow(s("azimuth off boresight") / 70, 2), 25.0);
                   }});
    out.push_back({"antenna_vertical", {{"theta_deg", "12"}, {"etilt_deg", "4"}}, [](const Sheet& s) {
                       return -std::min(12 * std::pow(s("angle below the beam") / 10, 2), 20.0);
                   }});
    out.push_back({"m2135_uma_los", {{"f_GHz", "2"}, {"d_m", "3000"}}, [](const Sheet& s) {
                       CHECK(s("breakpoint") == Approx(4 * 24 * 0.5 * 2e9 / 3e8).margin(1e-4));
                       return 40 * lg(3000) + 7.8 - 18 * lg(24) - 18 * lg(0.5) + 2 * lg(2);
                   }});
}

std::vector<Redone> allRedone() {
    std::vector<Redone> out;
    for (auto* add : {&addDiffraction, &addOutdoors, &addHata, &addPlaces, &addAntennas, &addHops, &addLinks})
        add(out);
    return out;
}

} // namespace

TEST_CASE("every working leads to its figure by the steps it shows", "[calc]") {
    for (const Redone& each : allRedone()) {
        const auto w = calculate(each.model, each.in);
        if (!w) FAIL(each.model << ": " << w.error().sentence());
        std::string given;
        for (const auto& [name, text] : each.in) given += " " + name + "=" + text;
        INFO(each.model << given);
        const double figure = w->steps.back().value;
        // Six decimals a step, added a few times or under a logarithm; gross ones where a step is a power.
        CHECK(each.again(Sheet(*w)) == Approx(figure).epsilon(2e-5).margin(2e-4));
    }
}

TEST_CASE("a model is redone from its steps, or its figure follows from the inputs at once", "[calc]") {
    // One formula of the inputs, or one look into a table: nothing lies between.
    const std::set<std::string> atOnce = {"knife_edge",
                                          "fresnel_radius_rounded",
                                          "double_edge_correction",
                                          "earth_bulge",
                                          "field_strength",
                                          "p1411_coefficient",
                                          "tr38901_breakpoint",
                                          "umi_los_probability",
                                          "tr38901_material",
                                          "tr38901_wall_spread",
                                          "tr38901_indoor",
                                          "tr38901_shadowing",
                                          "tr38901_shadowing_distance",
                                          "tr36814_macro",
                                          "tr36814_pico",
                                          "m2135_nlos",
                                          "p2109_horizontal_median",
                                          "depression",
                                          "f1336_beamwidth",
                                          "nr_raster_step",
                                          "nr_band",
                                          "lte_edge_channels",
                                          "lte_resource_blocks",
                                          "nr_resource_blocks",
                                          "physical_cell_id",
                                          "resource_element_power",
                                          "thermal_noise",
                                          "noise_density",
                                          "usual_noise_density",
                                          "range_growth",
                                          "cell_individual_offset",
                                          "prb_usage",
                                          "p530_clearance",
                                          "p530_multipath",
                                          "p530_geoclimatic",
                                          "p530_long_fades"};
    std::set<std::string> redone;
    for (const Redone& each : allRedone()) redone.insert(each.model);
    for (const ModelInfo& m : models()) {
        INFO(m.name);
        CHECK(redone.count(m.name) + atOnce.count(m.name) == 1);
    }
    for (const ModelInfo& m : models())
        if (atOnce.count(m.name)) redone.insert(m.name);
    CHECK(redone.size() == models().size()); // no name above is of a model that is gone
}
