// SPDX-License-Identifier: GPL-3.0-or-later
// What a building is used for, as people and maps write it.
#pragma once

#include "plan/items.h"

#include <optional>
#include <string_view>

namespace fw {

/// The plan's own words and beginnings of them ("res"), and the common values of the key `building` of
/// OpenStreetMap ("apartments", "school"). Nothing for words that tell no use ("yes", "roof").
std::optional<BuildingUse> buildingUseFrom(std::string_view text);

} // namespace fw
