// SPDX-License-Identifier: GPL-3.0-or-later
// How each style of quarter fills a block. Works on the drawing board and bends what it made.
#include "fabric.h"
#include "land.h"
#include "pieces.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

namespace {

class Builder {
public:
    Builder(Fabric& fabric, Random& random, const Block& block)
        : m_fabric(fabric), m_random(random), m_block(block),
          m_district(fabric.districts()[static_cast<std::size_t>(block.district)]) {}

    void build() {
        m_base = m_random.between(m_district.storeysLow, m_district.storeysHigh);
        switch (m_district.style) {
        case Style::oldTown:
            return perimeter(9.5, 16, 26, 0.06);
        case Style::grid:
            return perimeter(12.5, 25, 40, 0.12);
        case Style::terraces:
            return terraces();
        case Style::slabs:
            return slabs();
        case Style::suburb:
            return detached(17, 23);
        case Style::villas:
            return detached(24, 36);
        case Style::industry:
            return sheds();
        case Style::park:
            return;
        }
    }

private:
    int storeys() {
        const double s = m_base + m_random.between(-0.9, 0.9);
        return std::clamp(static_cast<int>(std::floor(s + 0.5)), m_district.storeysLow,
                          m_district.storeysHigh);
    }

    BuildingUse use() {
        const double u = m_random.unit();
        switch (m_district.style) {
        case Style::oldTown:
            return u < 0.68   ? BuildingUse::residential
                   : u < 0.95 ? BuildingUse::commercial
                              : BuildingUse::public_;
        case Style::grid:
            return u < 0.5    ? BuildingUse::residential
                   : u < 0.74 ? BuildingUse::commercial
                   : u < 0.96 ? BuildingUse::office
                              : BuildingUse::public_;
        case Style::industry:
            return u < 0.85 ? BuildingUse::industrial : BuildingUse::office;
        case Style::slabs:
            return u < 0.93 ? BuildingUse::residential : BuildingUse::office;
        default:
            return u < 0.95 ? BuildingUse::residential : BuildingUse::commercial;
        }
    }

    EntryKind entry() {
        const double u = m_random.unit();
        const bool old = m_district.style == Style::oldTown || m_district.style == Style::terraces;
        if (u < 0.06) return old ? EntryKind::traditional : EntryKind::efficient;
        return u < 0.10 ? EntryKind::traditional : EntryKind::unknown;
    }

    void put(const Ring& board, int floors, BuildingUse kind, const Ring& hole = {}) {
        House house;
        house.footprint.outer = bentRing(board, 20);
        if (!hole.empty()) house.footprint.holes.push_back(bentRing(hole, 20));
        finish(std::move(house), floors, kind);
    }

    // A rectangle stays one: bent by its middle and direction alone.
    void putSquare(PlanePoint centre, PlanePoint u, double halfLong, double halfDeep, int floors,
                   BuildingUse kind, bool corner = false) {
        const PlanePoint at = bent(centre), d = unit(bent(centre + u) - at);
        House house;
        house.footprint.outer = rectangle(at, d, halfLong, halfDeep);
        if (corner) { // an L: one quarter left out
            Ring& r = house.footprint.outer;
            const PlanePoint in = at + (r[2] - at) * 0.12;
            const PlanePoint onRight = r[1] + leftOf(d) * dot(in - r[1], leftOf(d));
            const PlanePoint onTop = r[3] + d * dot(in - r[3], d);
            r = {r[0], r[1], onRight, in, onTop, r[3]};
        }
        finish(std::move(house), floors, kind);
    }

    void finish(House house, int floors, BuildingUse kind) {
        house.storeys = floors;
        house.use = kind;
        house.entry = entry();
        house.heightM = heightOfStoreys(floors, m_district.style);
        const bool pitched = m_district.style == Style::suburb || m_district.style == Style::villas ||
                             m_district.style == Style::terraces ||
                             (m_district.style == Style::oldTown && m_random.chance(0.5));
        house.parapetM = pitched ? 0 : m_random.chance(0.3) ? 0.6 : 1;
        house.district = m_block.district;
        m_fabric.place(std::move(house));
    }

