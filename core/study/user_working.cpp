// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/user_working.h"

#include "base/log_exp.h"
#include "base/text.h"
#include "radio/throughput.h"
#include "study/cost_spread.h"

#include <fmt/format.h>

namespace fw {

namespace {

double at(const std::vector<double>& v, std::size_t k) { return k < v.size() ? v[k] : 0; }

std::string reach(const Study::UserDistances& users, std::size_t step) {
    const double from = static_cast<double>(step) * users.stepM;
    if (step + 1 >= users.measured.size()) return fmt::format("beyond {:.0f} m", from);
    return fmt::format("from {:.0f} to {:.0f} m", from, from + users.stepM);
}

void addSpread(Working& w, const Study::UserDistances& users, std::size_t step) {
    if (at(users.modelled, step) <= 0) {
        if (at(users.measured, step) > 0)
            w.remarks.emplace_back(CORE_TEXT("The model has none of the cell's users in this step, so its "
                                             "samples are shared out among the other steps."));
        return;
    }
    w.inputs.push_back({CORE_TEXT("unreached"), users.unreached * 100, "%",
                        CORE_TEXT("samples in steps where the model has nobody")});
    w.steps.push_back({CORE_TEXT("share wanted"), CORE_TEXT("measured / (1 - unreached)"),
                       users.unreached < 1 ? at(users.measured, step) / (1 - users.unreached) * 100 : 0,
                       "%"});
    w.steps.push_back({CORE_TEXT("share as spread"),
                       CORE_TEXT("fitted to sides and steps in turn; a step is held between an eighth and "
                                 "eightfold of the modelled share"),
                       at(users.spread, step) * 100, "%"});
}

} // namespace

std::string whyNotRaked(const Study& study, ItemId id, const Study::UserDistances& users) {
    const Cell* cell = study.plan().cells.find(id);
    if (!cell || users.raked) return {};
    if (study.plan().settings->model.ignoreTimingAdvance)
        return CORE_TEXT("Not spread as measured: the plan leaves timing advance aside.");
    if (!cell->load.dlPrbUse) return CORE_TEXT("Not spread as measured: no load was measured for this cell.");
    return fmt::format("Not spread as measured: {:.0f} samples are too few, {:.0f} are needed.",
                       users.samples, kLeastTimingSamples);
}

Working workingOfDistance(const Study& study, ItemId id, const Study::UserDistances& users,
                          std::size_t step) {
    Working w;
    w.title = fmt::format("Users of {} {}", study.plan().label(id), reach(users, step));
    const Cell* cell = study.plan().cells.find(id);
    w.inputs.push_back({CORE_TEXT("samples in the step"), cell ? at(cell->load.timingAdvance, step) : 0, "",
                        CORE_TEXT("measured")});
    w.inputs.push_back({CORE_TEXT("all samples"), users.samples, "", CORE_TEXT("measured")});
    w.inputs.push_back(
        {CORE_TEXT("width of a step"), users.stepM, "m", CORE_TEXT("16 Ts there and back; less in wide NR")});
    w.steps.push_back({CORE_TEXT("share measured"), CORE_TEXT("samples in the step / all samples"),
                       at(users.measured, step) * 100, "%"});
    w.steps.push_back({CORE_TEXT("share modelled"),
                       CORE_TEXT("bits of the users whom the cell serves in this step, of all it serves"),
                       at(users.modelled, step) * 100, "%"});
    if (users.raked) addSpread(w, users, step);
    if (const std::string why = whyNotRaked(study, id, users); !why.empty()) w.remarks.push_back(why);
    w.source = CORE_TEXT("TS 36.213, 4.2.3 and TS 38.213, 4.2; iterative proportional fitting (Deming and "
                         "Stephan, 1940); limits are our own judgement");
    w.remarks.emplace_back(
        CORE_TEXT("The round trip is taken for the distance on the plane; echoes make it longer."));
    return w;
}

double meanCqi(const std::vector<double>& shares) {
    double mean = 0;
    for (std::size_t k = 0; k < shares.size(); ++k) mean += static_cast<double>(k) * shares[k];
    return mean;
}

Working workingOfCqi(const Study& study, ItemId id, const Study::UserCqi& users, std::size_t cqi) {
    Working w;
    w.title = fmt::format("Users of {} at CQI {}", study.plan().label(id), cqi);
    const Cell* cell = study.plan().cells.find(id);
    const double efficiency = cqiTable()[cqi > 0 ? cqi - 1 : 0].efficiency();
    if (users.samples > 0) {
        w.inputs.push_back({CORE_TEXT("samples at this CQI"), cell ? at(cell->load.cqi, cqi) : 0, "",
                            CORE_TEXT("measured")});
        w.inputs.push_back({CORE_TEXT("all samples"), users.samples, "", CORE_TEXT("measured")});
    }
    w.inputs.push_back({cqi > 0 ? CORE_TEXT("efficiency") : CORE_TEXT("efficiency of CQI 1"), efficiency,
                        "bit/s/Hz", "TS 36.213, 7.2.3-1"});
    w.steps.push_back({cqi > 0 ? CORE_TEXT("SINR from which it is reported")
                               : CORE_TEXT("SINR below which nothing better is reported"),
                       "10 log10(2^(efficiency / 0.6) - 1)", 10 * log10Fixed(exp2Fixed(efficiency / 0.6) - 1),
                       "dB"});
    if (users.samples > 0)
        w.steps.push_back({CORE_TEXT("share measured"), CORE_TEXT("samples at this CQI / all samples"),
                           at(users.measured, cqi) * 100, "%"});
    w.steps.push_back({CORE_TEXT("share computed"),
                       CORE_TEXT("bits of the users whose SINR gives this CQI, of all the cell serves"),
                       at(users.computed, cqi) * 100, "%"});
    w.source = CORE_TEXT("TS 36.213, table 7.2.3-1 (up to 64QAM); attenuated Shannon, TR 36.942, Annex A.1");
    w.remarks.emplace_back(
        CORE_TEXT("3GPP ties no SINR to a CQI: what a device reports differs by maker. Cells that send up to "
                  "256QAM report by another table, whose figures are lower at the same SINR."));
    return w;
}

} // namespace fw
