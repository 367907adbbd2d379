// SPDX-License-Identifier: GPL-3.0-or-later
// The written form of a plan's enumerations, in files and messages.
#pragma once

#include "plan/items.h"
#include "plan/model_choices.h"

#include <array>
#include <optional>
#include <string_view>

namespace fw {

/// `names` in the order of the values.
template <class E>
struct EnumNames;

template <>
struct EnumNames<Technology> {
    static constexpr std::array names{"LTE", "NR"};
};
template <>
struct EnumNames<Duplex> {
    static constexpr std::array names{"FDD", "TDD"};
};
template <>
struct EnumNames<MountKind> {
    static constexpr std::array names{"pole", "wall", "parapet", "roof"};
};
template <>
struct EnumNames<ConsentState> {
    static constexpr std::array names{"unknown", "asked", "given", "refused"};
};
template <>
struct EnumNames<BuildingUse> {
    static constexpr std::array names{"residential", "commercial", "office", "industrial", "public", "other"};
};
template <>
struct EnumNames<EntryKind> {
    static constexpr std::array names{"unknown", "traditional", "efficient"};
};
template <>
struct EnumNames<EfficiencyModel> {
    static constexpr std::array names{"attenuated-shannon", "cqi-table"};
};
template <>
struct EnumNames<MacroPathModel> {
    static constexpr std::array names{"tr-38.901-uma", "tr-38.901-uma-optional"};
};
template <>
struct EnumNames<SmallPathModel> {
    static constexpr std::array names{"p.1411", "tr-38.901-umi"};
};
template <>
struct EnumNames<EntryModel> {
    static constexpr std::array names{"p.2109", "tr-38.901-o2i"};
};

template <class E>
constexpr bool isKnown(E value) {
    return static_cast<std::size_t>(value) < EnumNames<E>::names.size();
}
/// A value outside the enumeration gives "?".
template <class E>
constexpr const char* enumName(E value) {
    return isKnown(value) ? EnumNames<E>::names[static_cast<std::size_t>(value)] : "?";
}
template <class E>
constexpr std::optional<E> enumFrom(std::string_view name) {
    for (std::size_t k = 0; k < EnumNames<E>::names.size(); ++k)
        if (name == EnumNames<E>::names[k]) return static_cast<E>(k);
    return std::nullopt;
}

} // namespace fw
