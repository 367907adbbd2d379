// SPDX-License-Identifier: GPL-3.0-or-later
// Shadowing as a field over the ground, one draw of it.
#pragma once

#include "geo/shape.h"

#include <array>
#include <cstdint>
#include <span>
#include <vector>

namespace fw {

/// One draw of a Gaussian field of mean 0 and spread 1. Over draws two places agree by exp(-d / distance), d
/// between them on the plane, in whatever direction. Source of the form: Gudmundson, "Correlation model for
/// shadow fading in mobile radio systems", Electronics Letters 27 (1991); 3GPP TR 38.901, 7.4.4. The values
/// depend on seed and place alone, not on `over`, and are the same on every machine.
///
/// How: the mean of four independent fields that are constant in the cells of a random grid each. Lines of a
/// grid lie at the points of a Poisson process along either axis, and the grid is turned at random, so that
/// the chance of no line between two places falls exponentially with their distance (the direction's part of
/// it moves the correlation by less than 0.01).
class ShadowField {
public:
    /// @param distanceM  at which the correlation is 1/e (m), >= 1.
    /// @param over       where it will be asked for, at most 100 km wide; elsewhere the nearest value there.
    ShadowField(std::uint64_t seed, double distanceM, const Box& over);
    /// Values at places given as offsets (m) from the south-west corner of `over`.
    void at(std::span<const float> east, std::span<const float> north, std::span<float> out) const;
    [[nodiscard]] double at(PlanePoint p) const;

private:
    static constexpr std::size_t kGrids = 4;
    struct Grid {
        float cos = 1, sin = 0; // of the turn
        float u0 = 0, v0 = 0;   // turned offsets of the axes' first entries
        std::vector<std::uint16_t> u,
            v; // by whole metre along an axis: number of lines before, from a fixed place
        std::uint64_t seed = 0;
    };
    std::array<Grid, kGrids> m_grids;
    PlanePoint m_corner;
};

/// A standard normal value for a number, the same on every machine: equal numbers give equal values.
double normalOf(std::uint64_t number);
/// A well-mixed number out of some: seeds of streams that share nothing.
std::uint64_t mixed(std::uint64_t a, std::uint64_t b = 0, std::uint64_t c = 0);

} // namespace fw
