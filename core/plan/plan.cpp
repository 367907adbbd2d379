// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/plan.h"

#include "plan/tables.h"

#include <fmt/format.h>

namespace fw {

template class Table<MacroSite>;
template class Table<Sector>;
template class Table<Cell>;
template class Table<CongestionArea>;
template class Table<Mount>;
template class Table<Radio>;
template class Table<SmallCell>;
template class Table<Variant>;
template class Table<OverheadLine>;
template class Table<Street>;
template class Table<FibrePoint>;
template class Table<PowerTap>;
template class Table<SiteWorks>;
template class Table<Waiver>;
template class Table<AntennaCut>;
template class Table<Tree>;

Plan::Plan() = default;
Plan::Plan(const Plan&) = default;
Plan::Plan(Plan&&) noexcept = default;
Plan& Plan::operator=(const Plan&) = default;
Plan& Plan::operator=(Plan&&) noexcept = default;
Plan::~Plan() = default;

PlanSettings::PlanSettings() = default;
PlanSettings::PlanSettings(const PlanSettings&) = default;
PlanSettings::PlanSettings(PlanSettings&&) noexcept = default;
PlanSettings& PlanSettings::operator=(const PlanSettings&) = default;
PlanSettings& PlanSettings::operator=(PlanSettings&&) noexcept = default;
PlanSettings::~PlanSettings() = default;
bool PlanSettings::operator==(const PlanSettings&) const = default;

Kind kindOf(const Item& item) { return static_cast<Kind>(item.index()); }

ItemId idOf(const Item& item) {
    return std::visit([](const auto& v) { return v.id; }, item);
}

const char* nameOf(Kind kind) {
    switch (kind) {
    case Kind::macroSite:
        return "macro site";
    case Kind::sector:
        return "sector";
    case Kind::cell:
        return "cell";
    case Kind::congestionArea:
        return "congestion area";
    case Kind::mount:
        return "mount";
    case Kind::radio:
        return "radio";
    case Kind::smallCell:
        return "small cell";
    case Kind::variant:
        return "variant";
    case Kind::overheadLine:
        return "overhead line";
    case Kind::street:
        return "street";
    case Kind::fibrePoint:
        return "fibre point";
    case Kind::powerTap:
        return "power tap";
    case Kind::siteWorks:
        return "site works";
    case Kind::waiver:
        return "waiver";
    case Kind::antennaCut:
        return "antenna";
    case Kind::building:
        return "building";
    case Kind::tree:
        return "tree";
    }
    return "item";
}

bool Plan::has(ItemId id) const { return kindOf(id).has_value(); }

std::optional<Kind> Plan::kindOf(ItemId id) const {
    std::optional<Kind> kind;
    if (!id) return kind;
    if (scenery.hasBuilding(id)) return Kind::building;
    forEachTable(*this, [&](const auto& table) {
        if (!kind && table.find(id)) kind = kindOfType<ItemOf<decltype(table)>>();
    });
    return kind;
}

std::optional<Item> Plan::item(ItemId id) const {
    std::optional<Item> found;
    if (!id) return found;
    if (auto building = scenery.building(id)) return Item{std::move(*building)};
    forEachTable(*this, [&](const auto& table) {
        if (found) return;
        if (const auto* item = table.find(id)) found = *item;
    });
    return found;
}

namespace {

template <class T>
const std::string& namePart(const T& item) {
    static const std::string none;
    if constexpr (requires { item.name; })
        return item.name;
    else
        return none;
}

} // namespace

std::string labelOf(const Item& item) {
    return std::visit(
        [&](const auto& v) {
            const std::string& name = namePart(v);
            return name.empty() ? fmt::format("{} {}", nameOf(fw::kindOf(item)), v.id.v) : name;
        },
        item);
}

std::string Plan::label(ItemId id) const {
    const auto found = item(id);
    return found ? labelOf(*found) : fmt::format("item {}", id.v);
}

bool Plan::operator==(const Plan& o) const {
    if (settings != o.settings && !(*settings == *o.settings)) return false;
    bool same = scenery == o.scenery;
    forEachTable(*this, [&](const auto& table) {
        using T = ItemOf<decltype(table)>;
        if constexpr (!std::is_same_v<T, Tree>) same = same && table == tableOf<T>(o);
    });
    return same;
}

} // namespace fw
