// SPDX-License-Identifier: GPL-3.0-or-later
// What the cells of one carrier ask of the searches for PCIs and root sequences.
#include "siting/identity_parts.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {

PciProblem pciProblemOf(const IdentityNet& net, const std::vector<std::size_t>& places,
                        std::vector<std::int32_t> allowed, const std::vector<bool>& kept) {
    PciProblem out;
    out.technology = net.cells[places.front()].carrier.technology;
    out.allowed = std::move(allowed);
    std::map<std::size_t, std::size_t> local;
    for (const std::size_t p : places) {
        local[p] = out.vertices.size();
        out.vertices.push_back({net.cells[p].at, net.cells[p].pci, net.cells[p].small && !kept[p]});
    }
    std::map<std::pair<std::size_t, std::size_t>, PciLink> links;
    const auto link = [&](std::size_t a, std::size_t b) -> PciLink& {
        PciLink& l = links[{a, b}];
        l.a = local.at(a), l.b = local.at(b), l.apart = true;
        return l;
    };
    for (const NetRelation& r : net.relations)
        if (local.count(r.a) && local.count(r.b))
            link(r.a, r.b).overlap = static_cast<std::int64_t>(std::floor(1000 * r.strength() + 0.5));
    for (const auto& [pair, by] : net.secondTier())
        if (local.count(pair.first) && local.count(pair.second)) link(pair.first, pair.second);
    for (const auto& [pair, l] : links)
        if (out.vertices[l.a].free || out.vertices[l.b].free) out.links.push_back(l);
    return out;
}

RootProblem rootProblemOf(const IdentityNet& net, const std::vector<std::size_t>& places,
                          std::vector<std::int32_t> allowed, double reuseM, const std::vector<bool>& kept) {
    RootProblem out;
    out.allowed = std::move(allowed);
    out.reuseM = reuseM;
    for (const std::size_t p : places) out.count = std::min(out.count, net.cells[p].zone.rootCount());
    std::map<std::size_t, std::size_t> local;
    for (const std::size_t p : places) {
        const NetCell& c = net.cells[p];
        local[p] = out.vertices.size();
        const auto first = static_cast<std::int32_t>(c.identity.rootSequence.value_or(-1));
        out.vertices.push_back({c.at, first, c.zone.roots, c.small && !kept[p]});
    }
    for (const NetRelation& r : net.relations)
        if (local.count(r.a) && local.count(r.b)) out.apart.emplace_back(local[r.a], local[r.b]);
    return out;
}

} // namespace fw
