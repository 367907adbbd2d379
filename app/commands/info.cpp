// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/json_out.h"
#include "geo/frame.h"
#include "plan/enum_names.h"
#include "radio/carrier.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>
#include <tuple>

namespace fw::cli {
namespace {

// Macros this far out still reach into the work area; without them its rim looks emptier than it is.
constexpr double kRimM = 3000;

struct CarrierRow {
    Technology technology = Technology::lte;
    int channel = 0;
    std::set<double> bandwidthsMHz;
    int macroCells = 0, smallCells = 0;
};
struct VariantRow {
    ItemId id;
    int chosen = 0, candidates = 0;
};
struct Inside {
    std::vector<std::pair<Kind, std::size_t>> counts;
    std::vector<CarrierRow> carriers; ///< by technology and channel
    std::vector<const Cell*> full;    ///< over the trigger, fullest first
    std::vector<VariantRow> variants;
    int macrosInside = 0, macrosInRim = 0, macrosBeyond = 0;
};

std::vector<std::pair<Kind, std::size_t>> countsOf(const Plan& p) {
    return {{Kind::macroSite, p.macroSites.size()},
            {Kind::sector, p.sectors.size()},
            {Kind::cell, p.cells.size()},
            {Kind::congestionArea, p.congestionAreas.size()},
            {Kind::mount, p.mounts.size()},
            {Kind::radio, p.radios.size()},
            {Kind::smallCell, p.smallCells.size()},
            {Kind::variant, p.variants.size()},
            {Kind::building, p.scenery.buildingCount()},
            {Kind::tree, p.scenery.trees.size()},
            {Kind::street, p.streets.size()},
            {Kind::overheadLine, p.overheadLines.size()},
            {Kind::fibrePoint, p.fibrePoints.size()},
            {Kind::powerTap, p.powerTaps.size()},
            {Kind::siteWorks, p.siteWorks.size()},
            {Kind::antennaCut, p.antennaCuts.size()},
            {Kind::waiver, p.waivers.size()}};
}

std::vector<CarrierRow> carriersOf(const Plan& p) {
    std::map<std::pair<Technology, int>, CarrierRow> rows;
    const auto row = [&](const Carrier& c) -> CarrierRow& {
        CarrierRow& r = rows[{c.technology, c.channel}];
        r.technology = c.technology;
        r.channel = c.channel;
        r.bandwidthsMHz.insert(c.bandwidthMHz);
        return r;
    };
    for (const Cell& c : p.cells) ++row(c.carrier).macroCells;
    for (const SmallCell& c : p.smallCells) ++row(c.carrier).smallCells;
    std::vector<CarrierRow> out;
    out.reserve(rows.size());
    for (auto& [key, r] : rows) out.push_back(std::move(r));
    return out;
}

double outsideBy(const Box& box, PlanePoint p) {
    const double x = std::max({box.x0 - p.x, 0.0, p.x - box.x1});
    const double y = std::max({box.y0 - p.y, 0.0, p.y - box.y1});
    return length({x, y});
}

Inside look(const Plan& p) {
    Inside in;
    in.counts = countsOf(p);
    in.carriers = carriersOf(p);
    for (const Cell& c : p.cells)
        if (overTrigger(c.load, p.settings->model)) in.full.push_back(&c);
    std::stable_sort(in.full.begin(), in.full.end(), [](const Cell* a, const Cell* b) {
        return a->load.dlPrbUse.value_or(0) > b->load.dlPrbUse.value_or(0);
    });
    for (const Variant& v : p.variants) in.variants.push_back({v.id, 0, 0});
    for (const SmallCell& c : p.smallCells)
        for (VariantRow& v : in.variants)
            if (v.id == c.variant) ++(c.chosen ? v.chosen : v.candidates);
    for (const MacroSite& m : p.macroSites) {
        const double out = outsideBy(p.settings->workArea, m.at);
        ++(out <= 0 ? in.macrosInside : out <= kRimM ? in.macrosInRim : in.macrosBeyond);
    }
    return in;
}

std::string rimWarning(const Inside& in) {
    if (in.macrosInRim > 0) return "";
    return "No macro site stands within 3 km outside the work area: if there are any, add them, or the load "
           "and the levels at the rim come out too favourable.";
}

double megahertzOf(const CarrierRow& c) {
    const auto f = downlinkFrequency(c.technology, c.channel);
    return f ? inMegahertz(*f) : std::numeric_limits<double>::quiet_NaN();
}

std::string systemName(const PlanSettings& s) {
    const auto frame = Frame::fromEpsg(s.epsg);
    return frame ? fmt::format("{} (EPSG:{})", frame->name(), s.epsg)
                 : fmt::format("EPSG:{}, which cannot be used: {}", s.epsg, frame.error().sentence());
}

Json boxJson(const Box& b) {
    return {{"min_x_m", number(b.x0, 3)},
            {"min_y_m", number(b.y0, 3)},
            {"max_x_m", number(b.x1, 3)},
            {"max_y_m", number(b.y1, 3)}};
}

Json carrierJson(const CarrierRow& c) {
    return {{"technology", enumName(c.technology)},
            {"channel", c.channel},
            {"band", bandName(c.technology, c.channel)},
            {"downlink_mhz", number(megahertzOf(c), 3)},
            {"bandwidths_mhz", c.bandwidthsMHz},
            {"macro_cells", c.macroCells},
            {"small_cells", c.smallCells}};
}

Json fullJson(const Plan& plan, const Cell& c) {
    Json out = item(plan, c.id);
    out["sector"] = item(plan, c.sector);
    out["downlink_prb_use"] = number(c.load.dlPrbUse);
    out["user_throughput_mbps"] = number(c.load.userThroughputMbps);
    out["date"] = c.load.date;
    return out;
}

std::string infoJson(const OpenPlan& opened, const Inside& in) {
    const Plan& plan = opened.plan;
    const PlanSettings& s = *plan.settings;
    Json out = head("info", 1, plan);
    out["plan"]["operator"] = s.operatorName;
    out["plan"]["author"] = s.author;
    out["plan"]["uid"] = s.uid;
    const auto frame = Frame::fromEpsg(s.epsg);
    out["crs"] = {{"epsg", s.epsg}, {"name", frame ? Json(frame->name()) : Json(nullptr)}};
    out["work_area"] = boxJson(s.workArea);
    out["terrain"] = {{"file", s.terrain.file.empty() ? Json(nullptr) : Json(s.terrain.file)},
                      {"flat_m", s.terrain.file.empty() ? number(s.terrain.flatM, 3) : Json(nullptr)}};
    out["demand_raster"] = s.demandRaster.file.empty() ? Json(nullptr) : Json(s.demandRaster.file);
    out["land_cover"] = s.landCover.file.empty()
                            ? Json(nullptr)
                            : Json{{"file", s.landCover.file}, {"weights", s.landCoverWeights}};
    for (const auto& [kind, n] : in.counts) out["counts"][nameOf(kind)] = n;
    out["carriers"] = Json::array();
    for (const CarrierRow& c : in.carriers) out["carriers"].push_back(carrierJson(c));
    out["over_trigger"] = Json::array();
    for (const Cell* c : in.full) out["over_trigger"].push_back(fullJson(plan, *c));
    out["variants"] = Json::array();
    for (const VariantRow& v : in.variants) {
        Json row = item(plan, v.id);
        row["active"] = v.id == s.activeVariant;
        row["chosen"] = v.chosen;
        row["candidates"] = v.candidates;
        out["variants"].push_back(std::move(row));
    }
    out["macro_sites"] = {
        {"inside", in.macrosInside}, {"within_3_km", in.macrosInRim}, {"farther", in.macrosBeyond}};
    const std::string rim = rimWarning(in);
    out["rim_warning"] = rim.empty() ? Json(nullptr) : Json(rim);
    out["notes"] = opened.notes;
    return written(out);
}

std::string settingsText(const PlanSettings& s, const Ink& ink) {
    const Box& a = s.workArea;
    std::string out = fmt::format("{}\n", ink.bold(s.name.empty() ? "(no name)" : s.name));
    const auto row = [&](const char* what, const std::string& value) {
        if (!value.empty()) out += fmt::format("  {:<12} {}\n", what, value);
    };
    row("operator", s.operatorName);
    row("author", s.author);
    row("date", s.date.iso());
    row("CRS", systemName(s));
    row("work area",
        fmt::format("{:.0f} x {:.0f} m, from {:.0f}, {:.0f}", a.width(), a.height(), a.x0, a.y0));
    row("terrain",
        s.terrain.file.empty() ? fmt::format("flat at {:.1f} m", s.terrain.flatM) : s.terrain.file);
    if (!s.demandRaster.file.empty()) row("demand", s.demandRaster.file);
    if (!s.landCover.file.empty())
        row("land cover", fmt::format("{}; weights {}", s.landCover.file, s.landCoverWeights));
    return out;
}

std::string carriersText(const Inside& in) {
    std::string out = "\nCarriers\n";
    for (const CarrierRow& c : in.carriers) {
        std::string widths;
        for (const double w : c.bandwidthsMHz)
            widths += fmt::format("{}{:g}", widths.empty() ? "" : " and ", w);
        out += fmt::format(
            "  {:<4} {:<8} channel {:<7} {:>9.1f} MHz, {} MHz wide: {} macro cells, {} small cells\n",
            enumName(c.technology), bandName(c.technology, c.channel), c.channel, megahertzOf(c), widths,
            c.macroCells, c.smallCells);
    }
    return out;
}

std::string loadText(const Plan& plan, const Inside& in) {
    std::string out = fmt::format("\nCells over the trigger: {}\n", in.full.size());
    for (const Cell* c : in.full) {
        out += fmt::format("  {:<20}", plan.label(c->id));
        if (c->load.dlPrbUse) out += fmt::format(" {:5.1f} % of its PRB", *c->load.dlPrbUse * 100);
        if (c->load.userThroughputMbps)
            out += fmt::format(", {:.1f} Mbit/s a user", *c->load.userThroughputMbps);
        if (!c->load.date.empty()) out += fmt::format(", {}", c->load.date);
        out += "\n";
    }
    return out;
}

std::string infoText(const Plan& plan, const Inside& in, const Ink& ink) {
    std::string out = settingsText(*plan.settings, ink) + "\nItems\n";
    for (const auto& [kind, n] : in.counts)
        if (n > 0) out += fmt::format("  {:<16} {:>7}\n", nameOf(kind), n);
    out += carriersText(in) + loadText(plan, in) + "\nSmall cells by variant\n";
    for (const VariantRow& v : in.variants)
        out += fmt::format("  {:<20} {} chosen, {} candidates{}\n", plan.label(v.id), v.chosen, v.candidates,
                           v.id == plan.settings->activeVariant ? "; active" : "");
    out += fmt::format("\nMacro sites: {} in the work area, {} within 3 km outside, {} farther\n",
                       in.macrosInside, in.macrosInRim, in.macrosBeyond);
    if (const std::string rim = rimWarning(in); !rim.empty())
        out += fmt::format("{}: {}\n", ink.yellow("Mind"), rim);
    return out;
}

} // namespace

int runInfo(const InfoRequest& request) {
    PlanChoice choice;
    choice.plan = request.plan;
    const OpenPlan opened = openAs(choice);
    const Inside in = look(opened.plan);
    deliver(request.json ? infoJson(opened, in) : infoText(opened.plan, in, Ink()));
    return exitClean;
}

} // namespace fw::cli
