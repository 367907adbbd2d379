// SPDX-License-Identifier: GPL-3.0-or-later
// after PLAN FILE: load once small cells are built, against the relief that was predicted.
#include "commands/commands.h"
#include "commands/intake_words.h"
#include "commands/working_text.h"
#include "intake/after_days.h"
#include "study/settled.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

AfterFiles filesFrom(const AfterRequest& r, const MappingMemory& memory) {
    AfterFiles out;
    out.after = r.file;
    out.before = r.before;
    out.memory = &memory;
    out.intake.map = mapWordsFrom(r.map);
    out.intake.source.layer = r.layer;
    if (!r.dates.empty()) out.intake.dateOrder = r.dates.front();
    if (r.onAir.empty()) return out;
    out.onAir = dayFrom(r.onAir);
    if (!out.onAir)
        throw Failure{exitUsage, fmt::format("--on-air {} is no day; write it as YYYY-MM-DD.", r.onAir)};
    return out;
}

const char* wordFor(AcceptanceVerdict verdict) {
    switch (verdict) {
    case AcceptanceVerdict::unknown:
        return "unknown";
    case AcceptanceVerdict::nothingSeen:
        return "nothing_seen";
    case AcceptanceVerdict::less:
        return "less";
    case AcceptanceVerdict::asPredicted:
        return "as_predicted";
    case AcceptanceVerdict::more:
        return "more";
    }
    return "";
}

Json targetJson(const Plan& plan, const Acceptance& a, const TargetOutcome& t, bool withWorking) {
    const bool known = t.verdict != AcceptanceVerdict::unknown;
    Json out = {{"cell", item(plan, t.cell)}, {"predicted", number(t.predicted)}};
    out["before"] = t.measured ? number(t.measured->before) : Json(nullptr);
    out["after"] = t.measured ? number(t.measured->after) : Json(nullptr);
    out["days_before"] = t.measured ? t.measured->daysBefore : 0;
    out["days_after"] = t.measured ? t.measured->daysAfter : 0;
    out["measured"] = known ? number(t.relief) : Json(nullptr);
    out["standard_error"] = known ? number(t.errorRelief) : Json(nullptr);
    out["verdict"] = wordFor(t.verdict);
    out["text"] = t.text;
    if (withWorking) out["working"] = working(workingOf(plan, a, t.cell));
    return out;
}

Json lessonJson(const Result<Edit>& lesson, bool applied) {
    return {{"offered", lesson.ok()},
            {"text", lesson.ok() ? lesson->text : lesson.error().sentence()},
            {"applied", applied}};
}

std::string acceptanceJson(const Plan& plan, const AfterDays& days, const Acceptance& a,
                           const Result<Edit>& lesson, bool applied, bool withWorking) {
    Json out = head("after", 1, plan);
    out["usable"] = true;
    out["state"] = fw::wordFor(a.state);
    out["days"] = a.days;
    out["cells_measured"] = days.cells.size();
    out["days_before_from_plan"] = days.fromPlan;
    out["targets"] = Json::array();
    for (const TargetOutcome& t : a.targets) out["targets"].push_back(targetJson(plan, a, t, withWorking));
    out["controls"] = Json::array();
    for (const ItemId id : a.controls) out["controls"].push_back(item(plan, id));
    out["control_change"] = number(a.controlChange);
    out["control_spread"] = number(a.controlSpread);
    out["ratio"] = a.ratio ? number(*a.ratio) : Json(nullptr);
    out["ratio_error"] = a.ratio ? number(a.errorRatio) : Json(nullptr);
    if (withWorking) out["ratio_working"] = working(workingOfRatio(plan, a));
    out["text"] = a.text;
    out["remarks"] = a.remarks;
    out["intake"] = remarksJson(days.remarks);
    out["lesson"] = lessonJson(lesson, applied);
    return written(out);
}

