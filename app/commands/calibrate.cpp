// SPDX-License-Identifier: GPL-3.0-or-later
#include "calibration/calibration.h"

#include "calibration/measured_azimuth.h"
#include "commands/commands.h"
#include "commands/intake_words.h"
#include "commands/working_text.h"
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

/// What is printed.
struct Compared {
    const Plan& plan;
    const Calibration& calibration;
    std::vector<MeasuredAzimuth> azimuths;
    std::vector<AuditFinding> swapped;
    bool applied = false, working = false;
};

Json cellJson(const Compared& o, const CellCalibration& c) {
    const Plan& plan = o.plan;
    Json out = {{"cell", item(plan, c.cell)},
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
    if (!o.working) return out;
    out["working"] = working(workingOf(plan, o.calibration, c.cell));
    out["held_out_working"] = working(workingOfErrors(plan, o.calibration, c.cell, ErrorsOn::heldOut));
    if (c.slopeDb) out["slope_working"] = working(workingOfSlope(plan, o.calibration, c.cell));
    return out;
}

Json indoorJson(const Compared& o) {
    const auto& in = o.calibration.indoor;
    if (!in) return nullptr;
    Json out = {{"points", in->points},
                {"squares", in->squares},
                {"fitted", in->fitted},
                {"excess_db", in->fitted ? number(in->excessDb, 3) : Json(nullptr)},
                {"efficient_share", number(in->efficientShare, 2)}};
    if (o.working) out["working"] = working(workingOfIndoor(o.calibration));
    return out;
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

Json azimuthJson(const Compared& o, const MeasuredAzimuth& m) {
    Json out = {{"sector", item(o.plan, m.sector)},
                {"inventory_true_deg", number(m.inventory.deg, 2)},
                {"measured_true_deg", m.known ? number(m.measured.deg, 2) : Json(nullptr)},
                {"error_deg", m.known ? number(m.errorDeg, 1) : Json(nullptr)},
                {"differs", m.differs}};
    if (o.working) out["working"] = working(workingOf(o.plan, m));
    return out;
}

std::string calibrationJson(const Compared& o) {
    const Plan& plan = o.plan;
    const Calibration& c = o.calibration;
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
    for (const CellCalibration& each : c.cells) out["cells"].push_back(cellJson(o, each));
    if (o.working) {
        out["fitted_on_working"] = working(workingOfErrors(plan, c, {}, ErrorsOn::fitted));
        out["held_out_working"] = working(workingOfErrors(plan, c, {}, ErrorsOn::heldOut));
    }
    out["histogram"] = {{"step_db", kHistogramStepDb}, {"first_db", -40}};
    out["histogram"]["before"] = c.histogramBefore;
    out["histogram"]["after"] = c.histogramAfter;
    out["indoor"] = indoorJson(o);
    out["azimuths"] = Json::array();
    for (const MeasuredAzimuth& m : o.azimuths) out["azimuths"].push_back(azimuthJson(o, m));
    out["swapped_sectors"] = Json::array();
    for (const AuditFinding& f : o.swapped) out["swapped_sectors"].push_back(swappedJson(plan, f));
    out["applied"] = o.applied;
    return written(out);
}

std::string cellText(const Compared& o, const CellCalibration& c) {
    const std::string name = o.plan.label(c.cell);
    std::string steps;
    if (o.working) {
        steps = workingText(workingOf(o.plan, o.calibration, c.cell), "      ");
        if (c.fitted)
            steps += workingText(workingOfErrors(o.plan, o.calibration, c.cell, ErrorsOn::heldOut), "      ");
        if (c.slopeDb) steps += workingText(workingOfSlope(o.plan, o.calibration, c.cell), "      ");
    }
    if (!c.fitted) return fmt::format("  {:<20} {}\n", name, c.whyNot) + steps;
    std::string text =
        fmt::format("  {:<20} {:>5} points  offset {:+.1f} -> {:+.1f} dB (+-{:.1f})  held out RMSE "
                    "{:.1f} -> {:.1f} dB",
                    name, c.points, c.offsetBeforeDb, c.offsetAfterDb, c.errorDb, c.heldOut.before.rmseDb,
                    c.heldOut.after.rmseDb);
    if (c.slopeDb) text += fmt::format("  slope {:+.1f} (+-{:.1f}) dB a decade", *c.slopeDb, *c.slopeErrorDb);
    return text + "\n" + steps;
}

std::string figuresText(const char* what, const BeforeAfter& b) {
    return fmt::format(
        "{}: {} points, mean {:+.1f} -> {:+.1f} dB, sigma {:.1f} -> {:.1f} dB, RMSE {:.1f} -> {:.1f} "
        "dB\n",
        what, b.after.points, b.before.meanDb, b.after.meanDb, b.before.sigmaDb, b.after.sigmaDb,
        b.before.rmseDb, b.after.rmseDb);
}

std::string indoorText(const Compared& o) {
    const auto& in = o.calibration.indoor;
    if (!in) return "";
    if (!in->fitted) return fmt::format("Indoors: {} points are too few.\n", in->points);
    std::string text =
        fmt::format("Indoors: {} points, measured {:+.1f} dB over predicted", in->points, in->excessDb);
    if (in->efficientShare)
        text += fmt::format("; {:.0f} % efficient buildings bring it to nothing", *in->efficientShare * 100);
    return text + ".\n" + (o.working ? workingText(workingOfIndoor(o.calibration), "      ") : "");
}

std::string errorsText(const Compared& o, const char* what, ErrorsOn on) {
    const Calibration& c = o.calibration;
    std::string text = figuresText(what, on == ErrorsOn::heldOut ? c.heldOut : c.fittedOn);
    if (o.working) text += workingText(workingOfErrors(o.plan, c, {}, on), "      ");
    return text;
}

std::string calibrationText(const Compared& o) {
    const Calibration& c = o.calibration;
    const Ink ink;
    std::string text = fmt::format(
        "{} points: {} matched in {} street squares; left out: {} no level, {} of no cell of the plan, {} of "
        "several, {} where nothing is predicted.\n",
        c.given, c.matched, c.squares, c.notALevel, c.unknownCell, c.ambiguous, c.notPredicted);
    for (const CellCalibration& each : c.cells) text += cellText(o, each);
    if (c.usable)
        text += errorsText(o, "Fitted on", ErrorsOn::fitted) + errorsText(o, "Held out", ErrorsOn::heldOut);
    text += indoorText(o);
    for (const MeasuredAzimuth& m : o.azimuths) {
        if (!m.known) continue;
        text += (m.differs ? ink.yellow("look: ") : "note: ") + m.text + "\n";
        if (o.working) text += workingText(workingOf(o.plan, m), "      ");
    }
    for (const AuditFinding& f : o.swapped) text += ink.yellow("look: ") + f.text + " " + f.proposal + "\n";
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
    if (!request.residualsTo.empty()) readyToWrite(request.residualsTo, "residuals.csv");
    const IntakeRequest wanted = requestFrom(request);
    const OpenPlan opened = openAs({request.plan, "", "", request.threads});
    const Progress progress(std::move(stop));
    const IntakePreview preview = take(
        previewIntake(opened.plan, request.file, wanted, MappingMemory(mappingMemoryFile()), progress.job()));
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
    Compared compared{opened.plan, c, measuredAzimuths(*study, c), swappedIn(opened.plan, preview.measured)};
    compared.working = request.working;
    progress.check();
    if (!request.residualsTo.empty()) writeResiduals(request.residualsTo, *study, c);
    const bool apply = compared.applied = request.apply && c.usable;
    if (apply)
        changePlan(
            request.plan,
            take(calibrationEdit(opened.plan, c, std::filesystem::path(request.file).filename().string(),
                                 opened.plan.settings->date)),
            progress.job());
    if (request.json)
        deliver(calibrationJson(compared));
    else
        deliver(calibrationText(compared) +
                (apply      ? "The offsets are in the plan.\n"
                 : c.usable ? "Nothing was changed; --apply puts the offsets into the plan.\n"
                            : ""));
    return c.usable ? exitClean : exitBlocked;
}

} // namespace fw::cli
