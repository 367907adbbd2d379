// SPDX-License-Identifier: GPL-3.0-or-later
// The steps behind the figures of a calibration.
#include "calibration/calibration.h"
#include "calibration/measured_azimuth.h"
#include "calibration/robust_fit.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr const char* kSource =
    "Huber and Ronchetti, Robust Statistics (2009), 4.5; Beaton and Tukey (1974); hold-out by street square: "
    "own judgement";
constexpr const char* kErrorSource =
    "mean, standard deviation and root mean square by definition; hold-out by street square: own judgement";

const CellCalibration* cellIn(const Calibration& c, ItemId cell) {
    const auto it = std::lower_bound(c.cells.begin(), c.cells.end(), cell,
                                     [](const CellCalibration& x, ItemId id) { return x.cell < id; });
    return it != c.cells.end() && it->cell == cell ? &*it : nullptr;
}

WorkingInput points(const char* name, std::size_t n, const char* origin) {
    return {name, static_cast<double>(n), "points", origin};
}

void addTuning(Working& w) {
    w.inputs.push_back({"k", kHuberTuning, "", "Huber's tuning constant, 95 % efficiency"});
    w.inputs.push_back({"c", kBiweightTuning, "", "Tukey's tuning constant, 95 % efficiency"});
}

// The last step is the root mean square after.
Working errorsWorking(std::string title, const BeforeAfter& b, const char* change) {
    Working w;
    w.title = std::move(title);
    w.source = kErrorSource;
    w.inputs.push_back(points("n", b.after.points, "measured; e is measured less predicted level"));
    if (b.after.points == 0) {
        w.remarks.emplace_back("There are no such points.");
        return w;
    }
    w.steps = {{"mean before", "sum(e) / n", b.before.meanDb, "dB"},
               {"sigma before", "sqrt(sum((e - mean)^2) / n)", b.before.sigmaDb, "dB"},
               {"RMSE before", "sqrt(sum(e^2) / n) = sqrt(mean^2 + sigma^2)", b.before.rmseDb, "dB"},
               {fmt::format("mean after, {}", change), "sum(e') / n", b.after.meanDb, "dB"},
               {"sigma after", "sqrt(sum((e' - mean)^2) / n)", b.after.sigmaDb, "dB"},
               {"RMSE after", "sqrt(sum(e'^2) / n) = sqrt(mean^2 + sigma^2)", b.after.rmseDb, "dB"}};
    return w;
}

} // namespace

Working workingOf(const Plan& plan, const Calibration& calibration, ItemId cell) {
    Working w;
    const CellCalibration* c = cellIn(calibration, cell);
    w.title = fmt::format("Offset of {}", plan.label(cell));
    w.source = kSource;
    if (!c) {
        w.remarks.emplace_back("No measured point belongs to it.");
        return w;
    }
    const ErrorFigures &train = c->fittedOn.before, &held = c->heldOut.before;
    w.inputs = {points("n", train.points, "measured, fitted on"),
                points("m", held.points, "measured, held out"),
                {"squares", static_cast<double>(c->squares), "", "of 50 m, in the plan's system"}};
    addTuning(w);
    w.inputs.push_back({"old", c->offsetBeforeDb, "dB", "plan"});
    w.steps.push_back({"mean of measured less predicted", "sum(e) / n", train.meanDb, "dB"});
    if (!c->fitted) {
        w.remarks.push_back(c->whyNot);
        return w;
    }
    w.steps.push_back({"spread of what is left", "s = 1.4826 median|e - a|", c->scaleDb, "dB"});
    w.steps.push_back(
        {"points left out as gross outliers", "|e - a| >= c s", static_cast<double>(c->leftOut), "points"});
    w.steps.push_back({"robust mean", "a = sum(w e) / sum(w)", c->fitDb, "dB"});
    w.steps.push_back({"its standard error, squares as units", "sandwich", c->errorDb, "dB"});
    if (c->slopeDb)
        w.steps.push_back({"slope over distance (told, not applied)", "e = a + b log10(d)", *c->slopeDb,
                           "dB per tenfold distance"});
    w.steps.push_back({"RMSE on squares held out, before", "sqrt(sum(e^2) / m)", held.rmseDb, "dB"});
    w.steps.push_back(
        {"RMSE on squares held out, after", "sqrt(sum(e'^2) / m)", c->heldOut.after.rmseDb, "dB"});
    w.steps.push_back({"new offset, to 0.1 dB", "old + a", c->offsetAfterDb, "dB"});
    w.remarks.emplace_back("Weak levels are only measured where they come through: offsets of cells that are "
                           "seldom heard err upwards.");
    return w;
}

