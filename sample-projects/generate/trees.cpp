// SPDX-License-Identifier: GPL-3.0-or-later
#include "port_merrow_map.h"

#include "pieces.h"
#include "plan/scenery.h"

#include <algorithm>

namespace fw::town {

namespace {

class Planter {
public:
    Planter(const Fabric& fabric, std::uint64_t seed) : m_fabric(fabric), m_random(seed) {}

    // Both sides of wide streets, just behind the kerb.
    void avenue(const TownStreet& street, double eachM) {
        double next = eachM / 2, done = 0;
        for (std::size_t i = 0; i + 1 < street.path.size(); ++i) {
            const PlanePoint a = street.path[i], d = street.path[i + 1] - a;
            const double len = length(d);
            for (; next < done + len; next += eachM)
                for (const double side : {-1.0, 1.0}) {
                    const PlanePoint p =
                        a + unit(d) * (next - done) + leftOf(unit(d)) * (side * (street.carriageM / 2 + 1.3));
                    tree(p, m_random.between(2, 3), m_random.between(7, 10), 1.0);
                }
            done += len;
        }
    }

    void scatter(const Ring& area, int count) {
        Box box;
        box = {area[0].x, area[0].y, area[0].x, area[0].y};
        for (const PlanePoint& p : area) box.add(p);
        for (int k = 0; k < count; ++k) {
            const PlanePoint p{m_random.between(box.x0, box.x1), m_random.between(box.y0, box.y1)};
            if (insideRing(area, p)) tree(p, m_random.between(2.5, 5), m_random.between(8, 16), 2.5);
        }
    }

    void garden(const House& house) {
        const PlanePoint c = centroidOf(house.footprint);
        tree(c + directionDeg(m_random.between(0, 360)) * m_random.between(9, 16), m_random.between(1.5, 3.5),
             m_random.between(5, 10), 1.5);
    }

    bool chance(double p) { return m_random.chance(p); }
    std::vector<TreeSpot> trees;

private:
    void tree(PlanePoint p, double radius, double top, double roomM) {
        p = {toMillimetre(p.x), toMillimetre(p.y)};
        const auto& country = m_fabric.country();
        if (!country.area.contains(p) || country.inlandM(p) < 8 || m_fabric.kerbAt(p, 6) < 0.8 ||
            m_fabric.roomAt(p, roomM + 2) < roomM + 0.3 || enclosed(p))
            return;
        const auto decimetre = [](double v) { return std::floor(v * 10 + 0.5) / 10; };
        const double r = std::min(radius, std::max(1.2, m_fabric.roomAt(p, 6)));
        trees.push_back({p, decimetre(r), decimetre(top), decimetre(std::max(2.2, top * 0.3))});
    }

    // On the pitch of a stadium or in a closed yard.
    [[nodiscard]] bool enclosed(PlanePoint p) const {
        for (const int i : m_fabric.housesNear({p.x, p.y, p.x, p.y}))
            if (insideRing(m_fabric.houses()[static_cast<std::size_t>(i)].footprint.outer, p)) return true;
        return false;
    }

    const Fabric& m_fabric;
    Random m_random;
};

} // namespace

std::vector<TreeSpot> plantTrees(const Fabric& fabric, const std::vector<Ring>& parks, std::uint64_t seed) {
    Planter planter(fabric, seed);
    for (const TownStreet& street : fabric.streets())
        if (street.name == "Long Avenue" || street.name == "Garden Parade" || street.name == "Ring Road" ||
            street.name == "Station Road")
            planter.avenue(street, 17);
        else if (street.name == "Exchange Street" || street.name == "Bay Street")
            planter.avenue(street, 30);
    for (const Ring& park : parks) planter.scatter(park, static_cast<int>(signedArea(park) / 330));
    for (const House& house : fabric.houses()) {
        if (house.district < 0 || house.storeys < 1 || house.use == BuildingUse::other) continue;
        const Style style = fabric.districts()[static_cast<std::size_t>(house.district)].style;
        const double share = style == Style::villas   ? 0.45
                             : style == Style::suburb ? 0.17
                             : style == Style::slabs  ? 0.8
                                                      : 0;
        if (share > 0 && planter.chance(share)) planter.garden(house);
    }
    return std::move(planter.trees);
}

} // namespace fw::town
