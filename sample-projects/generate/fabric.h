// SPDX-License-Identifier: GPL-3.0-or-later
// The town as it is built: streets and houses in place, none over another.
#pragma once

#include "layout.h"

#include "plan/items.h"

#include <functional>
#include <map>

namespace fw::town {

/// What the fabric must know of the ground; town metres.
struct Country {
    std::function<double(PlanePoint)> inlandM; ///< distance to the shore, negative at sea
    std::function<double(PlanePoint)> heightM;
    std::function<double(PlanePoint, Style)> townness; ///< such a quarter is built where this is above 0
    Box area;                                          ///< nothing is built outside
};

struct TownStreet {
    std::string name;
    Line path;
    double carriageM = 6, rowM = 10;
    int rank = 2, district = -1;
};

struct House {
    Polygon footprint;
    double heightM = 6; ///< roof above the lowest ground under it
    double baseM = 0;   ///< that ground, above the sea
    int storeys = 2;
    BuildingUse use = BuildingUse::residential;
    EntryKind entry = EntryKind::unknown;
    double parapetM = 1;
    std::string name;
    int district = -1;
};

/// Items by place: a hash of square buckets that grows with what is put in.
class Places {
public:
    explicit Places(double bucketM) : m_bucketM(bucketM) {}
    void put(int item, const Box& box);
    /// Items from this one on are not there any more.
    void forgetFrom(int item);
    /// Ascending, each once.
    [[nodiscard]] std::vector<int> near(const Box& box) const;

private:
    double m_bucketM;
    std::map<std::pair<int, int>, std::vector<int>> m_buckets;
};

class Fabric {
public:
    Fabric(Country country, std::vector<District> districts, std::uint64_t seed);

    /// Bends a layout's streets into place. Parts at sea or outside the area are left out.
    void addStreets(const Layout& layout, const std::vector<std::string>& names);
    void addStreet(TownStreet street);
    /// Fills blocks with the houses of their quarter's style. Streets first.
    void build(const std::vector<Block>& blocks);
    /// The same, but stops at so many houses.
    void buildUpTo(const std::vector<Block>& blocks, std::size_t most);
    /// Puts one house, footprint in town metres; false where it would stand in water, in a street, outside or
    /// over another, or on too steep ground.
    bool place(House house);

    [[nodiscard]] const Country& country() const { return m_country; }
    [[nodiscard]] const std::vector<District>& districts() const { return m_districts; }
    [[nodiscard]] const std::vector<TownStreet>& streets() const { return m_streets; }
    [[nodiscard]] const std::vector<House>& houses() const { return m_houses; }
    std::vector<House>& houses() { return m_houses; }
    /// Index of the house over a place, or -1.
    [[nodiscard]] int houseAt(PlanePoint p) const;
    /// Houses whose boxes meet a box.
    [[nodiscard]] std::vector<int> housesNear(const Box& box) const { return m_housePlaces.near(box); }
    /// Distance from a place to the nearest house wall (m), looking no further than `reachM`; 0 inside one.
    [[nodiscard]] double roomAt(PlanePoint p, double reachM) const;
    /// Distance from a place to the nearest kerb (m): negative on a carriageway, reachM where none is near.
    [[nodiscard]] double kerbAt(PlanePoint p, double reachM) const;
    /// Index of the street whose middle is nearest to a place within reach, or -1.
    [[nodiscard]] int streetNear(PlanePoint p, double reachM) const;

private:
    Country m_country;
    std::vector<District> m_districts;
    std::vector<TownStreet> m_streets;
    std::vector<House> m_houses;
    Places m_housePlaces{64}, m_streetPlaces{64};
    std::vector<std::pair<int, std::size_t>> m_stretches; ///< street and corner; what m_streetPlaces holds
    Random m_random;
};

/// Height of a building of so many storeys (m): common practice, ground floor a little higher.
double heightOfStoreys(int storeys, Style style);

} // namespace fw::town
