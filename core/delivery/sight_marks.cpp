// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/sight_marks.h"

#include "base/log_exp.h"
#include "geo/frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kStepDeg = 1.5, kNearestM = 20, kFarthestM = 400;
constexpr double kCentralDeg = 10, kSideFromDeg = 8, kSideToDeg = 60;
constexpr double kCornerWithinDeg = 1.0; // two bearings of the skyline

using SolidOf = std::function<std::optional<SightSolid>(ItemId)>;

struct Candidate {
    SightMark mark;
    double score = 0;
};

double gridBearing(PlanePoint from, PlanePoint to) { return gridAzimuth(from, to).deg; }

// The outermost corner of the building near that bearing, on the side where the building ends.
std::optional<PlanePoint> cornerNear(const SightSolid& s, PlanePoint at, double bearingDeg, bool left) {
    std::optional<PlanePoint> best;
    double bestOff = 0;
    for (const PlanePoint c : s.footprint.outer) {
        const double off = wrap180(gridBearing(at, c) - bearingDeg);
        if (std::fabs(off) > kCornerWithinDeg) continue;
        const bool better = !best || (left ? off < bestOff : off > bestOff) ||
                            (off == bestOff && planeDistance(at, c) < planeDistance(at, *best));
        if (better) {
            best = c;
            bestOff = off;
        }
    }
    return best;
}

double scoreOf(const SightMark& m, const SightSolid& s, double stepDeg) {
    double score = std::min(stepDeg, 8.0);
    if (!s.name.empty()) score += 4;
    if (s.heightM >= 15) score += 2;
    if (m.distanceM > 250) score -= 2;
    if (m.distanceM < 35) score -= 1;
    return score;
}

std::string textOf(const SightMark& m) {
    const double off = std::round(m.offsetDeg);
    const std::string aim = std::fabs(off) < 0.5 ? std::string("boresight")
                                                 : fmt::format("{:.0f} deg {} of boresight", std::fabs(off),
                                                               off < 0 ? "left" : "right");
    const double e = std::round(m.elevationDeg);
    return fmt::format("{}: {}, {:.0f} m, elevation {}{:.0f} deg", aim, m.what, m.distanceM, e > 0 ? "+" : "",
                       e == 0 ? 0.0 : e);
}

std::optional<Candidate> candidateAt(const Skyline& sky, const SightTask& task, const SolidOf& solidOf,
                                     int k) {
    // The end lies between bearings k and k + 1; it belongs to whichever side stands higher.
    const auto& a = sky.bearing[static_cast<std::size_t>(k)];
    const auto& b = sky.bearing[static_cast<std::size_t>((k + 1) % Skyline::kBearings)];
    if (a.cause == b.cause) return {};
    const double step = static_cast<double>(a.elevationDeg) - static_cast<double>(b.elevationDeg);
    if (std::fabs(step) < kStepDeg) return {};
    const bool left = step < 0; // higher on the right: the building's left end
    const auto& high = left ? b : a;
    if (!high.cause || high.cause == task.own) return {};
    const auto s = solidOf(high.cause);
    if (!s) return {};
    const auto corner = cornerNear(*s, task.at, k * 0.5 + 0.25, left);
    if (!corner) return {};
    Candidate c;
    c.mark.at = *corner;
    c.mark.building = high.cause;
    c.mark.leftCorner = left;
    c.mark.distanceM = planeDistance(task.at, *corner) / task.scale;
    if (c.mark.distanceM < kNearestM || c.mark.distanceM > kFarthestM) return {};
    const double bearing = gridBearing(task.at, *corner);
    c.mark.azimuthTrueDeg = wrap360(bearing + task.convergenceDeg);
    c.mark.offsetDeg = wrap180(bearing - task.azimuth.deg);
    // The skyline has the top where its bearing meets the wall, which may be nearer than the corner.
    const SinCos e = sinCosDegFixed(static_cast<double>(high.elevationDeg));
    const double riseM = static_cast<double>(high.distanceM) * e.sin / e.cos;
    c.mark.elevationDeg = atan2DegFixed(riseM, c.mark.distanceM);
    c.mark.what = std::string(left ? "left" : "right") + " corner of " + describe(*s);
    c.score = scoreOf(c.mark, *s, std::fabs(step));
    return c;
}

const Candidate* bestOf(const std::vector<Candidate>& all, double fromDeg, double toDeg, double wishedDeg,
                        double perDegree, const std::vector<const Candidate*>& taken) {
    const Candidate* best = nullptr;
    double bestScore = 0;
    for (const Candidate& c : all) {
        if (c.mark.offsetDeg < fromDeg || c.mark.offsetDeg > toDeg) continue;
        // Two marks within 4 deg of each other say the same thing twice.
        if (std::any_of(taken.begin(), taken.end(), [&](const Candidate* t) {
                return std::fabs(t->mark.offsetDeg - c.mark.offsetDeg) < 4;
            }))
            continue;
        const double score = c.score - perDegree * std::fabs(c.mark.offsetDeg - wishedDeg);
        if (!best || score > bestScore) {
            best = &c;
            bestScore = score;
        }
    }
    return best;
}

} // namespace

std::string describe(const SightSolid& s) {
    if (!s.name.empty()) return s.name;
    const char* word = s.heightM >= 20 ? "tall block" : s.heightM >= 7 ? "block" : "low building";
    if (s.storeys <= 0 || s.heightM < 7) return word;
    return fmt::format("{}, {} storeys", word, s.storeys);
}

std::vector<SightMark> sightMarks(const Skyline& sky, const SightTask& task, const SolidOf& solidOf) {
    std::vector<Candidate> all;
    for (int k = 0; k < Skyline::kBearings; ++k) {
        // Only bearings that can be chosen are worth the look-up of a building.
        if (std::fabs(wrap180(k * 0.5 - task.azimuth.deg)) > kSideToDeg + 1) continue;
        if (auto c = candidateAt(sky, task, solidOf, k)) all.push_back(std::move(*c));
    }
    std::vector<const Candidate*> taken;
    const auto take = [&](double from, double to, double wished, double perDegree) {
        if (const Candidate* c = bestOf(all, from, to, wished, perDegree, taken)) taken.push_back(c);
    };
    take(-kCentralDeg, kCentralDeg, 0, 0.8);
    take(-kSideToDeg, -kSideFromDeg, -25, 0.08);
    take(kSideFromDeg, kSideToDeg, 25, 0.08);
    std::sort(taken.begin(), taken.end(),
              [](const Candidate* a, const Candidate* b) { return a->mark.offsetDeg < b->mark.offsetDeg; });
    std::vector<SightMark> out;
    for (const Candidate* c : taken) {
        out.push_back(c->mark);
        out.back().number = static_cast<int>(out.size());
        out.back().text = textOf(out.back());
    }
    return out;
}

std::string boresightText(const Skyline& sky, const SightTask& task, const SolidOf& solidOf) {
    const auto& b = sky.at(task.azimuth.deg);
    const double reachM = static_cast<double>(b.solidM) / task.scale;
    if (reachM > kFarthestM || (b.solid && b.solid == task.own))
        return fmt::format("Along the boresight, level with the antenna: nothing for at least {:.0f} m.",
                           kFarthestM);
    const auto s = b.solid ? solidOf(b.solid) : std::nullopt;
    const std::string what = s ? describe(*s) : b.solid ? "a tree" : "rising ground";
    return fmt::format("Along the boresight, level with the antenna: {}, after {:.0f} m.", what, reachM);
}

} // namespace fw
