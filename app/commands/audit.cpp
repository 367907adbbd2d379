// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/intake_words.h"
#include "intake/audit_edit.h"

#include <algorithm>
#include <charconv>
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

using Applied = std::optional<AuditEdit>;

bool in(const std::vector<std::size_t>& list, std::size_t k) {
    return std::find(list.begin(), list.end(), k) != list.end();
}

// "all" takes what can be applied; a number that cannot be is the user's mistake.
std::vector<std::size_t> chosenFrom(const std::string& words, const std::vector<AuditFinding>& findings) {
    std::vector<std::size_t> chosen;
    if (words.empty()) return chosen;
    if (words == "all") {
        for (std::size_t k = 0; k < findings.size(); ++k)
            if (findings[k].edit) chosen.push_back(k);
        return chosen;
    }
    for (std::size_t from = 0; from <= words.size();) {
        const std::size_t comma = std::min(words.find(',', from), words.size());
        const std::string_view each = std::string_view(words).substr(from, comma - from);
        std::size_t n = 0;
        const auto read = std::from_chars(each.data(), each.data() + each.size(), n);
        if (read.ec != std::errc() || read.ptr != each.data() + each.size() || n == 0)
            throw Failure{exitUsage, fmt::format("--apply takes numbers of the list, parted by commas, or "
                                                 "\"all\"; \"{}\" is neither.",
                                                 each)};
        chosen.push_back(n - 1);
        from = comma + 1;
    }
    return chosen;
}

std::string closingText(const Applied& done) {
    if (!done) return "Nothing was changed.";
    const std::size_t n = done->applied.size();
    std::string text = fmt::format("{} proposal{} applied.", n, n == 1 ? " is" : "s are");
    for (const std::size_t k : done->left)
        text += fmt::format(" {} is left: it is another proposal now; look at it anew.", k + 1);
    return text;
}

std::string auditText(const std::vector<AuditFinding>& findings, const Applied& done) {
    const Ink ink;
    if (findings.empty()) return "Nothing in the inventory is doubtful.\n";
    std::string text;
    for (std::size_t k = 0; k < findings.size(); ++k) {
        const AuditFinding& f = findings[k];
        const char* became = done && in(done->applied, k) ? "applied: " : f.edit ? "" : "for you: ";
        text += fmt::format("{:>3}. {}: {}: {}\n      -> {}{}\n", k + 1, inInk(ink, f.severity), f.check,
                            f.text, became, f.proposal);
    }
    return text + fmt::format("{} block, {} warn, {} note. {}\n", countOf(findings, Severity::block),
                              countOf(findings, Severity::warn), countOf(findings, Severity::note),
                              closingText(done));
}

Json findingJson(const Plan& plan, const AuditFinding& f, std::size_t k, const Applied& done) {
    Json subjects = Json::array();
    for (const ItemId id : f.subjects) subjects.push_back(item(plan, id));
    return {{"number", k + 1},
            {"check", f.check},
            {"severity", wordFor(f.severity)},
            {"subjects", std::move(subjects)},
            {"measured", quantity(f.measured.value, f.measured.unit)},
            {"limit", quantity(f.limit.value, f.limit.unit)},
            {"text", f.text},
            {"source", f.source},
            {"proposal", f.proposal},
            {"edit", f.edit ? Json(f.edit->text) : Json(nullptr)},
            {"applied", done && in(done->applied, k)},
            {"left", done && in(done->left, k)}};
}

std::string auditJson(const Plan& plan, const std::vector<AuditFinding>& findings, const Applied& done) {
    Json out = head("audit", 1, plan);
    out["findings"] = Json::array();
    for (std::size_t k = 0; k < findings.size(); ++k)
        out["findings"].push_back(findingJson(plan, findings[k], k, done));
    out["counts"] = Json::object();
    for (const Severity s : {Severity::block, Severity::warn, Severity::note})
        out["counts"][wordFor(s)] = countOf(findings, s);
    out["applied"] = done ? done->applied.size() : 0;
    return written(out);
}

/// What files say of the inventory; holds what AuditEvidence points to.
struct GivenEvidence {
    std::vector<MeasuredPoint> measured;
    std::vector<std::string> counted;
    [[nodiscard]] AuditEvidence view() const { return {measured, counted}; }
};

// A file that leaves something open says nothing yet.
IntakePreview read(const Plan& plan, const std::string& file, const IntakeRequest& wanted,
                   const Progress& progress) {
    IntakePreview preview =
        take(previewIntake(plan, file, wanted, MappingMemory(mappingMemoryFile()), progress.job()));
    progress.check();
    if (preview.refused > 0)
        say(fmt::format("{}: {} of {} rows were refused; \"add PLAN {} FILE --dry-run\" lists them.",
                        std::filesystem::path(file).filename().string(), preview.refused, preview.rows,
                        infoOf(wanted.kind).name));
    for (const IntakeRemark& r : preview.remarks)
        if (r.weight == IntakeRemark::Weight::question)
            throw Failure{exitUsage,
                          fmt::format("{}: {} \"add PLAN {} FILE --dry-run\" shows how to settle it.",
                                      std::filesystem::path(file).filename().string(), r.text,
                                      infoOf(wanted.kind).name)};
    return preview;
}

GivenEvidence evidenceOf(const AuditRequest& request, const Plan& plan, const Progress& progress) {
    GivenEvidence out;
    if (!request.measurements.empty()) {
        IntakeRequest wanted;
        wanted.kind = IntakeKind::measurements;
        wanted.map = mapWordsFrom(request.map);
        wanted.epsg = request.crs;
        out.measured = read(plan, request.measurements, wanted, progress).measured;
    }
    if (!request.counters.empty()) {
        IntakeRequest wanted;
        wanted.kind = IntakeKind::counters;
        IntakePreview preview = read(plan, request.counters, wanted, progress);
        out.counted = std::move(preview.unknownCells);
        for (CounterCell& c : preview.counted) out.counted.push_back(std::move(c.cell));
    }
    return out;
}

} // namespace

int runAudit(const AuditRequest& request, std::stop_token stop) {
    const OpenPlan opened = openAs({request.plan, "", "", 0});
    const Progress progress(std::move(stop));
    const GivenEvidence known = evidenceOf(request, opened.plan, progress);
    const AuditEvidence evidence = known.view();
    const auto findings = auditInventory(opened.plan, evidence);
    Applied done;
    Plan now = opened.plan;
    const std::vector<std::size_t> chosen = chosenFrom(request.apply, findings);
    if (!chosen.empty()) {
        done = take(auditEdit(opened.plan, evidence, findings, chosen), exitUsage);
        changePlan(request.plan, done->edit, progress.job());
        take(apply(now, done->edit));
    }
    deliver(request.json ? auditJson(opened.plan, findings, done) : auditText(findings, done));
    return countOf(done ? auditInventory(now, evidence) : findings, Severity::block) > 0 ? exitBlocked
                                                                                         : exitClean;
}

} // namespace fw::cli
