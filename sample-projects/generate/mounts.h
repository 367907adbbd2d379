// SPDX-License-Identifier: GPL-3.0-or-later
// Finds places where a small cell can be fixed: posts at the kerb, walls, parapets and flat roofs.
#pragma once

#include "builder.h"

#include <optional>

namespace fw::town {

struct Spot {
    MountKind kind = MountKind::pole;
    PlanePoint at;                   ///< town metres
    std::optional<PlanePoint> faces; ///< outward direction of its wall
    double heightM = 7;              ///< radiation centre above the lowest ground ahead
    double openM = 0;                ///< free ahead (walls), or the better way along the street (poles)
    int house = -1;
};

class SpotFinder {
public:
    SpotFinder(const Build& build, const std::vector<PlanePoint>& trees, std::vector<Line> lines)
        : m_build(build), m_fabric(build.fabric), m_trees(trees), m_lines(std::move(lines)) {}

    /// A street post: behind the kerb, clear of walls, trees and overhead lines, nearest street to `near`.
    [[nodiscard]] std::optional<Spot> pole(PlanePoint near, Random& random) const;
    /// 0.3 m off a facade near a place, street in front.
    [[nodiscard]] std::optional<Spot> wall(PlanePoint near, Random& random) const;
    /// Above the parapet of a low building, or `behindM` from its edge on a flat roof.
    [[nodiscard]] std::optional<Spot> parapet(PlanePoint near, Random& random) const;
    [[nodiscard]] std::optional<Spot> roof(PlanePoint near, Random& random, double behindM = 1.2,
                                           double aboveM = 1.2) const;
    /// Distance to the nearest overhead line (m), at most 100.
    [[nodiscard]] double lineAt(PlanePoint p) const;

    double least = 6.2, most = 8.8; ///< heights that parapet and roof mounts may come to

private:
    struct Facade {
        int house = -1;
        PlanePoint middle, out;
        double lengthM = 0;
    };
    [[nodiscard]] std::vector<Facade> facades(PlanePoint near, double reachM, double shortestM,
                                              double streetM) const;
    [[nodiscard]] std::optional<Spot> onTop(PlanePoint near, Random& random, MountKind kind, double behindM,
                                            double aboveM) const;

    const Build& m_build;
    const Fabric& m_fabric;
    const std::vector<PlanePoint>& m_trees;
    std::vector<Line> m_lines;
};

} // namespace fw::town
