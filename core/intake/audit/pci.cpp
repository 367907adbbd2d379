// SPDX-License-Identifier: GPL-3.0-or-later
// PCI not set: four cells of a technology at least, all with one PCI. Equal PCI:
// co-channel cells with one PCI within a macro's reach of each other; on one site it blocks.
// Source: common practice (no two cells that a phone can hear together share a PCI on a channel).
#include "intake/audit/view.h"

#include <fmt/format.h>
#include <set>

namespace fw {

namespace {

constexpr std::size_t kLeastCells = 4;
constexpr const char* kPractice = "common practice";

// PCI of all cells of a technology where it is one and the same.
std::optional<std::int32_t> onlyPci(const Plan& plan, Technology t) {
    std::optional<std::int32_t> only;
    std::size_t n = 0;
    for (const Cell& c : plan.cells) {
        if (c.carrier.technology != t) continue;
        if (only && *only != c.pci) return {};
        only = c.pci;
        ++n;
    }
    return n >= kLeastCells ? only : std::nullopt;
}

struct PlacedCell {
    const Cell* cell;
    const MacroSite* site;
};
// By technology, channel and PCI.
using Groups = std::map<std::tuple<Technology, std::int32_t, std::int32_t>, std::vector<PlacedCell>>;

// 504 identities of LTE, 1008 of NR (3GPP TS 36.211, 6.11; TS 38.211, 7.4.2.1).
std::int32_t identities(Technology t) { return t == Technology::lte ? 504 : 1008; }

// The lowest PCI of the same place in its group of three (the reference signals lie as before) that no cell
// of the channel has; taken at once, so that no two proposals give out the same.
std::optional<std::int32_t> freePci(std::set<std::int32_t>& taken, const Cell& c) {
    for (std::int32_t pci = c.pci % 3; pci < identities(c.carrier.technology); pci += 3)
        if (taken.insert(pci).second) return pci;
    return {};
}

} // namespace

void checkPciUnset(const AuditView& view, AuditFindings& out) {
    for (const Technology t : {Technology::lte, Technology::nr}) {
        const auto pci = onlyPci(view.plan(), t);
        if (!pci) continue;
        AuditFinding f;
        for (const Cell& c : view.plan().cells)
            if (c.carrier.technology == t) f.subjects.push_back(c.id);
        f.measured = {static_cast<double>(*pci), ""};
        f.limit = {1, "PCI"};
        f.source = kPractice;
        f.text = fmt::format("All {} {} cells have PCI {}.", f.subjects.size(),
                             t == Technology::lte ? "LTE" : "NR", *pci);
        f.proposal = "Add the PCIs from the inventory.";
        out.push_back(std::move(f));
    }
}

void checkPciEqual(const AuditView& view, AuditFindings& out) {
    const Plan& plan = view.plan();
    const double reachM = plan.settings->model.macroReachM;
    std::map<Technology, std::optional<std::int32_t>> unset;
    for (const Technology t : {Technology::lte, Technology::nr}) unset[t] = onlyPci(plan, t);
    Groups groups;
    std::map<std::pair<Technology, std::int32_t>, std::set<std::int32_t>> taken;
    for (const Cell& c : plan.cells) {
        const MacroSite* site = view.siteOf(c);
        if (!site || unset[c.carrier.technology]) continue;
        groups[{c.carrier.technology, c.carrier.channel, c.pci}].push_back({&c, site});
        taken[{c.carrier.technology, c.carrier.channel}].insert(c.pci);
    }
    for (const SmallCell& c : plan.smallCells) taken[{c.carrier.technology, c.carrier.channel}].insert(c.pci);
    for (const auto& [key, cells] : groups) {
        std::vector<bool> changed(cells.size(), false);
        for (std::size_t k = 1; k < cells.size(); ++k) {
            // Of all that are in the way the nearest that keeps its PCI; the later cell changes.
            std::size_t nearest = k;
            double nearestM = reachM;
            for (std::size_t i = 0; i < k; ++i) {
                const double d = planeDistance(cells[i].site->at, cells[k].site->at);
                if (changed[i] || d >= nearestM) continue;
                nearest = i;
                nearestM = d;
            }
            if (nearest == k) continue;
            changed[k] = true;
            const Cell &a = *cells[nearest].cell, &b = *cells[k].cell;
            AuditFinding f;
            f.severity = cells[nearest].site == cells[k].site ? Severity::block : Severity::warn;
            f.subjects = {a.id, b.id};
            f.measured = {nearestM, "m"};
            f.limit = {reachM, "m"};
            f.source = kPractice;
            const std::string first = view.name(a.id), second = view.name(b.id);
            f.text = fmt::format("{} and {} share PCI {} on channel {}, {:.0f} m apart.", first, second,
                                 b.pci, b.carrier.channel, nearestM);
            f.proposal = fmt::format("Look up the PCI of {}.", second);
            if (const auto pci = freePci(taken[{b.carrier.technology, b.carrier.channel}], b)) {
                Cell mended = b;
                mended.pci = *pci;
                f.proposal += fmt::format(" PCI {} is free on the channel.", *pci);
                f.edit = putting(fmt::format("Give {} PCI {}", second, *pci), mended);
            }
            out.push_back(std::move(f));
        }
    }
}

} // namespace fw
