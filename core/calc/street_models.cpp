// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
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

Status siteGeneral(const Given& in, Working& out) {
    const auto row = rowOf(in);
    if (!row) return row.error();
    step(out, "alpha", "table", row->alpha, "1");
    step(out, "beta", "table", row->beta, "dB");
    step(out, "gamma", "table", row->gamma, "1");
    step(out, "spread", "table", row->sigmaDb, "dB");
    step(out, "median loss", "10 alpha log10 d3D + beta + 10 gamma log10 f_GHz",
         siteGeneralLoss(*row, in.number("d3D_m"), {in.number("f_GHz") * 1e9}).v, "dB");
    remarkRange(out, "f_GHz", in.number("f_GHz"), "GHz", row->fMinGHz, row->fMaxGHz);
    remarkRange(out, "d3D_m", in.number("d3D_m"), "m", row->dMinM, row->dMaxM);
    remarkEdition(in, out);
    return Done{};
}

Status coefficient(const Given& in, Working& out) {
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

Status canyon(const Given& in, Working& out) {
    const StreetCanyon c =
        streetCanyonLoss(in.number("d_m"), in.number("h1_m"), in.number("h2_m"), {in.number("f_GHz") * 1e9});
    step(out, "breakpoint", "4 h1 h2 / lambda", c.breakpointM, "m");
    const std::string& line = in.choice("line");
    const Db loss = line == "lower" ? c.lower : line == "upper" ? c.upper : c.middle;
    step(out, line + " line", "20, 25 or 40 log10(d / Rbp) about the loss at the breakpoint", loss.v, "dB");
    if (line == "middle")
        out.remarks.emplace_back("The middle line is from memory; the two bounds are published.");
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
    constexpr double kAny = 1e12;
    InputInfo row = oneOf("row", "row of the table", rowNames());
    InputInfo edition = oneOf("edition", "edition of the Recommendation", {"11", "13"});
    InputInfo which = oneOf("coefficient", "which one",
                            {"alpha", "beta", "gamma", "sigma", "f_min", "f_max", "d_min", "d_max"});
    return {
        {{"p1411_site_general",
          "Short-range outdoor loss, site-general",
          {row, edition, frequency(0, kAny), metres("d3D", "distance in space", 0, kAny)},
          "median loss",
          "dB",
          "Rec. ITU-R P.1411-11, 4.1.1 and 4.2.1, eq. (1), Tables 4 and 8; edition 13: Table 4"},
         siteGeneral},
        {{"p1411_coefficient",
          "A coefficient of the site-general model",
          {row, edition, which},
          "coefficient",
          "",
          "Rec. ITU-R P.1411-11, Tables 4 and 8; edition 13: Table 4"},
         coefficient},
        {{"p1411_street_canyon",
          "Line of sight along a street, UHF",
          {frequency(0.3, 3), metres("d", "distance", 0, kAny),
           metres("h1", "one antenna above the street", 0, kAny),
           metres("h2", "the other antenna above the street", 0, kAny),
           oneOf("line", "which line", {"middle", "lower", "upper"})},
          "loss",
          "dB",
          "Rec. ITU-R P.1411-11, 4.1.2"},
         canyon},
    };
}

} // namespace fw::calc
