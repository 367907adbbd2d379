// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/identity_net.h"

#include "base/text.h"
#include "radio/root_sequence.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <set>

namespace fw {

namespace {

const char* wordOf(Technology t) { return t == Technology::lte ? "LTE" : "NR"; }

// A plan's PCI has no "not known": several macro cells that all have one and the same were never given any.
void forgetUnset(IdentityNet& net) {
    for (const Technology t : {Technology::lte, Technology::nr}) {
        std::set<std::int32_t> seen;
        std::size_t n = 0;
        for (const NetCell& c : net.cells)
            if (!c.small && c.carrier.technology == t) {
                seen.insert(c.pci);
                ++n;
            }
        if (n < 2 || seen.size() != 1) continue;
        for (NetCell& c : net.cells)
            if (!c.small && c.carrier.technology == t) c.pci = -1;
        net.remarks.push_back(fmt::format("All {} {} macro cells have PCI {}, so theirs count as not known; "
                                          "add them from the inventory before these PCIs are used.",
                                          n, wordOf(t), *seen.begin()));
    }
}

void sayUnknownRoots(IdentityNet& net) {
    std::size_t unknown = 0;
    for (const NetCell& c : net.cells) unknown += !c.small && !c.identity.rootSequence;
    if (unknown)
        net.remarks.push_back(
            fmt::format("The root sequences of {} macro cell{} are not known and are not kept clear of.",
                        unknown, unknown == 1 ? "" : "s"));
}

void addCells(const Study& study, const IdentityOptions& options, IdentityNet& net) {
    const Plan& plan = study.plan();
    const auto add = [&](NetCell c, double reachM) {
        c.name = plan.label(c.id);
        c.radiusKm = reachM / 1000;
        // Reaches are 50 km at most, which the widest zone holds with any spread that is allowed.
        c.zone = zeroCorrelationFor(c.radiusKm, options.spreadUs).value_or(zeroCorrelation(0));
        net.cells.push_back(std::move(c));
    };
    for (const MacroCell& m : study.macroCells()) {
        const Cell* cell = plan.cells.find(m.id);
        const MacroSite* site = plan.macroSites.find(m.site);
        if (cell && site)
            add({m.id, {}, {}, cell->carrier, site->at, cell->pci, cell->identity, {}, 0, false},
                plan.settings->model.macroReachM);
    }
    for (const SmallCellPart& s : study.smallCells()) {
        const SmallCell* cell = plan.smallCells.find(s.id);
        const MountPart* mount = study.mount(s.mount);
        if (s.chosen && cell && mount)
            add({s.id, s.mount, {}, cell->carrier, mount->at, cell->pci, cell->identity, {}, 0, true},
                plan.settings->model.smallReachM);
    }
    std::sort(net.cells.begin(), net.cells.end(),
              [](const NetCell& a, const NetCell& b) { return a.id < b.id; });
}

// Strongest pairs first, as long as neither cell has its full number: both ways or not at all.
void relate(const Overlaps& overlaps, const IdentityOptions& options, IdentityNet& net) {
    std::map<std::pair<std::size_t, std::size_t>, NetRelation> all;
    for (const CellOverlap& o : overlaps.pairs) {
        const std::size_t x = net.place(o.cell), y = net.place(o.other);
        if (x == net.cells.size() || y == net.cells.size()) continue;
        NetRelation& r = all[std::minmax(x, y)];
        std::tie(r.a, r.b) = std::minmax(x, y);
        (x < y ? r.ab : r.ba) = o.share;
    }
    std::vector<NetRelation> ranked;
    for (const auto& [key, r] : all)
        if (r.strength() >= options.leastShare) ranked.push_back(r);
    std::stable_sort(ranked.begin(), ranked.end(),
                     [](const NetRelation& p, const NetRelation& q) { return p.strength() > q.strength(); });
    std::vector<int> count(net.cells.size(), 0);
    std::size_t left = 0;
    for (const NetRelation& r : ranked) {
        if (count[r.a] >= options.mostNeighbours || count[r.b] >= options.mostNeighbours) {
            left += net.cells[r.a].small || net.cells[r.b].small;
            continue;
        }
        ++count[r.a], ++count[r.b];
        net.relations.push_back(r);
    }
    if (left)
        net.remarks.push_back(fmt::format("{} weaker neighbour relation{} left out: a cell has {} at most.",
                                          left, left == 1 ? " is" : "s are", options.mostNeighbours));
}

void listNeighbours(IdentityNet& net) {
    // In order of strength as they were taken; then by place for lookups.
    std::vector<std::size_t> byPlace(net.relations.size());
    std::iota(byPlace.begin(), byPlace.end(), std::size_t{0});
    std::sort(byPlace.begin(), byPlace.end(), [&](std::size_t p, std::size_t q) {
        return std::pair(net.relations[p].a, net.relations[p].b) <
               std::pair(net.relations[q].a, net.relations[q].b);
    });
    std::vector<std::size_t> placeOf(byPlace.size());
    std::vector<NetRelation> sorted;
    for (std::size_t k = 0; k < byPlace.size(); ++k) {
        placeOf[byPlace[k]] = k;
        sorted.push_back(net.relations[byPlace[k]]);
    }
    net.neighbours.assign(net.cells.size(), {});
    for (std::size_t k = 0; k < placeOf.size(); ++k) {
        net.neighbours[net.relations[k].a].push_back(placeOf[k]);
        net.neighbours[net.relations[k].b].push_back(placeOf[k]);
    }
    net.relations = std::move(sorted);
}

} // namespace

std::size_t IdentityNet::place(ItemId id) const {
    const auto it = std::lower_bound(cells.begin(), cells.end(), id,
                                     [](const NetCell& c, ItemId wanted) { return c.id < wanted; });
    return it != cells.end() && it->id == id ? static_cast<std::size_t>(it - cells.begin()) : cells.size();
}

std::map<CarrierKey, std::vector<std::size_t>> IdentityNet::carriers() const {
    std::map<CarrierKey, std::vector<std::size_t>> out;
    for (std::size_t k = 0; k < cells.size(); ++k)
        out[{cells[k].carrier.technology, cells[k].carrier.channel}].push_back(k);
    return out;
}

std::map<std::pair<std::size_t, std::size_t>, std::size_t> IdentityNet::secondTier() const {
    std::map<std::pair<std::size_t, std::size_t>, std::size_t> out;
    for (std::size_t x = 0; x < cells.size(); ++x)
        for (const std::size_t r : neighbours[x])
            for (const std::size_t s : neighbours[x]) {
                const std::size_t a = otherOf(r, x), b = otherOf(s, x);
                if (a < b && sameCarrier(a, b)) out.try_emplace({a, b}, x);
            }
    return out;
}

Result<IdentityNet> identityNetOf(const Study& study, const IdentityOptions& options, const Job& job) {
    IdentityNet net;
    addCells(study, options, net);
    if (std::none_of(net.cells.begin(), net.cells.end(), [](const NetCell& c) { return c.small; }))
        return Error{ErrorCode::badInput,
                     CORE_TEXT("No small cell is chosen in the active variant. Choose some first; identities "
                               "are given to those that are to be built.")};
    const Overlaps overlaps = overlapsOf(study, options.marginDb, options.threads, job);
    if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    relate(overlaps, options, net);
    listNeighbours(net);
    forgetUnset(net);
    sayUnknownRoots(net);
    return net;
}

PciProblem pciProblemOf(const IdentityNet& net, const std::vector<std::size_t>& places,
                        std::vector<std::int32_t> allowed) {
    PciProblem out;
    out.technology = net.cells[places.front()].carrier.technology;
    out.allowed = std::move(allowed);
    std::map<std::size_t, std::size_t> local;
    for (const std::size_t p : places) {
        local[p] = out.vertices.size();
        out.vertices.push_back({net.cells[p].at, net.cells[p].pci, net.cells[p].small});
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
                          std::vector<std::int32_t> allowed, double reuseM) {
    RootProblem out;
    out.allowed = std::move(allowed);
    out.reuseM = reuseM;
    std::map<std::size_t, std::size_t> local;
    for (const std::size_t p : places) {
        const NetCell& c = net.cells[p];
        local[p] = out.vertices.size();
        const auto first = static_cast<std::int32_t>(c.identity.rootSequence.value_or(-1));
        out.vertices.push_back({c.at, first, c.zone.roots, c.small});
    }
    for (const NetRelation& r : net.relations)
        if (local.count(r.a) && local.count(r.b)) out.apart.emplace_back(local[r.a], local[r.b]);
    return out;
}

} // namespace fw
