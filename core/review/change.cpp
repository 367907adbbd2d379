// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/change.h"

#include "base/sorted.h"

#include <iterator>

namespace fw {

namespace {

enum class Weight { none, carrier, everything };

// What an item of a kind can alter in the review. The switch names every kind, so that a new one is thought
// of.
Weight weightOf(Kind kind) {
    switch (kind) {
    case Kind::mount:
    case Kind::radio:
    case Kind::smallCell:
        return Weight::carrier;
    case Kind::variant:
    case Kind::street:
    case Kind::fibrePoint:
    case Kind::powerTap:
    case Kind::siteWorks:
    case Kind::waiver:
        return Weight::none; // standings and remedies are always made anew
    case Kind::macroSite:
    case Kind::sector:
    case Kind::cell:
    case Kind::congestionArea:
    case Kind::overheadLine:
    case Kind::antennaCut:
    case Kind::building:
    case Kind::tree:
        return Weight::everything;
    }
    return Weight::everything;
}

void collect(const Study& study, const std::vector<ItemId>& changed, ReviewChange& out) {
    for (const SmallCellPart& s : study.smallCells()) {
        if (!isAmong(changed, s.id) && !isAmong(changed, s.radio) && !isAmong(changed, s.mount)) continue;
        out.items.insert(out.items.end(), {s.id, s.radio, s.mount});
    }
}

// Small cells whose part of one macro cell's relief differs; both lists ascending by id.
void addDiffering(const std::vector<LedgerLine::Part>& a, const std::vector<LedgerLine::Part>& b,
                  std::vector<ItemId>& out) {
    auto i = a.begin();
    auto k = b.begin();
    while (i != a.end() || k != b.end()) {
        if (k == b.end() || (i != a.end() && i->small < k->small)) {
            out.push_back((i++)->small);
        } else if (i == a.end() || k->small < i->small) {
            out.push_back((k++)->small);
        } else {
            if (i->use != k->use || i->fringe != k->fringe) out.push_back(i->small);
            ++i, ++k;
        }
    }
}

std::vector<ItemId> relievedDifferently(const Ledger& before, const Ledger& now) {
    std::vector<ItemId> out;
    for (std::size_t i = 0; i < now.cells.size(); ++i) {
        if (i >= before.cells.size() || before.cells[i].cell != now.cells[i].cell) {
            for (const auto& p : now.cells[i].relief)
                out.push_back(p.small); // not met: the macros are the same
            continue;
        }
        addDiffering(before.cells[i].relief, now.cells[i].relief, out);
    }
    sortUnique(out);
    return out;
}

} // namespace

std::optional<ReviewChange> changeBetween(const Study& before, const Study& now, const Neighbours& near) {
    const PlanDiff d = diff(before.plan(), now.plan());
    if (d.settings) return std::nullopt;
    std::vector<ItemId> changed;
    for (const Difference& x : d.items) {
        const Weight w = weightOf(x.kind);
        if (w == Weight::everything) return std::nullopt;
        if (w == Weight::carrier) changed.push_back(x.id);
    }
    ReviewChange out;
    if (changed.empty()) return out;
    sortUnique(changed);
    collect(before, changed, out);
    collect(now, changed, out);
    sortUnique(out.items);
    for (const ItemId id : out.items) {
        if (now.smallCell(id)) out.smalls.push_back(id);
        if (isAmong(near.radios(), id)) out.radios.push_back(id);
        if (isAmong(near.mounts(), id)) out.mounts.push_back(id);
    }
    out.relieved = relievedDifferently(before.live(), now.live());
    return out;
}

} // namespace fw
