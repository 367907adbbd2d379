// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/intake_words.h"
#include "commands/json_out.h"
#include "commands/working_text.h"
#include "delivery/integration_sheet.h"
#include "siting/identity.h"
#include "study/settled.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw::cli {
namespace {

IdentityOptions optionsOf(const IdentifyRequest& r, const Plan& plan) {
    IdentityOptions out = identityOptionsOf(plan);
    IdentitySettings& s = out.ranges;
    const auto set = [](std::string& to, const std::optional<std::string>& from) {
        if (from) to = *from;
    };
    set(s.pciLte, r.pciLte);
    set(s.pciNr, r.pciNr);
    set(s.rootsLte, r.rootsLte);
    set(s.rootsNr, r.rootsNr);
    set(s.enb, r.enb);
    set(s.gnb, r.gnb);
    set(s.cells, r.cells);
    s.gnbBits = r.gnbBits.value_or(s.gnbBits);
    out.marginDb = r.marginDb.value_or(out.marginDb);
    if (r.leastShare) out.leastShare = *r.leastShare / 100;
    out.mostNeighbours = r.mostNeighbours.value_or(out.mostNeighbours);
    out.rootReuseM = r.rootReuseM.value_or(out.rootReuseM);
    out.keep = !r.anew;
    if (!r.preambles.empty()) out.preambles = take(preamblesOf(r.preambles), exitUsage);
    out.threads = r.choice.threads;
    return out;
}

Json whole(const std::optional<std::int64_t>& v) { return v ? Json(*v) : Json(nullptr); }

Json findingsJson(const Plan& plan, const std::vector<Finding>& findings) {
    Json out = Json::array();
    for (const Finding& f : findings) {
        Json subjects = Json::array();
        for (const ItemId id : f.subjects) subjects.push_back(item(plan, id));
        out.push_back({{"rule", f.rule},
                       {"severity", wordFor(f.severity)},
                       {"subjects", std::move(subjects)},
                       {"measured", quantity(f.measured.value, f.measured.unit)},
                       {"limit", quantity(f.limit.value, f.limit.unit)},
                       {"text", f.text},
                       {"source", f.source}});
    }
    return out;
}

Json cellJson(const Study& study, const IdentityPlan& plan, const CellPlan& c, bool withWorking) {
    const Plan& p = study.plan();
    Json out = {{"small_cell", item(p, c.small)},
                {"mount", item(p, c.mount)},
                {"pci_before", c.pciBefore < 0 ? Json(nullptr) : Json(c.pciBefore)},
                {"pci", c.pci},
                {"pci_reuse_m", number(c.reuseM, 1)},
                {"pci_kept", c.pci == c.pciBefore},
                {"pci_why", whyPci(p, c)},
                {"root_sequence_before", whole(c.rootBefore)},
                {"root_sequence", whole(c.firstRoot)},
                {"root_sequence_kept", c.firstRoot && c.firstRoot == c.rootBefore},
                {"root_sequence_why", whyRoots(p, c)},
                {"preamble_format", wordFor(c.preamble)},
                {"root_sequences", c.roots},
                {"zero_correlation_zone", c.zeroCorrelation},
                {"n_cs", c.shift},
                {"radius_km", number(c.radiusKm, 3)},
                {"tracking_area", whole(c.trackingArea)},
                {"base_station", whole(c.node)},
                {"cell_number", whole(c.cellNumber)},
                {"cell_identity", whole(c.cellIdentity)},
                {"host", item(p, c.host)},
                {"host_relief_points", number(c.hostPoints, 6)},
                {"bias_db", number(c.biasDb, 2)},
                {"power_down_db", number(c.powerDownDb, 2)},
                {"power_dbm", number(c.powerDbm, 2)}};
    if (withWorking) out["working"] = working(workingOf(study, plan, c));
    return out;
}

std::string identityJson(const Study& study, const IdentityPlan& plan, bool applied, bool withWorking) {
    Json out = head("identify", 1, study.plan());
    out["applied"] = applied;
    out["proven"] = plan.proven;
    out["cells"] = Json::array();
    for (const CellPlan& c : plan.cells) out["cells"].push_back(cellJson(study, plan, c, withWorking));
    out["neighbours"] = Json::array();
    for (const IdentityNeighbour& n : plan.neighbours)
        out["neighbours"].push_back({{"cell", item(study.plan(), n.cell)},
                                     {"neighbour", item(study.plan(), n.neighbour)},
                                     {"rank", n.rank},
                                     {"share", number(n.share, 6)},
                                     {"share_back", number(n.shareBack, 6)},
                                     {"same_carrier", n.sameCarrier}});
    out["conflicts_before"] = findingsJson(study.plan(), plan.before);
    out["conflicts_after"] = findingsJson(study.plan(), plan.after);
    out["kept"] = keptSentence(plan);
    out["remarks"] = plan.remarks;
    return written(out);
}

std::string shown(const std::optional<std::int64_t>& v) { return v ? fmt::format("{}", *v) : "-"; }

std::string tableText(const Study& study, const IdentityPlan& plan, const Ink& ink) {
    std::size_t wide = 10;
    for (const CellPlan& c : plan.cells) wide = std::max(wide, study.plan().label(c.small).size());
    std::string out =
        ink.bold(fmt::format("{:<{}}  {:>9}  {:>9}  {:>8}  {:>12}  {:>9}  {:>10}", "small cell", wide, "PCI",
                             "roots", "area", "identity", "bias, dB", "power, dBm")) +
        "\n";
    for (const CellPlan& c : plan.cells) {
        const std::string before = c.pciBefore < 0 ? "-" : fmt::format("{}", c.pciBefore);
        const std::string pci = c.pci == c.pciBefore ? before : fmt::format("{} > {}", before, c.pci);
        const std::string roots = !c.firstRoot ? "-"
                                  : c.roots == 1
                                      ? fmt::format("{}", *c.firstRoot)
                                      : fmt::format("{}-{}", *c.firstRoot, *c.firstRoot + c.roots - 1);
        out +=
            fmt::format("{:<{}}  {:>9}  {:>9}  {:>8}  {:>12}  {:>9}  {:>10}\n", study.plan().label(c.small),
                        wide, pci, roots, shown(c.trackingArea), shown(c.cellIdentity),
                        fmt::format("{:+.0f}", c.biasDb), fmt::format("{:.1f}", c.powerDbm));
    }
    return out;
}

std::string countText(const std::vector<Finding>& findings) {
    int counts[3] = {};
    for (const Finding& f : findings) ++counts[static_cast<int>(f.severity)];
    return fmt::format("{} that block, {} that warn, {} notes", counts[static_cast<int>(Severity::block)],
                       counts[static_cast<int>(Severity::warn)], counts[static_cast<int>(Severity::note)]);
}

std::string identityText(const Study& study, const IdentityPlan& plan, const IdentifyRequest& request) {
    const Ink ink;
    std::string out = tableText(study, plan, ink) + "\n" + keptSentence(plan) + "\n";
    for (const CellPlan& c : plan.cells) { // a number that was never given needs no reason
        const bool pci = c.pciBefore >= 0 && c.pci != c.pciBefore,
                   roots = c.rootBefore && c.firstRoot != c.rootBefore;
        if (!pci && !roots) continue;
        out += fmt::format("  {}:{}{}{}\n", study.plan().label(c.small), pci ? " " : "",
                           pci ? whyPci(study.plan(), c) : "",
                           roots ? " " + whyRoots(study.plan(), c) : std::string());
    }
    out += fmt::format("Neighbour relations: {} (both ways counted).\n", plan.neighbours.size());
    out += fmt::format("Conflicts before: {}.\nConflicts after:  {}.\n", countText(plan.before),
                       countText(plan.after));
    for (const Finding& f : plan.after)
        out += fmt::format("{} {}: {}\n", wordFor(f.severity), f.rule, f.text);
    if (plan.proven)
        out += "No cheaper choice of PCI exists beside those kept: the search went through everything.\n";
    for (const std::string& r : plan.remarks) out += "Note: " + r + "\n";
    if (request.working)
        for (const CellPlan& c : plan.cells) out += "\n" + workingText(workingOf(study, plan, c), "  ");
    out += request.apply ? "The identities are in the plan.\n"
                         : "Nothing was changed; --apply puts the identities into the plan.\n";
    return out;
}

void writeSheet(const std::string& file, const Study& study, const IdentityPlan& plan) {
    const auto tables = integrationTables(study, plan);
    const Status s = file.ends_with(".xlsx") ? writeIntegrationXlsx(file, tables, study.plan())
                                             : writeIntegrationCsv(file, tables);
    if (!s.ok()) throw failureOf(s.error());
}

} // namespace

