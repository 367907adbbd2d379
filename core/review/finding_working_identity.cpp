// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/finding_desk.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

namespace {

// Places of the first two subjects, where both are in the net.
struct Two {
    std::size_t a, b;
    bool there;
};
Two twoOf(const Desk& d) {
    const IdentityNet& net = d.view.identities();
    const std::size_t a = net.place(d.subject(0)), b = net.place(d.subject(1));
    return {a, b, a < net.cells.size() && b < net.cells.size()};
}

void pcis(const Desk& d, std::size_t a, std::size_t b) {
    const IdentityNet& net = d.view.identities();
    for (const std::size_t x : {a, b})
        d.input(fmt::format("PCI of {}", d.view.name(net.cells[x].id)), net.cells[x].pci, "", "plan");
}

// How much two cells hear of each other, both ways.
void overlap(const Desk& d, std::size_t a, std::size_t b) {
    const IdentityNet& net = d.view.identities();
    const NetRelation* r = net.between(a, b);
    if (!r) return;
    const auto name = [&](std::size_t x) { return d.view.name(net.cells[x].id); };
    const double there = 100 * (r->a == a ? r->ab : r->ba), back = 100 * (r->a == a ? r->ba : r->ab);
    d.step(fmt::format("of the ground of {}, where {} is within the margin", name(a), name(b)), there, "%",
           CORE_TEXT("pixels of 4 m, medians at 1.5 m, bias counted"));
    d.step(fmt::format("of the ground of {}, where {} is", name(b), name(a)), back, "%");
    d.step(CORE_TEXT("overlap"), 100 * r->strength(), "%", CORE_TEXT("the larger of the two"));
}

} // namespace

void writeCollision(const Desk& d) {
    const auto [a, b, there] = twoOf(d);
    if (!there) return;
    pcis(d, a, b);
    d.limit("pci-collision.margin", "dB");
    overlap(d, a, b);
}

void writeConfusion(const Desk& d) {
    const auto [a, b, there] = twoOf(d);
    const IdentityNet& net = d.view.identities();
    const std::size_t by = net.place(d.subject(2));
    if (!there || by == net.cells.size()) return;
    pcis(d, a, b);
    d.limit("pci-collision.margin", "dB");
    d.limit("pci-confusion.neighbours", "neighbours");
    overlap(d, a, by);
    overlap(d, b, by);
    const NetRelation *ra = net.between(a, by), *rb = net.between(b, by);
    if (ra && rb)
        d.step(CORE_TEXT("the weaker of the two"), 100 * std::min(ra->strength(), rb->strength()), "%");
}

void writeModulo(const Desk& d) {
    const auto [a, b, there] = twoOf(d);
    if (!there) return;
    pcis(d, a, b);
    d.limit("pci-collision.margin", "dB");
    d.step(CORE_TEXT("remainder of both"), d.view.identities().cells[a].pci % 3, "", CORE_TEXT("PCI mod 3"));
    overlap(d, a, b);
}

void writeSharedRoots(const Desk& d) {
    const auto [a, b, there] = twoOf(d);
    if (!there) return;
    const IdentityNet& net = d.view.identities();
    for (const std::size_t x : {a, b}) {
        const NetCell& c = net.cells[x];
        if (c.identity.rootSequence)
            d.input(fmt::format("first root sequence of {}", d.view.name(c.id)),
                    static_cast<double>(*c.identity.rootSequence), "", "plan");
        d.input(fmt::format("radius of {}", d.view.name(c.id)), c.radiusKm, "km", "plan");
        if (isShort(c.preamble)) {
            d.input(fmt::format("subcarrier spacing of {}", d.view.name(c.id)), c.carrier.scsKHz, "kHz",
                    "plan");
            d.input(fmt::format("delay spread of {}", d.view.name(c.id)), shortSpreadUs(c.carrier.scsKHz),
                    "us", CORE_TEXT("normal cyclic prefix of data"));
            d.limit("root-sequence-overlap.short-from", "kHz");
        }
        d.step(fmt::format("N_CS that {} needs", d.view.name(c.id)), c.zone.shift, "",
               isShort(c.preamble) ? CORE_TEXT("next above (20/3 r + spread) 139 spacing / 1000 + 1")
                                   : CORE_TEXT("next above (20/3 r + 5.2 us) 839 / 800 + 2"));
        d.step(fmt::format("root sequences of {}", d.view.name(c.id)), c.zone.roots, "",
               isShort(c.preamble) ? CORE_TEXT("ceil(64 / floor(139 / N_CS)); behind 137 comes 0")
                                   : CORE_TEXT("ceil(64 / floor(839 / N_CS)); behind 837 comes 0"));
    }
    const bool byDistance = d.finding.measured.unit == "m";
    if (byDistance) overlap(d, a, b);
    d.step(CORE_TEXT("distance"), planeDistance(net.cells[a].at, net.cells[b].at), "m");
    if (!byDistance) overlap(d, a, b);
}

} // namespace fw
