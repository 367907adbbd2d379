// SPDX-License-Identifier: GPL-3.0-or-later
// Diffraction over a whole profile.
#include "calc/models.h"
#include "radio/delta_bullington.h"
#include "radio/knife_edge.h"
#include "radio/spherical_earth.h"

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

Status bullington(const Given& in, Working& out) {
    const auto p = profileOf(in);
    if (!p) return p.error();
    step(out, "wavelength", "c / f", lambda(in), "m");
    step(out, "Bullington loss", "J(nu) + (1 - exp(-J / 6)) (10 + 0.02 d_km)",
         bullingtonLoss(*p, lambda(in)).v, "dB");
    out.remarks.emplace_back("Adds about 10 dB to any obstructed path: terrain, not single roofs.");
    return Done{};
}

Status deygout(const Given& in, Working& out) {
    const auto p = profileOf(in);
    if (!p) return p.error();
    step(out, "wavelength", "c / f", lambda(in), "m");
    step(out, "loss over up to three edges", "J(main) + J(left) + J(right)", deygoutLoss(*p, lambda(in)).v,
         "dB");
    return Done{};
}

// The round Earth has no meaning for antennas at or below the ground.
Status antennasAboveGround(const Given& in) {
    if (in.number("ht_m") > 0 && in.number("hr_m") > 0) return Done{};
    return Error{ErrorCode::badInput, "ht_m and hr_m must be above 0."};
}

Status smooth(const Given& in, Working& out) {
    const auto p = profileOf(in);
    if (!p) return p.error();
    const SmoothSurface s = smoothSurface(*p, in.list("g_m"));
    const bool rx = in.choice("end") == "rx";
    step(out, rx ? "smooth surface at the last point" : "smooth surface at the first point",
         "least-squares line, lowered where the ground reaches the line of sight, at most the ground",
         rx ? s.rxM : s.txM, "m");
    return Done{};
}

Status delta(const Given& in, Working& out) {
    const auto p = profileOf(in);
    if (!p) return p.error();
    if (auto good = antennasAboveGround(in); !good) return good;
    const DeltaBullington r =
        deltaBullington(*p, in.list("g_m"), polarisationOf(in), in.number("omega"), hertz(in), lambda(in));
    step(out, "smooth surface at the first point", "least squares", r.surface.txM, "m");
    step(out, "smooth surface at the last point", "least squares", r.surface.rxM, "m");
    step(out, "Bullington loss", "J(nu) + (1 - exp(-J / 6)) (10 + 0.02 d_km)", r.actual.v, "dB");
    step(out, "Bullington loss of the smooth path", "the same over no heights", r.smooth.v, "dB");
    step(out, "loss over the smooth Earth", "first term of the residue series", r.spherical.v, "dB");
    step(out, "delta-Bullington loss", "L_actual + max(L_spherical - L_smooth, 0)", r.total.v, "dB");
    out.remarks.emplace_back("Adds about 10 dB to any obstructed path: terrain, not single roofs.");
    return Done{};
}

Status sphere(const Given& in, Working& out) {
    const SphericalPath path{in.number("d_km") * 1000.0,  in.number("ht_m"),  in.number("hr_m"),
                             in.number("ae_km") * 1000.0, in.number("omega"), polarisationOf(in)};
    step(out, "first term over land", "-F(X) - G(Y1) - G(Y2)", firstTermLoss(path, hertz(in), kLand).v, "dB");
    step(out, "loss over the smooth Earth",
         "first term beyond the horizon; nearer (1 - h / h_req) of that over a smaller Earth; 0 where clear",
         sphericalEarthLoss(path, hertz(in), lambda(in)).v, "dB");
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