Working workingOfSlope(const Plan& plan, const Calibration& calibration, ItemId cell) {
    Working w;
    const CellCalibration* c = cellIn(calibration, cell);
    w.title = fmt::format("Slope of {} over distance", plan.label(cell));
    w.source = kSource;
    if (!c || !c->slopeDb) {
        w.remarks.emplace_back("No slope was fitted.");
        return w;
    }
    w.inputs.push_back(points("n", c->fittedOn.before.points, "measured, fitted on"));
    addTuning(w);
    if (c->slopeHeldOutRmseDb)
        w.steps.push_back({"RMSE on squares held out, were it applied too",
                           "sqrt(sum((e - a - b (log10(d) - mean))^2) / m)", *c->slopeHeldOutRmseDb, "dB"});
    w.steps.push_back(
        {"its standard error, squares as units", "sandwich", *c->slopeErrorDb, "dB per tenfold distance"});
    w.steps.push_back({"slope b, told and not applied", "e = a + b (log10(d) - mean), robust least squares",
                       *c->slopeDb, "dB per tenfold distance"});
    return w;
}

Working workingOfErrors(const Plan& plan, const Calibration& calibration, ItemId cell, ErrorsOn on) {
    const bool held = on == ErrorsOn::heldOut;
    const CellCalibration* c = cell ? cellIn(calibration, cell) : nullptr;
    if (cell && !c) return errorsWorking(plan.label(cell), {}, "");
    const BeforeAfter& b =
        c ? (held ? c->heldOut : c->fittedOn) : (held ? calibration.heldOut : calibration.fittedOn);
    return errorsWorking(fmt::format("Error on points {}, {}", held ? "held out" : "fitted on",
                                     cell ? plan.label(cell) : "all fitted cells"),
                         b, cell ? "e' = e - (new - old offset)" : "e' = e - (new - old offset of its cell)");
}

Working workingOfIndoor(const Calibration& calibration) {
    Working w;
    w.title = "Levels indoors";
    w.source = kSource;
    if (!calibration.indoor) {
        w.remarks.emplace_back("They were not asked for.");
        return w;
    }
    const IndoorCalibration& in = *calibration.indoor;
    w.inputs = {points("n", in.points, "measured indoors, of fitted cells"),
                {"squares", static_cast<double>(in.squares), "", "of 50 m, in the plan's system"}};
    addTuning(w);
    if (!in.fitted) {
        w.remarks.push_back(fmt::format("It takes {} points in {} squares.", kLeastPoints, kLeastSquares));
        return w;
    }
    w.steps.push_back({"its standard error, squares as units", "sandwich", in.errorDb, "dB"});
    if (in.efficientShare)
        w.steps.push_back({"share of efficient buildings that brings it to nothing",
                           "the hundredth whose entry loss (P.2109) is nearest, within 0.5 dB",
                           *in.efficientShare * 100, "%"});
    w.steps.push_back(
        {"measured less predicted, new offsets counted", "sum(w e') / sum(w)", in.excessDb, "dB"});
    return w;
}

Working workingOf(const Plan& plan, const MeasuredAzimuth& m) {
    Working w;
    w.title = fmt::format("Measured azimuth of {}", plan.label(m.sector));
    w.source = "Huber and Ronchetti, Robust Statistics (2009), 4.5, by the pattern of the plan; limits: own "
               "judgement";
    w.inputs = {points("n", m.points, "measured outdoors"),
                {"squares", static_cast<double>(m.squares), "", "of 50 m, each by its median"},
                {"k", kHuberTuning, "", "Huber's tuning constant, 95 % efficiency"},
                {"inventory", m.inventory.deg, "deg", "plan, true"}};
    if (!m.known) {
        w.remarks.push_back(m.text);
        return w;
    }
    w.steps = {
        {"half width of the azimuths that fit about as well", "misfit(a) - least < 1", m.errorDeg, "deg"},
        {"off the inventory", "measured - inventory", wrap180(m.measured.deg - m.inventory.deg), "deg"},
        {"measured, true",
         "least sum of Huber(e - L(a)) over a = 0, 1 ... 359 deg grid, offset apart; grid + convergence",
         m.measured.deg, "deg"}};
    return w;
}

} // namespace fw
