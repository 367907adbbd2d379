// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/json_out.h"
#include "intake/inventory_audit.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw::cli {
namespace {

std::size_t countOf(const std::vector<AuditFinding>& findings, Severity severity) {
    return static_cast<std::size_t>(std::count_if(
        findings.begin(), findings.end(), [&](const AuditFinding& f) { return f.severity == severity; }));
}

std::string inInk(const Ink& ink, Severity s) {
    return s == Severity::block  ? ink.red(wordFor(s))
           : s == Severity::warn ? ink.yellow(wordFor(s))
                                 : ink.bold(wordFor(s));
}

std::string auditText(const std::vector<AuditFinding>& findings) {
    const Ink ink;
    std::string text;
    for (const AuditFinding& f : findings)
        text += fmt::format("{}: {}: {}\n      -> {}\n", inInk(ink, f.severity), f.check, f.text, f.proposal);
    if (findings.empty()) return "Nothing in the inventory is doubtful.\n";
    return text + fmt::format("{} block, {} warn, {} note. Nothing was changed.\n",
                              countOf(findings, Severity::block), countOf(findings, Severity::warn),
                              countOf(findings, Severity::note));
}

Json findingJson(const Plan& plan, const AuditFinding& f) {
    Json subjects = Json::array();
    for (const ItemId id : f.subjects) subjects.push_back(item(plan, id));
    return {{"check", f.check},
            {"severity", wordFor(f.severity)},
            {"subjects", std::move(subjects)},
            {"measured", quantity(f.measured.value, f.measured.unit)},
            {"limit", quantity(f.limit.value, f.limit.unit)},
            {"text", f.text},
            {"source", f.source},
            {"proposal", f.proposal},
            {"edit", f.edit ? Json(f.edit->text) : Json(nullptr)}};
}

std::string auditJson(const Plan& plan, const std::vector<AuditFinding>& findings) {
    Json out = head("audit", 1, plan);
    out["findings"] = Json::array();
    for (const AuditFinding& f : findings) out["findings"].push_back(findingJson(plan, f));
    out["counts"] = Json::object();
    for (const Severity s : {Severity::block, Severity::warn, Severity::note})
        out["counts"][wordFor(s)] = countOf(findings, s);
    return written(out);
}

} // namespace

int runAudit(const AuditRequest& request) {
    const OpenPlan opened = openAs({request.plan, "", "", 0});
    const auto findings = auditInventory(opened.plan);
    deliver(request.json ? auditJson(opened.plan, findings) : auditText(findings));
    return countOf(findings, Severity::block) > 0 ? exitBlocked : exitClean;
}

} // namespace fw::cli
