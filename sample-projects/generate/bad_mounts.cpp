// SPDX-License-Identifier: GPL-3.0-or-later
// The list of bad mounts, and how the town is searched for them.
#include "bad_mounts.h"

#include "pieces.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

Spot BadMounts::find(MountKind kind, PlanePoint centre, double radiusM, const Want& want) {
    fresh();
    for (int tries = 0; tries < 6000; ++tries) {
        const PlanePoint p =
            centre + directionDeg(m_random.between(0, 360)) * (radiusM * std::sqrt(m_random.unit()));
        const auto spot = kind == MountKind::pole ? m_finder.pole(p, m_random) : m_finder.wall(p, m_random);
        if (spot && m_roll.freeFor(spot->at, 25) && m_finder.lineAt(spot->at) > 14 && want(*spot))
            return *spot;
    }
    return {kind, centre, std::nullopt, 7, 0, -1}; // shows up as a finding that is not caught
}

void BadMounts::expect(ItemId mount, std::vector<ItemId> subjects, const char* rule, const char* severity,
                       const char* why) {
    Expected e{m_roll.nameOf(mount), {}, rule, severity, why};
    for (const ItemId id : subjects) e.subjects.push_back(m_roll.nameOf(id));
    expected.push_back(std::move(e));
}

bool BadMounts::sees(PlanePoint a, double amslA, PlanePoint b, double amslB, double spareM) const {
    const double len = planeDistance(a, b);
    const int own = m_fabric.houseAt(b);
    for (double s = 1; s < len - 1; s += 1) {
        const PlanePoint p = between(a, b, s / len);
        const double ray = amslA + (amslB - amslA) * s / len - spareM;
        if (m_build.ground(p) > ray) return false;
        const int h = m_fabric.houseAt(p);
        if (h < 0 || h == own) continue;
        const House& house = m_fabric.houses()[static_cast<std::size_t>(h)];
        if (house.baseM + house.heightM > ray) return false;
    }
    return true;
}

int BadMounts::macroWithin(PlanePoint p, double m) const {
    for (std::size_t i = 0; i < m_macros.size(); ++i)
        if (planeDistance(m_macros[i].at, p) < m) return static_cast<int>(i);
    return -1;
}

PlanePoint BadMounts::openWay(const Spot& s) const {
    PlanePoint best{0, 1};
    double most = -1;
    for (int k = 0; k < 36; ++k) {
        const PlanePoint d = directionDeg(10.0 * k);
        if (s.faces && dot(d, *s.faces) < 0.2) continue;
        const double score = openAhead(m_fabric, s.at, d, 90, 0.5) + 60 * clearShare(m_fabric, s.at, d);
        if (score > most) {
            most = score;
            best = d;
        }
    }
    return best;
}

std::vector<Expected> addBadMounts(RollOut& roll) {
    BadMounts bad(roll);
    bad.facesMacro(0, 105, 135, "looks straight at Harbour Exchange, about 120 m away and in sight");
    bad.facesMacro(6, 150, 190, "looks straight at Eastgate Towers, under 200 m away and in sight");
    bad.facingPair();
    bad.looksAtNeighbour();
    bad.tooClose();
    bad.intoWall();
    bad.alongOwnWall();
    bad.behindLip(6, 0.5, "stands 6 m behind the edge of its roof, which cuts the lower beam");
    bad.behindLip(4, 0.3, "stands low and 4 m behind the edge of its roof");
    bad.height(4.5, "hangs at 4.5 m, in reach of people and in the shadow of vans");
    bad.height(12, "hangs at 12 m, over the street instead of in it");
    bad.tiltedDown();
    bad.nearLine("Mill Hill 11 kV", MountKind::pole, 4.5, "a post within the working zone of the 11 kV line");
    bad.nearLine("Fishergate low voltage 1", MountKind::pole, 3.2,
                 "a post within the working zone of a low-voltage line");
    bad.nearLine("Westhill line", MountKind::pole, 6, "a post beside a line whose voltage nobody knows");
    bad.unsurveyed();
    bad.surveyedNear();
    bad.noSky(MountKind::wall, "TDD timed by satellite from a facade in a narrow lane");
    bad.noSky(MountKind::wall, "TDD timed by satellite, half of the sky behind its own wall");
    bad.towardsSea();
    bad.towardsHill();
    bad.atMacroFoot(8, 30, 60, "macro-too-near", "warn", "stands at the foot of Quay Silo");
    bad.atMacroFoot(11, 55, 80, "macro-faces-cell", "warn",
                    "stands in the beam of Fishergate, which outshines it");
    bad.atMacroFoot(15, 50, 80, "outside-fringe", "warn",
                    "takes load that Larkfield Mast next to it carries cheaply");
    bad.outOfFringe(9);
    std::stable_sort(bad.expected.begin(), bad.expected.end(),
                     [](const Expected& a, const Expected& b) { return a.mount < b.mount; });
    return std::move(bad.expected);
}

} // namespace fw::town
