// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/terrain_intake.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

constexpr double kFootM = 0.3048;                   // international foot, NIST SP 811, B.8
constexpr double kLowestM = -450, kHighestM = 8900; // shores of the Dead Sea, Mount Everest; common knowledge

// A round number of metres not finer than the file by much: nothing is gained beyond.
double cellFor(double fileCellM) {
    static constexpr std::array kSteps{1.0, 2.0, 5.0, 10.0, 20.0, 25.0, 30.0, 50.0, 90.0, 100.0};
    double best = kSteps.front();
    for (const double step : kSteps)
        if (step <= fileCellM * 1.1) best = step;
    return best;
}

Box wantedGround(const Plan& plan, const Box& there) {
    if (plan.settings->workArea.empty()) return there;
    return plan.settings->workArea.grown(plan.settings->model.macroReachM);
}

Box common(const Box& a, const Box& b) {
    return {std::max(a.x0, b.x0), std::max(a.y0, b.y0), std::min(a.x1, b.x1), std::min(a.y1, b.y1)};
}

void sayHeights(TerrainPreview& p) {
    if (!p.head.least || !p.head.most) {
        p.remarks.push_back({Weight::look, "No cell of the file holds a height."});
        return;
    }
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

} // namespace

bool TerrainPreview::usable() const {
    return !taken.empty() && head.least.has_value() &&
           std::none_of(remarks.begin(), remarks.end(),
                        [](const IntakeRemark& r) { return r.weight == Weight::question; });
}

Result<TerrainPreview> previewTerrain(const Plan& plan, const std::filesystem::path& file,
                                      const TerrainRequest& request, const Job& job) {
    const auto frame = Frame::fromEpsg(plan.settings->epsg);
    if (!frame) return frame.error();
    auto head = lookAtRaster(file, job);
    if (!head) return head.error();
    TerrainPreview p;
    p.head = std::move(*head);
    for (const std::string& note : p.head.notes) p.remarks.push_back({Weight::note, note});
    p.factor = request.feet ? (*request.feet ? kFootM : 1) : p.head.metresPerUnit;
    sayHeights(p);
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
    p.cellM = request.cellM ? *request.cellM : cellFor(place->cellM);
    const Box wanted = wantedGround(plan, p.there);
    p.taken = common(p.there, wanted);
    if (p.taken.empty() || !(p.taken.width() > 0 && p.taken.height() > 0)) {
        p.taken = {};
        p.remarks.push_back({Weight::look, "The file lies nowhere near the plan."});
        return p;
    }
    const double share = p.taken.width() * p.taken.height() / (wanted.width() * wanted.height());
    p.missingShare = std::clamp(1 - share, 0.0, 1.0);
    if (p.missingShare > 0.001)
        p.remarks.push_back(
            {Weight::look,
             fmt::format("It leaves {:.0f} % of the ground open that the plan computes on (work area "
                         "and the reach of macros round it).",
                         100 * p.missingShare)});
    std::stable_sort(p.remarks.begin(), p.remarks.end(),
                     [](const IntakeRemark& a, const IntakeRemark& b) { return a.weight > b.weight; });
    return p;
}

Status writeTerrainFor(const Plan& plan, const TerrainPreview& preview, const std::filesystem::path& out,
                       const Job& job) {
    const auto frame = Frame::fromEpsg(plan.settings->epsg);
    if (!frame) return frame.error();
    WarpRequest request;
    request.system = preview.head.system;
    request.use = RasterUse::height;
    request.extent = preview.taken;
    request.cellM = preview.cellM;
    request.factor = preview.factor;
    return warpToPlan(preview.head.file, *frame, request, out, job);
}

} // namespace fw
