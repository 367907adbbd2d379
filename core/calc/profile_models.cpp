// SPDX-License-Identifier: GPL-3.0-or-later
// Diffraction over a whole profile.
#include "calc/models.h"
#include "radio/delta_bullington.h"
#include "radio/knife_edge.h"
#include "radio/spherical_earth.h"

#include <fmt/format.h>
#include <string>

namespace fw::calc {
namespace {

Polarisation polarisationOf(const Given& in) {
    return in.choice("pol") == "V" ? Polarisation::vertical : Polarisation::horizontal;
}

// The lists of a profile, with what stands on its inner points.
Result<EdgeProfile> profileOf(const Given& in) {
    EdgeProfile p;
    for (const double km : in.list("d_km")) p.distanceM.push_back(km * 1000.0);
    if (p.distanceM.size() < 2) return Error{ErrorCode::badInput, "a profile needs two points or more."};
    for (std::size_t k = 1; k < p.distanceM.size(); ++k)
        if (p.distanceM[k] <= p.distanceM[k - 1])
            return Error{ErrorCode::badInput, "the distances d_km must rise from point to point."};
    p.heightM = in.list("g_m");
    if (p.heightM.size() != p.distanceM.size())
        return Error{ErrorCode::badInput, "g_m needs a height for every distance."};
    const auto& clutter = in.list("R_m");
    for (std::size_t k = 1; k + 1 < p.heightM.size(); ++k)
        p.heightM[k] += clutter[clutter.size() == 1 ? 0 : k];
    p.txHeightM = in.list("g_m").front() + in.number("ht_m");
    p.rxHeightM = in.list("g_m").back() + in.number("hr_m");
    p.earthRadiusM = in.number("ae_km") * 1000.0;
    return p;
}

constexpr const char* kProfileEdgeLoss =
    "6.9 + 20 log10(sqrt((nu - 0.1)^2 + 1) + nu - 0.1); 0 for nu <= -0.78";

// `of` goes behind what a step is: "", or which path.
void edgeSteps(Working& out, const BullingtonLoss& r, const std::string& of) {
    if (r.hasEdge) {
        step(out, "steepest ray from the first antenna" + of,
             "greatest (top + d1 d2 / (2 ae) - antenna) / d1", r.fromTx, "m/m");
        step(out, "line between the antennas" + of, "last antenna less first, by the length", r.line, "m/m");
        if (!r.clear)
            step(out, "steepest ray from the last antenna" + of,
                 "greatest (top + d1 d2 / (2 ae) - antenna) / d2", r.fromRx, "m/m");
        step(out,
             (r.clear ? "nothing cuts the line; point of the greatest nu" : "where the two rays meet") + of,
             r.clear ? "distance from the first antenna"
                     : "(last antenna - first + ray from the last times d) / sum of both rays",
             r.atM, "m");
        step(out, "edge above the line there" + of,
             r.clear ? "top + d1 d2 / (2 ae) - line" : "first antenna + its ray times the distance - line",
             r.heightM, "m");
        step(out, "nu" + of, "h sqrt(2 (d1 + d2) / (lambda d1 d2))", r.nu, "1");
    }
    step(out, "J(nu)" + of, r.hasEdge ? kProfileEdgeLoss : "0, no point between the ends", r.edge.v, "dB");
    step(out, "term of terrain" + of, "(1 - exp(-J / 6)) (10 + 0.02 d_km)", r.terrain.v, "dB");
}

Status bullington(const Given& in, Working& out) {
    const auto p = profileOf(in);
    if (!p) return p.error();
    const BullingtonLoss r = bullingtonSteps(*p, lambda(in));
    step(out, "wavelength", "c / f", lambda(in), "m");
    edgeSteps(out, r, "");
    step(out, "Bullington loss", "J(nu) + term of terrain", r.total.v, "dB");
    out.remarks.emplace_back("Adds about 10 dB to any obstructed path: terrain, not single roofs.");
    return Done{};
}

Status deygout(const Given& in, Working& out) {
    const auto p = profileOf(in);
    if (!p) return p.error();
    step(out, "wavelength", "c / f", lambda(in), "m");
    const auto edges = deygoutEdges(*p, lambda(in));
    double sum = 0;
    for (std::size_t k = 0; k < edges.size(); ++k) {
        const DeygoutEdge& e = edges[k];
        const std::string name = k == 0 ? "main edge" : e.fromM == 0 ? "edge before it" : "edge behind it";
        step(out, name, fmt::format("point of the greatest nu from {:g} to {:g} m", e.fromM, e.toM), e.atM,
             "m");
        step(out, "height of the " + name + " above the line over that part", "top + d1 d2 / (2 ae) - line",
             e.heightM, "m");
        step(out, "nu of the " + name,
             "h sqrt(2 (d1 + d2) / (lambda d1 d2)), d1 and d2 to the ends of that part", e.nu, "1");
        step(out, "J of the " + name, kProfileEdgeLoss, e.loss.v, "dB");
        sum += e.loss.v;
    }
    step(out, "loss over up to three edges", "sum of J", sum, "dB");
    return Done{};
}

// The round Earth has no meaning for antennas at or below the ground.
Status antennasAboveGround(const Given& in) {
    if (in.number("ht_m") > 0 && in.number("hr_m") > 0) return Done{};
    return Error{ErrorCode::badInput, "ht_m and hr_m must be above 0."};
}

// The smooth surface at one end. @param inner  the profile has points between its ends.
void surfaceSteps(Working& out, const SmoothSurfaceSteps& s, bool rx, bool inner) {
    const std::string at = rx ? " at the last point" : " at the first point";
    step(out, "least-squares line" + at,
         rx ? "(v2 - v1 d) / d^2, v1 = sum dx (g + g'), v2 = sum dx (g (2 x + x') + g' (x + 2 x'))"
            : "(2 v1 d - v2) / d^2, v1 = sum dx (g + g'), v2 = sum dx (g (2 x + x') + g' (x + 2 x'))",
         rx ? s.line.rxM : s.line.txM, "m");
    if (inner) {
        step(out, "ground above the line between the antennas", "greatest g - line, h_obs", s.reachM, "m");
        if (s.reachM > 0) {
            step(out, "the same seen from the first point", "greatest (g - line) / d1", s.fromTx, "m/m");
            step(out, "the same seen from the last point", "greatest (g - line) / d2", s.fromRx, "m/m");
            step(out, "line lowered" + at,
                 rx ? "line - h_obs times its share seen from the last"
                    : "line - h_obs times its share seen from the first",
                 rx ? s.lowered.rxM : s.lowered.txM, "m");
        }
    }
    step(out, "smooth surface" + at, "the lesser of that and the ground", rx ? s.surface.rxM : s.surface.txM,
         "m");
}

Status smooth(const Given& in, Working& out) {
    const auto p = profileOf(in);
    if (!p) return p.error();
    surfaceSteps(out, smoothSurfaceSteps(*p, in.list("g_m")), in.choice("end") == "rx",
                 p->distanceM.size() > 2);
    return Done{};
}

void termSteps(Working& out, const FirstTerm& t, const std::string& over) {
    step(out, "admittance K" + over,
         "0.036 (ae f)^(-1/3) [(e - 1)^2 + (18 s / f)^2]^(-1/4); V: times sqrt(e^2 + (18 s / f)^2)",
         t.admittance, "1");
    step(out, "beta" + over, "(1 + 1.6 K^2 + 0.67 K^4) / (1 + 4.5 K^2 + 1.53 K^4)", t.beta, "1");
    step(out, "X" + over, "21.88 beta (f / ae^2)^(1/3) d", t.x, "1");
    step(out, "Y1" + over, "0.9575 beta (f^2 / ae)^(1/3) h1", t.yTx, "1");
    step(out, "Y2" + over, "0.9575 beta (f^2 / ae)^(1/3) h2", t.yRx, "1");
    step(out, "F(X)" + over, t.x >= 1.6 ? "11 + 10 log10 X - 17.6 X" : "-20 log10 X - 5.6488 X^1.425",
         t.along.v, "dB");
    const char* const gain =
        "B = beta Y: 17.6 sqrt(B - 1.1) - 5 log10(B - 1.1) - 8 above 2, else 20 log10(B + "
        "0.1 B^3); at least 2 + 20 log10 K";
    step(out, "G(Y1)" + over, gain, t.gainTx.v, "dB");
    step(out, "G(Y2)" + over, gain, t.gainRx.v, "dB");
    step(out, "first term" + over, "-F(X) - G(Y1) - G(Y2)", t.loss.v, "dB");
}

void earthSteps(Working& out, const SphericalPath& path, Hertz f, double wavelength) {
    const SphericalLoss r = sphericalEarthSteps(path, f, wavelength);
    step(out, "distance of the horizon", "sqrt(2 ae) (sqrt h1 + sqrt h2)", r.horizonM / 1000.0, "km");
    if (!r.beyond) {
        step(out, "least height of the line over the surface", "h, by the cubic equation of P.526, 3.2",
             r.clearanceM, "m");
        step(out, "height needed, h_req", "17.456 sqrt(d1 d2 lambda / d), d in km", r.neededM, "m");
    }
    if (r.radiusM > 0) {
        SphericalPath over = path;
        over.earthRadiusM = r.radiusM;
        if (!r.beyond)
            step(out, "radius over which this path would just reach its horizon",
                 "500 (d_km / (sqrt h1 + sqrt h2))^2", r.radiusM / 1000.0, "km");
        termSteps(out, firstTermSteps(over, f, kLand), " over land");
        if (path.seaShare > 0) {
            termSteps(out, firstTermSteps(over, f, kSea), " over sea");
            step(out, "first term by the shares", "land + omega (sea - land)", r.firstTerm.v, "dB");
        }
    }
    step(out, "loss over the smooth Earth",
         r.beyond        ? "first term, at least 0"
         : r.radiusM > 0 ? "(1 - h / h_req) first term, at least 0"
                         : "0, since h is above h_req",
         r.total.v, "dB");
}

Status delta(const Given& in, Working& out) {
    const auto p = profileOf(in);
    if (!p) return p.error();
    if (auto good = antennasAboveGround(in); !good) return good;
    const DeltaBullington r =
        deltaBullington(*p, in.list("g_m"), polarisationOf(in), in.number("omega"), hertz(in), lambda(in));
    const SmoothSurfaceSteps s = smoothSurfaceSteps(*p, in.list("g_m"));
    const bool inner = p->distanceM.size() > 2;
    step(out, "wavelength", "c / f", lambda(in), "m");
    surfaceSteps(out, s, false, inner);
    surfaceSteps(out, s, true, inner);
    edgeSteps(out, r.actualSteps, "");
    step(out, "Bullington loss", "J(nu) + term of terrain", r.actual.v, "dB");
    const std::string flat = ", smooth path";
    step(out, "first antenna above the smooth surface", "antenna less surface", r.smoothPath.txHeightM, "m");
    step(out, "last antenna above the smooth surface", "antenna less surface", r.smoothPath.rxHeightM, "m");
    edgeSteps(out, r.smoothSteps, flat);
    step(out, "Bullington loss of the smooth path", "J(nu) + term of terrain", r.smooth.v, "dB");
    earthSteps(out, r.smoothPath, hertz(in), lambda(in));
    step(out, "delta-Bullington loss", "L_actual + max(L_spherical - L_smooth, 0)", r.total.v, "dB");
    out.remarks.emplace_back("Adds about 10 dB to any obstructed path: terrain, not single roofs.");
    return Done{};
}

Status sphere(const Given& in, Working& out) {
    const SphericalPath path{in.number("d_km") * 1000.0,  in.number("ht_m"),  in.number("hr_m"),
                             in.number("ae_km") * 1000.0, in.number("omega"), polarisationOf(in)};
    earthSteps(out, path, hertz(in), lambda(in));
    return Done{};
}

InputInfo listOf(InputInfo in) {
    in.kind = InputKind::list;
    return in;
}

std::vector<InputInfo> profileInputs() {
    return {listOf(plain("d_km", "distances of the points", "km")),
            listOf(plain("g_m", "heights of the points above sea level, or above any one level", "m")),
            listOf(withDefault(plain("R_m", "what stands on the inner points", "m"), "0")),
            plain("ht_m", "antenna above the first point", "m"),
            plain("hr_m", "antenna above the last point", "m"),
            frequency(0, kAny),
            withDefault(positive("ae_km", "effective Earth radius", "km"), "8500"),
            speedOfLight()};
}

InputInfo seaShare() {
    InputInfo omega = withDefault(plain("omega", "share of the path over sea", ""), "0");
    omega.least = 0;
    omega.most = 1;
    return omega;
}
InputInfo overSmooth(const char* name, const char* what) {
    InputInfo h = positive(name, what, "m");
    h.most = 1e6; // beyond any height above ground; keeps the geometry finite
    return h;
}

} // namespace

std::vector<Model> profileModels() {
    const InputInfo polarisation = oneOf("pol", "polarisation", {"H", "V"});
    std::vector<InputInfo> surface = profileInputs(), path = profileInputs();
    surface.push_back(oneOf("end", "where", {"tx", "rx"}));
    path.push_back(polarisation);
    path.push_back(seaShare());
    return {
        {{"bullington", "Bullington's construction over a profile", profileInputs(), "loss", "dB",
          "Rec. ITU-R P.526-16, 4.5; Rec. ITU-R P.1812, Annex 1, eq. (21)"},
         bullington},
        {{"deygout", "Deygout's three edges over a profile", profileInputs(), "loss", "dB",
          "J. Deygout, IEEE Trans. AP-14 (1966), pp. 480-489"},
         deygout},
        {{"smooth_surface", "Smooth surface that stands for the ground of a profile", surface, "height", "m",
          "Rec. ITU-R P.526-16, 4.5; Rec. ITU-R P.1812, Annex 1, eq. (85) to (90)"},
         smooth},
        {{"spherical_earth",
          "Diffraction over the smooth, round Earth",
          {frequency(0.03, 50), kilometres("d", "length of the path", 0, kAny),
           overSmooth("ht_m", "one antenna above the surface"),
           overSmooth("hr_m", "the other antenna above the surface"),
           withDefault(positive("ae_km", "effective Earth radius", "km"), "8500"), polarisation, seaShare(),
           speedOfLight()},
          "loss",
          "dB",
          "Rec. ITU-R P.526-16, 3; Rec. ITU-R P.1812, Annex 1, 4.3.2 and 4.3.3"},
         sphere},
        {{"delta_bullington", "Delta-Bullington over a profile", path, "loss", "dB",
          "Rec. ITU-R P.526-16, 4.5; Rec. ITU-R P.1812, Annex 1, 4.3.4"},
         delta},
    };
}

} // namespace fw::calc
