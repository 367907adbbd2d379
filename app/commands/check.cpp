// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/json_out.h"
#include "store/plan_check.h"

#include <fmt/format.h>
#include <map>

namespace fw::cli {
namespace {

const char* wordFor(PlanFault::Severity severity) {
    switch (severity) {
    case PlanFault::Severity::note:
        return "note";
    case PlanFault::Severity::warning:
        return "warning";
    case PlanFault::Severity::fault:
        return "fault";
    }
    return "";
}

std::string counted(std::size_t n, const char* one, const char* many) {
    return fmt::format("{} {}", n, n == 1 ? one : many);
}

std::string lineOf(const PlanFault& f, const Ink& ink) {
    const std::string word = f.severity == PlanFault::Severity::fault     ? ink.red("fault")
                             : f.severity == PlanFault::Severity::warning ? ink.yellow("warning")
                                                                          : "note";
    std::string where = placeOf(f);
    if (!f.label.empty()) where += fmt::format("{}{}", where.empty() ? "" : ", ", f.label);
    if (f.severity == PlanFault::Severity::note) where.clear(); // a sentence that says it itself
    if (!where.empty()) where += ": ";
    const char* stop = f.what.ends_with('.') ? "" : ".";
    const std::string mend = mendText(f);
    return fmt::format("{}: {}{}{}{}\n", word, where, f.what, stop, mend.empty() ? "" : " Repair: " + mend);
}

std::string closing(const CheckReport& report, const CheckRequest& request, const RepairReport* repair) {
    const std::size_t faults = report.count(PlanFault::Severity::fault) + report.unlisted,
                      warnings = report.count(PlanFault::Severity::warning);
    std::string text =
        faults == 0 && warnings == 0 ? "The plan is sound."
        : faults == 0
            ? fmt::format("The plan opens; {} to look at.", counted(warnings, "warning", "warnings"))
            : fmt::format("{} and {}; the plan cannot be used as it is.", counted(faults, "fault", "faults"),
                          counted(warnings, "warning", "warnings"));
    if (report.unlisted > 0) text = fmt::format("{} more are not listed. ", report.unlisted) + text;
    if (!repair)
        return text + (faults == 0 ? "\n"
                                   : " \"fringewright check PLAN --repair OUT\" writes a copy without the "
                                     "faults that it can mend.\n");
    text += fmt::format(" {} is {}.", request.repair,
                        repair->rebuilt ? "a new file of what could be read"
                                        : "a copy without what could be mended");
    const std::size_t left = repair->after.count(PlanFault::Severity::fault);
    return text + (left == 0 ? " It is sound.\n"
                             : fmt::format(" It still has {} that only you can mend.\n",
                                           counted(left, "fault", "faults")));
}

Json listOf(const CheckReport& report) {
    Json out = Json::array();
    for (const PlanFault& f : report.faults)
        out.push_back({{"severity", wordFor(f.severity)},
                       {"table", f.table},
                       {"uid", f.uid ? Json(f.uid) : Json(nullptr)},
                       {"row", f.row ? Json(f.row) : Json(nullptr)},
                       {"item", f.label},
                       {"what", f.what},
                       {"repair", mendText(f)}});
    return out;
}

std::string checkJson(const CheckReport& report, const CheckRequest& request, const RepairReport* repair) {
    Json out = head("check", 1);
    out["file"] = request.plan;
    out["sound"] = report.sound();
    out["faults"] = listOf(report);
    out["unlisted"] = report.unlisted;
    out["repaired"] = nullptr;
    if (repair)
        out["repaired"] = {{"file", request.repair},
                           {"rebuilt", repair->rebuilt},
                           {"sound", repair->after.sound()},
                           {"faults", listOf(repair->after)}};
    return written(out);
}

std::string checkText(const CheckReport& report, const CheckRequest& request, const RepairReport* repair) {
    constexpr std::size_t kOfOneKind = 5; // JSON has them all
    const Ink ink;
    std::map<std::pair<std::string, std::string>, std::size_t> kinds;
    std::string text;
    for (const PlanFault& f : report.faults)
        if (++kinds[{f.table, f.what}] <= kOfOneKind) text += lineOf(f, ink);
    for (const auto& [kind, n] : kinds)
        if (n > kOfOneKind)
            text +=
                fmt::format("... and {} more of table {}: {}.\n", n - kOfOneKind, kind.first, kind.second);
    return text + closing(report, request, repair);
}

} // namespace

int runCheck(const CheckRequest& request) {
    RepairReport repair;
    const bool repaired = !request.repair.empty();
    if (repaired)
        repair = take(repairPlanFile(request.plan, request.repair));
    else
        repair.before = take(checkPlanFile(request.plan));
    const auto write = request.json ? checkJson : checkText;
    deliver(write(repair.before, request, repaired ? &repair : nullptr));
    return repair.before.sound() ? exitClean : exitBlocked;
}

} // namespace fw::cli
