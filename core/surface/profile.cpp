// SPDX-License-Identifier: GPL-3.0-or-later
#include "surface/profile.h"

#include "base/log_exp.h"
#include "surface/earth.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr double kLightMPerS = 299792458.0;

/// The straight line between the ends, and how obstacles stand to it.
struct Ray {
    PlanePoint a, b;
    double amslA, amslB, lengthM, waveM;

    [[nodiscard]] PlanePoint at(double t) const { return a + (b - a) * t; }
    [[nodiscard]] double amsl(double t) const { return amslA + (amslB - amslA) * t; }
    [[nodiscard]] double bulge(double t) const {
        return lengthM * t * lengthM * (1 - t) / (2 * kEffectiveEarthRadiusM);
    }
    /// nu = h sqrt(2 (d1 + d2) / (lambda d1 d2)), Rec. ITU-R P.526, 4.1.
    [[nodiscard]] ProfileEdge edge(double t, double topAmsl, ItemId cause) const {
        ProfileEdge e;
        e.alongM = lengthM * t;
        e.heightAmsl = topAmsl + bulge(t);
        e.aboveRayM = e.heightAmsl - amsl(t);
        // A wall at an end itself has no first Fresnel zone; a tenth of a metre keeps nu finite.
        const double least = std::min(0.1, lengthM / 2);
        const double d1 = std::clamp(e.alongM, least, lengthM - least), d2 = lengthM - d1;
        e.nu = e.aboveRayM * std::sqrt(2 * lengthM / (waveM * d1 * d2));
        e.cause = cause;
        return e;
    }
};

/// Everything whose box the line may touch, piece by piece: the box of a long slanting line would hold half
/// the town.
void along(const BoxIndex& index, const Ray& ray, std::vector<std::uint32_t>& out) {
    constexpr double kPieceM = 128;
    const int pieces = std::max(1, static_cast<int>(std::ceil(ray.lengthM / kPieceM)));
    std::vector<std::uint32_t> some;
    out.clear();
    for (int k = 0; k < pieces; ++k) {
        Box box;
        box.add(ray.at(double(k) / pieces));
        box.add(ray.at(double(k + 1) / pieces));
        index.query(box, some);
        out.insert(out.end(), some.begin(), some.end());
    }
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
}

void addPrisms(const Surface& s, const Ray& ray, int ownA, int ownB, std::vector<ProfileEdge>& edges) {
    std::vector<std::uint32_t> near;
    along(s.prismIndex(), ray, near);
    for (const std::uint32_t i : near) {
        if (static_cast<int>(i) == ownA || static_cast<int>(i) == ownB) continue;
        const Prism& p = s.prisms()[i];
        for (const Span span : crossings(p.footprint, ray.a, ray.b))
            for (const double t : {span.from, span.to}) edges.push_back(ray.edge(t, s.roofAmsl()[i], p.id));
    }
}

/// The ground sample with the largest nu; samples lie at most a cell apart, strictly between the ends.
ProfileEdge worstGround(const Surface& s, const Ray& ray) {
    const int n = std::max(2, static_cast<int>(std::ceil(ray.lengthM / s.cellM())));
    ProfileEdge worst;
    for (int i = 1; i < n; ++i) {
        const double t = double(i) / n;
        const ProfileEdge e = ray.edge(t, s.groundAt(ray.at(t)), ItemId{});
        if (i == 1 || e.nu > worst.nu) worst = e;
    }
    return worst;
}

/// Length of the line inside crowns (m); where crowns overlap it counts once.
double crownDepth(const Surface& s, const Ray& ray) {
    std::vector<std::uint32_t> near;
    along(s.crownIndex(), ray, near);
    std::vector<Span> spans;
    const PlanePoint step = ray.b - ray.a;
    for (const std::uint32_t i : near) {
        const Crown& c = s.crowns()[i];
        const PlanePoint out = ray.a - c.at;
        const double qa = dot(step, step), qb = dot(out, step), qc = dot(out, out) - c.radiusM * c.radiusM;
        const double root = qb * qb - qa * qc;
        if (root <= 0) continue;
        double from = (-qb - std::sqrt(root)) / qa, to = (-qb + std::sqrt(root)) / qa;
        // Between bottom and top: the bulge at the tree is taken for the whole crown.
        const double lift = s.groundAt(c.at) + ray.bulge(std::clamp(-qb / qa, 0.0, 1.0));
        const double low = lift + c.bottomM - ray.amslA, high = lift + c.topM - ray.amslA;
        const double rise = ray.amslB - ray.amslA;
        if (rise == 0) {
            if (low > 0 || high < 0) continue;
        } else {
            from = std::max(from, std::min(low / rise, high / rise));
            to = std::min(to, std::max(low / rise, high / rise));
        }
        from = std::max(from, 0.0);
        to = std::min(to, 1.0);
        if (from < to) spans.push_back({from, to});
    }
    std::sort(spans.begin(), spans.end(),
              [](const Span& p, const Span& q) { return p.from != q.from ? p.from < q.from : p.to < q.to; });
    double share = 0, reached = 0;
    for (const Span& span : spans) {
        share += std::max(0.0, span.to - std::max(span.from, reached));
        reached = std::max(reached, span.to);
    }
    const double rise = ray.amslB - ray.amslA;
    return share * std::sqrt(ray.lengthM * ray.lengthM + rise * rise);
}

} // namespace

double crownLossDb(double depthM, Hertz f) {
    if (!(depthM > 0) || !(f.v > 0)) return 0;
    const double factor = exp2Fixed(0.284 * log2Fixed(inGigahertz(f) / 2.6));
    return std::min(20.0, 0.6 * factor * depthM);
}

Profile profileBetween(const Surface& surface, const PathEnd& a, const PathEnd& b, Hertz f) {
    Profile out;
    const Ray ray{a.at, b.at, a.amsl, b.amsl, planeDistance(a.at, b.at), kLightMPerS / f.v};
    out.lengthM = ray.lengthM;
    if (ray.lengthM < 1e-3) return out;
    addPrisms(surface, ray, a.ownPrism, b.ownPrism, out.edges);
    out.edges.push_back(worstGround(surface, ray));
    std::stable_sort(out.edges.begin(), out.edges.end(),
                     [](const ProfileEdge& p, const ProfileEdge& q) { return p.alongM < q.alongM; });
    for (const ProfileEdge& e : out.edges) {
        if (e.aboveRayM > 0) out.clear = false;
        if (!out.worst || e.nu > out.worst->nu) out.worst = e;
    }
    out.clearanceM = -out.worst->aboveRayM;
    // The first Fresnel radius is sqrt(lambda d1 d2 / (d1 + d2)), P.526, 2, so that nu
    // is sqrt(2) times the height in such radii.
    out.clearanceF1 = -out.worst->nu * 0.70710678118654752440;
    out.foliageDb = crownLossDb(crownDepth(surface, ray), f);
    return out;
}

} // namespace fw
