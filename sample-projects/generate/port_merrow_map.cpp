// SPDX-License-Identifier: GPL-3.0-or-later
#include "port_merrow_map.h"

#include "names.h"
#include "pieces.h"
#include "plan/scenery.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

namespace {

enum Quarter {
    signalHill,
    fernside,
    highPriory,
    priory,
    larkDown,
    larkfield,
    westhill,
    ropewalk,
    exchange,
    harbourhead,
    limePark,
    larchCourt,
    eastgate,
    fishergate,
    oldTown,
    industryQuay,
    strand,
    strandGardens
};

std::vector<District> districts() {
    return {{"Signal Hill", Style::villas, false, 0, 150, 95, 8, 5.5, 1, 2},
            {"Fernside", Style::suburb, true, 22, 112, 52, 9, 6, 1, 2},
            {"High Priory", Style::villas, false, 0, 140, 90, 8, 5.5, 2, 2},
            {"Priory", Style::suburb, false, 0, 104, 62, 9, 6, 2, 2},
            {"Lark Down", Style::villas, false, 0, 150, 95, 8, 5.5, 1, 2},
            {"Larkfield", Style::suburb, true, 64, 108, 52, 9, 6, 1, 2},
            {"Westhill", Style::suburb, false, 0, 100, 58, 9, 6, 1, 2},
            {"Ropewalk", Style::terraces, true, 72, 96, 46, 10, 6.5, 2, 3},
            {"Exchange", Style::grid, true, 3, 92, 60, 14, 9, 3, 5},
            {"Harbourhead", Style::grid, true, 3, 84, 56, 13, 8, 4, 6},
            {"Lime Park", Style::park, true, 0, 300, 300, 10, 6, 1, 1},
            {"Larch Court", Style::slabs, true, 12, 170, 130, 16, 9, 8, 12},
            {"Eastgate", Style::slabs, true, -6, 180, 130, 16, 9, 9, 14},
            {"Fishergate", Style::terraces, false, 0, 74, 44, 8, 5.5, 2, 2},
            {"Old Town", Style::oldTown, false, 0, 64, 50, 6.8, 4.2, 2, 4},
            {"Industry Quay", Style::industry, true, 84, 130, 90, 13, 8, 1, 3},
            {"Strand", Style::terraces, true, 4, 104, 50, 11, 7, 2, 4},
            {"Strand Gardens", Style::suburb, false, 0, 100, 60, 9, 6, 1, 2}};
}

std::vector<Cut> cuts() {
    return {{{0, 2130}, {3700, 2250}, 20, 11, "Ring Road", 1, 6},
            {{1400, 2100}, {1270, 3700}, 15, 9, "Signal Hill Road", 2, 3},
            {{0, 2800}, {1400, 2720}, 12, 7, "Upper Terrace", ~signalHill, ~fernside},
            {{2330, 2100}, {2460, 3700}, 15, 9, "Priory Road", 4, 5},
            {{1200, 2860}, {2500, 2780}, 12, 7, "Reservoir Road", ~highPriory, ~priory},
            {{2300, 2830}, {3700, 2720}, 12, 7, "Lark Hill", ~larkDown, ~larkfield},
            {{0, 1300}, {3700, 1260}, 19, 10.5, "Bay Street", 7, 12},
            {{975, 1200}, {930, 2250}, 20, 11, "Long Avenue", 8, 9},
            {{0, 1770}, {1000, 1740}, 13, 8, "Mill Hill", ~westhill, ~ropewalk},
            {{2200, 1200}, {2240, 2300}, 18, 10, "Station Road", 10, 11},
            {{930, 1690}, {2230, 1740}, 16, 10, "Exchange Street", ~exchange, ~harbourhead},
            {{2200, 1720}, {3700, 1770}, 18, 10, "Garden Parade", 16, ~eastgate},
            {{900, 0}, {935, 1320}, 14, 8, "Old Wall", ~fishergate, 13},
            {{1765, 0}, {1765, 1320}, 0, 0, "", ~oldTown, 14},
            {{2560, 0}, {2600, 1320}, 16, 9, "Quay Road", ~industryQuay, 15},
            {{2550, 840}, {3700, 880}, 13, 8, "Strand Road", ~strand, ~strandGardens},
            {{2720, 1700}, {2760, 2300}, 14, 8, "Stadium Way", ~limePark, ~larchCourt}};
}

struct Landmark {
    const char* name;
    PlanePoint near;
    enum class Shape { church, market, townHall, hospital, school, stadium, square } shape;
};
constexpr Landmark kLandmarks[] = {{"Harbour Church", {1170, 830}, Landmark::Shape::church},
                                   {"Market Hall", {1330, 1110}, Landmark::Shape::market},
                                   {"Town Hall", {1560, 1480}, Landmark::Shape::townHall},
                                   {"Customs Square", {1640, 1330}, Landmark::Shape::square},
                                   {"Merrow Hospital", {2880, 1960}, Landmark::Shape::hospital},
                                   {"Priory School", {1820, 2420}, Landmark::Shape::school},
                                   {"Westhill School", {640, 1880}, Landmark::Shape::school},
                                   {"Lime Park Stadium", {2480, 1990}, Landmark::Shape::stadium}};

// The town thins out with distance from the harbour and up the hills; its rim is ragged.
double townness(const Land& land, PlanePoint p, Style style) {
    const bool villas = style == Style::villas;
    const double far = planeDistance(p, {1750, 1450}) + 150 * noise(41, p.x / 260, p.y / 260);
    return std::min(((villas ? 1700 : 1440) - far) / 400, ((villas ? 140 : 112) - land.heightM(p)) / 40);
}

class Mapmaker {
public:
    Mapmaker(Fabric& fabric, std::vector<Ring>& parks, std::vector<Block>& blocks)
        : m_fabric(fabric), m_parks(parks), m_blocks(blocks) {}

