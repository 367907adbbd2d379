// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/places.h"

#include "base/log_exp.h"
#include "plan/wall_snap.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr int kBearings = 8;
constexpr double kGrowth = 1.35;    // each distance over the one before, from where the step is less
constexpr double kSameWallM = 0.6;  // a place that snaps farther away lies beyond the wall's end
constexpr double kFootClearM = 0.5; // a pole keeps off walls
constexpr double kWallReachM = 2;

std::string towards(PlanePoint by) {
    static const char* const kNames[] = {"north", "north-east", "east", "south-east",
                                         "south", "south-west", "west", "north-west"};
    const double deg = wrap360(degrees(std::atan2(by.x, by.y)));
    return kNames[static_cast<std::size_t>(std::lround(deg / 45)) % 8];
}

std::vector<double> distances(double stepM, double reachM) {
    std::vector<double> out;
    for (double d = stepM; d <= reachM + 1e-9; d = std::max(d + stepM, std::floor(d * kGrowth)))
        out.push_back(d);
    return out;
}

} // namespace

std::vector<ShiftedMount> placesNear(const Study& study, const Mount& mount, double stepM, double reachM) {
    const WallIndex walls(study.plan().scenery);
    const bool pole = mount.kind == MountKind::pole;
    const Footing now = pole ? Footing{} : footingOf(walls, mount.kind, mount.at, kWallReachM);
    std::vector<double> bearings;
    if (mount.faces) {
        const double along = study.frame().toGrid(*mount.faces, mount.at).deg + 90;
        bearings = {along, along + 180};
    } else {
        for (int k = 0; k < kBearings; ++k) bearings.push_back(360.0 * k / kBearings);
    }
    std::vector<ShiftedMount> out;
    for (const double b : bearings) {
        const SinCos dir = sinCosDegFixed(wrap360(b));
        for (const double d : distances(stepM, reachM)) {
            const PlanePoint wanted = mount.at + PlanePoint{dir.sin, dir.cos} * d;
            ShiftedMount s{mount, 0, {}};
            s.mount.at = wanted;
            if (pole) {
                if (study.surface().prismAt(wanted) >= 0 || walls.snap(wanted, kFootClearM)) continue;
            } else {
                const Footing f = footingOf(walls, mount.kind, wanted, kWallReachM);
                if (!f.building || f.building != now.building || planeDistance(f.at, wanted) > kSameWallM)
                    continue;
                s.mount.at = f.at;
                if (const auto faces = f.faces()) s.mount.faces = study.frame().toTrue(*faces, f.at);
            }
            s.metres = planeDistance(s.mount.at, mount.at);
            s.towards = towards(s.mount.at - mount.at);
            if (s.metres >= stepM / 2) out.push_back(std::move(s));
        }
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const ShiftedMount& a, const ShiftedMount& b) { return a.metres < b.metres; });
    return out;
}

} // namespace fw
