// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   pci-modulo: a small cell's PCI is equal modulo 3 to that of its strongest neighbour on the carrier.
// A
//        note: with three remainders some neighbours are always alike.
// Why    both send the same primary synchronisation signal, and in LTE reference signals on the same places.
// Source TS 36.211, 6.10.1.2 and 6.11.1; TS 38.211, 7.4.2.2. Share own judgement.
// Waiver key: rule id + both cells + variant.
#include "review/identity_mend.h"
#include "review/rules/every_rule.h"

#include <fmt/format.h>

namespace fw {

namespace {

constexpr std::size_t kNone = static_cast<std::size_t>(-1);

// Of the relations on its carrier with a cell whose PCI is known, the strongest.
std::size_t strongest(const IdentityNet& net, std::size_t cell) {
    for (const std::size_t r : net.neighbours[cell]) {
        const std::size_t other = net.otherOf(r, cell);
        if (net.sameCarrier(cell, other) && net.cells[other].pci >= 0) return r;
    }
    return kNone;
}

// Of two small cells that are each other's strongest the lower speaks.
std::vector<Subjects> all(const RuleView& view) {
    const IdentityNet& net = view.identities();
    std::vector<Subjects> out;
    for (std::size_t x = 0; x < net.cells.size(); ++x) {
        if (!net.cells[x].small || net.cells[x].pci < 0) continue;
        const std::size_t r = strongest(net, x);
        if (r == kNone) continue;
        const std::size_t y = net.otherOf(r, x);
        if (!(net.cells[y].small && y < x && strongest(net, y) == r))
            out.push_back({net.cells[x].id, net.cells[y].id});
    }
    return out;
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const IdentityNet& net = view.identities();
    const std::size_t x = net.place(t[0]), y = net.place(t[1]);
    if (x == net.cells.size() || y == net.cells.size()) return std::nullopt;
    const std::int32_t p = net.cells[x].pci, q = net.cells[y].pci;
    if (p < 0 || q < 0 || p % 3 != q % 3) return std::nullopt;
    const std::size_t r = strongest(net, x);
    if (r == kNone || net.otherOf(r, x) != y) return std::nullopt;
    const double share = 100 * net.relations[r].strength();
    const double limit = view.limits()["pci-modulo.share"];
    if (share < limit) return std::nullopt;
    Finding f;
    f.severity = Severity::note;
    f.measured = {share, "%"};
    f.limit = {limit, "%"};
    f.where = net.cells[x].at;
    f.text = fmt::format("{} and its strongest neighbour {} have PCIs {} and {}, equal modulo 3.",
                         view.name(t[0]), view.name(t[1]), p, q);
    f.source = net.cells[x].carrier.technology == Technology::lte
                   ? "TS 36.211, 6.10.1.2 and 6.11.1; share own judgement"
                   : "TS 38.211, 7.4.2.2; share own judgement";
    return f;
}

} // namespace

Rule pciModulo() {
    Rule r;
    r.id = "pci-modulo";
    r.title = "PCI alike modulo 3";
    r.why =
        "Both send the same primary synchronisation signal, and in LTE reference signals on the same places.";
    r.ofIdentity = true;
    r.blocks = false;
    r.slack = {{5, "%"}};
    r.all = all;
    r.check = check;
    r.remedy = otherPci;
    return r;
}

} // namespace fw
