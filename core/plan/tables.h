// SPDX-License-Identifier: GPL-3.0-or-later
// The tables of a plan as one list, and what items name one another: for code that treats all kinds alike.
#pragma once

#include "plan/plan.h"

#include <type_traits>

namespace fw {

/// Kind of an item type, from its place in Item.
template <class T, std::size_t I = 0>
constexpr Kind kindOfType() {
    if constexpr (std::is_same_v<std::variant_alternative_t<I, Item>, T>)
        return static_cast<Kind>(I);
    else
        return kindOfType<T, I + 1>();
}

/// Calls f(table) for each table but the buildings', in the order of Kind. P is Plan or const Plan.
template <class P, class F>
void forEachTable(P& plan, F&& f) {
    f(plan.macroSites);
    f(plan.sectors);
    f(plan.cells);
    f(plan.congestionAreas);
    f(plan.mounts);
    f(plan.radios);
    f(plan.smallCells);
    f(plan.variants);
    f(plan.overheadLines);
    f(plan.streets);
    f(plan.fibrePoints);
    f(plan.powerTaps);
    f(plan.siteWorks);
    f(plan.waivers);
    f(plan.antennaCuts);
    f(plan.scenery.trees);
}

template <class Table>
using ItemOf = typename std::remove_cvref_t<Table>::Chunk::value_type;

/// The table of one item type (not Building).
template <class T, class P>
auto& tableOf(P& plan) {
    std::conditional_t<std::is_const_v<P>, const Table<T>, Table<T>>* found = nullptr;
    forEachTable(plan, [&](auto& table) {
        if constexpr (std::is_same_v<ItemOf<decltype(table)>, T>) found = &table;
    });
    return *found;
}

/// One item naming another. `kind` is empty where any kind will do.
struct Reference {
    const char* field;
    ItemId id;
    std::optional<Kind> kind;
    bool required; ///< false: may be none
};

/// Calls f(const Reference&) for all an item names.
template <class T, class F>
void forEachReference(const T& item, F&& f) {
    using K = Kind;
    if constexpr (std::is_same_v<T, Sector>) {
        f(Reference{"site", item.site, K::macroSite, true});
        f(Reference{"antenna", item.antenna, K::antennaCut, false});
    } else if constexpr (std::is_same_v<T, Cell>) {
        f(Reference{"sector", item.sector, K::sector, true});
    } else if constexpr (std::is_same_v<T, Radio>) {
        f(Reference{"mount", item.mount, K::mount, true});
        f(Reference{"antenna", item.antenna, K::antennaCut, false});
    } else if constexpr (std::is_same_v<T, SmallCell>) {
        f(Reference{"radio", item.radio, K::radio, true});
        f(Reference{"variant", item.variant, K::variant, true});
    } else if constexpr (std::is_same_v<T, SiteWorks>) {
        f(Reference{"mount", item.mount, K::mount, true});
    } else if constexpr (std::is_same_v<T, Waiver>) {
        for (const ItemId subject : item.subjects) f(Reference{"subject", subject, std::nullopt, true});
        f(Reference{"variant", item.variant, K::variant, false});
    }
}

/// Whether items of a type can name others at all.
template <class T>
inline constexpr bool kNamesOthers =
    std::is_same_v<T, Sector> || std::is_same_v<T, Cell> || std::is_same_v<T, Radio> ||
    std::is_same_v<T, SmallCell> || std::is_same_v<T, SiteWorks> || std::is_same_v<T, Waiver>;

} // namespace fw
