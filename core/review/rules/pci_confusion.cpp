// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   pci-confusion: a cell has two neighbours on one carrier with the same physical cell identity, and a
//        small cell is among the three. Blocks, as a collision does.
// Why    a report names a neighbour by its PCI, so that a call is handed over to the wrong cell and dropped.
// Source TS 36.300, 22.3.2a and TS 38.300, 15.3.3 (neighbours are reported by PCI); TS 36.300, 22.3.5. Number
//        of neighbours common practice.
// Waiver key: rule id + the three cells + variant.
#include "review/identity_mend.h"
#include "review/rules/every_rule.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

std::vector<Subjects> all(const RuleView& view) {
    const IdentityNet& net = view.identities();
    std::vector<Subjects> out;
    for (const auto& [pair, by] : net.secondTier()) {
        const auto [a, b] = pair;
        if (!net.samePci(a, b) || (!net.concerns(a, b) && !net.cells[by].small)) continue;
        out.push_back(net.subjects(a, b));
        out.back().push_back(net.cells[by].id);
    }
    return out;
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const IdentityNet& net = view.identities();
    const std::size_t a = net.place(t[0]), b = net.place(t[1]), by = net.place(t[2]);
    if (std::max({a, b, by}) == net.cells.size() || !net.samePci(a, b)) return std::nullopt;
    const NetRelation *ra = net.between(a, by), *rb = net.between(b, by);
    if (!ra || !rb) return std::nullopt;
    Finding f;
    f.severity = Severity::block;
    f.measured = {100 * std::min(ra->strength(), rb->strength()), "%"};
    f.limit = {view.limits()["pci-collision.share"], "%"};
    f.where = net.cells[a].at;
    f.text = fmt::format("{} has two neighbours with PCI {} on one carrier, {} and {}.", view.name(t[2]),
                         net.cells[a].pci, view.name(t[0]), view.name(t[1]));
    f.source = net.cells[a].carrier.technology == Technology::lte
                   ? "TS 36.300, 22.3.2a and 22.3.5; margin common practice, share own judgement"
                   : "TS 38.300, 15.3.3; margin common practice, share own judgement";
    return f;
}

} // namespace

Rule pciConfusion() {
    Rule r;
    r.id = "pci-confusion";
    r.title = "PCI shared by two neighbours of one cell";
    r.why =
        "A report names a neighbour by its PCI, so that a call is handed over to the wrong cell and dropped.";
    r.ofIdentity = true;
    r.slack = {{2, "%"}};
    r.all = all;
    r.check = check;
    r.remedy = otherPci;
    return r;
}

} // namespace fw
