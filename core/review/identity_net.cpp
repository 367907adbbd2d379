// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/identity_net.h"

#include "base/text.h"
#include "geo/point.h"
#include "study/overlap.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <set>

namespace fw {

namespace {

const char* wordOf(Technology t) { return t == Technology::lte ? "LTE" : "NR"; }

// A plan's PCI has no "not known". A small cell that has 0 and no other identity was never given any.
std::int32_t pciOf(const SmallCell& c) { return c.pci == 0 && c.identity == CellIdentity{} ? -1 : c.pci; }

// Likewise several macro cells that all have one and the same.
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

// A first root sequence above those there are of a length is of another kind of preamble.
void forgetForeignRoots(IdentityNet& net) {
    std::size_t n = 0;
    for (NetCell& c : net.cells)
        if (c.identity.rootSequence.value_or(0) >= c.zone.rootCount()) {
            c.identity.rootSequence.reset();
            ++n;
        }
    if (n)
        net.remarks.push_back(fmt::format(
            "{} cell{} a root sequence above {}, the last of short preambles, so {} as not known; "
            "if {} long ones, say so by carrier or by short-from in the rule profile.",
            n, n == 1 ? " has" : "s have", kShortRoots - 1, n == 1 ? "it counts" : "they count",
            n == 1 ? "it uses" : "they use"));
}

void sayShortFormats(IdentityNet& net) {
    std::set<std::string> tooSmall;
    for (const NetCell& c : net.cells) {
        if (!isShort(c.preamble)) continue;
        const double holds = radiusOfFormat(c.preamble, c.carrier.scsKHz, shortSpreadUs(c.carrier.scsKHz));
        if (holds < c.radiusKm)
            tooSmall.insert(
                fmt::format("Preamble format {} at {} kHz holds cells of {:.2f} km; NR-ARFCN {} has "
                            "some that are reckoned with further out.",
                            wordFor(c.preamble), c.carrier.scsKHz, holds, c.carrier.channel));
    }
    net.remarks.insert(net.remarks.end(), tooSmall.begin(), tooSmall.end());
}

// Reaches are 50 km at most, which the widest zone of long preambles holds with any spread that is allowed.
ZeroCorrelation zoneFor(const NetCell& c, double spreadUs) {
    if (!isShort(c.preamble)) return zeroCorrelationFor(c.radiusKm, spreadUs).value_or(zeroCorrelation(0));
    const int scs = c.carrier.scsKHz;
    return shortZeroCorrelationFor(c.radiusKm, scs, shortSpreadUs(scs)).value_or(shortZeroCorrelation(0));
}

void addCells(const Study& study, const NeighbourSpec& spec, IdentityNet& net) {
    const Plan& plan = study.plan();
    const auto add = [&](NetCell c, double reachM) {
        c.name = plan.label(c.id);
        c.radiusKm = reachM / 1000;
        c.preamble = spec.preambles.of(c.carrier, c.radiusKm);
        c.zone = zoneFor(c, spec.spreadUs);
        net.cells.push_back(std::move(c));
    };
    for (const MacroCell& m : study.macroCells()) {
        const Cell* cell = plan.cells.find(m.id);
        const MacroSite* site = plan.macroSites.find(m.site);
        if (cell && site)
            add({m.id, {}, {}, cell->carrier, site->at, cell->pci, cell->identity, {}, 0, false, {}},
                plan.settings->model.macroReachM);
    }
    for (const SmallCellPart& s : study.smallCells()) {
        const SmallCell* cell = plan.smallCells.find(s.id);
        const MountPart* mount = study.mount(s.mount);
        if (s.chosen && cell && mount)
            add({s.id, s.mount, {}, cell->carrier, mount->at, pciOf(*cell), cell->identity, {}, 0, true, {}},
                plan.settings->model.smallReachM);
    }
    std::sort(net.cells.begin(), net.cells.end(),
              [](const NetCell& a, const NetCell& b) { return a.id < b.id; });
}

// Strongest pairs first, as long as neither cell has its full number: both ways or not at all.
void relate(const Overlaps& overlaps, const NeighbourSpec& spec, IdentityNet& net) {
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
        if (r.strength() >= spec.leastShare) ranked.push_back(r);
    std::stable_sort(ranked.begin(), ranked.end(),
                     [](const NetRelation& p, const NetRelation& q) { return p.strength() > q.strength(); });
    std::vector<int> count(net.cells.size(), 0);
    std::size_t left = 0;
    for (const NetRelation& r : ranked) {
        if (count[r.a] >= spec.mostNeighbours || count[r.b] >= spec.mostNeighbours) {
            left += net.cells[r.a].small || net.cells[r.b].small;
            continue;
        }
        ++count[r.a], ++count[r.b];
        net.relations.push_back(r);
    }
    if (left)
        net.remarks.push_back(fmt::format("{} weaker neighbour relation{} left out: a cell has {} at most.",
                                          left, left == 1 ? " is" : "s are", spec.mostNeighbours));
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

PreambleFormat PreambleSpec::of(const Carrier& carrier, double radiusKm) const {
    if (carrier.technology != Technology::nr) return PreambleFormat::f0;
    if (const auto said = byChannel.find(carrier.channel); said != byChannel.end()) return said->second;
    const bool shorts = carrier.duplex == Duplex::tdd && carrier.scsKHz >= shortFromKHz;
    return shorts ? shortFormatFor(radiusKm, carrier.scsKHz) : PreambleFormat::f0;
}

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
                if (a >= b || !sameCarrier(a, b)) continue;
                const auto [it, fresh] = out.try_emplace({a, b}, x);
                // Of two macro cells a small cell that hears both is the one that matters.
                if (!fresh && cells[x].small && !concerns(a, b) && !cells[it->second].small) it->second = x;
            }
    return out;
}

const NetRelation* IdentityNet::between(std::size_t a, std::size_t b) const {
    const std::pair<std::size_t, std::size_t> key = std::minmax(a, b);
    const auto it = std::lower_bound(
        relations.begin(), relations.end(), key,
        [](const NetRelation& r, const auto& wanted) { return std::pair(r.a, r.b) < wanted; });
    return it != relations.end() && it->a == key.first && it->b == key.second ? &*it : nullptr;
}

bool IdentityNet::samePci(std::size_t a, std::size_t b) const {
    return sameCarrier(a, b) && cells[a].pci >= 0 && cells[a].pci == cells[b].pci;
}

bool IdentityNet::shareRoots(std::size_t a, std::size_t b, double reuseM) const {
    const NetCell &x = cells[a], &y = cells[b];
    if (!sameCarrier(a, b) || !x.identity.rootSequence || !y.identity.rootSequence) return false;
    return rootsMeet(static_cast<int>(*x.identity.rootSequence), x.zone.roots,
                     static_cast<int>(*y.identity.rootSequence), y.zone.roots, x.zone.rootCount()) &&
           x.zone.length == y.zone.length && (planeDistance(x.at, y.at) < reuseM || between(a, b));
}

std::vector<ItemId> IdentityNet::subjects(std::size_t a, std::size_t b) const {
    const auto [low, high] = std::minmax(a, b);
    return cells[low].small || !cells[high].small ? std::vector{cells[low].id, cells[high].id}
                                                  : std::vector{cells[high].id, cells[low].id};
}

NeighbourSpec neighbourSpecOf(const Limits& limits) {
    NeighbourSpec out;
    out.marginDb = limits["pci-collision.margin"];
    out.leastShare = limits["pci-collision.share"] / 100;
    out.mostNeighbours = static_cast<int>(limits["pci-confusion.neighbours"]);
    out.preambles.shortFromKHz = limits["root-sequence-overlap.short-from"];
    return out;
}

IdentityNet identityNetOf(const Study& study, const NeighbourSpec& spec, const Job& job) {
    IdentityNet net;
    addCells(study, spec, net);
    const Overlaps overlaps = overlapsOf(study, spec.marginDb, spec.threads, job);
    relate(overlaps, spec, net);
    listNeighbours(net);
    forgetUnset(net);
    forgetForeignRoots(net);
    sayShortFormats(net);
    sayUnknownRoots(net);
    return net;
}

IdentityNet reviewNetOf(const Study& study, const Limits& limits, unsigned threads, const Job& job) {
    const Plan& plan = study.plan();
    std::size_t smalls = 0;
    for (const SmallCellPart& s : study.smallCells()) {
        const SmallCell* c = s.chosen ? plan.smallCells.find(s.id) : nullptr;
        smalls += c && (pciOf(*c) >= 0 || c->identity.rootSequence);
    }
    if (smalls == 0 || smalls + study.macroCells().size() < 2) return {};
    NeighbourSpec spec = neighbourSpecOf(limits);
    spec.threads = threads;
    return identityNetOf(study, spec, job);
}

} // namespace fw
