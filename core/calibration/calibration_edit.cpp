// SPDX-License-Identifier: GPL-3.0-or-later
// From a calibration to an edit, to words, and to the steps behind a figure.
#include "base/text.h"
#include "calibration/calibration.h"
#include "calibration/robust_fit.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

const CellCalibration* cellIn(const Calibration& c, ItemId cell) {
    const auto it = std::lower_bound(c.cells.begin(), c.cells.end(), cell,
                                     [](const CellCalibration& x, ItemId id) { return x.cell < id; });
    return it != c.cells.end() && it->cell == cell ? &*it : nullptr;
}

std::string noteOf(const Calibration& c, const std::string& from, Date day, std::size_t fitted) {
    std::string text =
        fmt::format("Levels of {} of {} measured cells are calibrated against \"{}\" ({}): {} points", fitted,
                    c.cells.size(), from, day.iso(), c.fittedOn.after.points + c.heldOut.after.points);
    if (c.heldOut.after.points > 0)
        text += fmt::format("; error on streets held out {:.1f} dB before, {:.1f} dB after",
                            c.heldOut.before.rmseDb, c.heldOut.after.rmseDb);
    return text + ".";
}

std::string share(double v) { return fmt::format("{:.0f} %", v * 100); }

} // namespace

Result<Edit> calibrationEdit(const Plan& plan, const Calibration& calibration, const std::string& from,
                             Date day) {
    Edit edit;
    edit.text = "Calibrate cells against drive test";
    for (const CellCalibration& c : calibration.cells) {
        if (!c.fitted) continue;
        const Cell* cell = plan.cells.find(c.cell);
        if (!cell)
            return Error{ErrorCode::badInput,
                         CORE_TEXT("The plan has changed since it was compared; compare it again.")};
        Cell changed = *cell;
        changed.offsetDb = c.offsetAfterDb;
        edit.changes.push_back(Put{std::move(changed)});
    }
    if (edit.changes.empty()) return Error{ErrorCode::badInput, calibration.verdict};
    PlanSettings settings = *plan.settings;
    settings.calibrationNote = noteOf(calibration, from, day, edit.changes.size());
    if (calibration.indoor && calibration.indoor->efficientShare) {
        settings.model.efficientShare = *calibration.indoor->efficientShare;
        settings.calibrationNote +=
            fmt::format(" The share of efficient buildings is fitted to {} points "
                        "indoors: {}.",
                        calibration.indoor->points, share(settings.model.efficientShare));
    }
    edit.changes.push_back(PutSettings{std::move(settings)});
    return edit;
}

Working workingOf(const Plan& plan, const Calibration& calibration, ItemId cell) {
    Working w;
    const CellCalibration* c = cellIn(calibration, cell);
    w.title = fmt::format("Offset of {}", plan.label(cell));
    w.source = "Huber and Ronchetti, Robust Statistics (2009), 4.5; Beaton and Tukey (1974); hold-out by "
               "street square: own judgement";
    if (!c) {
        w.remarks.push_back("No measured point belongs to it.");
        return w;
    }
    const ErrorFigures &train = c->fittedOn.before, &held = c->heldOut.before;
    w.inputs = {{"n", static_cast<double>(train.points), "points", "measured, fitted on"},
                {"m", static_cast<double>(held.points), "points", "measured, held out"},
                {"squares", static_cast<double>(c->squares), "", "of 50 m, in the plan's system"},
                {"k", kHuberTuning, "", "Huber's tuning constant, 95 % efficiency"},
                {"c", kBiweightTuning, "", "Tukey's tuning constant, 95 % efficiency"},
                {"old", c->offsetBeforeDb, "dB", "plan"}};
    w.steps.push_back({"mean of measured less predicted", "sum(e) / n", train.meanDb, "dB"});
    if (!c->fitted) {
        w.remarks.push_back(c->whyNot);
        return w;
    }
    w.steps.push_back({"spread of what is left", "1.4826 median|e - a|", c->scaleDb, "dB"});
    w.steps.push_back(
        {"points left out as gross outliers", "|e - a| >= c s", static_cast<double>(c->leftOut), "points"});
    w.steps.push_back({"robust mean", "sum(w e) / sum(w)", c->fitDb, "dB"});
    w.steps.push_back({"its standard error, squares as units", "sandwich", c->errorDb, "dB"});
    if (c->slopeDb)
        w.steps.push_back({"slope over distance (told, not applied)", "e = a + b log10(d)", *c->slopeDb,
                           "dB per tenfold distance"});
    w.steps.push_back({"RMSE on squares held out, before", "", held.rmseDb, "dB"});
    w.steps.push_back({"RMSE on squares held out, after", "", c->heldOut.after.rmseDb, "dB"});
    w.steps.push_back({"new offset, to 0.1 dB", "old + a", c->offsetAfterDb, "dB"});
    w.remarks.emplace_back("Weak levels are only measured where they come through: offsets of cells that are "
                           "seldom heard err upwards.");
    return w;
}

} // namespace fw
