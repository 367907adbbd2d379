// SPDX-License-Identifier: GPL-3.0-or-later
// A made-up city for benches and for tests of agreement: the same seed gives the same city everywhere.
#pragma once

#include "surface/surface.h"

#include <cstdint>
#include <memory>
#include <vector>

namespace fw::bench {

struct CitySpec {
    double sideM = 10000; ///< a square, at least 1000
    int buildings = 50000;
    bool hills = true;
    std::uint64_t seed = 1;
};

/// Districts of 1 km, each with its own street direction; blocks of terraces, corner houses and courtyards of
/// 4 to 8 corners, 6 to 30 m high; streets of 14 m with trees.
struct City {
    Box area;
    std::shared_ptr<const Terrain> terrain;
    std::vector<Prism> prisms;
    std::vector<Crown> crowns;
    std::vector<PlanePoint> kerbs; ///< places along the streets, in the open, where poles could stand
};
City makeCity(const CitySpec& spec);

/// A street mount to look from.
struct Disc {
    PlanePoint at; ///< centre of a surface cell, outside all buildings
    double mastM = 0;
};
/// Mounts at 6 to 9 m spread over the city, each with a disc of `radiusM` inside its area.
std::vector<Disc> streetDiscs(const City& city, int count, double radiusM, double cellM);

} // namespace fw::bench
