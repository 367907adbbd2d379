// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   pci-collision: two neighbours on one carrier have the same physical cell identity, at least one of
//        them a small cell. Blocks: no such pair may go on air, and another number costs nothing before.
// Why    where both are heard, a phone takes them for one cell: it can neither be handed over nor decode.
// Source TS 36.211, 6.11 and TS 38.211, 7.4.2.1 (a cell is known by N = 3 N1 + N2 alone); TS 36.300, 22.3.5
//        (selection of PCI) and TS 38.300, 15.3.3 (neighbours are reported by PCI). Margin common practice,
//        share own judgement.
// Waiver key: rule id + both cells + variant.
#include "review/identity_mend.h"
#include "review/rules/every_rule.h"

#include <fmt/format.h>

namespace fw {

namespace {

std::vector<Subjects> all(const RuleView& view) {
    const IdentityNet& net = view.identities();
    std::vector<Subjects> out;
    for (const NetRelation& r : net.relations)
        if (net.concerns(r.a, r.b) && net.samePci(r.a, r.b)) out.push_back(net.subjects(r.a, r.b));
    return out;
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const IdentityNet& net = view.identities();
    const std::size_t a = net.place(t[0]), b = net.place(t[1]);
    if (a == net.cells.size() || b == net.cells.size() || !net.samePci(a, b)) return std::nullopt;
    const NetRelation* r = net.between(a, b);
    if (!r) return std::nullopt;
    Finding f;
    f.severity = Severity::block;
    f.measured = {100 * r->strength(), "%"};
    f.limit = {view.limits()["pci-collision.share"], "%"};
    f.where = net.cells[a].at;
    f.text = fmt::format("{} and {} are neighbours on one carrier and share PCI {}.", view.name(t[0]),
                         view.name(t[1]), net.cells[a].pci);
    f.source = net.cells[a].carrier.technology == Technology::lte
                   ? "TS 36.211, 6.11; TS 36.300, 22.3.5; margin common practice, share own judgement"
                   : "TS 38.211, 7.4.2.1; TS 38.300, 15.3.3; margin common practice, share own judgement";
    return f;
}

} // namespace

Rule pciCollision() {
    Rule r;
    r.id = "pci-collision";
    r.title = "PCI shared by neighbours";
    r.why =
        "Where both are heard, a phone takes them for one cell: it can neither be handed over nor decode.";
    r.ofIdentity = true;
    r.slack = {{2, "%"}};
    r.all = all;
    r.check = check;
    r.remedy = otherPci;
    return r;
}

} // namespace fw
