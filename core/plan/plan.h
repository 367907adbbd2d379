// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/items.h"
#include "plan/scenery.h"
#include "plan/settings.h"
#include "plan/table.h"

#include <memory>
#include <variant>

namespace fw {

enum class Kind : std::uint8_t {
    macroSite,
    sector,
    cell,
    congestionArea,
    mount,
    radio,
    smallCell,
    variant,
    overheadLine,
    street,
    fibrePoint,
    powerTap,
    siteWorks,
    waiver,
    antennaCut,
    building,
    tree,
};
/// One item of any kind, in the order of Kind.
using Item =
    std::variant<MacroSite, Sector, Cell, CongestionArea, Mount, Radio, SmallCell, Variant, OverheadLine,
                 Street, FibrePoint, PowerTap, SiteWorks, Waiver, AntennaCut, Building, Tree>;
Kind kindOf(const Item& item);
ItemId idOf(const Item& item);

/// Its name, or kind and number where it has none: "building 1204".
std::string labelOf(const Item& item);

const char* nameOf(Kind kind); ///< singular, as the plan file and messages write it: "macro site"

/// Everything that is saved and undone. A copy is a snapshot: it shares all chunks (0.1 ms with a million
/// buildings). Readers on other threads hold a copy of their own; only apply() changes a plan.
class Plan {
public:
    // Large, and made in plan.cpp only.
    Plan();
    Plan(const Plan&);
    Plan(Plan&&) noexcept;
    Plan& operator=(const Plan&);
    Plan& operator=(Plan&&) noexcept;
    ~Plan();

    std::shared_ptr<const PlanSettings> settings = std::make_shared<const PlanSettings>();
    Table<MacroSite> macroSites;
    Table<Sector> sectors;
    Table<Cell> cells;
    Table<CongestionArea> congestionAreas;
    Table<Mount> mounts;
    Table<Radio> radios;
    Table<SmallCell> smallCells;
    Table<Variant> variants;
    Table<OverheadLine> overheadLines;
    Table<Street> streets;
    Table<FibrePoint> fibrePoints;
    Table<PowerTap> powerTaps;
    Table<SiteWorks> siteWorks;
    Table<Waiver> waivers;
    Table<AntennaCut> antennaCuts;
    Scenery scenery; ///< buildings and trees
    ItemId lastId;   ///< highest id ever given

    [[nodiscard]] ItemId nextId() const { return {lastId.v + 1}; }
    [[nodiscard]] bool has(ItemId id) const;
    /// Kind of an item; empty when there is none with that id.
    [[nodiscard]] std::optional<Kind> kindOf(ItemId id) const;
    [[nodiscard]] std::optional<Item> item(ItemId id) const;
    /// What people call an item: its name, or kind and number where it has none.
    [[nodiscard]] std::string label(ItemId id) const;

    /// By content: how items are spread over chunks does not count, nor does `lastId`, which undo leaves
    /// alone.
    bool operator==(const Plan&) const;
};

// Made in plan.cpp, not once more in each file that changes a table.
extern template class Table<MacroSite>;
extern template class Table<Sector>;
extern template class Table<Cell>;
extern template class Table<CongestionArea>;
extern template class Table<Mount>;
extern template class Table<Radio>;
extern template class Table<SmallCell>;
extern template class Table<Variant>;
extern template class Table<OverheadLine>;
extern template class Table<Street>;
extern template class Table<FibrePoint>;
extern template class Table<PowerTap>;
extern template class Table<SiteWorks>;
extern template class Table<Waiver>;
extern template class Table<AntennaCut>;
extern template class Table<Tree>;

} // namespace fw
