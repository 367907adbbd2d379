// SPDX-License-Identifier: GPL-3.0-or-later
#include "builder.h"

#include "pieces.h"
#include "port_merrow_map.h"

#include "base/log_exp.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

double rounded(double v, double step) { return std::floor(v / step + 0.5) * step; }

PlanePoint Build::plane(PlanePoint town) const {
    return {toMillimetre(town.x + origin.x), toMillimetre(town.y + origin.y)};
}

double Build::lowestAhead(PlanePoint town, const PlanePoint* direction) const {
    double low = ground(town);
    for (int k = 0; k < (direction ? 1 : 8); ++k) {
        const PlanePoint d = direction ? *direction : directionDeg(45.0 * k);
        for (const double m : {2.5, 5.0, 7.5, 10.0}) low = std::min(low, ground(town + d * m));
    }
    return low;
}

TrueAzimuth Build::azimuthOf(PlanePoint direction) const {
    return TrueAzimuth::of(rounded(atan2DegFixed(direction.x, direction.y) + convergenceDeg, 1));
}

PlanePoint Build::directionOf(TrueAzimuth a) const {
    const SinCos sc = sinCosDegFixed(a.deg - convergenceDeg);
    return {sc.sin, sc.cos};
}

void addScenery(Build& b, const std::vector<TreeSpot>& trees) {
    std::vector<Building> buildings;
    for (const House& house : b.fabric.houses()) {
        Building out;
        out.id = b.next();
        b.houseIds.push_back(out.id);
        for (const PlanePoint& p : house.footprint.outer) out.footprint.outer.push_back(b.plane(p));
        for (const Ring& hole : house.footprint.holes) {
            out.footprint.holes.emplace_back();
            for (const PlanePoint& p : hole) out.footprint.holes.back().push_back(b.plane(p));
        }
        out.heightM = house.heightM;
        out.storeys = house.storeys;
        out.use = house.use;
        out.entry = house.entry;
        out.parapetM = house.parapetM;
        out.name = house.name;
        buildings.push_back(asKept(std::move(out)));
    }
    b.plan.scenery.putBuildings(std::move(buildings));
    std::vector<Tree> list;
    for (const TreeSpot& t : trees)
        list.push_back({b.next(), b.plane(t.at), t.crownRadiusM, t.topM, t.crownBottomM});
    b.plan.scenery.trees.assign(std::move(list));
}

void addStreets(Build& b) {
    std::vector<Street> list;
    for (const TownStreet& street : b.fabric.streets()) {
        Street out{b.next(), street.name, {}, rounded(street.carriageM, 0.1)};
        for (const PlanePoint& p : street.path) out.path.push_back(b.plane(p));
        list.push_back(std::move(out));
    }
    b.plan.streets.assign(std::move(list));
}

double openAhead(const Fabric& fabric, PlanePoint from, PlanePoint direction, double reachM, double skipM) {
    const PlanePoint d = unit(direction);
    for (double s = skipM; s < reachM; s += 1)
        if (fabric.houseAt(from + d * s) >= 0) return s;
    return reachM;
}

} // namespace fw::town
