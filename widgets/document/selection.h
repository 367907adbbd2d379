// SPDX-License-Identifier: GPL-3.0-or-later
// What is chosen: one selection for map, tables and bench.
#pragma once

#include "document/plan_document.h"

#include <QObject>

#include <vector>

namespace fw {

class Selection : public QObject {
    Q_OBJECT
public:
    /// Drops items that leave the plan.
    explicit Selection(PlanDocument& document, QObject* parent = nullptr);

    /// @param primary  what the bench shows; the last of `items` when left out.
    void set(std::vector<ItemId> items, ItemId primary = {});
    void setOne(ItemId item) { set(item ? std::vector{item} : std::vector<ItemId>{}, item); }
    void toggle(ItemId item);
    void clear() { set({}); }
    [[nodiscard]] const std::vector<ItemId>& items() const { return m_items; } ///< ascending
    [[nodiscard]] ItemId primary() const { return m_primary; }
    [[nodiscard]] bool has(ItemId item) const;
    [[nodiscard]] bool empty() const { return m_items.empty(); }

signals:
    void changed();

private:
    void dropMissing();
    PlanDocument& m_document;
    std::vector<ItemId> m_items;
    ItemId m_primary;
};

/// The chain that belongs to one item: of a mount its first radio and that one's first small cell of the
/// active variant, of a small cell its radio and mount, of a cell its sector and site.
struct Chain {
    ItemId mount, radio, smallCell;
    ItemId site, sector, cell;
    bool operator==(const Chain&) const = default;
};
Chain chainOf(const Plan& plan, ItemId item);

} // namespace fw
