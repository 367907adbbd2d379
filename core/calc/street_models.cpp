// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/building_entry.h"
#include "radio/free_space.h"
#include "radio/site_general_spread.h"
#include "radio/street_microcell.h"

#include <array>
#include <utility>

namespace fw::calc {
namespace {

struct Row {
    const char* name;
    const SiteGeneral* edition11;
    const SiteGeneral* edition13; ///< null where that edition is not known here
};
constexpr std::array kRows{
    Row{"belowroof_los", &p1411v11::belowRoofLos, &p1411v13::belowRoofLos},
    Row{"belowroof_nlos_urban_highrise", &p1411v11::belowRoofNlosHighRise, &p1411v13::belowRoofNlosHighRise},
    Row{"belowroof_nlos_lowrise_suburban", &p1411v11::belowRoofNlosLowRise, &p1411v13::belowRoofNlosLowRise},
    Row{"belowroof_nlos_residential", &p1411v11::belowRoofNlosResidential,
        &p1411v13::belowRoofNlosResidential},
    Row{"aboveroof_los", &p1411v11::aboveRoofLos, nullptr},
    Row{"aboveroof_nlos_urban_highrise", &p1411v11::aboveRoofNlosHighRise, nullptr}};

Result<SiteGeneral> rowOf(const Given& in) {
    for (const Row& r : kRows) {
        if (in.choice("row") != r.name) continue;
        const SiteGeneral* found = in.choice("edition") == "13" ? r.edition13 : r.edition11;
        if (found) return *found;
    }
    return Error{ErrorCode::badInput, "this row is known from edition 11 only."};
}

void remarkEdition(const Given& in, Working& out) {
    if (in.choice("edition") == "13")
        out.remarks.emplace_back(
            "Coefficients of edition 13 as quoted by others; compare them with the Recommendation.");
}

void coefficientSteps(Working& out, const SiteGeneral& row) {
    step(out, "alpha", "table", row.alpha, "1");
    step(out, "beta", "table", row.beta, "dB");
    step(out, "gamma", "table", row.gamma, "1");
}

Status siteGeneral(const Given& in, Working& out) {
    const auto row = rowOf(in);
    if (!row) return row.error();
    coefficientSteps(out, *row);
    step(out, "spread", "table", row->sigmaDb, "dB");
    step(out, "median loss", "10 alpha log10 d3D + beta + 10 gamma log10 f_GHz",
         siteGeneralLoss(*row, in.number("d3D_m"), {in.number("f_GHz") * 1e9}).v, "dB");
    remarkRange(out, "f_GHz", in.number("f_GHz"), "GHz", row->fMinGHz, row->fMaxGHz);
    remarkRange(out, "d3D_m", in.number("d3D_m"), "m", row->dMinM, row->dMaxM);
    remarkEdition(in, out);
    return Done{};
}

Status rowCoefficient(const Given& in, Working& out) {
    const auto row = rowOf(in);
    if (!row) return row.error();
    const std::array<std::pair<const char*, std::pair<double, const char*>>, 8> known{
        {{"alpha", {row->alpha, "1"}},
         {"beta", {row->beta, "dB"}},
         {"gamma", {row->gamma, "1"}},
         {"sigma", {row->sigmaDb, "dB"}},
         {"f_min", {row->fMinGHz, "GHz"}},
         {"f_max", {row->fMaxGHz, "GHz"}},
         {"d_min", {row->dMinM, "m"}},
         {"d_max", {row->dMaxM, "m"}}}};
    for (const auto& [name, value] : known)
        if (in.choice("coefficient") == name) step(out, name, "table", value.first, value.second);
    remarkEdition(in, out);
    return Done{};
}

Status variability(const Given& in, Working& out) {
    const auto row = rowOf(in);
    if (!row) return row.error();
    const double d = in.number("d3D_m");
    const Hertz f{in.number("f_GHz") * 1e9};
    const bool sight = in.choice("row").ends_with("_los");
    coefficientSteps(out, *row);
    step(out, "median loss", "10 alpha log10 d3D + beta + 10 gamma log10 f_GHz",
         siteGeneralLoss(*row, d, f).v, "dB");
    const double quantile = normalQuantile(in.number("p_pct") / 100.0), free = freeSpaceLoss(d, f).v;
    step(out, "spread, sigma", "table", row->sigmaDb, "dB");
    step(out, "quantile of the standard normal", "F^-1(p)", quantile, "1");
    if (!sight) {
        step(out, "free-space loss, L_fs", "20 log10(4 pi d / lambda)", free, "dB");
        step(out, "A", "median - L_fs + sigma F^-1(p)",
             siteGeneralLoss(*row, d, f).v + row->sigmaDb * quantile - free, "dB");
    }
    step(out, "loss not exceeded at this share of places",
         sight ? "median + sigma F^-1(p)" : "10 log10(10^(A / 10) + 1) + L_fs",
         siteGeneralLossAt(*row, sight, d, f, in.number("p_pct") / 100.0).v, "dB");
    remarkRange(out, "f_GHz", in.number("f_GHz"), "GHz", row->fMinGHz, row->fMaxGHz);
    remarkRange(out, "d3D_m", d, "m", row->dMinM, row->dMaxM);
    remarkEdition(in, out);
    return Done{};
}

const char* canyonFormula(const std::string& line, bool beyond) {
    if (line == "mean") return "half the sum of both";
    if (line == "lower") return beyond ? "L_bp + 40 log10(d / R_bp)" : "L_bp + 20 log10(d / R_bp)";
    if (line == "upper") return beyond ? "L_bp + 20 + 40 log10(d / R_bp)" : "L_bp + 20 + 25 log10(d / R_bp)";
    return beyond ? "L_bp + 6 + 40 log10(d / R_bp)" : "L_bp + 6 + 20 log10(d / R_bp)";
}

Status canyon(const Given& in, Working& out) {
    const double road = in.number("hs_m"), h1 = in.number("h1_m") - road, h2 = in.number("h2_m") - road;
    if (h1 <= 0 || h2 <= 0) return Error{ErrorCode::badInput, "both antennas must be above the road, hs_m."};
    const StreetCanyon c = streetCanyonLoss(in.number("d_m"), h1, h2, {in.number("f_GHz") * 1e9});
    const bool beyond = in.number("d_m") > c.breakpointM;
    step(out, "wavelength", "c / f", wavelengthM(hertz(in)), "m");
    step(out, "breakpoint, R_bp", "4 (h1 - hs)(h2 - hs) / lambda", c.breakpointM, "m");
    const std::string& line = in.choice("line");
    const Db loss = line == "lower"   ? c.lower
                    : line == "upper" ? c.upper
                    : line == "mean"  ? Db{0.5 * (c.lower.v + c.upper.v)}
                                      : c.middle;
    step(out, "loss at the breakpoint, L_bp", "|20 log10(lambda^2 / (8 pi (h1 - hs)(h2 - hs)))|",
         c.atBreakpoint.v, "dB");
    if (line == "mean") {
        step(out, "lower line", canyonFormula("lower", beyond), c.lower.v, "dB");
        step(out, "upper line", canyonFormula("upper", beyond), c.upper.v, "dB");
    }
    step(out, line + " line", canyonFormula(line, beyond), loss.v, "dB");
    if (line == "middle")
        out.remarks.emplace_back("The middle line is from memory; the two bounds are published.");
    if (line == "mean")
        out.remarks.emplace_back("The mean of the bounds is not the Recommendation's middle line.");
    if (road > 0)
        out.remarks.emplace_back("Traffic as a raised road is the form for above 3 GHz, from memory.");
    return Done{};
}

std::vector<std::string> rowNames() {
    std::vector<std::string> out;
    out.reserve(kRows.size());
    for (const Row& r : kRows) out.emplace_back(r.name);
    return out;
}

} // namespace

std::vector<Model> streetModels() {
    InputInfo row = oneOf("row", "row of the table", rowNames());
    InputInfo edition = oneOf("edition", "edition of the Recommendation", {"11", "13"});
    InputInfo which = oneOf("coefficient", "which one",
                            {"alpha", "beta", "gamma", "sigma", "f_min", "f_max", "d_min", "d_max"});
    InputInfo road = plain("hs_m", "traffic: height by which the road is raised", "m");
    road.least = 0;
    road.most = 100;
    const InputInfo share = shareOfPlaces("share of places that lose no more");
    return {
        {{"p1411_site_general",
          "Short-range outdoor loss, site-general",
          {row, edition, frequency(0, kAny), metres("d3D", "distance in space", 0, kAny)},
          "median loss",
          "dB",
          "Rec. ITU-R P.1411-11, 4.1.1 and 4.2.1, eq. (1), Tables 4 and 8; edition 13: Table 4"},
         siteGeneral},
        {{"p1411_variability",
          "Short-range outdoor loss at a share of the places, site-general",
          {row, edition, frequency(0, kAny), metres("d3D", "distance in space", 0, kAny), share},
          "loss",
          "dB",
          "Rec. ITU-R P.1411-11, 4.1.1 and 4.2.1, form for variability; edition 13: Table 4"},
         variability},
        {{"p1411_coefficient",
          "A coefficient of the site-general model",
          {row, edition, which},
          "coefficient",
          "",
          "Rec. ITU-R P.1411-11, Tables 4 and 8; edition 13: Table 4"},
         rowCoefficient},
        {{"p1411_street_canyon",
          "Line of sight along a street, UHF",
          {frequency(0.3, 3), metres("d", "distance", 0, kAny),
           metres("h1", "one antenna above the street", 0, kAny),
           metres("h2", "the other antenna above the street", 0, kAny), withDefault(road, "0"),
           oneOf("line", "which line", {"middle", "lower", "upper", "mean"})},
          "loss",
          "dB",
          "Rec. ITU-R P.1411-11, 4.1.2"},
         canyon},
    };
}

} // namespace fw::calc
