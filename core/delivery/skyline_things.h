// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "study/study.h"

#include <cstdint>
#include <string>
#include <vector>

namespace fw {

/// Something to see from the antenna at a bearing: another site.
struct SkylineThing {
    enum class What : std::uint8_t { macro, small } what = What::macro;
    std::string name;
    double azimuthTrueDeg = 0, elevationDeg = 0, distanceM = 0;
    bool inSight = false;
    ItemId item = {}; ///< the macro site or the mount
    bool operator==(const SkylineThing&) const = default;
};

/// Macro sites that send and other mounts with a chosen small cell within 1500 m of a small cell's antenna,
/// nearest first, at most `most` of them. Of a site its first sector that sends stands for it.
std::vector<SkylineThing> skylineThings(const Study& study, ItemId small, std::size_t most);

} // namespace fw
