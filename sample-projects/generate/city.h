// SPDX-License-Identifier: GPL-3.0-or-later
// A large made-up city for measuring speed: as dense as a real one, never saved.
#pragma once

#include "plan/plan.h"
#include "surface/surface.h"

#include <memory>

namespace fw::town {

struct CitySpec {
    double sideM = 10000;
    std::size_t buildings = 50000;
    std::size_t sites = 100; ///< three sectors each, two carriers a sector
    std::size_t mounts = 1000;
    std::size_t chosen = 200; ///< mounts of them with a radio and a chosen small cell
    bool hilly = false;
    std::uint64_t seed = 1;
};

/// The same plan for the same spec on every machine: 50,000 buildings in well under five seconds. Its work
/// area is the whole city; frame WGS 84 / UTM zone 27N. Fewer buildings come out when the ground has no room.
Plan makeCity(const CitySpec& spec = {});
/// The ground the city stands on: flat, or gentle hills up to about 60 m, 20 m cells.
std::shared_ptr<const Terrain> cityTerrain(const CitySpec& spec = {});

} // namespace fw::town