    // Houses wall to wall round a yard.
    void perimeter(double depth, double frontLow, double frontHigh, double wholeShare) {
        const Ring& ring = m_block.area;
        const auto inner = setBack(ring, depth);
        if (!inner || signedArea(*inner) < 90) return lots(ring, 260, 0);
        if (m_random.chance(wholeShare) && signedArea(ring) < 6500) {
            Ring yard = *setBack(ring, depth);
            std::reverse(yard.begin(), yard.end());
            return put(ring, storeys(), use(), yard);
        }
        const std::size_t n = ring.size();
        std::vector<std::vector<std::pair<PlanePoint, PlanePoint>>> walls(n); // outer and inner end, by edge
        for (std::size_t i = 0; i < n; ++i) {
            const PlanePoint a = ring[i], d = unit(ring[(i + 1) % n] - a), in = leftOf(d) * depth;
            const double s0 = dot((*inner)[i] - a, d), s1 = dot((*inner)[(i + 1) % n] - a, d);
            const double keep = std::min(4.0, (s1 - s0) / 4);
            const double from = s0 + keep, to = s1 - keep;
            const int lotsHere = s1 - s0 < 10
                                     ? 0
                                     : std::max(1, static_cast<int>(std::lround(
                                                       (to - from) / m_random.between(frontLow, frontHigh))));
            for (int k = 0; k <= lotsHere; ++k) {
                const double s = lotsHere == 0 ? (s0 + s1) / 2 : from + (to - from) * k / lotsHere;
                walls[i].push_back({a + d * s, a + d * s + in});
            }
        }
        for (std::size_t i = 0; i < n; ++i) {
            const auto& before = walls[(i + n - 1) % n].back();
            const auto& after = walls[i].front();
            put({before.first, ring[i], after.first, after.second, (*inner)[i], before.second}, storeys(),
                use());
            for (std::size_t k = 0; k + 1 < walls[i].size(); ++k)
                if (!m_random.chance(0.05))
                    put({walls[i][k].first, walls[i][k + 1].first, walls[i][k + 1].second,
                         walls[i][k].second},
                        storeys(), use());
        }
        backHouses(depth);
    }

    void backHouses(double depth) {
        const auto yard = setBack(m_block.area, depth + 4.5);
        if (!yard || signedArea(*yard) < 260) return;
        const PlanePoint u = mainDirection(m_block.area), v = leftOf(u);
        const Extent eu = extentAlong(*yard, u), ev = extentAlong(*yard, v);
        for (int k = 0; k < 3; ++k) {
            const double halfLong = m_random.between(4, 9), halfDeep = m_random.between(3, 4.5);
            const PlanePoint c = u * m_random.between(eu.from, eu.to) + v * m_random.between(ev.from, ev.to);
            if (fits(*yard, rectangle(c, u, halfLong, halfDeep), 0.2))
                putSquare(c, u, halfLong, halfDeep, m_random.chance(0.6) ? 1 : 2, use());
        }
    }

    static bool fits(const Ring& area, const Ring& r, double marginM) {
        return std::all_of(r.begin(), r.end(), [&](PlanePoint p) {
            return insideRing(area, p) && boundaryDistance(area, p) >= marginM;
        });
    }

    // A piece too small for a yard is built over lot by lot.
    void lots(const Ring& area, double enoughM2, int depth) {
        if (area.empty()) return;
        if (signedArea(area) < enoughM2 * m_random.between(0.8, 1.6) || depth > 8) {
            const auto r = setBack(area, 0.06);
            if (r && signedArea(*r) > 28) put(*r, storeys(), use());
            return;
        }
        const PlanePoint u = mainDirection(area);
        const Extent e = extentAlong(area, u), ev = extentAlong(area, leftOf(u));
        const bool acrossLong = e.length() >= ev.length();
        const PlanePoint along = acrossLong ? u : leftOf(u), d = leftOf(along);
        const Extent& cut = acrossLong ? e : ev;
        const PlanePoint on = along * (cut.from + cut.length() * m_random.between(0.42, 0.58));
        lots(leftPart(area, on, d, 0), enoughM2, depth + 1);
        lots(leftPart(area, on, d * -1, 0), enoughM2, depth + 1);
    }

