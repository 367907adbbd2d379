// SPDX-License-Identifier: GPL-3.0-or-later
// add PLAN terrain|demand|land-cover FILE: a raster comes beside the plan in the plan's own grid.
#include "commands/intake_words.h"
#include "intake/raster_intake.h"
#include "store/plan_terrain.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

std::string previewText(const RasterPreview& p, const Ink& ink) {
    std::string text = fmt::format("{}: {}, {} x {} cells\n", p.head.file.filename().string(), p.head.format,
                                   p.head.width, p.head.height);
    if (!p.crs.empty()) text += fmt::format("  lies in {}\n", p.crs);
    if (!p.taken.empty())
        text += fmt::format("  taken: {:.0f}, {:.0f} to {:.0f}, {:.0f} (east, north, m), cells of {:g} m\n",
                            p.taken.x0, p.taken.y0, p.taken.x1, p.taken.y1, p.cellM);
    for (const IntakeRemark& r : p.remarks) text += remarkText(r, ink);
    return text;
}

Json previewJson(const RasterPreview& p, const std::string& written) {
    Json out = head("add", 1);
    out["file"] = p.head.file.string();
    out["format"] = p.head.format;
    out["kind"] = infoOf(kindOf(p.use)).name;
    out["crs"] = p.crs;
    out["usable"] = p.usable();
    out["columns"] = p.head.width;
    out["rows"] = p.head.height;
    const bool height = p.use == RasterUse::height;
    out[height ? "least_m" : "least"] = p.head.least ? number(*p.head.least * p.factor, 3) : Json(nullptr);
    out[height ? "most_m" : "most"] = p.head.most ? number(*p.head.most * p.factor, 3) : Json(nullptr);
    if (p.use == RasterUse::landCover) out["weights"] = p.classWeights;
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

// As the plan names it; empty where it has none.
std::string fileInUse(const PlanSettings& settings, RasterUse use) {
    return use == RasterUse::height   ? settings.terrain.file
           : use == RasterUse::demand ? settings.demandRaster.file
                                      : settings.landCover.file;
}

} // namespace

int runLeaveRaster(const AddRequest& request, IntakeKind kind) {
    const OpenPlan opened = take(openPlan(request.plan));
    const RasterUse use = useOf(kind);
    const std::string file = fileInUse(*opened.plan.settings, use);
    const bool left = !file.empty() && !request.dryRun;
    if (left) changePlan(request.plan, leaveRaster(opened.plan, use), {});
    if (request.json) {
        Json out = head("add", 1);
        out["kind"] = infoOf(kind).name;
        out["left"] = left ? Json(file) : Json(nullptr);
        deliver(written(out));
    } else {
        deliver(file.empty() ? fmt::format("The plan uses no {} raster; nothing was changed.\n", wordFor(use))
                : request.dryRun ? fmt::format("The plan's {} is {}. Nothing was changed (--dry-run).\n",
                                               wordFor(use), file)
                                 : fmt::format("The plan does without {} {} from now on; the file stays.\n",
                                               wordFor(use), file));
    }
    return exitClean;
}

int runAddRaster(const AddRequest& request, IntakeKind kind, std::stop_token stop) {
    const OpenPlan opened = take(openPlan(request.plan));
    RasterRequest wanted;
    wanted.use = useOf(kind);
    for (const std::string& weight : request.weights)
        wanted.classWeights += (wanted.classWeights.empty() ? "" : "; ") + weight;
    wanted.epsg = request.crs;
    wanted.cellM = request.cellM;
    if (request.feet) wanted.feet = true;
    const Progress progress(std::move(stop));
    const RasterPreview preview = take(previewRaster(opened.plan, request.file, wanted, progress.job()));
    std::string written;
    if (preview.usable() && !request.dryRun) {
        const auto out = freeRasterName(request.plan, preview.use);
        if (const Status s = writeRasterFor(opened.plan, preview, out, progress.job()); !s.ok())
            throw failureOf(s.error());
        changePlan(request.plan,
                   take(useRaster(opened.plan, request.plan, preview.use, out, preview.classWeights)),
                   progress.job());
        written = out.string();
    }
    progress.check();
    if (request.json) {
        deliver(fw::cli::written(previewJson(preview, written)));
    } else {
        std::string text = previewText(preview, Ink());
        text += !written.empty()
                    ? fmt::format("Taken in; the plan's {} is {}.\n", wordFor(preview.use), written)
                : request.dryRun ? "Nothing was changed (--dry-run).\n"
                                 : "Nothing was taken in.\n";
        deliver(text);
    }
    return preview.usable() ? exitClean : exitBlocked;
}

} // namespace fw::cli
