// SPDX-License-Identifier: GPL-3.0-or-later
// Rule   root-sequence-overlap: two cells of one carrier share root sequences of random access, and are
//        neighbours or nearer than the reuse distance; at least one is a small cell. Warns: calls get
//        through, at the price of answers to phones that did not ask.
// Why    a preamble meant for one cell is heard and answered by the other.
// Source TS 36.211, 5.7.2 and TS 38.211, 6.3.3.1 (64 preambles from consecutive roots). Distance own
// judgement. Waiver key: rule id + both cells + variant.
#include "review/identity_mend.h"
#include "review/rules/every_rule.h"

#include <fmt/format.h>

namespace fw {

namespace {

std::vector<Subjects> all(const RuleView& view) {
    const IdentityNet& net = view.identities();
    const double reuse = view.limits()["root-sequence-overlap.reuse"];
    std::vector<Subjects> out;
    for (const auto& [carrier, places] : net.carriers())
        for (std::size_t i = 0; i < places.size(); ++i)
            for (std::size_t k = i + 1; k < places.size(); ++k)
                if (net.concerns(places[i], places[k]) && net.shareRoots(places[i], places[k], reuse))
                    out.push_back(net.subjects(places[i], places[k]));
    return out;
}

std::optional<Finding> check(const RuleView& view, const Subjects& t) {
    const IdentityNet& net = view.identities();
    const std::size_t a = net.place(t[0]), b = net.place(t[1]);
    if (a == net.cells.size() || b == net.cells.size()) return std::nullopt;
    const double reuse = view.limits()["root-sequence-overlap.reuse"];
    if (!net.shareRoots(a, b, reuse)) return std::nullopt;
    const NetCell &x = net.cells[a], &y = net.cells[b];
    const double apart = planeDistance(x.at, y.at);
    Finding f;
    f.severity = Severity::warn;
    if (apart < reuse) {
        f.measured = {apart, "m"};
        f.limit = {reuse, "m"};
    } else {
        f.measured = {100 * net.between(a, b)->strength(), "%"};
        f.limit = {view.limits()["pci-collision.share"], "%"};
    }
    f.where = x.at;
    f.text = fmt::format("{} and {} share root sequences on one carrier, {:.0f} m apart: {} from {}, and {} "
                         "from {}.",
                         view.name(t[0]), view.name(t[1]), apart, x.zone.roots, *x.identity.rootSequence,
                         y.zone.roots, *y.identity.rootSequence);
    f.source = x.carrier.technology == Technology::lte ? "TS 36.211, 5.7.2; distance own judgement"
                                                       : "TS 38.211, 6.3.3.1; distance own judgement";
    return f;
}

} // namespace

Rule rootSequenceOverlap() {
    Rule r;
    r.id = "root-sequence-overlap";
    r.title = "Root sequences shared near by";
    r.why = "A preamble meant for one cell is heard and answered by the other.";
    r.ofIdentity = true;
    r.blocks = false;
    r.slack = {{50, "m"}, {2, "%"}};
    r.all = all;
    r.check = check;
    r.remedy = otherRoots;
    return r;
}

} // namespace fw