    // The two rows of plots of a block, back to back: calls f(ring of the row, direction, towards the
    // street).
    template <class F>
    void rows(F&& f) {
        const PlanePoint u = mainDirection(m_block.area), v = leftOf(u);
        const Extent e = extentAlong(m_block.area, v);
        if (e.length() < 30) return f(m_block.area, u, v * -1);
        const PlanePoint middle = v * ((e.from + e.to) / 2);
        f(leftPart(m_block.area, middle, u, 0), u, v);
        f(leftPart(m_block.area, middle, u * -1, 0), u, v * -1);
    }

    // Where a line across a row at `front` metres behind its street side lies inside the block.
    static std::optional<Extent> between(const Ring& row, PlanePoint u, PlanePoint out, double behindM) {
        const Extent e = extentAlong(row, out);
        const auto c = chord(row, out * (e.to - behindM), u);
        if (!c) return std::nullopt;
        const double a = dot(c->first, u), b = dot(c->second, u);
        return Extent{std::min(a, b), std::max(a, b)};
    }

    void terraces() {
        rows([&](const Ring& row, PlanePoint u, PlanePoint out) {
            if (row.empty()) return;
            const double front = m_random.between(1.2, 3), depth = m_random.between(8, 9.5);
            const auto a = between(row, u, out, front), b = between(row, u, out, front + depth);
            if (!a || !b) return;
            const double from = std::max(a->from, b->from) + 1, to = std::min(a->to, b->to) - 1;
            const double top = extentAlong(row, out).to;
            double s = from;
            while (to - s > 6) {
                const int houses = 4 + static_cast<int>(m_random.below(7));
                const double width = m_random.between(10.5, 14);
                const int floors = storeys();
                for (int k = 0; k < houses && s + width < to; ++k, s += width)
                    terraceHouse(u, out, s, width, top - front, depth, floors);
                s += m_random.between(2.5, 5);
            }
        });
    }

    void terraceHouse(PlanePoint u, PlanePoint out, double s, double width, double front, double depth,
                      int floors) {
        Ring r{u * s + out * front, u * (s + width) + out * front, u * (s + width) + out * (front - depth),
               u * s + out * (front - depth)};
        if (signedArea(r) < 0) std::reverse(r.begin(), r.end());
        put(r, floors, use());
    }

    void detached(double widthLow, double widthHigh) {
        rows([&](const Ring& row, PlanePoint u, PlanePoint out) {
            if (row.empty()) return;
            const Extent e = extentAlong(row, u);
            const double top = extentAlong(row, out).to;
            double s = e.from + 1.5;
            while (s + widthLow < e.to) {
                const double width = m_random.between(widthLow, widthHigh);
                const double halfLong = std::min(width * m_random.between(0.27, 0.36), 8.5);
                const double halfDeep = m_random.between(3.8, 5.2), front = m_random.between(3.5, 7);
                const PlanePoint c = u * (s + width / 2) + out * (top - front - halfDeep);
                s += width;
                if (!fits(row, rectangle(c, u, halfLong, halfDeep), 1) || m_random.chance(0.04)) continue;
                putSquare(c, u, halfLong * 0.93, halfDeep * 0.93, storeys(), use(), m_random.chance(0.3));
                if (!m_random.chance(0.16)) continue;
                const double back = m_random.between(7.5, 11);
                const PlanePoint shed =
                    c - out * (halfDeep + back) + u * m_random.between(-width / 3, width / 3);
                if (fits(row, rectangle(shed, u, 2.4, 1.9), 0.6))
                    putSquare(shed, u, 2.4, 1.9, 1, BuildingUse::other);
            }
        });
    }

