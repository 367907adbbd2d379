// SPDX-License-Identifier: GPL-3.0-or-later
#include "fabric.h"

#include "land.h"
#include "pieces.h"
#include "plan/scenery.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

void Places::put(int item, const Box& box) {
    const auto cell = [&](double v) { return static_cast<int>(std::floor(v / m_bucketM)); };
    for (int x = cell(box.x0); x <= cell(box.x1); ++x)
        for (int y = cell(box.y0); y <= cell(box.y1); ++y) m_buckets[{x, y}].push_back(item);
}

void Places::forgetFrom(int item) {
    for (auto& [cell, items] : m_buckets) std::erase_if(items, [&](int i) { return i >= item; });
}

std::vector<int> Places::near(const Box& box) const {
    const auto cell = [&](double v) { return static_cast<int>(std::floor(v / m_bucketM)); };
    std::vector<int> out;
    for (int x = cell(box.x0); x <= cell(box.x1); ++x)
        for (int y = cell(box.y0); y <= cell(box.y1); ++y)
            if (const auto it = m_buckets.find({x, y}); it != m_buckets.end())
                out.insert(out.end(), it->second.begin(), it->second.end());
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
}

Fabric::Fabric(Country country, std::vector<District> districts, std::uint64_t seed)
    : m_country(std::move(country)), m_districts(std::move(districts)), m_random(seed) {}

void Fabric::addStreet(TownStreet street) {
    if (street.path.size() < 2) return;
    const int index = static_cast<int>(m_streets.size());
    for (std::size_t i = 0; i + 1 < street.path.size(); ++i) {
        Box box;
        box = {street.path[i].x, street.path[i].y, street.path[i].x, street.path[i].y};
        box.add(street.path[i + 1]);
        m_streetPlaces.put(static_cast<int>(m_stretches.size()), box);
        m_stretches.emplace_back(index, i);
    }
    m_streets.push_back(std::move(street));
}

void Fabric::addStreets(const Layout& layout, const std::vector<std::string>& names) {
    std::size_t next = 0;
    for (const BoardStreet& board : layout.streets) {
        TownStreet street{board.name, {}, board.carriageM, board.rowM, board.rank, board.district};
        std::vector<Line> parts(1);
        for (const PlanePoint& raw : bentLine({board.a, board.b}, 12)) {
            const PlanePoint p{toMillimetre(raw.x), toMillimetre(raw.y)};
            if (m_country.area.contains(p) && m_country.inlandM(p) > 6 &&
                (board.rank == 0 ||
                 m_country.townness(p, m_districts[static_cast<std::size_t>(board.district)].style) > -0.04))
                parts.back().push_back(p);
            else if (!parts.back().empty())
                parts.emplace_back();
        }
        if (street.name.empty()) street.name = names[next++ % names.size()];
        for (Line& part : parts) {
            if (part.size() < 2 || lengthOf(part) < 20) continue;
            street.path = std::move(part);
            addStreet(street);
        }
    }
}

bool Fabric::place(House house) {
    for (PlanePoint& p : house.footprint.outer) p = {toMillimetre(p.x), toMillimetre(p.y)};
    for (Ring& hole : house.footprint.holes)
        for (PlanePoint& p : hole) p = {toMillimetre(p.x), toMillimetre(p.y)};
    auto tidy = tidied(std::move(house.footprint));
    if (!tidy || areaOf(*tidy) < 9) return false;
    house.footprint = std::move(*tidy);
    double low = 1e9, high = -1e9;
    for (const PlanePoint& p : house.footprint.outer) {
        if (!m_country.area.contains(p) || m_country.inlandM(p) < 7) return false;
        const double h = m_country.heightM(p);
        low = std::min(low, h);
        high = std::max(high, h);
        if (kerbAt(p, 12) < 0.3) return false;
    }
    if (high - low > 7) return false;
    const Box box = boundsOf(house.footprint);
    for (const int other : m_housePlaces.near(box))
        if (overlap(house.footprint, m_houses[static_cast<std::size_t>(other)].footprint)) return false;
    house.baseM = low;
    // Floors are level, so the roof stands over the highest corner; its height counts from the lowest one.
    house.heightM = std::floor((house.heightM + 0.8 * (high - low)) * 10 + 0.5) / 10;
    m_housePlaces.put(static_cast<int>(m_houses.size()), box);
    m_houses.push_back(std::move(house));
    return true;
}

int Fabric::houseAt(PlanePoint p) const {
    for (const int i : m_housePlaces.near({p.x, p.y, p.x, p.y}))
        if (contains(m_houses[static_cast<std::size_t>(i)].footprint, p)) return i;
    return -1;
}

double Fabric::roomAt(PlanePoint p, double reachM) const {
    double best = reachM;
    for (const int i : m_housePlaces.near({p.x - reachM, p.y - reachM, p.x + reachM, p.y + reachM})) {
        const Polygon& footprint = m_houses[static_cast<std::size_t>(i)].footprint;
        if (contains(footprint, p)) return 0;
        best = std::min(best, nearestOnBoundary(footprint, p).distanceM);
    }
    return best;
}

namespace {

double distanceToStretch(const TownStreet& street, std::size_t corner, PlanePoint p) {
    const PlanePoint a = street.path[corner], d = street.path[corner + 1] - a;
    const double len2 = dot(d, d);
    const double t = len2 > 0 ? std::clamp(dot(p - a, d) / len2, 0.0, 1.0) : 0.0;
    return planeDistance(p, a + d * t);
}

} // namespace

double Fabric::kerbAt(PlanePoint p, double reachM) const {
    constexpr double kWidestHalfM = 8;
    const double look = reachM + kWidestHalfM;
    double best = reachM;
    for (const int i : m_streetPlaces.near({p.x - look, p.y - look, p.x + look, p.y + look})) {
        const auto& [index, corner] = m_stretches[static_cast<std::size_t>(i)];
        const TownStreet& street = m_streets[static_cast<std::size_t>(index)];
        best = std::min(best, distanceToStretch(street, corner, p) - street.carriageM / 2);
    }
    return best;
}

int Fabric::streetNear(PlanePoint p, double reachM) const {
    int best = -1;
    double nearest = reachM;
    for (const int i : m_streetPlaces.near({p.x - reachM, p.y - reachM, p.x + reachM, p.y + reachM})) {
        const auto& [index, corner] = m_stretches[static_cast<std::size_t>(i)];
        const double d = distanceToStretch(m_streets[static_cast<std::size_t>(index)], corner, p);
        if (d < nearest) {
            nearest = d;
            best = index;
        }
    }
    return best;
}

double heightOfStoreys(int storeys, Style style) {
    const double each = style == Style::grid ? 3.4 : style == Style::oldTown ? 3.0 : 2.9;
    return storeys * each +
           (style == Style::suburb || style == Style::villas || style == Style::terraces ? 1.4 : 0.8);
}

} // namespace fw::town
