// SPDX-License-Identifier: GPL-3.0-or-later
#include "calibration/calibration.h"

#include "calibration/measured_azimuth.h"
#include "commands/commands.h"
#include "commands/intake_words.h"
#include "intake/inventory_audit.h"
#include "intake/preview.h"

#include <fmt/format.h>
#include <fstream>

namespace fw::cli {
namespace {

IntakeRequest requestFrom(const CalibrateRequest& r) {
    IntakeRequest out;
    out.kind = IntakeKind::measurements;
    out.map = mapWordsFrom(r.map);
    out.epsg = r.crs;
    out.swapAxes = r.swap;
    out.source.layer = r.layer;
    return out;
}

Json figuresJson(const ErrorFigures& f) {
    return {{"points", f.points},
            {"mean_db", number(f.meanDb, 3)},
            {"sigma_db", number(f.sigmaDb, 3)},
            {"rmse_db", number(f.rmseDb, 3)}};
}

Json bothJson(const BeforeAfter& b) {
    return {{"before", figuresJson(b.before)}, {"after", figuresJson(b.after)}};
}

Json cellJson(const Plan& plan, const CellCalibration& c) {
    return {{"cell", item(plan, c.cell)},
            {"points", c.points},
            {"squares", c.squares},
            {"fitted", c.fitted},
            {"why_not", c.whyNot},
            {"offset_before_db", number(c.offsetBeforeDb, 3)},
            {"offset_after_db", number(c.offsetAfterDb, 3)},
            {"standard_error_db", c.fitted ? number(c.errorDb, 3) : Json(nullptr)},
            {"slope_db_per_decade", number(c.slopeDb, 3)},
            {"slope_error_db", number(c.slopeErrorDb, 3)},
            {"fitted_on", bothJson(c.fittedOn)},
            {"held_out", bothJson(c.heldOut)}};
}

Json indoorJson(const std::optional<IndoorCalibration>& in) {
    if (!in) return nullptr;
    return {{"points", in->points},
            {"squares", in->squares},
            {"fitted", in->fitted},
            {"excess_db", in->fitted ? number(in->excessDb, 3) : Json(nullptr)},
            {"efficient_share", number(in->efficientShare, 2)}};
}

// What the points say of the inventory besides levels.
std::vector<AuditFinding> swappedIn(const Plan& plan, const std::vector<MeasuredPoint>& points) {
    AuditEvidence evidence;
    evidence.measured = points;
    auto found = auditInventory(plan, evidence);
    std::erase_if(found, [](const AuditFinding& f) { return f.check != std::string("swapped-sectors"); });
    return found;
}

Json swappedJson(const Plan& plan, const AuditFinding& f) {
    Json subjects = Json::array();
    for (const ItemId id : f.subjects) subjects.push_back(item(plan, id));
    return {{"subjects", std::move(subjects)}, {"text", f.text}, {"proposal", f.proposal}};
}

Json azimuthJson(const Plan& plan, const MeasuredAzimuth& m) {
    return {{"sector", item(plan, m.sector)},
            {"inventory_true_deg", number(m.inventory.deg, 2)},
            {"measured_true_deg", m.known ? number(m.measured.deg, 2) : Json(nullptr)},
            {"error_deg", m.known ? number(m.errorDeg, 1) : Json(nullptr)},
            {"differs", m.differs}};
}

std::string calibrationJson(const Plan& plan, const Calibration& c,
                            const std::vector<MeasuredAzimuth>& azimuths,
                            const std::vector<AuditFinding>& swapped, bool applied) {
    Json out = head("calibrate", 1, plan);
    out["given"] = c.given;
    out["matched"] = c.matched;
    out["squares"] = c.squares;
    out["left_out"] = {{"no_level", c.notALevel},
                       {"unknown_cell", c.unknownCell},
                       {"ambiguous", c.ambiguous},
                       {"not_predicted", c.notPredicted}};
    out["usable"] = c.usable;
    out["verdict"] = c.verdict;
    out["fitted_on"] = bothJson(c.fittedOn);
    out["held_out"] = bothJson(c.heldOut);
    out["cells"] = Json::array();
    for (const CellCalibration& each : c.cells) out["cells"].push_back(cellJson(plan, each));
    out["histogram"] = {{"step_db", kHistogramStepDb}, {"first_db", -40}};
    out["histogram"]["before"] = c.histogramBefore;
    out["histogram"]["after"] = c.histogramAfter;
    out["indoor"] = indoorJson(c.indoor);
    out["azimuths"] = Json::array();
    for (const MeasuredAzimuth& m : azimuths) out["azimuths"].push_back(azimuthJson(plan, m));
    out["swapped_sectors"] = Json::array();
    for (const AuditFinding& f : swapped) out["swapped_sectors"].push_back(swappedJson(plan, f));
    out["applied"] = applied;
    return written(out);
}

std::string cellText(const Plan& plan, const CellCalibration& c) {
    const std::string name = plan.label(c.cell);
    if (!c.fitted) return fmt::format("  {:<20} {}\n", name, c.whyNot);
    std::string text =
        fmt::format("  {:<20} {:>5} points  offset {:+.1f} -> {:+.1f} dB (+-{:.1f})  held out RMSE "
                    "{:.1f} -> {:.1f} dB",
                    name, c.points, c.offsetBeforeDb, c.offsetAfterDb, c.errorDb, c.heldOut.before.rmseDb,
                    c.heldOut.after.rmseDb);
    if (c.slopeDb) text += fmt::format("  slope {:+.1f} (+-{:.1f}) dB a decade", *c.slopeDb, *c.slopeErrorDb);
    return text + "\n";
}

std::string figuresText(const char* what, const BeforeAfter& b) {
    return fmt::format(
        "{}: {} points, mean {:+.1f} -> {:+.1f} dB, sigma {:.1f} -> {:.1f} dB, RMSE {:.1f} -> {:.1f} "
        "dB\n",
        what, b.after.points, b.before.meanDb, b.after.meanDb, b.before.sigmaDb, b.after.sigmaDb,
        b.before.rmseDb, b.after.rmseDb);
}

std::string calibrationText(const Plan& plan, const Calibration& c,
                            const std::vector<MeasuredAzimuth>& azimuths,
                            const std::vector<AuditFinding>& swapped) {
    const Ink ink;
    std::string text = fmt::format(
        "{} points: {} matched in {} street squares; left out: {} no level, {} of no cell of the plan, {} of "
        "several, {} where nothing is predicted.\n",
        c.given, c.matched, c.squares, c.notALevel, c.unknownCell, c.ambiguous, c.notPredicted);
    for (const CellCalibration& each : c.cells) text += cellText(plan, each);
    if (c.usable) text += figuresText("Fitted on", c.fittedOn) + figuresText("Held out", c.heldOut);
    if (c.indoor && c.indoor->fitted) {
        text += fmt::format("Indoors: {} points, measured {:+.1f} dB over predicted", c.indoor->points,
                            c.indoor->excessDb);
        if (c.indoor->efficientShare)
            text += fmt::format("; {:.0f} % efficient buildings bring it to nothing",
                                *c.indoor->efficientShare * 100);
        text += ".\n";
    } else if (c.indoor) {
        text += fmt::format("Indoors: {} points are too few.\n", c.indoor->points);
    }
    for (const MeasuredAzimuth& m : azimuths)
        if (m.known) text += (m.differs ? ink.yellow("look: ") : "note: ") + m.text + "\n";
    for (const AuditFinding& f : swapped) text += ink.yellow("look: ") + f.text + " " + f.proposal + "\n";
    return text + c.verdict + "\n";
}

void writeResiduals(const std::string& file, const Study& study, const Calibration& c) {
    std::error_code fault;
    if (std::filesystem::exists(file, fault))
        throw Failure{exitFile,
                      fmt::format("{}: There is a file of that name already; it is left as it is.", file)};
    std::ofstream out(file, std::ios::binary);
    out << "latitude,longitude,cell,before_db,after_db,held_out,indoor,weight\n";
    for (const PointResidual& r : c.residuals) {
        const auto geo = study.frame().toGeo(r.at);
        if (!geo) continue;
        std::string name = study.plan().label(r.cell);
        for (std::size_t k = 0; (k = name.find('"', k)) != std::string::npos; k += 2) name.insert(k, 1, '"');
        out << fmt::format("{:.7f},{:.7f},\"{}\",{:.2f},{:.2f},{},{},{:.3f}\n", geo->latDeg, geo->lonDeg,
                           name, r.beforeDb, r.afterDb, r.heldOut ? 1 : 0, r.indoor ? 1 : 0, r.weight);
    }
    out.close();
    if (!out) throw Failure{exitFile, fmt::format("{}: The residuals cannot be written.", file)};
}

} // namespace

int runCalibrate(const CalibrateRequest& request, std::stop_token stop) {
    const IntakeRequest wanted = requestFrom(request);
    const OpenPlan opened = openAs({request.plan, "", "", request.threads});
    const Progress progress(std::move(stop));
    const IntakePreview preview = take(previewIntake(opened.plan, request.file, wanted, progress.job()));
    progress.check();
    if (!preview.usable()) {
        say(preview.refused > 0 ? "The file cannot be used as it is:" : "The file leaves something open:");
        deliver(previewText(preview, Ink()));
        return exitBlocked;
    }
    if (preview.refused > 0)
        say(fmt::format("{} of {} rows were refused; \"add PLAN measurements FILE --dry-run\" lists them.",
                        preview.refused, preview.rows));
    const auto study = computed(opened, request.threads, progress);
    const Calibration c =
        take(calibrate(*study, preview.measured, {request.slope, request.indoor}, progress.job()));
    const auto azimuths = measuredAzimuths(*study, c);
    const auto swapped = swappedIn(opened.plan, preview.measured);
    progress.check();
    if (!request.residualsTo.empty()) writeResiduals(request.residualsTo, *study, c);
    const bool apply = request.apply && c.usable;
    if (apply)
        changePlan(request.plan, take(calibrationEdit(opened.plan, c,
                                                      std::filesystem::path(request.file).filename().string(),
                                                      opened.plan.settings->date)));
    if (request.json)
        deliver(calibrationJson(opened.plan, c, azimuths, swapped, apply));
    else
        deliver(calibrationText(opened.plan, c, azimuths, swapped) +
                (apply      ? "The offsets are in the plan.\n"
                 : c.usable ? "Nothing was changed; --apply puts the offsets into the plan.\n"
                            : ""));
    return c.usable ? exitClean : exitBlocked;
}

} // namespace fw::cli
