// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/ledger_rows.h"

#include <algorithm>
#include <tuple>

namespace fw {

namespace {

double takenBy(const LedgerLine& line, ItemId small) {
    for (const LedgerLine::Part& p : line.relief)
        if (p.small == small) return p.use;
    return 0;
}

} // namespace

std::vector<ItemId> ledgerOrder(const Ledger& ledger, ItemId chosen) {
    std::vector<const LedgerLine*> lines;
    lines.reserve(ledger.cells.size());
    for (const LedgerLine& l : ledger.cells) lines.push_back(&l);
    // A sliver is no touch: a hundredth of a point.
    const auto rank = [&](const LedgerLine& l) {
        const double taken = chosen ? takenBy(l, chosen) : 0;
        const bool touched = taken >= 1e-4;
        return std::tuple{!touched, touched ? -taken : 0.0, !l.congested, -l.before, l.cell};
    };
    std::sort(lines.begin(), lines.end(),
              [&](const LedgerLine* a, const LedgerLine* b) { return rank(*a) < rank(*b); });
    std::vector<ItemId> out;
    out.reserve(lines.size());
    for (const LedgerLine* l : lines) out.push_back(l->cell);
    return out;
}

std::vector<LedgerRow> ledgerRows(const Ledger& ledger, const Plan& plan, const std::vector<ItemId>& order,
                                  ItemId chosen, std::vector<LedgerRow> before) {
    std::vector<LedgerRow> rows;
    rows.reserve(order.size());
    for (const ItemId id : order) {
        const auto it = std::lower_bound(ledger.cells.begin(), ledger.cells.end(), id,
                                         [](const LedgerLine& l, ItemId x) { return l.cell < x; });
        if (it == ledger.cells.end() || it->cell != id) continue;
        LedgerRow r;
        if (rows.size() < before.size() && before[rows.size()].cell == id) {
            r = std::move(before[rows.size()]);
            r.relief.clear();
            r.chance.reset();
        } else {
            r.cell = id;
            r.name = QString::fromStdString(plan.label(id));
        }
        r.before = it->before;
        r.after = it->after;
        r.target = it->target;
        r.harm = it->harm;
        r.congested = it->congested;
        r.holdsMonths = it->holdsMonths;
        for (const LedgerLine::Part& p : it->relief) r.relief.push_back({p.small, p.use, p.fringe});
        const auto own = std::find_if(r.relief.begin(), r.relief.end(),
                                      [&](const LedgerRow::Piece& p) { return p.small == chosen; });
        if (own != r.relief.end()) std::rotate(r.relief.begin(), own, own + 1);
        rows.push_back(std::move(r));
    }
    return rows;
}

} // namespace fw
