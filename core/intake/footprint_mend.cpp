// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/footprint_mend.h"

#include "intake/gdal_scope.h"

#include <cpl_string.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>

namespace fw {
namespace {

struct Edge {
    PlanePoint a, b;
    std::size_t ring = 0, at = 0; ///< position within its ring
    double x0 = 0, x1 = 0, y0 = 0, y1 = 0;
};

// A micrometre across an edge of a kilometre; places are kept to that.
constexpr double kTouch = 1e-3;

int side(PlanePoint a, PlanePoint b, PlanePoint p) {
    const double c = cross(b - a, p - a);
    return c > kTouch ? 1 : c < -kTouch ? -1 : 0;
}

/// Whether two edges of no common corner may share a point; in doubt, yes.
bool mayMeet(const Edge& e, const Edge& f) {
    if (e.x1 < f.x0 || f.x1 < e.x0 || e.y1 < f.y0 || f.y1 < e.y0) return false;
    return side(e.a, e.b, f.a) * side(e.a, e.b, f.b) <= 0 && side(f.a, f.b, e.a) * side(f.a, f.b, e.b) <= 0;
}

/// Whether an edge runs back along the one before it.
bool turnsBack(const Edge& before, const Edge& after) {
    const PlanePoint u = before.b - before.a, v = after.b - after.a;
    return std::fabs(cross(u, v)) <= kTouch && dot(u, v) < 0;
}

void addEdges(const Ring& ring, std::size_t number, std::vector<Edge>& edges) {
    for (std::size_t k = 0; k < ring.size(); ++k) {
        const PlanePoint a = ring[k], b = ring[k + 1 == ring.size() ? 0 : k + 1];
        edges.push_back({a, b, number, k, std::min(a.x, b.x), std::max(a.x, b.x), std::min(a.y, b.y),
                         std::max(a.y, b.y)});
    }
}

/// Whether two edges spoil the outline: rings of n corners, by ring.
bool clash(const Edge& e, const Edge& f, std::size_t n) {
    if (e.ring != f.ring) return mayMeet(e, f);
    if (f.at == (e.at + 1) % n) return turnsBack(e, f);
    if (e.at == (f.at + 1) % n) return turnsBack(f, e);
    return mayMeet(e, f);
}

bool edgesClash(std::vector<Edge>& edges, const Polygon& p) {
    const auto corners = [&](std::size_t ring) {
        return ring == 0 ? p.outer.size() : p.holes[ring - 1].size();
    };
    constexpr std::size_t kSort = 24; // below that, sorting costs more than it saves
    const bool sorted = edges.size() > kSort;
    if (sorted)
        std::sort(edges.begin(), edges.end(), [](const Edge& e, const Edge& f) { return e.x0 < f.x0; });
    for (std::size_t i = 0; i < edges.size(); ++i)
        for (std::size_t k = i + 1; k < edges.size(); ++k) {
            if (sorted && edges[k].x0 > edges[i].x1) break;
            if (clash(edges[i], edges[k], corners(edges[i].ring))) return true;
        }
    return false;
}

bool inside(const Ring& ring, PlanePoint at) { return contains(Polygon{ring, {}}, at); }

void dropRepeats(Ring& ring) {
    ring.erase(std::unique(ring.begin(), ring.end()), ring.end());
    while (ring.size() > 1 && ring.front() == ring.back()) ring.pop_back();
}

void addRing(OGRPolygon& to, const Ring& ring) {
    auto r = std::make_unique<OGRLinearRing>();
    for (const PlanePoint& c : ring) r->addPoint(c.x, c.y);
    r->closeRings();
    to.addRingDirectly(r.release());
}

Ring ringOf(const OGRLinearRing& from) {
    Ring ring;
    for (const OGRPoint& p : from) ring.push_back(kept({p.getX(), p.getY()}));
    dropRepeats(ring);
    return ring;
}

void collect(const OGRGeometry& g, std::vector<Polygon>& parts) {
    const auto type = wkbFlatten(g.getGeometryType());
    if (type == wkbPolygon && !g.IsEmpty()) {
        const OGRPolygon& from = *g.toPolygon();
        Polygon p{ringOf(*from.getExteriorRing()), {}};
        for (int k = 0; k < from.getNumInteriorRings(); ++k)
            p.holes.push_back(ringOf(*from.getInteriorRing(k)));
        std::erase_if(p.holes, [](const Ring& hole) { return hole.size() < 3; });
        if (p.outer.size() < 3) return;
        if (auto whole = tidied(std::move(p))) parts.push_back(std::move(*whole));
    } else if (OGR_GT_IsSubClassOf(type, wkbGeometryCollection)) {
        for (const OGRGeometry* part : *g.toGeometryCollection()) collect(*part, parts);
    }
}

std::vector<Polygon> madeValid(const Polygon& outline) {
    const GdalQuiet quiet;
    OGRPolygon drawn;
    addRing(drawn, outline.outer);
    for (const Ring& hole : outline.holes) addRing(drawn, hole);
    CPLStringList options;
    options.SetNameValue("METHOD", "STRUCTURE");
    const std::unique_ptr<OGRGeometry> valid(drawn.MakeValid(options.List()));
    std::vector<Polygon> parts;
    if (valid) collect(*valid, parts);
    std::sort(parts.begin(), parts.end());
    return parts;
}

} // namespace

bool surelyValid(const Polygon& p) {
    std::vector<Edge> edges;
    std::size_t corners = p.outer.size();
    for (const Ring& hole : p.holes) corners += hole.size();
    edges.reserve(corners);
    addEdges(p.outer, 0, edges);
    for (std::size_t h = 0; h < p.holes.size(); ++h) addEdges(p.holes[h], h + 1, edges);
    if (p.outer.size() < 3 || edgesClash(edges, p)) return false;
    // No edge meets another: a ring lies wholly inside or outside another.
    for (std::size_t h = 0; h < p.holes.size(); ++h) {
        if (p.holes[h].size() < 3 || !inside(p.outer, p.holes[h][0])) return false;
        for (std::size_t k = 0; k < p.holes.size(); ++k)
            if (k != h && inside(p.holes[k], p.holes[h][0])) return false;
    }
    return true;
}

std::vector<Polygon> mendedFootprint(Polygon outline, MendTally& tally) {
    dropRepeats(outline.outer);
    for (Ring& hole : outline.holes) dropRepeats(hole);
    std::erase_if(outline.holes, [](const Ring& hole) { return hole.size() < 3; });
    std::vector<Polygon> parts;
    if (outline.outer.size() >= 3 && surelyValid(outline)) {
        if (auto whole = tidied(std::move(outline))) parts.push_back(std::move(*whole));
    } else if (outline.outer.size() >= 3) {
        parts = madeValid(outline);
        // Corners that only touch are valid to the library, too, and come out as they went in.
        const bool same = parts.size() == 1 && parts[0].outer.size() == outline.outer.size() &&
                          std::fabs(areaOf(parts[0]) - areaOf(outline)) < 1e-6;
        if (!parts.empty() && !same) ++tally.mended;
    }
    if (parts.empty()) ++tally.lost;
    constexpr double kLeastM2 = 1;
    tally.slivers += static_cast<std::int64_t>(
        std::erase_if(parts, [](const Polygon& p) { return areaOf(p) < kLeastM2; }));
    return parts;
}

} // namespace fw
