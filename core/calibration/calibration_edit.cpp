// SPDX-License-Identifier: GPL-3.0-or-later
// From a calibration to an edit and to words.
#include "base/text.h"
#include "calibration/calibration.h"

#include <fmt/format.h>

namespace fw {

namespace {

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

} // namespace fw
