// SPDX-License-Identifier: GPL-3.0-or-later
// Path losses done again; the clause of each formula stands with its model.
#include "calc/redone.h"

namespace fwtest {
namespace {

double bullingtonAgain(const Sheet& s, const std::string& of, double km) {
    if (!s.has("nu" + of)) { // no point between the ends
        CHECK(s("J(nu)" + of) == 0);
        return 0;
    }
    CHECK(s("J(nu)" + of) == Approx(edgeLoss(s("nu" + of))).margin(1e-4));
    CHECK(s("term of terrain" + of) ==
          Approx((1 - std::exp(-s("J(nu)" + of) / 6)) * (10 + 0.02 * km)).margin(1e-4));
    return s("J(nu)" + of) + s("term of terrain" + of);
}

double twoEdgesAgain(const Sheet& s) {
    const double p = std::max(s("nu of edge 1 over the whole"), s("nu of edge 2 over the whole"));
    const double q = std::min(s("nu of edge 1 over the whole"), s("nu of edge 2 over the whole"));
    const double a = s.in("a_m"), b = s.in("b_m"), c = s.in("c_m"), l = s("wavelength");
    const bool first = s.has("J of edge 1, which cuts deeper");
    CHECK(first == (s("nu of edge 1 over the whole") >= s("nu of edge 2 over the whole")));
    const std::string main = first ? "edge 1" : "edge 2", other = first ? "edge 2" : "edge 1";
    CHECK(s("J of " + main + ", which") == Approx(edgeLoss(p)).margin(1e-4));
    const double h =
        first ? s.in("h2_m") - s.in("h1_m") * c / (b + c) : s.in("h1_m") - s.in("h2_m") * a / (a + b);
    CHECK(s(other + " above the line") == Approx(h).margin(1e-5));
    const double leg = first ? c : a;
    CHECK(s("nu of " + other + " over that part") ==
          Approx(h * std::sqrt(2 * (b + leg) / (l * b * leg))).margin(1e-4));
    CHECK(s("J of " + other + " there") ==
          Approx(edgeLoss(s("nu of " + other + " over that part"))).margin(1e-4));
    CHECK(s("alpha") == Approx(std::atan(std::sqrt(b * (a + b + c) / (a * c))) * 180 / M_PI).margin(1e-4));
    CHECK(s("term in full") == Approx(12 - 20 * lg(2 / (1 - s("alpha") / 180))).margin(1e-4));
    if (p > 0) CHECK(s("share of it") == Approx(q > 0 ? std::pow(q / p, 2 * p) : 0).margin(1e-4));
    CHECK(s("Tc") == Approx(s("term in full") * s("share of it")).margin(1e-4));
    return s("J of " + main + ", which") +
           std::max(0.0, s("J of " + other + " there") - std::max(0.0, s("Tc")));
}

double deygoutAgain(const Sheet& s) {
    double sum = 0;
    for (const char* name : {"main edge", "edge before it", "edge behind it"})
        if (s.has(name)) {
            CHECK(s(std::string("J of the ") + name) ==
                  Approx(edgeLoss(s(std::string("nu of the ") + name))).margin(1e-4));
            sum += s(std::string("J of the ") + name);
        }
    return sum;
}

double sphereAgain(const Sheet& s) {
    const auto term = [&](const std::string& over) {
        const double x = s("X" + over), k = s("admittance K" + over);
        CHECK(s("beta" + over) ==
              Approx((1 + 1.6 * k * k + 0.67 * std::pow(k, 4)) / (1 + 4.5 * k * k + 1.53 * std::pow(k, 4)))
                  .margin(1e-5));
        CHECK(s("F(X)" + over) ==
              Approx(x >= 1.6 ? 11 + 10 * lg(x) - 17.6 * x : -20 * lg(x) - 5.6488 * std::pow(x, 1.425))
                  .margin(1e-3));
        CHECK(s("first term" + over) ==
              Approx(-s("F(X)" + over) - s("G(Y1)" + over) - s("G(Y2)" + over)).margin(1e-4));
        return s("first term" + over);
    };
    if (!s.has("first term over land")) { // clear of the bulge
        CHECK(s("least height of the line") > s("height needed"));
        return 0;
    }
    double first = term(" over land");
    if (s.has("first term over sea")) {
        first += s.in("omega") * (term(" over sea") - first);
        CHECK(s("first term by the shares") == Approx(first).margin(1e-4));
    }
    if (!s.has("height needed")) return std::max(0.0, first);
    return std::max(0.0, (1 - s("least height of the line") / s("height needed")) * first);
}

double housesAgain(const Sheet& s) {
    return s.has("loss at the breakpoint") ? s("loss at the breakpoint") + s("rise beyond it")
                                           : s("median path loss with sight");
}

double overRooftopAgain(const Sheet& s) {
    const double mhz = s.in("f_GHz") * 1000, drop = s.in("hr_m") - s.in("h2_m");
    CHECK(s("roof to street") == Approx(-8.2 - 10 * lg(s.in("w_m")) + 10 * lg(mhz) + 20 * lg(drop) +
                                        s("street against the path, L_ori"))
                                     .margin(1e-4));
    const double d = s.in("d3D_m"), over = s.in("h1_m") - s.in("hr_m");
    if (over != 0)
        CHECK(s("rows from which") == Approx(s("wavelength") * d * d / (over * over)).epsilon(1e-4));
    double rows = 0;
    if (s.has("field on the last roof"))
        rows = -10 * lg(std::pow(s("field on the last roof"), 2)); // below the roofs Q_M is negative
    else
        rows = s("L_bsh") + s("ka") + s("kd") * lg(d / 1000) + s("kf") * lg(mhz) - 9 * lg(s.in("b_m"));
    CHECK(s("over ") == Approx(rows).margin(1e-3));
    return s("free-space loss") + std::max(0.0, s("roof to street") + s("over "));
}

// A maximum of two branches, both of which are shown.
double greaterOfBoth(const Sheet& s) {
    return std::max(s(s.has("path loss with sight") ? "path loss with sight" : "median path loss with sight"),
                    s("line without sight"));
}

const Inputs kProfile = {
    {"d_km", "0|0.1|0.25|0.4|0.5"}, {"g_m", "0|12|20|9|0"}, {"ht_m", "8"}, {"hr_m", "1.5"}, {"f_GHz", "2.6"}};
Inputs profile(const Inputs& more) {
    Inputs out = more;
    out.insert(kProfile.begin(), kProfile.end());
    return out;
}

} // namespace

void addDiffraction(std::vector<Redone>& out) {
    const auto at = [](const char* a, const char* b, const char* c, const char* h1, const char* h2) {
        return Inputs{{"a_m", a}, {"b_m", b}, {"c_m", c}, {"h1_m", h1}, {"h2_m", h2}, {"f_GHz", "2.6"}};
    };
    for (const Inputs& in : {at("60", "12", "90", "3", "3"), at("60", "12", "90", "1", "4"),
                             at("60", "12", "90", "4", "-1"), at("60", "12", "90", "-0.2", "-0.1")})
        out.push_back({"double_edge", in, twoEdgesAgain});
    out.push_back({"knife_edge_path",
                   {{"h_m", "5"}, {"d1_m", "100"}, {"d2_m", "200"}, {"f_GHz", "2.6"}},
                   [](const Sheet& s) { return edgeLoss(s("Fresnel-Kirchhoff")); }});
    out.push_back({"knife_edge_exact", {{"nu", "1.3"}}, [](const Sheet& s) {
                       const double c = s("C(nu)"), k = s("S(nu)");
                       return -20 * lg(std::hypot(1 - c - k, c - k) / 2);
                   }});
    const auto bullington = [](const Sheet& s) { return bullingtonAgain(s, "", 0.5); };
    out.push_back({"bullington", profile({}), bullington});
    out.push_back({"bullington", profile({{"g_m", "0|1|3|0|0"}}), bullington}); // nothing cuts the line
    out.push_back({"bullington", profile({{"d_km", "0|0.5"}, {"g_m", "0|0"}}), bullington});
    out.push_back({"deygout", profile({}), deygoutAgain});
    out.push_back({"deygout", profile({{"d_km", "0|0.2|0.5"}, {"g_m", "0|9|0"}}), deygoutAgain});
    out.push_back({"delta_bullington", profile({}), [](const Sheet& s) {
                       const double actual = bullingtonAgain(s, "", 0.5);
                       const double flat = bullingtonAgain(s, ", smooth path", 0.5);
                       CHECK(s("Bullington loss of the smooth") == Approx(flat).margin(1e-4));
                       return actual + std::max(0.0, s("loss over the smooth Earth") - flat);
                   }});
    for (const char* end : {"tx", "rx"})
        out.push_back({"smooth_surface", profile({{"end", end}}), [](const Sheet& s) {
                           // Both ends of this ground are at 0 m.
                           return std::min(0.0, s.has("line lowered") ? s("line lowered")
                                                                      : s("least-squares line"));
                       }});
    for (const char* km : {"0.3", "12", "20", "60"}) // clear, clear by too little, to beyond the horizon
        out.push_back({"spherical_earth",
                       {{"f_GHz", "2"}, {"d_km", km}, {"ht_m", "8"}, {"hr_m", "5"}, {"omega", "0.3"}},
                       sphereAgain});
}

void addOutdoors(std::vector<Redone>& out) {
    for (const char* name : {"uma_nlos", "umi_nlos"})
        for (const char* d : {"20", "400", "3000"})
            out.push_back({name, {{"f_GHz", "2"}, {"d2D_m", d}}, greaterOfBoth});
    // A tall terminal: the line without sight falls below the other.
    out.push_back({"uma_nlos", {{"f_GHz", "2"}, {"d2D_m", "12"}, {"hUT_m", "22"}}, greaterOfBoth});
    for (const char* d : {"400", "3000"}) {
        out.push_back({"uma_los", {{"f_GHz", "2"}, {"d2D_m", d}}, [](const Sheet& s) {
                           const double both = 28 + 20 * lg(s.in("f_GHz")), d3 = lg(s("distance in space"));
                           if (s.in("d2D_m") <= s("breakpoint")) return both + 22 * d3;
                           return both + 40 * d3 - 9 * lg(std::pow(s("breakpoint"), 2) + 23.5 * 23.5);
                       }});
        out.push_back({"umi_los", {{"f_GHz", "2"}, {"d2D_m", d}}, [](const Sheet& s) {
                           const double both = 32.4 + 20 * lg(s.in("f_GHz")), d3 = lg(s("distance in space"));
                           if (s.in("d2D_m") <= s("breakpoint")) return both + 21 * d3;
                           return both + 40 * d3 - 9.5 * lg(std::pow(s("breakpoint"), 2) + 8.5 * 8.5);
                       }});
        out.push_back({"rma_los", {{"f_GHz", "0.8"}, {"d2D_m", d}, {"hBS_m", "10"}}, housesAgain});
        out.push_back({"rma_nlos", {{"f_GHz", "0.8"}, {"d2D_m", d}, {"hBS_m", "10"}}, [](const Sheet& s) {
                           CHECK(s("median path loss with sight") == Approx(housesAgain(s)).margin(1e-4));
                           return greaterOfBoth(s);
                       }});
        out.push_back({"m2135_sma_los", {{"f_GHz", "2"}, {"d_m", d}, {"hBS_m", "10"}}, housesAgain});
    }
    out.push_back({"uma_los_probability", {{"d2D_out_m", "90"}, {"hUT_m", "20"}}, [](const Sheet& s) {
                       return s("chance for a terminal up to 13 m") *
                              (1 + s("taller terminal") * 1.25 * std::pow(0.9, 3) * std::exp(-0.6));
                   }});
    out.push_back(
        {"uma_environment_chance", {{"d2D_m", "90"}, {"hUT_m", "20"}}, [](const Sheet& s) {
             CHECK(s("C(d2D") ==
                   Approx(s("taller terminal") * 1.25 * std::pow(0.9, 3) * std::exp(-0.6)).margin(1e-5));
             return 1 / (1 + s("C(d2D"));
         }});
    out.push_back({"uma_los_mean", {{"f_GHz", "2"}, {"d2D_m", "90"}, {"hUT_m", "20"}}, [](const Sheet& s) {
                       const double c = s("chance that the environment"); // 12, 15 and 18 m remain
                       const double others = s("median path loss over 12 m") +
                                             s("median path loss over 15 m") +
                                             s("median path loss over 18 m");
                       return c * s("median path loss over 1 m") + (1 - c) * others / 3;
                   }});
    for (const char* d : {"500", "5000"})
        for (const char* h1 : {"30", "20.5", "12"})
            for (const char* f : {"1.8", "3.5"})
                out.push_back({"p1411_over_rooftop",
                               {{"f_GHz", f},
                                {"d3D_m", d},
                                {"h1_m", h1},
                                {"h2_m", "1.5"},
                                {"hr_m", "20"},
                                {"l_m", "600"},
                                {"phi_deg", "60"}},
                               overRooftopAgain});
    for (const char* p : {"20", "50"})
        for (const char* d : {"30", "55", "90", "300"})
            out.push_back(
                {"p1411_low_terminal",
                 {{"f_GHz", "2"}, {"d_m", d}, {"p_pct", p}, {"area", "urban"}},
                 [](const Sheet& s) {
                     const double near = s("reach of sight"), far = near + s.in("w_m"), m = s.in("d_m");
                     const double mhz = 2000;
                     CHECK(s("loss without sight") ==
                           Approx(9.5 + 45 * lg(mhz) + 40 * lg(m / 1000) + s("L_area") + 7 * s("quantile"))
                               .margin(1e-4));
                     if (m <= near) return s("loss with sight");
                     if (m >= far) return s("loss without sight");
                     return s("loss with sight at its reach") +
                            (s("loss without sight from where") - s("loss with sight at its reach")) *
                                (m - near) / (far - near);
                 }});
    for (const char* row : {"belowroof_los", "belowroof_nlos_urban_highrise"})
        out.push_back({"p1411_variability",
                       {{"f_GHz", "2"}, {"d3D_m", "100"}, {"row", row}, {"p_pct", "80"}},
                       [](const Sheet& s) {
                           const double off = s("spread, sigma") * s("quantile");
                           if (!s.has("A")) return s("median loss") + off;
                           CHECK(s("A") ==
                                 Approx(s("median loss") - s("free-space loss") + off).margin(1e-4));
                           return 10 * lg(ratio(s("A")) + 1) + s("free-space loss");
                       }});
    out.push_back({"p1411_site_general", {{"f_GHz", "2"}, {"d3D_m", "100"}}, [](const Sheet& s) {
                       return 10 * s("alpha") * lg(100) + s("beta") + 10 * s("gamma") * lg(2);
                   }});
    for (const char* d : {"50", "5000"})
        for (const char* line : {"lower", "upper", "middle", "mean"})
            out.push_back({"p1411_street_canyon",
                           {{"f_GHz", "2"}, {"d_m", d}, {"h1_m", "6"}, {"h2_m", "1.5"}, {"line", line}},
                           [line = std::string(line)](const Sheet& s) {
                               const double far = lg(s.in("d_m") / s("breakpoint")),
                                            at = s("loss at the breakpoint");
                               const double lower = at + (far > 0 ? 40 : 20) * far,
                                            upper = at + 20 + (far > 0 ? 40 : 25) * far;
                               return line == "lower"   ? lower
                                      : line == "upper" ? upper
                                      : line == "mean"  ? (lower + upper) / 2
                                                        : lower + 6;
                           }});
}

void addHata(std::vector<Redone>& out) {
    const auto town = [](const Sheet& s, double first, double slope, double more) {
        const double mhz = s.in("f_GHz") * 1000;
        CHECK(s("rise by distance") ==
              Approx((44.9 - 6.55 * lg(s.in("hb_m"))) * lg(s.in("d_km"))).margin(1e-5));
        return first + slope * lg(mhz) - 13.82 * lg(s.in("hb_m")) - s("terminal's height, a(hm)") +
               s("rise by distance") + more;
    };
    for (const char* city : {"small", "large"})
        for (const char* f : {"200", "900"})
            for (const std::string area : {"urban", "suburban", "open"})
                out.push_back({"okumura_hata",
                               {{"f_MHz", f},
                                {"d_km", "3"},
                                {"hb_m", "50"},
                                {"hm_m", "2"},
                                {"city", city},
                                {"area", area}},
                               [=](const Sheet& s) {
                                   const double urban = town(s, 69.55, 26.16, 0),
                                                l = lg(s.in("f_GHz") * 1000);
                                   CHECK(s("loss in a town") == Approx(urban).margin(1e-4));
                                   if (area == "urban") return urban;
                                   return area == "open" ? urban - 4.78 * l * l + 18.33 * l - 40.94
                                                         : urban - 2 * std::pow(l - lg(28), 2) - 5.4;
                               }});
    out.push_back({"cost231_hata",
                   {{"f_MHz", "1800"}, {"d_km", "3"}, {"hb_m", "50"}, {"hm_m", "2"}, {"Cm_dB", "3"}},
                   [=](const Sheet& s) {
                       CHECK(s("terminal's height, a(hm)") ==
                             Approx((1.1 * lg(1800) - 0.7) * 2 - (1.56 * lg(1800) - 0.8)).margin(1e-5));
                       return town(s, 46.3, 33.9, 3);
                   }});
}

} // namespace fwtest
