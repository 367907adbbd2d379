// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <compare>
#include <cstdint>
#include <functional>

namespace fw {

/// Names one item of a plan for as long as the plan lives; stable through save and load, never reused.
/// Zero is "none". Ids are unique over all kinds of one plan, so an id alone finds its item.
struct ItemId {
    std::uint32_t v = 0;
    constexpr explicit operator bool() const { return v != 0; }
    auto operator<=>(const ItemId&) const = default;
};

} // namespace fw

template <>
struct std::hash<fw::ItemId> {
    std::size_t operator()(fw::ItemId id) const noexcept { return std::hash<std::uint32_t>{}(id.v); }
};
