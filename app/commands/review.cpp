// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/review.h"

#include "commands/commands.h"
#include "commands/json_out.h"
#include "commands/working_text.h"
#include "review/finding_working.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

constexpr Severity kGrades[] = {Severity::block, Severity::warn, Severity::note};

int blocking(const Review& review) {
    return review.count(Severity::block) + review.count(Severity::block, Standing::nowWorse);
}

int inState(const Review& review, Standing state) {
    int n = 0;
    for (const Severity s : kGrades) n += review.count(s, state);
    return n;
}

Json place(const Frame& frame, PlanePoint at) {
    const auto geo = frame.toGeo(at);
    if (!geo) return nullptr;
    return {{"lat", number(geo->latDeg, 7)}, {"lon", number(geo->lonDeg, 7)}};
}

Json subjects(const Plan& plan, const std::vector<ItemId>& ids) {
    Json out = Json::array();
    for (const ItemId id : ids) out.push_back(item(plan, id));
    return out;
}

Json kept(const Plan& plan, ItemId waiver) {
    const Waiver* w = waiver ? plan.waivers.find(waiver) : nullptr;
    if (!w) return nullptr;
    return {{"reason", w->reason},
            {"who", w->who},
            {"when", w->when},
            {"measured", quantity(w->measured, w->unit)},
            {"limit", quantity(w->limit, w->unit)}};
}

Json remedyJson(const std::optional<Remedy>& r) {
    if (!r) return nullptr;
    return {{"text", r->text},
            {"azimuth_true_deg", number(r->azimuthTrueDeg)},
            {"tilt_deg", number(r->tiltDeg)},
            {"fit_left", number(r->fitLeft)}};
}

Json findingJson(const Study& study, const Finding& f, bool withWorking) {
    Json out = {{"rule", f.rule},
                {"severity", wordFor(f.severity)},
                {"state", wordFor(f.standing)},
                {"subjects", subjects(study.plan(), f.subjects)},
                {"measured", quantity(f.measured.value, f.measured.unit)},
                {"limit", quantity(f.limit.value, f.limit.unit)},
                {"where", place(study.frame(), f.where)},
                {"text", f.text},
                {"remedy", remedyJson(f.remedy)},
                {"source", f.source},
                {"kept", kept(study.plan(), f.waiver)}};
    if (withWorking) out["working"] = working(workingOf(study, f));
    return out;
}

std::string staleText(const Plan& plan, const Waiver& w) {
    std::string names;
    for (const ItemId id : w.subjects) names += (names.empty() ? "" : ", ") + plan.label(id);
    return fmt::format("{}: kept on {} because \"{}\", but there is nothing to keep any more.", names, w.when,
                       w.reason);
}

// A reason on file whose finding is gone; shown so that somebody tidies it away.
Json staleJson(const Plan& plan, const Waiver& w) {
    return {{"rule", w.rule},
            {"severity", wordFor(Severity::note)},
            {"state", wordFor(Standing::stale)},
            {"subjects", subjects(plan, w.subjects)},
            {"measured", nullptr},
            {"limit", nullptr},
            {"where", nullptr},
            {"text", staleText(plan, w)},
            {"remedy", nullptr},
            {"source", ""},
            {"kept", kept(plan, w.id)}};
}

Json countsJson(const Review& review) {
    Json open;
    for (const Severity s : kGrades) open[wordFor(s)] = review.count(s);
    return {{"open", std::move(open)},
            {"stands", inState(review, Standing::stands)},
            {"now worse", inState(review, Standing::nowWorse)},
            {"stale", review.staleWaivers.size()},
            {"blocking", blocking(review)}};
}

std::string findingText(const Study& study, const Finding& f, bool withWorking) {
    std::string out = fmt::format("  {}: {}\n", f.rule, f.text);
    if (f.standing != Standing::open)
        if (const Waiver* w = study.plan().waivers.find(f.waiver))
            out += fmt::format("      {}: {} ({}, {})\n", wordFor(f.standing), w->reason, w->who, w->when);
    out += "      ";
    if (const auto geo = study.frame().toGeo(f.where))
        out += fmt::format("at {:.6f}, {:.6f}; ", geo->latDeg, geo->lonDeg);
    out += fmt::format("source: {}\n", f.source);
    if (f.remedy) out += fmt::format("      -> {}\n", f.remedy->text);
    if (withWorking) out += workingText(workingOf(study, f), "      ");
    return out;
}

std::string inInk(const Ink& ink, Severity s, const std::string& text) {
    return s == Severity::block ? ink.red(text) : s == Severity::warn ? ink.yellow(text) : ink.bold(text);
}

// One group of findings under a heading; nothing when there are none.
template <class Wanted>
std::string group(const Study& study, const Review& review, const std::string& heading, bool withWorking,
                  Wanted&& wanted) {
    std::string out;
    int n = 0;
    for (const Finding& f : review.findings)
        if (wanted(f)) out += findingText(study, f, withWorking), ++n;
    return n ? fmt::format("{} ({})\n{}\n", heading, n, out) : "";
}

std::string reviewText(const Study& study, const Review& review, bool withWorking, const Ink& ink) {
    const PlanSettings& s = *study.plan().settings;
    std::string out =
        fmt::format("{}, variant {}, {}\n\n", s.name, study.plan().label(s.activeVariant), s.date.iso());
    for (const Severity grade : kGrades)
        out += group(study, review, inInk(ink, grade, wordFor(grade)), withWorking,
                     [&](const Finding& f) { return f.severity == grade && f.standing != Standing::stands; });
    out += group(study, review, ink.bold("stands, because"), withWorking,
                 [](const Finding& f) { return f.standing == Standing::stands; });
    if (!review.staleWaivers.empty()) {
        out += fmt::format("{} ({})\n", ink.bold("stale reasons"), review.staleWaivers.size());
        for (const ItemId id : review.staleWaivers)
            if (const Waiver* w = study.plan().waivers.find(id))
                out += fmt::format("  {}: {}\n", w->rule, staleText(study.plan(), *w));
        out += "\n";
    }
    return out + fmt::format("Open: {} block, {} warn, {} note. Stands: {}. Now worse: {}. Stale: {}.\n",
                             review.count(Severity::block), review.count(Severity::warn),
                             review.count(Severity::note), inState(review, Standing::stands),
                             inState(review, Standing::nowWorse), review.staleWaivers.size());
}

} // namespace

std::string reviewJson(const Study& study, const Review& review, bool withWorking) {
    Json out = head("review", 1, study.plan());
    out["counts"] = countsJson(review);
    out["findings"] = Json::array();
    for (const Finding& f : review.findings) out["findings"].push_back(findingJson(study, f, withWorking));
    for (const ItemId id : review.staleWaivers)
        if (const Waiver* w = study.plan().waivers.find(id))
            out["findings"].push_back(staleJson(study.plan(), *w));
    return written(out);
}

int runReview(const ReviewRequest& request, std::stop_token stop) {
    const Progress progress(std::move(stop));
    ReviewOptions options;
    options.remedies = request.remedies;
    const OpenPlan opened = openAs(request.choice);
    if (!request.only.empty())
        options.only = itemCalled(opened.plan, request.only, {Kind::mount, Kind::radio, Kind::smallCell});
    const auto study = computed(opened, request.choice.threads, progress);
    const Review review = reviewAll(*study, options, progress.job());
    progress.check();
    deliver(request.json ? reviewJson(*study, review, request.working)
                         : reviewText(*study, review, request.working, Ink()));
    return blocking(review) > 0 ? exitBlocked : exitClean;
}

} // namespace fw::cli
