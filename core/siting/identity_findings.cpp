// SPDX-License-Identifier: GPL-3.0-or-later
// What is wrong with identities as they stand. Apart from the search that gives them.
#include "siting/identity_net.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <tuple>

namespace fw {

namespace {

constexpr double kModuloShare = 0.10; ///< of ground, from which equal remainders are worth a word [own]

bool concerns(const IdentityNet& net, std::size_t a, std::size_t b) {
    return net.cells[a].small || net.cells[b].small;
}
bool samePci(const IdentityNet& net, std::size_t a, std::size_t b) {
    return net.sameCarrier(a, b) && net.cells[a].pci >= 0 && net.cells[a].pci == net.cells[b].pci;
}

// The small cell first.
std::pair<const NetCell*, const NetCell*> inOrder(const IdentityNet& net, std::size_t a, std::size_t b) {
    const NetCell &x = net.cells[a], &y = net.cells[b];
    return x.small ? std::pair(&x, &y) : std::pair(&y, &x);
}

Finding make(const char* rule, Severity severity, const NetCell& first, const NetCell& second) {
    Finding f;
    f.rule = rule;
    f.severity = severity;
    f.subjects = {first.id, second.id};
    f.where = first.at;
    return f;
}

void collisions(const IdentityNet& net, std::vector<Finding>& out) {
    for (const NetRelation& r : net.relations) {
        if (!concerns(net, r.a, r.b) || !samePci(net, r.a, r.b)) continue;
        const auto [x, y] = inOrder(net, r.a, r.b);
        Finding f = make("pci-collision", Severity::block, *x, *y);
        f.measured = {100 * r.strength(), "%"};
        f.limit = {0, "%"};
        f.text = fmt::format("{} and {} are neighbours on one carrier and share PCI {}.", x->name, y->name,
                             x->pci);
        f.source = "TS 36.300, 22.3.5 (collision-free)";
        out.push_back(std::move(f));
    }
}

void confusions(const IdentityNet& net, std::vector<Finding>& out) {
    for (const auto& [pair, by] : net.secondTier()) {
        const auto [a, b] = pair;
        if (!samePci(net, a, b)) continue;
        if (!concerns(net, a, b) && !net.cells[by].small) continue;
        const auto [x, y] = inOrder(net, a, b);
        Finding f = make("pci-confusion", Severity::block, *x, *y);
        f.subjects.push_back(net.cells[by].id);
        f.measured = {planeDistance(x->at, y->at), "m"};
        f.limit = {0, "m"};
        f.text = fmt::format("{} has two neighbours with PCI {} on one carrier, {} and {}.",
                             net.cells[by].name, x->pci, x->name, y->name);
        f.source = "TS 36.300, 22.3.5 (confusion-free)";
        out.push_back(std::move(f));
    }
}

void remainders(const IdentityNet& net, std::vector<Finding>& out) {
    for (std::size_t x = 0; x < net.cells.size(); ++x) {
        if (!net.cells[x].small) continue;
        for (const std::size_t r : net.neighbours[x]) {
            const std::size_t y = net.otherOf(r, x);
            if (!net.sameCarrier(x, y) || net.cells[y].pci < 0) continue;
            const NetRelation& pair = net.relations[r];
            // Only the strongest of the carrier is looked at; of two small cells the lower speaks.
            if (net.cells[x].pci % 3 == net.cells[y].pci % 3 && pair.strength() >= kModuloShare &&
                !(net.cells[y].small && y < x && net.neighbours[y].front() == r)) {
                Finding f = make("pci-modulo", Severity::note, net.cells[x], net.cells[y]);
                f.measured = {100 * pair.strength(), "%"};
                f.limit = {100 * kModuloShare, "%"};
                f.text =
                    fmt::format("{} and its strongest neighbour {} have PCIs {} and {}, equal modulo 3.",
                                net.cells[x].name, net.cells[y].name, net.cells[x].pci, net.cells[y].pci);
                f.source = "TS 36.211, 6.10.1.2 and 6.11.1; TS 38.211, 7.4.2.2; share own judgement";
                out.push_back(std::move(f));
            }
            break;
        }
    }
}

void sharedRoots(const IdentityNet& net, const IdentityOptions& options, std::vector<Finding>& out) {
    for (const auto& [carrier, places] : net.carriers()) {
        const RootProblem problem = rootProblemOf(net, places, {}, options.rootReuseM);
        std::vector<std::int32_t> firsts;
        firsts.reserve(problem.vertices.size());
        for (const RootVertex& v : problem.vertices) firsts.push_back(v.first);
        for (const auto& [i, k] : rootConflicts(problem, firsts)) {
            const std::size_t a = places[i], b = places[k];
            if (!concerns(net, a, b)) continue;
            const auto [x, y] = inOrder(net, a, b);
            Finding f = make("root-sequence-overlap", Severity::warn, *x, *y);
            f.measured = {planeDistance(x->at, y->at), "m"};
            f.limit = {options.rootReuseM, "m"};
            f.text = fmt::format("{} and {} share root sequences on one carrier, {:.0f} m apart: from {} "
                                 "on {} and from {} on {}.",
                                 x->name, y->name, f.measured.value, *x->identity.rootSequence, x->zone.roots,
                                 *y->identity.rootSequence, y->zone.roots);
            f.source = "TS 36.211, 5.7.2; distance own judgement";
            out.push_back(std::move(f));
        }
    }
}

} // namespace

std::vector<Finding> identityFindings(const IdentityNet& net, const IdentityOptions& options) {
    std::vector<Finding> out;
    collisions(net, out);
    confusions(net, out);
    remainders(net, out);
    sharedRoots(net, options, out);
    return out;
}

} // namespace fw
