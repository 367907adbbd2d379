// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/raster_intake.h"

#include "base/units.h"
#include "geo/grid.h"
#include "plan/class_weights.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

constexpr double kWorthAWord = 0.001;               // share of a class without a weight
constexpr double kLowestM = -450, kHighestM = 8900; // shores of the Dead Sea, Mount Everest; common knowledge

// A round number of metres not finer than the file by much: nothing is gained beyond.
double cellFor(double fileCellM) {
    static constexpr std::array kSteps{1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 30.0, 50.0, 90.0, 100.0};
    double best = kSteps.front();
    for (const double step : kSteps)
        if (step <= fileCellM * 1.1) best = step;
    return best;
}

// Demand is kept in cells that fill a tile without a rest, as fine as the file, or finer.
double demandCellFor(double fileCellM) {
    double best = 4;
    for (const double step : {8.0, 16.0, 32.0, 64.0, 128.0})
        if (step <= fileCellM * 1.1) best = step;
    return best;
}

Box wantedGround(const Plan& plan, const Box& there, RasterUse use) {
    const Box& area = plan.settings->workArea;
    if (area.empty() && use == RasterUse::height) return there;
    if (use == RasterUse::height) return area.grown(plan.settings->model.macroReachM);
    Box tiles;
    for (const TileKey key : tilesOf(area.empty() ? there : area)) tiles.add(key.bounds());
    return tiles;
}

Box common(const Box& a, const Box& b) {
    return {std::max(a.x0, b.x0), std::max(a.y0, b.y0), std::min(a.x1, b.x1), std::min(a.y1, b.y1)};
}

void sayHeights(RasterPreview& p) {
    if (!p.head.unitNote.empty()) p.remarks.push_back({Weight::note, p.head.unitNote});
    const double low = *p.head.least * p.factor, high = *p.head.most * p.factor;
    p.remarks.push_back(
        {Weight::note, fmt::format("Heights from {:.1f} to {:.1f} m{}.", low, high,
                                   p.factor == 1 ? "" : fmt::format(" (times {:.4f})", p.factor))});
    if (low < kLowestM || high > kHighestM)
        p.remarks.push_back(
            {Weight::question,
             "Some heights are of no ground on Earth: another unit, or cells without data that "
             "the file does not mark.",
             "--feet, or mark the cells in the file"});
    if (p.head.emptyShare > 0)
        p.remarks.push_back(
            {Weight::look, fmt::format("{:.1f} % of its cells have no data; they take the mean of "
                                       "their nearest neighbours.",
                                       100 * p.head.emptyShare)});
}

void sayDemand(RasterPreview& p) {
    if (*p.head.most <= 0) {
        p.remarks.push_back({Weight::question, "No cell of the file holds any demand (a number above 0).",
                             "another raster, or another kind"});
        return;
    }
    p.remarks.push_back(
        {Weight::note,
         fmt::format("Amounts up to {:.6g} a cell{}. Only how they compare counts: cells' measured "
                     "use says how much there is.",
                     *p.head.most, p.head.unit.empty() ? "" : " (" + p.head.unit + ")")});
    if (*p.head.least < 0)
        p.remarks.push_back({Weight::look, "Some amounts are below 0; they count as nothing."});
    if (p.head.emptyShare > 0)
        p.remarks.push_back(
            {Weight::look, fmt::format("{:.1f} % of its cells have no data; nobody is taken to be "
                                       "there.",
                                       100 * p.head.emptyShare)});
}

void sayClasses(RasterPreview& p, const std::map<std::int32_t, double>& weights) {
    if (p.head.classShares.empty()) {
        p.remarks.push_back(
            {Weight::question,
             "Its values are no classes: whole numbers from 0 to 65535, not more than 256 of them.",
             "another raster, or another kind"});
        return;
    }
    for (const auto& [cls, share] : p.head.classShares) {
        const auto name = p.head.classNames.find(cls);
        const auto weight = weights.find(cls);
        if (weight == weights.end() && share < kWorthAWord) continue;
        p.remarks.push_back(
            {Weight::note,
             fmt::format("Class {}{}: {:.1f} % of its cells, {}.", cls,
                         name == p.head.classNames.end() ? "" : " (" + name->second + ")", 100 * share,
                         weight == weights.end()
                             ? std::string("weighs as street or yard")
                             : fmt::format("a square metre weighs {:g}", weight->second))});
    }
    for (const auto& [cls, weight] : weights)
        if (!p.head.classShares.count(cls))
            p.remarks.push_back({Weight::look, fmt::format("Class {} has a weight, but no cell{}.", cls,
                                                           p.head.sampled ? " among those looked at" : "")});
    if (weights.empty())
        p.remarks.push_back(
            {Weight::question,
             "No class has a weight yet, so the raster would change nothing. A square metre of "
             "street weighs 1, of yard 0.25, of water 0.",
             "--weight CLASS=WEIGHT, one for each class that differs"});
}

