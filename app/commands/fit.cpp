// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/fit.h"

#include "commands/commands.h"
#include "commands/json_out.h"
#include "commands/working_text.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw::cli {
namespace {

Json termJson(const Fit::Term& t) {
    return {{"name", t.name},
            {"score", number(t.score)},
            {"weight", number(t.weight)},
            {"measured", quantity(t.measured, t.unit)},
            {"words", t.says}};
}

std::string fitText(const Study& study, const Fit& f, bool withWorking, const Ink& ink) {
    const SmallCellPart* part = study.smallCell(f.small);
    std::string out = fmt::format("{}  {}{}{}\n", ink.bold(fmt::format("{:5.1f}", f.value)),
                                  study.plan().label(f.small), part && !part->chosen ? ", candidate" : "",
                                  f.buildable ? "" : ink.red(", not buildable: a finding blocks"));
    for (const Fit::Term& t : f.terms)
        out += fmt::format("       {:<13} {:3.0f} % x {:<4g} {}\n", t.name, t.score * 100, t.weight, t.says);
    if (withWorking) out += workingText(workingOf(study, f), "       ");
    return out;
}

// Whether a small cell is the item, or hangs on it.
bool isAbout(const SmallCellPart& s, ItemId item) {
    return !item || s.id == item || s.radio == item || s.mount == item;
}

std::vector<Fit> fitsOf(const Study& study, const Review& review, ItemId only, const Progress& progress) {
    std::vector<Fit> fits;
    const Job job = progress.job();
    const auto smalls = study.smallCells();
    for (std::size_t k = 0; k < smalls.size(); ++k) {
        progress.check();
        job.report(static_cast<double>(k) / static_cast<double>(smalls.size()), "scoring");
        if (!isAbout(smalls[k], only)) continue;
        fits.push_back(fitOf(study, smalls[k].id));
        fits.back().buildable = !review.blocked(smalls[k].id);
    }
    // Best first; equal ones by id.
    std::stable_sort(fits.begin(), fits.end(), [](const Fit& a, const Fit& b) { return a.value > b.value; });
    return fits;
}

} // namespace

std::string fitJson(const Study& study, const std::vector<Fit>& fits, bool withWorking) {
    const Plan& plan = study.plan();
    Json out = head("fit", 1, plan);
    out["fits"] = Json::array();
    for (const Fit& f : fits) {
        Json row;
        row["small_cell"] = item(plan, f.small);
        if (const SmallCellPart* part = study.smallCell(f.small)) {
            row["radio"] = item(plan, part->radio);
            row["mount"] = item(plan, part->mount);
            row["chosen"] = part->chosen;
        }
        row["fit"] = number(f.value);
        row["buildable"] = f.buildable;
        row["terms"] = Json::array();
        for (const Fit::Term& t : f.terms) row["terms"].push_back(termJson(t));
        if (withWorking) row["working"] = working(workingOf(study, f));
        out["fits"].push_back(std::move(row));
    }
    return written(out);
}

int runFit(const FitRequest& request, std::stop_token stop) {
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    ItemId only;
    if (!request.only.empty())
        only = itemCalled(opened.plan, request.only, {Kind::mount, Kind::radio, Kind::smallCell});
    const auto study = computed(opened, request.choice.threads, progress);
    ReviewOptions options;
    options.remedies = false;
    options.only = only;
    const Review review = reviewAll(*study, options, progress.job());
    progress.check();
    const auto fits = fitsOf(*study, review, only, progress);
    if (request.json) {
        deliver(fitJson(*study, fits, request.working));
        return exitClean;
    }
    const Ink ink;
    std::string text;
    for (const Fit& f : fits) text += fitText(*study, f, request.working, ink);
    deliver(text.empty() ? "The active variant has no small cell to score.\n" : text);
    return exitClean;
}

} // namespace fw::cli
