// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/free_space.h"
#include "radio/knife_edge.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw::calc {
namespace {

InputInfo distance(const char* stem, const char* what) { return metres(stem, what, 0, kAny); }

constexpr const char* kEdgeLoss = "6.9 + 20 log10(sqrt((nu - 0.1)^2 + 1) + nu - 0.1); 0 for nu <= -0.78";

Status lossAtNu(const Given& in, Working& out) {
    step(out, "knife-edge loss", kEdgeLoss, knifeEdgeLoss(in.number("nu")).v, "dB");
    return Done{};
}

Status exactLossAtNu(const Given& in, Working& out) {
    const FresnelIntegrals f = fresnelIntegrals(in.number("nu"));
    step(out, "C(nu)", "integral of cos(pi t^2 / 2) from 0 to nu", f.c, "1");
    step(out, "S(nu)", "integral of sin(pi t^2 / 2) from 0 to nu", f.s, "1");
    step(out, "knife-edge loss", "-20 log10(sqrt((1 - C(nu) - S(nu))^2 + (C(nu) - S(nu))^2) / 2)",
         knifeEdgeLossExact(in.number("nu")).v, "dB");
    return Done{};
}

Status nuOfEdge(const Given& in, Working& out) {
    step(out, "wavelength", "c / f", lambda(in), "m");
    step(out, "Fresnel-Kirchhoff parameter", "h sqrt(2 (d1 + d2) / (lambda d1 d2))",
         fresnelNu(in.number("h_m"), in.number("d1_m"), in.number("d2_m"), lambda(in)), "1");
    return Done{};
}

Status lossOverEdge(const Given& in, Working& out) {
    if (auto nu = nuOfEdge(in, out); !nu) return nu;
    step(out, "knife-edge loss", kEdgeLoss, knifeEdgeLoss(out.steps.back().value).v, "dB");
    return Done{};
}

Status fresnelRadius(const Given& in, Working& out) {
    step(out, "wavelength", "c / f", lambda(in), "m");
    step(out, "radius", "sqrt(n lambda d1 d2 / (d1 + d2))",
         fresnelRadiusM(in.whole("n"), in.number("d1_m"), in.number("d2_m"), lambda(in)), "m");
    return Done{};
}

Status fresnelRadiusRounded(const Given& in, Working& out) {
    const double d1 = in.number("d1_m") / 1000.0, d2 = in.number("d2_m") / 1000.0;
    step(out, "radius", "550 sqrt(n d1 d2 / ((d1 + d2) f_MHz)), d in km",
         550.0 * std::sqrt(in.number("n") * d1 * d2 / ((d1 + d2) * in.number("f_GHz") * 1000.0)), "m");
    return Done{};
}

Status edgeCorrection(const Given& in, Working& out) {
    step(out, "correction", "10 log10[(a + b)(b + c) / (b (a + b + c))]",
         doubleEdgeCorrection(in.number("a_m"), in.number("b_m"), in.number("c_m")).v, "dB");
    return Done{};
}

// How the share of the term comes about. p and q: nu over the whole path of the deeper edge and of the other.
const char* shareFormula(double p, double q) {
    if (p > 0)
        return q > 0 ? "(q / p)^(2 p), p and q the greater and the lesser nu over the whole path"
                     : "0, since the other edge stays below the line";
    return q < 0
               ? "(p / q)^(-2 q) max(0, 1 + p / 0.78), p and q the greater and the lesser nu: both below the "
                 "line, own judgement"
               : "max(0, 1 + p / 0.78), p the greater nu";
}

Status twoEdges(const Given& in, Working& out) {
    const DoubleEdge e{in.number("a_m"), in.number("b_m"), in.number("c_m"), in.number("h1_m"),
                       in.number("h2_m")};
    const double l = wavelengthM(hertz(in));
    const DoubleEdgeLoss r = doubleEdgeSteps(e, l);
    const char* const main = r.firstIsMain ? "edge 1" : "edge 2";
    const char* const other = r.firstIsMain ? "edge 2" : "edge 1";
    step(out, "wavelength", "c / f", l, "m");
    step(out, "nu of edge 1 over the whole path", "h1 sqrt(2 (a + b + c) / (lambda a (b + c)))", r.nu1, "1");
    step(out, "nu of edge 2 over the whole path", "h2 sqrt(2 (a + b + c) / (lambda (a + b) c))", r.nu2, "1");
    step(out, fmt::format("J of {}, which cuts deeper", main), kEdgeLoss, r.main.v, "dB");
    step(out, fmt::format("{} above the line from the top of {} to the far end", other, main),
         r.firstIsMain ? "h2 - h1 c / (b + c)" : "h1 - h2 a / (a + b)", r.otherHeightM, "m");
    step(out, fmt::format("nu of {} over that part", other),
         r.firstIsMain ? "that height times sqrt(2 (b + c) / (lambda b c))"
                       : "that height times sqrt(2 (a + b) / (lambda a b))",
         r.otherNu, "1");
    step(out, fmt::format("J of {} there", other), kEdgeLoss, r.other.v, "dB");
    step(out, "alpha", "atan(sqrt(b (a + b + c) / (a c)))", r.alphaDeg, "deg");
    step(out, "term in full", "12 - 20 log10(2 / (1 - alpha / 180))", r.full.v, "dB");
    step(out, "share of it that applies", shareFormula(std::max(r.nu1, r.nu2), std::min(r.nu1, r.nu2)),
         r.share, "1");
    step(out, "Tc", "term in full times its share", r.term.v, "dB");
    step(out, "loss over both edges", "J of the deeper + max(0, J of the other - max(0, Tc))", r.total.v,
         "dB");
    return Done{};
}

Status bulge(const Given& in, Working& out) {
    const double half = in.number("d_km") * 500.0;
    step(out, "bulge at mid-path", "d1 d2 / (2 ae)", earthBulgeM(half, half, in.number("ae_km") * 1000.0),
         "m");
    return Done{};
}

std::vector<Model> singleEdgeModels() {
    return {
        {{"knife_edge",
          "Loss over a knife edge, from nu",
          {plain("nu", "Fresnel-Kirchhoff parameter", "")},
          "loss",
          "dB",
          "Rec. ITU-R P.526-16, 4.1, eq. (31)"},
         lossAtNu},
        {{"knife_edge_exact",
          "Loss over a knife edge from the Fresnel integrals",
          {[] {
              InputInfo nu = plain("nu", "Fresnel-Kirchhoff parameter", "");
              nu.least = -12;
              nu.most = 12;
              return nu;
          }()},
          "loss",
          "dB",
          "Rec. ITU-R P.526-16, 4.1, eq. (30)"},
         exactLossAtNu},
        {{"knife_edge_nu",
          "Fresnel-Kirchhoff parameter of an edge",
          {plain("h_m", "edge above the line between the ends", "m"), distance("d1", "one end to the edge"),
           distance("d2", "the edge to the other end"), frequency(0, kAny), speedOfLight()},
          "nu",
          "1",
          "Rec. ITU-R P.526-16, 4.1, eq. (26)"},
         nuOfEdge},
        {{"knife_edge_path",
          "Loss over one edge of a path",
          {plain("h_m", "edge above the line between the ends", "m"), distance("d1", "one end to the edge"),
           distance("d2", "the edge to the other end"), frequency(0, kAny), speedOfLight()},
          "loss",
          "dB",
          "Rec. ITU-R P.526-16, 4.1, eq. (26) and (31)"},
         lossOverEdge},
        {{"fresnel_radius",
          "Radius of a Fresnel ellipsoid",
          {withDefault(wholeNumber("n", "number of the ellipsoid", 1, 1000), "1"),
           distance("d1", "distance to one end"), distance("d2", "distance to the other end"),
           frequency(0, kAny), speedOfLight()},
          "radius",
          "m",
          "Rec. ITU-R P.526-16, 2"},
         fresnelRadius},
        {{"fresnel_radius_rounded",
          "Radius of a Fresnel ellipsoid, printed constant",
          {withDefault(wholeNumber("n", "number of the ellipsoid", 1, 1000), "1"),
           distance("d1", "distance to one end"), distance("d2", "distance to the other end"),
           frequency(0, kAny)},
          "radius",
          "m",
          "Rec. ITU-R P.526-16, 2 (rounded form)"},
         fresnelRadiusRounded},
    };
}

} // namespace