    void landmark(const Landmark& mark) {
        Block& block = blockNear(mark.near);
        block.taken = true;
        const PlanePoint u = mainDirection(block.area);
        const PlanePoint at = bent(centroidOf({block.area, {}}));
        m_mark = &mark;
        m_district = block.district;
        using Shape = Landmark::Shape;
        switch (mark.shape) {
        case Shape::church:
            put(rectangle(at, u, 17, 7.5), 15, 1, BuildingUse::public_);
            put(rectangle(at - unit(u) * 20.54, u, 3.5, 3.5), 38, 1, BuildingUse::public_, " tower");
            break;
        case Shape::market:
            put(fit(block.area, 3), 10, 1, BuildingUse::commercial);
            break;
        case Shape::townHall: {
            Ring yard = bentRing(*setBack(block.area, 17), 20);
            std::reverse(yard.begin(), yard.end());
            put(fit(block.area, 1), 21, 5, BuildingUse::public_, "", yard);
            break;
        }
        case Shape::hospital:
            hospital(at, u);
            break;
        case Shape::school:
            school(at, u);
            break;
        case Shape::stadium: {
            Ring pitch = oval(at, u, 62, 44, 28);
            std::reverse(pitch.begin(), pitch.end());
            put(oval(at, u, 82, 64, 28), 13, 3, BuildingUse::public_, "", pitch);
            m_parks.push_back(bentRing(block.area, 20));
            break;
        }
        case Shape::square:
            m_parks.push_back(bentRing(block.area, 20));
            break;
        }
    }

private:
    Block& blockNear(PlanePoint p) {
        return *std::min_element(m_blocks.begin(), m_blocks.end(), [&](const Block& a, const Block& b) {
            const auto far = [&](const Block& k) {
                return k.taken ? 1e9 : planeDistance(bent(centroidOf({k.area, {}})), p);
            };
            return far(a) < far(b);
        });
    }

    static Ring fit(const Ring& board, double setBackM) { return bentRing(*setBack(board, setBackM), 20); }

    void put(const Ring& ring, double heightM, int storeys, BuildingUse use, const char* part = "",
             const Ring& hole = {}) {
        House house;
        house.footprint.outer = ring;
        if (!hole.empty()) house.footprint.holes.push_back(hole);
        house.heightM = heightM;
        house.storeys = storeys;
        house.use = use;
        house.name = std::string(m_mark->name) + part;
        house.district = m_district;
        m_fabric.place(std::move(house));
    }

    void hospital(PlanePoint at, PlanePoint u) {
        const PlanePoint v = leftOf(unit(u));
        put(rectangle(at, u, 48, 8), 31, 8, BuildingUse::public_);
        put(rectangle(at + v * 22.1 + u * 24, u, 8, 14), 24, 6, BuildingUse::public_, " north wing");
        put(rectangle(at - v * 22.1 - u * 22, u, 8, 14), 20, 5, BuildingUse::public_, " south wing");
        put(rectangle(at - v * 26 + u * 24, u, 18, 9), 7, 1, BuildingUse::public_, " entrance hall");
    }

    void school(PlanePoint at, PlanePoint u) {
        const PlanePoint v = leftOf(unit(u)), c = at - v * 6;
        const auto corner = [&](double s, double t) { return c + u * s + v * t; };
        put({corner(-32, -6), corner(32, -6), corner(32, 19), corner(22, 19), corner(22, 5), corner(-22, 5),
             corner(-22, 19), corner(-32, 19)},
            10, 2, BuildingUse::public_);
    }

    Fabric& m_fabric;
    std::vector<Ring>& m_parks;
    std::vector<Block>& m_blocks;
    const Landmark* m_mark = nullptr;
    int m_district = -1;
};

// The road along the water's edge of the harbour.
void harbourFront(Fabric& fabric, const Land& land) {
    const auto alongShore = [&](double inM, const Box& box, const char* name, double carriageM, int rank) {
        Line path;
        const Ring& coast = land.coast();
        for (std::size_t i = 0; i < coast.size(); i += 2) {
            const PlanePoint d =
                unit(coast[(i + 4) % coast.size()] - coast[(i + coast.size() - 4) % coast.size()]);
            const PlanePoint p = coast[i] + leftOf(d) * inM;
            if (box.contains(p) && land.inlandM(p) > inM * 0.8)
                path.push_back({toMillimetre(p.x), toMillimetre(p.y)});
        }
        fabric.addStreet({name, path, carriageM, carriageM + 6, rank, -1});
    };
    alongShore(15, {1420, 600, 2240, 1290}, "Harbour Front", 8, 0);
}

} // namespace

PortMerrowMap::PortMerrowMap()
    : fabric({[this](PlanePoint p) { return land.inlandM(p); },
              [this](PlanePoint p) { return land.heightM(p); },
              [this](PlanePoint p, Style style) { return townness(land, p, style); }, kTownArea},
             districts(), 4711) {
    Layout layout =
        layOut({{-100, 0}, {3800, 0}, {3800, 3700}, {-100, 3700}}, cuts(), fabric.districts(), 99);
    harbourFront(fabric, land);
    fabric.addStreets(layout, streetNames(5));
    Mapmaker maker(fabric, parks, layout.blocks);
    for (const Landmark& mark : kLandmarks) maker.landmark(mark);
    House light;
    light.footprint.outer = oval({1396, 462}, {1, 0}, 4, 4, 12);
    light.heightM = 26;
    light.storeys = 1;
    light.use = BuildingUse::public_;
    light.name = "Merrow Light";
    fabric.place(std::move(light));
    fabric.build(layout.blocks);
    trees = plantTrees(fabric, parks, 77);
}

} // namespace fw::town
