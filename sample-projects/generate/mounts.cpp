// SPDX-License-Identifier: GPL-3.0-or-later
#include "mounts.h"

#include "pieces.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

double SpotFinder::lineAt(PlanePoint p) const {
    double best = 100;
    for (const Line& line : m_lines) best = std::min(best, nearestOn(line, p).distanceM);
    return best;
}

std::optional<Spot> SpotFinder::pole(PlanePoint near, Random& random) const {
    const int index = m_fabric.streetNear(near, 60);
    if (index < 0) return std::nullopt;
    const TownStreet& street = m_fabric.streets()[static_cast<std::size_t>(index)];
    const OnLine on = nearestOn(street.path, near);
    const PlanePoint a = street.path[on.segment];
    const PlanePoint d = unit(street.path[std::min(on.segment + 1, street.path.size() - 1)] - a);
    const double side = random.chance(0.5) ? 1 : -1;
    const PlanePoint p = on.nearest + leftOf(d) * (side * (street.carriageM / 2 + 0.5));
    if (m_fabric.kerbAt(p, 6) < 0.4 || m_fabric.roomAt(p, 4) < 0.9) return std::nullopt;
    for (const PlanePoint& tree : m_trees)
        if (planeDistance(tree, p) < 3.2) return std::nullopt;
    Spot spot;
    spot.at = p;
    spot.openM = std::max(openAhead(m_fabric, p, d, 120), openAhead(m_fabric, p, d * -1, 120));
    spot.heightM = rounded(random.between(6.4, 8.2), 0.1);
    return spot;
}

std::vector<SpotFinder::Facade> SpotFinder::facades(PlanePoint near, double reachM, double shortestM,
                                                    double streetM) const {
    std::vector<Facade> out;
    for (const int i :
         m_fabric.housesNear({near.x - reachM, near.y - reachM, near.x + reachM, near.y + reachM})) {
        const Ring& ring = m_fabric.houses()[static_cast<std::size_t>(i)].footprint.outer;
        for (std::size_t k = 0; k < ring.size(); ++k) {
            const PlanePoint a = ring[k], b = ring[(k + 1) % ring.size()];
            const PlanePoint middle = between(a, b, 0.5), outward = leftOf(unit(b - a)) * -1;
            if (planeDistance(a, b) < shortestM || planeDistance(middle, near) > reachM) continue;
            // A street, not a yard: a carriageway within reach ahead.
            bool street = false;
            for (double s = 1; s < streetM && !street; s += 1)
                street = m_fabric.kerbAt(middle + outward * s, 4) <= 0;
            if (street && openAhead(m_fabric, middle, outward, 8) >= 8)
                out.push_back({i, middle, outward, planeDistance(a, b)});
        }
    }
    return out;
}

std::optional<Spot> SpotFinder::wall(PlanePoint near, Random& random) const {
    const auto found = facades(near, 28, 4, 12);
    if (found.empty()) return std::nullopt;
    const Facade& f = found[random.below(static_cast<std::uint32_t>(found.size()))];
    const House& house = m_fabric.houses()[static_cast<std::size_t>(f.house)];
    Spot spot;
    spot.kind = MountKind::wall;
    spot.house = f.house;
    spot.faces = f.out;
    spot.at = f.middle + f.out * 0.3;
    spot.heightM = rounded(random.between(6.3, 7.6), 0.1);
    // The wall must reach past the antenna.
    const double over = house.baseM + house.heightM - (m_build.lowestAhead(spot.at, &f.out) + spot.heightM);
    if (over < 0.8) return std::nullopt;
    spot.openM = openAhead(m_fabric, f.middle, f.out, 120);
    return spot;
}

std::optional<Spot> SpotFinder::onTop(PlanePoint near, Random& random, MountKind kind, double behindM,
                                      double aboveM) const {
    for (const Facade& f : facades(near, 60, 5, 24)) {
        const House& house = m_fabric.houses()[static_cast<std::size_t>(f.house)];
        if (house.parapetM <= 0 && house.use != BuildingUse::industrial) continue;
        Spot spot;
        spot.kind = kind;
        spot.house = f.house;
        spot.faces = f.out;
        spot.at = f.middle - f.out * behindM;
        const double top = house.baseM + house.heightM + house.parapetM;
        // On a very low roof a taller stub brings the antenna into the street's window.
        const double foot = m_build.lowestAhead(spot.at, &f.out);
        const double stub =
            std::max(aboveM + random.between(0, 0.3), std::min(aboveM + 1.8, least + 0.2 - (top - foot)));
        const double height = top + stub - foot;
        if (height < least || height > most || m_fabric.houseAt(spot.at) != f.house) continue;
        spot.heightM = rounded(height, 0.1);
        spot.openM = openAhead(m_fabric, f.middle, f.out, 120);
        return spot;
    }
    return std::nullopt;
}

std::optional<Spot> SpotFinder::parapet(PlanePoint near, Random& random) const {
    return onTop(near, random, MountKind::parapet, 0.2, 0.9);
}

std::optional<Spot> SpotFinder::roof(PlanePoint near, Random& random, double behindM, double aboveM) const {
    return onTop(near, random, MountKind::roof, behindM, aboveM);
}

} // namespace fw::town