std::vector<Model> diffractionModels() {
    std::vector<Model> out = singleEdgeModels();
    const std::vector<InputInfo> spaces = {distance("a", "one end to edge 1"),
                                           distance("b", "edge 1 to edge 2"),
                                           distance("c", "edge 2 to the other end")};
    std::vector<InputInfo> wide = spaces;
    wide.push_back(plain("h1_m", "edge 1 above the line between the ends", "m"));
    wide.push_back(plain("h2_m", "edge 2 above the line between the ends", "m"));
    wide.push_back(frequency(0, kAny));
    out.push_back({{"double_edge_correction", "Correction for the space between two edges", spaces,
                    "correction", "dB", "Rec. ITU-R P.526-16, 4.3"},
                   edgeCorrection});
    out.push_back({{"double_edge", "Loss over two edges, as over a wide building", wide, "loss", "dB",
                    "Rec. ITU-R P.526-16, 4.3, form for one predominating edge (its term from memory)"},
                   twoEdges});
    out.push_back({{"earth_bulge",
                    "Rise of the Earth in the middle of a path",
                    {kilometres("d", "length of the path", 0, kAny),
                     withDefault(positive("ae_km", "effective Earth radius", "km"), "8500")},
                    "bulge",
                    "m",
                    "geometry"},
                   bulge});
    return out;
}

} // namespace fw::calc
