// SPDX-License-Identifier: GPL-3.0-or-later
// What the rows of the ledger chart say, apart from how they are drawn.
#pragma once

#include "study/chance.h"

#include <QString>

#include <vector>

namespace fw {

/// One macro cell. Uses are shares of its own PRB.
struct LedgerRow {
    ItemId cell;
    QString name;
    double before = 0, after = 0, target = 0, harm = 0;
    bool congested = false;
    std::optional<double> holdsMonths;
    std::optional<CellChance> chance; ///< of the settled ledger, once drawn
    struct Piece {
        ItemId small;
        double use = 0, fringe = 0;
        bool operator==(const Piece&) const = default;
    };
    std::vector<Piece> relief; ///< the chosen small cell first, then by id
    bool operator==(const LedgerRow&) const = default;
};

/// Order of the cells: those that `chosen` takes most from, then congested ones by use falling, then the
/// others by use falling.
std::vector<ItemId> ledgerOrder(const Ledger& ledger, ItemId chosen);
/// Rows in a given order; cells without a line are left out.
/// @param before  rows in the same order whose names still hold; they are taken over.
std::vector<LedgerRow> ledgerRows(const Ledger& ledger, const Plan& plan, const std::vector<ItemId>& order,
                                  ItemId chosen, std::vector<LedgerRow> before = {});

} // namespace fw
