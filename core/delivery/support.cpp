// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/support.h"

#include "geo/frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kSameWallDeg = 5, kTapeReachM = 40;

double turnDeg(PlanePoint a, PlanePoint b, PlanePoint c) {
    return std::fabs(wrap180(gridAzimuth(b, c).deg - gridAzimuth(a, b).deg));
}

const char* compassWord(double azimuthDeg) {
    static constexpr const char* kWords[] = {"north", "north-east", "east", "south-east",
                                             "south", "south-west", "west", "north-west"};
    return kWords[static_cast<int>(std::floor(wrap360(azimuthDeg + 22.5) / 45.0)) % 8];
}

std::string fromNearestCorner(const Study& study, const Mount& mount) {
    std::vector<std::uint32_t> near;
    const Box around = Box{mount.at.x, mount.at.y, mount.at.x, mount.at.y}.grown(kTapeReachM);
    study.surface().prismIndex().query(around, near);
    double best = kTapeReachM;
    PlanePoint corner;
    const Prism* of = nullptr;
    for (const auto i : near) {
        const Prism& p = study.surface().prisms()[i];
        for (const PlanePoint c : p.footprint.outer) {
            const double d = planeDistance(c, mount.at);
            if (d < best) {
                best = d;
                corner = c;
                of = &p;
            }
        }
    }
    if (!of) return {};
    const double fromCentre =
        study.frame().toTrue(gridAzimuth(centroidOf(of->footprint), corner), corner).deg;
    const auto solid = solidOf(study.plan(), of->id);
    return fmt::format("{:.2f} m from the {} corner of {}", study.frame().groundDistance(corner, mount.at),
                       compassWord(fromCentre),
                       solid ? describe(*solid) : std::string("the nearest building"));
}

} // namespace

const char* wordFor(MountKind kind) {
    switch (kind) {
    case MountKind::pole:
        return "pole";
    case MountKind::wall:
        return "wall";
    case MountKind::parapet:
        return "parapet";
    case MountKind::roof:
        return "roof";
    }
    return "mount";
}

const char* wordFor(ConsentState s) {
    switch (s) {
    case ConsentState::unknown:
        return "not yet asked";
    case ConsentState::asked:
        return "asked, no answer yet";
    case ConsentState::given:
        return "given";
    case ConsentState::refused:
        return "refused";
    }
    return "unknown";
}

std::optional<SightSolid> solidOf(const Plan& plan, ItemId id) {
    auto b = plan.scenery.building(id);
    if (!b) return {};
    return SightSolid{std::move(b->footprint), b->heightM, b->storeys, std::move(b->name)};
}

ItemId ownBuilding(const Study& study, ItemId mount) {
    const MountPart* part = study.mount(mount);
    if (!part || part->ownPrism < 0) return {};
    return study.surface().prisms()[static_cast<std::size_t>(part->ownPrism)].id;
}

std::string supportText(const Study& study, const Mount& mount) {
    const auto solid = solidOf(study.plan(), ownBuilding(study, mount.id));
    if (mount.kind == MountKind::pole || !solid) return wordFor(mount.kind);
    return fmt::format("{} of {}", wordFor(mount.kind), describe(*solid));
}

std::optional<WallRun> wallRun(const Polygon& footprint, PlanePoint at) {
    const Ring& r = footprint.outer;
    const std::size_t n = r.size();
    if (n < 3) return {};
    std::size_t nearest = 0;
    double best = 0;
    for (std::size_t i = 0; i < n; ++i) {
        const double d = nearestOn({r[i], r[(i + 1) % n]}, at).distanceM;
        if (i == 0 || d < best) {
            best = d;
            nearest = i;
        }
    }
    // The outer ring runs anticlockwise, so whoever faces a wall from outside sees it run from left to right.
    std::size_t first = nearest, last = (nearest + 1) % n;
    for (std::size_t k = 0;
         k < n && turnDeg(r[(first + n - 1) % n], r[first], r[(first + 1) % n]) < kSameWallDeg; ++k)
        first = (first + n - 1) % n;
    for (std::size_t k = 0;
         k < n && turnDeg(r[(last + n - 1) % n], r[last], r[(last + 1) % n]) < kSameWallDeg; ++k)
        last = (last + 1) % n;
    WallRun run;
    bool passed = false;
    for (std::size_t i = first; i != last; i = (i + 1) % n) {
        const double side = planeDistance(r[i], r[(i + 1) % n]);
        if (i == nearest) {
            run.fromLeftM = run.lengthM + nearestOn({r[i], r[(i + 1) % n]}, at).along * side;
            passed = true;
        }
        run.lengthM += side;
    }
    return passed ? std::optional(run) : std::nullopt;
}

std::string tapeText(const Study& study, const Mount& mount) {
    const bool edge = mount.kind == MountKind::wall || mount.kind == MountKind::parapet;
    const auto solid = solidOf(study.plan(), ownBuilding(study, mount.id));
    if (!edge || !solid) return fromNearestCorner(study, mount);
    const auto run = wallRun(solid->footprint, mount.at);
    if (!run) return {};
    const double k = study.frame().scale(mount.at);
    return fmt::format("{:.2f} m from the left corner, facing the wall from outside (wall {:.2f} m long)",
                       run->fromLeftM / k, run->lengthM / k);
}

} // namespace fw