    void slabs() {
        const PlanePoint u = directionDeg(m_district.directionDeg + (m_random.chance(0.5) ? 0 : 90)),
                         v = leftOf(u);
        const Extent eu = extentAlong(m_block.area, u), ev = extentAlong(m_block.area, v);
        for (double t = ev.from + 14; t < ev.to - 10; t += m_random.between(36, 46))
            for (double s = eu.from + 4; s < eu.to - 20;) {
                const bool tower = m_random.chance(0.2);
                const double halfLong = tower ? 11 : m_random.between(19, 32), halfDeep = tower ? 11 : 6.5;
                const PlanePoint c = u * (s + halfLong) + v * (t + m_random.between(-3, 3));
                const int floors =
                    tower ? m_district.storeysHigh - static_cast<int>(m_random.below(3)) : storeys();
                if (fits(m_block.area, rectangle(c, u, halfLong, halfDeep), 3))
                    putSquare(c, u, halfLong, halfDeep, floors, use());
                s += 2 * halfLong + m_random.between(12, 20);
            }
        for (int k = 0; k < 9; ++k) { // shops, garages, substations between them
            const PlanePoint c = u * m_random.between(eu.from, eu.to) + v * m_random.between(ev.from, ev.to);
            const bool garage = m_random.chance(0.6);
            const double halfLong = garage ? m_random.between(4, 9) : m_random.between(8, 14),
                         halfDeep = garage ? 2.8 : 6;
            if (fits(m_block.area, rectangle(c, u, halfLong, halfDeep), 2) &&
                m_fabric.roomAt(bent(c), 18) > 15)
                putSquare(c, u, halfLong, halfDeep, 1, garage ? BuildingUse::other : BuildingUse::commercial);
        }
    }

    void sheds() {
        const PlanePoint u = mainDirection(m_block.area), v = leftOf(u);
        const Extent eu = extentAlong(m_block.area, u), ev = extentAlong(m_block.area, v);
        for (double t = ev.from; t < ev.to - 16;) {
            const double deep = m_random.between(20, 32);
            for (double s = eu.from; s < eu.to - 16;) {
                const double wide = m_random.between(22, 46);
                const PlanePoint c = u * (s + wide / 2) + v * (t + deep / 2);
                if (!fits(m_block.area, rectangle(c, u, wide / 2, deep / 2), 1.5)) {
                    s += 6;
                    continue;
                }
                s += wide + m_random.between(5, 9);
                if (m_random.chance(0.12))
                    silos(c, u, wide / 2);
                else
                    putSquare(c, u, wide / 2, deep / 2,
                              m_random.chance(0.7) ? 1 + static_cast<int>(m_random.below(3)) : 3, use(),
                              m_random.chance(0.2));
            }
            t += deep + m_random.between(6, 9);
        }
    }

    void silos(PlanePoint c, PlanePoint u, double halfLong) {
        for (double s = -halfLong + 6; s < halfLong - 5; s += 11.5) {
            House house;
            house.footprint.outer = oval(bent(c + u * s), u, 4.8, 4.8, 12);
            finish(std::move(house), 6, BuildingUse::industrial);
        }
    }

    Fabric& m_fabric;
    Random& m_random;
    const Block& m_block;
    const District& m_district;
    double m_base = 2;
};

} // namespace

void Fabric::build(const std::vector<Block>& blocks) { buildUpTo(blocks, SIZE_MAX); }

void Fabric::buildUpTo(const std::vector<Block>& blocks, std::size_t most) {
    for (const Block& block : blocks) {
        if (m_houses.size() >= most) break;
        const Style style = m_districts[static_cast<std::size_t>(block.district)].style;
        if (!block.taken && m_country.townness(bent(centroidOf({block.area, {}})), style) > 0)
            Builder(*this, m_random, block).build();
    }
    if (m_houses.size() <= most) return;
    m_houses.resize(most); // of the last block
    m_housePlaces.forgetFrom(static_cast<int>(most));
}

} // namespace fw::town
