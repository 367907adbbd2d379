// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/items.h"

#include <optional>
#include <vector>

namespace fw {

/// What a remedy or proposal would make of a radio, and of its mount where that moves; drawn beside the real
/// one.
struct Ghost {
    std::optional<Radio> radio;
    std::optional<Mount> mount;
    [[nodiscard]] bool empty() const { return !radio && !mount; }
};
using Ghosts = std::vector<Ghost>;

} // namespace fw