std::string targetText(const Plan& plan, const TargetOutcome& t) {
    const std::string name = plan.label(t.cell);
    std::string text = fmt::format("  {:<24} {:>9.1f}", name, t.predicted * 100);
    text += t.verdict == AcceptanceVerdict::unknown
                ? fmt::format(" {:>9} {:>6}", "-", "-")
                : fmt::format(" {:>9.1f} {:>6.1f}", t.relief * 100, t.errorRelief * 100);
    return text + "  " + t.text + "\n";
}

std::string acceptanceText(const Plan& plan, const AfterDays& days, const Acceptance& a, const Ink& ink) {
    std::string text;
    for (const IntakeRemark& r : days.remarks) text += remarkText(r, ink);
    for (const std::string& remark : a.remarks) text += ink.yellow("look: ") + remark + "\n";
    if (!a.targets.empty())
        text += fmt::format("Relief in points\n  {:<24} {:>9} {:>9} {:>6}\n", "", "predicted", "measured",
                            "error");
    for (const TargetOutcome& t : a.targets) text += targetText(plan, t);
    text += fmt::format("State: {} ({} days after)\n", fw::wordFor(a.state), a.days);
    std::string names;
    for (const ItemId id : a.controls) names += (names.empty() ? "" : ", ") + plan.label(id);
    if (!a.controls.empty())
        text += fmt::format("Untouched cells: {}; their change {:+.1f} points, spread {:.1f}\n", names,
                            a.controlChange * 100, a.controlSpread * 100);
    if (a.ratio)
        text += fmt::format("Measured over predicted: {:.2f}, give or take {:.2f}\n", *a.ratio, a.errorRatio);
    return text + a.text + "\n";
}

std::string workingsText(const Plan& plan, const Acceptance& a) {
    std::string text;
    for (const TargetOutcome& t : a.targets) text += workingText(workingOf(plan, a, t.cell), "  ");
    return text + workingText(workingOfRatio(plan, a), "  ");
}

std::string lessonText(const Result<Edit>& lesson, bool applied) {
    if (!lesson.ok()) return fmt::format("No lesson: {}\n", lesson.error().sentence());
    return fmt::format("Lesson: {}.\n{}\n", lesson->text,
                       applied ? "It is in the plan."
                               : "Nothing was changed; --apply puts it into the plan.");
}

void sayOpen(const AfterDays& days, const Plan& plan, bool json) {
    say("The counters leave something open:");
    if (json) {
        Json out = head("after", 1, plan);
        out["usable"] = false;
        out["intake"] = remarksJson(days.remarks);
        deliver(written(out));
        return;
    }
    std::string text;
    for (const IntakeRemark& r : days.remarks) text += remarkText(r, Ink());
    deliver(text);
}

} // namespace

int runAfter(const AfterRequest& request, std::stop_token stop) {
    const MappingMemory memory(mappingMemoryFile());
    const AfterFiles files = filesFrom(request, memory);
    const OpenPlan opened = openAs({request.plan, "", "", request.threads});
    const Progress progress(std::move(stop));
    const AfterDays days = take(readAfterDays(opened.plan, files, progress.job()));
    progress.check();
    if (!days.usable()) {
        sayOpen(days, opened.plan, request.json);
        return exitBlocked;
    }
    const auto study = computed(opened, request.threads, progress);
    const Ledger settled = take(settle(*study, progress.job(), request.threads));
    progress.check();
    const Acceptance a = compareAfterLoad(opened.plan, settled, days.cells);
    const Result<Edit> lesson = lessonOf(opened.plan, a);
    const bool apply = request.apply && lesson.ok();
    if (apply) changePlan(request.plan, *lesson, progress.job());
    if (request.json)
        deliver(acceptanceJson(opened.plan, days, a, lesson, apply, request.working));
    else
        deliver(acceptanceText(opened.plan, days, a, Ink()) + lessonText(lesson, apply) +
                (request.working ? workingsText(opened.plan, a) : std::string()));
    return a.ratio && (apply || !request.apply) ? exitClean : exitBlocked;
}

} // namespace fw::cli