int runIdentify(const IdentifyRequest& request, std::stop_token stop) {
    if (!request.sheet.empty() && !request.sheet.ends_with(".csv") && !request.sheet.ends_with(".xlsx"))
        throw Failure{exitUsage, "The integration sheet is a .csv or an .xlsx file; name it so."};
    if (!request.sheet.empty()) readyToWrite(request.sheet, "cells.xlsx");
    const Progress progress(std::move(stop));
    const OpenPlan opened = openAs(request.choice);
    const auto study = computed(opened, request.choice.threads, progress);
    const Ledger ledger = take(settle(*study, progress.job(), request.choice.threads));
    const IdentityPlan plan =
        take(identify(*study, ledger, optionsOf(request, opened.plan), progress.job()), exitUsage);
    progress.check();
    if (!request.sheet.empty()) writeSheet(request.sheet, *study, plan);
    if (request.apply) {
        // Of the plan as its file has it: variant and profile may have been chosen for this run alone.
        const OpenPlan kept = take(openPlan(request.choice.plan));
        const Edit edit = identityEdit(kept.plan, plan);
        if (!edit.changes.empty()) changePlan(request.choice.plan, edit, progress.job());
    }
    deliver(request.json ? identityJson(*study, plan, request.apply, request.working)
                         : identityText(*study, plan, request));
    return exitClean;
}

} // namespace fw::cli
