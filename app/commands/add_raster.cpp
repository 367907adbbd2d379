// SPDX-License-Identifier: GPL-3.0-or-later
// add PLAN terrain FILE: a raster comes beside the plan in the plan's own grid.
#include "commands/intake_words.h"
#include "intake/terrain_intake.h"
#include "store/plan_terrain.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

using Weight = IntakeRemark::Weight;

std::string terrainText(const TerrainPreview& p, const Ink& ink) {
    std::string text = fmt::format("{}: {}, {} x {} cells\n", p.head.file.filename().string(), p.head.format,
                                   p.head.width, p.head.height);
    if (!p.crs.empty()) text += fmt::format("  lies in {}\n", p.crs);
    if (!p.taken.empty())
        text += fmt::format("  taken: {:.0f}, {:.0f} to {:.0f}, {:.0f} (east, north, m), cells of {:g} m\n",
                            p.taken.x0, p.taken.y0, p.taken.x1, p.taken.y1, p.cellM);
    for (const IntakeRemark& r : p.remarks) text += remarkText(r, ink);
    return text;
}

Json terrainJson(const TerrainPreview& p, const std::string& written) {
    Json out = head("add", 1);
    out["file"] = p.head.file.string();
    out["format"] = p.head.format;
    out["kind"] = infoOf(IntakeKind::terrain).name;
    out["crs"] = p.crs;
    out["usable"] = p.usable();
    out["columns"] = p.head.width;
    out["rows"] = p.head.height;
    out["least_m"] = p.head.least ? number(*p.head.least * p.factor, 3) : Json(nullptr);
    out["most_m"] = p.head.most ? number(*p.head.most * p.factor, 3) : Json(nullptr);
    out["cell_m"] = number(p.cellM, 3);
    out["missing_share"] = number(p.missingShare, 4);
    out["extent"] = p.taken.empty() ? Json(nullptr)
                                    : Json::array({number(p.taken.x0, 3), number(p.taken.y0, 3),
                                                   number(p.taken.x1, 3), number(p.taken.y1, 3)});
    out["remarks"] = remarksJson(p.remarks);
    out["written"] = written.empty() ? Json(nullptr) : Json(written);
    out["taken"] = !written.empty();
    return out;
}

} // namespace

int runAddRaster(const AddRequest& request, IntakeKind kind, std::stop_token stop) {
    if (kind != IntakeKind::terrain)
        throw Failure{exitUsage, fmt::format("add: {} cannot be taken in yet; demand comes from floor area, "
                                             "congestion areas and timing advance.",
                                             infoOf(kind).name)};
    const OpenPlan opened = take(openPlan(request.plan));
    TerrainRequest wanted;
    wanted.epsg = request.crs;
    wanted.cellM = request.cellM;
    if (request.feet) wanted.feet = true;
    const Progress progress(std::move(stop));
    const TerrainPreview preview = take(previewTerrain(opened.plan, request.file, wanted, progress.job()));
    std::string written;
    if (preview.usable() && !request.dryRun) {
        const auto out = freeTerrainName(request.plan);
        if (const Status s = writeTerrainFor(opened.plan, preview, out, progress.job()); !s.ok())
            throw failureOf(s.error());
        changePlan(request.plan, take(useTerrain(opened.plan, request.plan, out)));
        written = out.string();
    }
    progress.check();
    if (request.json) {
        deliver(fw::cli::written(terrainJson(preview, written)));
    } else {
        std::string text = terrainText(preview, Ink());
        text += !written.empty() ? fmt::format("Taken in; the plan stands on {}.\n", written)
                : request.dryRun ? "Nothing was changed (--dry-run).\n"
                                 : "Nothing was taken in.\n";
        deliver(text);
    }
    return preview.usable() ? exitClean : exitBlocked;
}

} // namespace fw::cli
