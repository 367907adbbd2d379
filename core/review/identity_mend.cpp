// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/identity_mend.h"

#include "base/text.h"
#include "plan/id_ranges.h"
#include "radio/pci.h"

#include <fmt/format.h>

#include <set>

namespace fw {

namespace {

// PCIs that a cell must not have: of neighbours on its carrier, and of neighbours of any neighbour.
std::set<std::int32_t> takenAround(const IdentityNet& net, std::size_t cell) {
    std::set<std::int32_t> out;
    const auto take = [&](std::size_t other) {
        if (other != cell && net.sameCarrier(cell, other)) out.insert(net.cells[other].pci);
    };
    for (const std::size_t r : net.neighbours[cell]) {
        const std::size_t near = net.otherOf(r, cell);
        take(near);
        for (const std::size_t s : net.neighbours[near]) take(net.otherOf(s, near));
    }
    return out;
}

int strongestRemainder(const IdentityNet& net, std::size_t cell) {
    for (const std::size_t r : net.neighbours[cell]) {
        const std::size_t other = net.otherOf(r, cell);
        if (net.sameCarrier(cell, other) && net.cells[other].pci >= 0) return net.cells[other].pci % 3;
    }
    return -1;
}

} // namespace

std::optional<std::int32_t> freePci(const IdentityNet& net, std::size_t cell,
                                    const IdentitySettings& ranges) {
    const Technology t = net.cells[cell].carrier.technology;
    const auto read = idRanges(t == Technology::lte ? ranges.pciLte : ranges.pciNr, pciCount(t) - 1);
    if (!read) return std::nullopt;
    const std::vector<IdRange> all = read->empty() ? std::vector<IdRange>{{0, pciCount(t) - 1}} : *read;
    const auto taken = takenAround(net, cell);
    const int alike = strongestRemainder(net, cell);
    std::optional<std::int32_t> lowest;
    for (const IdRange& r : all)
        for (auto n = static_cast<std::int32_t>(r.first); n <= r.last; ++n) {
            if (taken.count(n)) continue;
            if (n % 3 != alike) return n;
            if (!lowest) lowest = n;
        }
    return lowest;
}

std::optional<Remedy> otherPci(const RuleView& view, const Finding& finding) {
    const IdentityNet& net = view.identities();
    Remedy r;
    const std::size_t cell = net.place(finding.subjects[0]);
    if (cell == net.cells.size()) return std::nullopt;
    if (!net.cells[cell].small) {
        r.text = CORE_TEXT("Both are macro cells: ask for another PCI for one of them.");
        return r;
    }
    const auto pci = freePci(net, cell, view.plan().settings->identities);
    r.text = pci ? fmt::format("Give {} PCI {}, which no neighbour has, nor any of theirs; or give all small "
                               "cells their identities anew.",
                               view.name(finding.subjects[0]), *pci)
                 : std::string(CORE_TEXT("No PCI is left here: give all small cells their identities anew, "
                                         "from a wider range."));
    return r;
}

std::optional<Remedy> otherRoots(const RuleView&, const Finding&) {
    Remedy r;
    r.text = CORE_TEXT("Give the small cells their identities anew; with a wider range of root sequences "
                       "where they still meet.");
    return r;
}

} // namespace fw