// What its values are, by what they are for.
void sayValues(RasterPreview& p, const std::map<std::int32_t, double>& weights) {
    if (!p.head.least || !p.head.most) {
        p.remarks.push_back({Weight::look, p.use == RasterUse::height ? "No cell of the file holds a height."
                                                                      : "No cell of the file has data."});
        return;
    }
    if (p.use == RasterUse::height) return sayHeights(p);
    if (p.use == RasterUse::demand) return sayDemand(p);
    sayClasses(p, weights);
}

std::string missingText(const RasterPreview& p) {
    if (p.use == RasterUse::height)
        return fmt::format("It leaves {:.0f} % of the ground open that the plan computes on (work area "
                           "and the reach of macros round it).",
                           100 * p.missingShare);
    return fmt::format("It leaves {:.0f} % of the tiles open that the work area lies on; {}.",
                       100 * p.missingShare,
                       p.use == RasterUse::demand ? "nobody is taken to be there"
                                                  : "open ground there weighs as street or yard");
}

} // namespace

IntakeKind kindOf(RasterUse use) {
    return use == RasterUse::demand      ? IntakeKind::demand
           : use == RasterUse::landCover ? IntakeKind::landCover
                                         : IntakeKind::terrain;
}

RasterUse useOf(IntakeKind kind) {
    return kind == IntakeKind::demand      ? RasterUse::demand
           : kind == IntakeKind::landCover ? RasterUse::landCover
                                           : RasterUse::height;
}

bool RasterPreview::usable() const {
    return !taken.empty() && head.least.has_value() &&
           std::none_of(remarks.begin(), remarks.end(),
                        [](const IntakeRemark& r) { return r.weight == Weight::question; });
}

Result<RasterPreview> previewRaster(const Plan& plan, const std::filesystem::path& file,
                                    const RasterRequest& request, const Job& job) {
    const auto frame = Frame::fromEpsg(plan.settings->epsg);
    if (!frame) return frame.error();
    auto head = lookAtRaster(file, job);
    if (!head) return head.error();
    RasterPreview p;
    p.head = std::move(*head);
    p.use = request.use;
    for (const std::string& note : p.head.notes) p.remarks.push_back({Weight::note, note});
    if (p.use == RasterUse::height)
        p.factor = request.feet ? (*request.feet ? kFootM : 1) : p.head.metresPerUnit;
    const auto weights = classWeights(request.classWeights);
    if (!weights) return weights.error();
    p.classWeights = classWeightsText(*weights);
    sayValues(p, *weights);
    if (request.epsg != 0) p.head.system = {request.epsg, {}};
    if (!p.head.system.known()) {
        p.remarks.push_back(
            {Weight::question,
             "The file does not say in which reference system it lies.",
             fmt::format("--crs {} (the plan's own), or another EPSG code", plan.settings->epsg),
             {{"The plan's own", {}, {}, plan.settings->epsg, false}}});
        return p;
    }
    const auto place = placeOf(p.head, p.head.system, *frame);
    if (!place) return Error{place.error().code, place.error().text, file.string()};
    p.crs = request.epsg != 0 ? fmt::format("EPSG:{}", request.epsg) : p.head.crsName;
    p.there = place->extent;
    p.cellM = request.cellM                ? *request.cellM
              : p.use == RasterUse::demand ? demandCellFor(place->cellM)
                                           : cellFor(place->cellM);
    if (p.use == RasterUse::demand && demandCellFor(p.cellM) != p.cellM)
        p.remarks.push_back({Weight::question,
                             fmt::format("Demand is kept in cells of 4, 8, 16, 32, 64 or 128 m, "
                                         "not of {:g} m.",
                                         p.cellM),
                             "--cell with one of these"});
    const Box wanted = wantedGround(plan, p.there, p.use);
    p.taken = common(p.there, wanted);
    if (p.taken.empty() || !(p.taken.width() > 0 && p.taken.height() > 0)) {
        p.taken = {};
        p.remarks.push_back({Weight::look, "The file lies nowhere near the plan."});
        return p;
    }
    const double share = p.taken.width() * p.taken.height() / (wanted.width() * wanted.height());
    p.missingShare = std::clamp(1 - share, 0.0, 1.0);
    if (p.missingShare > 0.001) p.remarks.push_back({Weight::look, missingText(p)});
    std::stable_sort(p.remarks.begin(), p.remarks.end(),
                     [](const IntakeRemark& a, const IntakeRemark& b) { return a.weight > b.weight; });
    return p;
}

Status writeRasterFor(const Plan& plan, const RasterPreview& preview, const std::filesystem::path& out,
                      const Job& job) {
    const auto frame = Frame::fromEpsg(plan.settings->epsg);
    if (!frame) return frame.error();
    WarpRequest request;
    request.system = preview.head.system;
    request.use = preview.use;
    request.extent = preview.taken;
    request.cellM = preview.cellM;
    request.factor = preview.factor;
    return warpToPlan(preview.head.file, *frame, request, out, job);
}

} // namespace fw
