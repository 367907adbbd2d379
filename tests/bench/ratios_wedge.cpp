// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/log_exp.h"
#include "base/random.h"
#include "bench/ratios.h"

#include <fmt/format.h>
#include <geos_c.h>

#include <algorithm>
#include <array>
#include <cstdio>

namespace fw::bench {
namespace {

constexpr double kWedgeM = 100, kHalfDeg = 32.5;
constexpr int kChords = 8;

/// A beam on the ground: its antenna and an arc of chords, anticlockwise; convex.
struct Wedge {
    std::array<PlanePoint, kChords + 2> corners;
    Box box;
};

Wedge wedgeAt(PlanePoint at, double azimuthDeg) {
    Wedge w;
    w.corners[0] = at;
    w.box.add(at);
    for (int k = 0; k <= kChords; ++k) { // from right to left, so that it runs anticlockwise
        const SinCos a = sinCosDegFixed(wrap360(azimuthDeg + kHalfDeg - 2 * kHalfDeg * k / kChords));
        w.corners[static_cast<std::size_t>(k + 1)] = at + PlanePoint{a.sin * kWedgeM, a.cos * kWedgeM};
        w.box.add(w.corners[static_cast<std::size_t>(k + 1)]);
    }
    return w;
}

double leftOf(PlanePoint a, PlanePoint b, PlanePoint p) {
    return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

/// Whether segment p-q shares a point with the wedge, by cutting it with each side in turn.
bool meets(const Wedge& w, PlanePoint p, PlanePoint q) {
    double from = 0, to = 1;
    for (std::size_t k = 0, j = w.corners.size() - 1; k < w.corners.size(); j = k++) {
        const double a = leftOf(w.corners[j], w.corners[k], p), b = leftOf(w.corners[j], w.corners[k], q);
        if (a < 0 && b < 0) return false;
        if (a < 0) from = std::max(from, a / (a - b));
        if (b < 0) to = std::min(to, a / (a - b));
    }
    return from <= to;
}

/// Whether one side of the wedge has the whole box on its outer side.
bool apart(const Wedge& w, const Box& b) {
    for (std::size_t k = 0, j = w.corners.size() - 1; k < w.corners.size(); j = k++) {
        const PlanePoint a = w.corners[j], c = w.corners[k];
        const PlanePoint inmost{c.y > a.y ? b.x0 : b.x1, c.x > a.x ? b.y1 : b.y0};
        if (leftOf(a, c, inmost) < 0) return true;
    }
    return false;
}

/// Whether an area shares a point with the wedge: an edge of either kind does, or the wedge lies within.
bool meets(const Wedge& w, const Polygon& p, const Box& box) {
    if (apart(w, box)) return false;
    const auto edges = [&](const Ring& ring) {
        for (std::size_t k = 0, j = ring.size() - 1; k < ring.size(); j = k++)
            if (meets(w, ring[j], ring[k])) return true;
        return false;
    };
    return edges(p.outer) || std::any_of(p.holes.begin(), p.holes.end(), edges) || contains(p, w.corners[0]);
}

/// The same through the general geometry library: a tree of boxes, then prepared geometries.
class GeosPeer {
public:
    explicit GeosPeer(const std::vector<Prism>& prisms) : m_tree(GEOSSTRtree_create_r(m_geos, 10)) {
        m_areas.reserve(prisms.size());
        for (const Prism& p : prisms) {
            std::vector<GEOSGeometry*> holes;
            for (const Ring& h : p.footprint.holes) holes.push_back(ring(h.data(), h.size()));
            m_areas.push_back(
                GEOSGeom_createPolygon_r(m_geos, ring(p.footprint.outer.data(), p.footprint.outer.size()),
                                         holes.data(), static_cast<unsigned>(holes.size())));
            m_prepared.push_back(GEOSPrepare_r(m_geos, m_areas.back()));
        }
        for (std::size_t k = 0; k < m_areas.size(); ++k)
            GEOSSTRtree_insert_r(m_geos, m_tree, m_areas[k], &m_areas[k]);
    }
    ~GeosPeer() {
        GEOSSTRtree_destroy_r(m_geos, m_tree);
        for (const auto* p : m_prepared) GEOSPreparedGeom_destroy_r(m_geos, p);
        for (auto* g : m_areas) GEOSGeom_destroy_r(m_geos, g);
        GEOS_finish_r(m_geos);
    }
    GeosPeer(const GeosPeer&) = delete;
    GeosPeer& operator=(const GeosPeer&) = delete;

    /// Number of areas that meet the wedge, the wedge or every area prepared.
    long withPreparedWedge(const Wedge& w) {
        return with(w, [this](GEOSGeometry* wedge) {
            const GEOSPreparedGeometry* p = GEOSPrepare_r(m_geos, wedge);
            long hits = 0;
            for (const std::size_t k : m_found) hits += GEOSPreparedIntersects_r(m_geos, p, m_areas[k]) == 1;
            GEOSPreparedGeom_destroy_r(m_geos, p);
            return hits;
        });
    }
    long withPreparedAreas(const Wedge& w) {
        return with(w, [this](GEOSGeometry* wedge) {
            long hits = 0;
            for (const std::size_t k : m_found)
                hits += GEOSPreparedIntersects_r(m_geos, m_prepared[k], wedge) == 1;
            return hits;
        });
    }

private:
    GEOSGeometry* ring(const PlanePoint* corners, std::size_t n) {
        GEOSCoordSequence* s = GEOSCoordSeq_create_r(m_geos, static_cast<unsigned>(n + 1), 2);
        for (std::size_t k = 0; k <= n; ++k)
            GEOSCoordSeq_setXY_r(m_geos, s, static_cast<unsigned>(k), corners[k % n].x, corners[k % n].y);
        return GEOSGeom_createLinearRing_r(m_geos, s);
    }
    template <class F>
    long with(const Wedge& w, F count) {
        GEOSGeometry* g =
            GEOSGeom_createPolygon_r(m_geos, ring(w.corners.data(), w.corners.size()), nullptr, 0);
        m_found.clear();
        GEOSSTRtree_query_r(
            m_geos, m_tree, g,
            [](void* item, void* self) {
                auto* me = static_cast<GeosPeer*>(self);
                me->m_found.push_back(
                    static_cast<std::size_t>(static_cast<GEOSGeometry**>(item) - me->m_areas.data()));
            },
            this);
        const long hits = count(g);
        GEOSGeom_destroy_r(m_geos, g);
        return hits;
    }

    GEOSContextHandle_t m_geos = GEOS_init_r();
    GEOSSTRtree* m_tree;
    std::vector<GEOSGeometry*> m_areas;
    std::vector<const GEOSPreparedGeometry*> m_prepared;
    std::vector<std::size_t> m_found;
};

} // namespace

bool wedgeRows(const Study& study, std::vector<Row>& rows) {
    const auto& prisms = study.surface().prisms();
    const BoxIndex& index = study.surface().prismIndex();
    Random random(5);
    std::vector<Wedge> wedges;
    for (const Mount& m : study.plan().mounts) wedges.push_back(wedgeAt(m.at, random.between(0, 360)));
    if (wedges.empty()) return false;
    const int n = static_cast<int>(wedges.size());
    const auto wedge = [&](int k) -> const Wedge& { return wedges[static_cast<std::size_t>(k)]; };
    GeosPeer peer(prisms);
    std::vector<Box> boxes;
    for (const Prism& p : prisms) boxes.push_back(boundsOf(p.footprint));
    std::vector<std::uint32_t> near;
    std::array<long, 3> hits{};
    const double wedgeMs = medianMs(3, n, [&](int k) { hits[0] += peer.withPreparedWedge(wedge(k)); });
    const double areasMs = medianMs(3, n, [&](int k) { hits[1] += peer.withPreparedAreas(wedge(k)); });
    const double oursMs = medianMs(3, n, [&](int k) {
        index.query(wedge(k).box, near);
        for (const std::uint32_t i : near) hits[2] += meets(wedge(k), prisms[i].footprint, boxes[i]);
    });
    rows.push_back({fmt::format("buildings in a beam of 65 deg, 100 m, of {}", prisms.size()),
                    "GEOS, tree and prepared", std::min(wedgeMs, areasMs), oursMs, Row::Goal::atLeast, 8});
    if (hits[0] == hits[2] && hits[1] == hits[2]) return true;
    fmt::print(stderr, "beams: {} and {} hits by GEOS, {} by ours\n", hits[0], hits[1], hits[2]);
    return false;
}

} // namespace fw::bench
