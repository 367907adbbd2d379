// SPDX-License-Identifier: GPL-3.0-or-later
// Cells and loads that do not find each other, and names that find two.
#include "intake/audit/view.h"

#include <algorithm>
#include <fmt/format.h>
#include <set>

namespace fw {

void checkLoadWithoutCell(const AuditView& view, AuditFindings& out) {
    std::set<std::string> there, lost;
    for (const Cell& c : view.plan().cells) there.insert(c.name);
    for (const std::string& name : view.evidence().countedCells)
        if (!there.contains(name)) lost.insert(name);
    if (lost.empty()) return;
    constexpr std::size_t kShown = 5;
    std::string list;
    std::size_t n = 0;
    for (const std::string& name : lost)
        if (n++ < kShown) list += (list.empty() ? "\"" : ", \"") + name + "\"";
    if (lost.size() > kShown) list += fmt::format(" and {} more", lost.size() - kShown);
    AuditFinding f;
    f.measured = {static_cast<double>(lost.size()), "cells"};
    f.limit = {0, "cells"};
    f.source = kOwn;
    f.text = fmt::format("The counters have {} that the plan does not know: {}.",
                         lost.size() == 1 ? "a cell" : fmt::format("{} cells", lost.size()), list);
    f.proposal = "Add the cells to the inventory, or name them as the counters do.";
    out.push_back(std::move(f));
}

void checkCellWithoutLoad(const AuditView& view, AuditFindings& out) {
    AuditFinding f;
    for (const Cell& c : view.plan().cells)
        if (!c.load.dlPrbUse) f.subjects.push_back(c.id);
    if (f.subjects.empty()) return;
    f.severity = Severity::note;
    f.measured = {static_cast<double>(f.subjects.size()), "cells"};
    f.limit = {0, "cells"};
    f.source = kOwn;
    f.text = fmt::format("The load of {} is not known.", view.names(f.subjects));
    f.proposal = "Add counters of these cells; until then their neighbours reckon with half load.";
    out.push_back(std::move(f));
}

void checkNameTwice(const AuditView& view, AuditFindings& out) {
    std::map<std::string, std::vector<ItemId>> byName;
    for (const Cell& c : view.plan().cells)
        if (!c.name.empty()) byName[c.name].push_back(c.id);
    for (const auto& [name, ids] : byName) {
        if (ids.size() < 2) continue;
        AuditFinding f;
        f.subjects = ids;
        f.measured = {static_cast<double>(ids.size()), "cells"};
        f.limit = {1, "cells"};
        f.source = kOwn;
        f.text = fmt::format("{} cells are called \"{}\".", ids.size(), name);
        f.proposal = "Find out whether they are one cell listed twice; else give each its own name.";
        out.push_back(std::move(f));
    }
}

void checkEmptySectors(const AuditView& view, AuditFindings& out) {
    const auto add = [&](ItemId id, const char* lacks) {
        AuditFinding f;
        f.severity = Severity::note;
        f.subjects = {id};
        f.measured = {0, lacks};
        f.limit = {1, lacks};
        f.source = kOwn;
        f.text = fmt::format("{} has no {}.", view.name(id), lacks);
        f.proposal = fmt::format("Add its {}, or remove {}.", lacks, view.name(id));
        f.edit = removalOf(view.plan(), id);
        out.push_back(std::move(f));
    };
    for (const MacroSite& site : view.plan().macroSites)
        if (view.sectorsOf(site.id).empty()) add(site.id, "sectors");
    for (const Sector& s : view.plan().sectors)
        if (view.cellsOf(s.id).empty()) add(s.id, "cells");
}

} // namespace fw
