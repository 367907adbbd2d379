// SPDX-License-Identifier: GPL-3.0-or-later
// One function for each way in which a mount can be bad.
#include "bad_mounts.h"

#include "pieces.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

void BadMounts::facesMacro(std::size_t macro, double nearM, double farM, const char* why) {
    const Macro& m = m_macros[macro];
    const Spot s = find(MountKind::pole, m.at, farM, [&](const Spot& spot) {
        const double d = planeDistance(spot.at, m.at);
        return d > nearM && d < farM && openAhead(m_fabric, spot.at, m.at - spot.at, 40) >= 35 &&
               sees(spot.at, amslOf(spot), m.at, m.amsl);
    });
    const ItemId mount = put(s);
    const auto [r, small] = radio(mount, m.at - s.at, false);
    expect(mount, {small, m.id}, "faces-macro", "block", why);
}

void BadMounts::facingPair() {
    Spot other;
    const Spot s = find(MountKind::pole, {1420, 1680}, 260, [&](const Spot& a) {
        if (!quiet(a) || a.openM < 100) return false;
        for (int tries = 0; tries < 60; ++tries) {
            const auto b = m_finder.pole(a.at + directionDeg(m_random.between(0, 360)) * 80, m_random);
            if (!b || !m_roll.freeFor(b->at, 25)) continue;
            const double d = planeDistance(a.at, b->at);
            if (d < 74 || d > 90 || !sees(a.at, amslOf(a), b->at, amslOf(*b))) continue;
            other = *b;
            return true;
        }
        return false;
    });
    const ItemId one = put(s), two = put(other);
    const auto [r1, small1] = radio(one, other.at - s.at, true);
    const auto [r2, small2] = radio(two, s.at - other.at, true);
    const char* why = "two posts of one street look at each other over about 80 m on one carrier";
    expect(one, {small1, small2}, "mutual-facing", "block", why);
    expect(two, {small1, small2}, "mutual-facing", "block", why);
}

void BadMounts::looksAtNeighbour() {
    Spot other;
    const Spot s = find(MountKind::pole, {2450, 1540}, 280, [&](const Spot& a) {
        if (a.openM < 100 || macroWithin(a.at, 150) >= 0) return false;
        for (int tries = 0; tries < 60; ++tries) {
            const auto b = m_finder.pole(a.at + directionDeg(m_random.between(0, 360)) * 90, m_random);
            if (!b || !m_roll.freeFor(b->at, 25)) continue;
            const double d = planeDistance(a.at, b->at);
            if (d < 70 || d > 105 || !sees(a.at, amslOf(a), b->at, amslOf(*b))) continue;
            if (openAhead(m_fabric, b->at, b->at - a.at, 60) < 50) continue;
            other = *b;
            return true;
        }
        return false;
    });
    const ItemId one = put(s), two = put(other);
    const auto [r1, small1] = radio(one, other.at - s.at, true);
    const auto [r2, small2] = radio(two, other.at - s.at, true); // looks on, away from the first
    expect(one, {small1, small2}, "one-way-facing", "warn",
           "looks into the back of the next post, which looks the same way");
}

void BadMounts::tooClose() {
    const Spot s = find(MountKind::pole, {1580, 1560}, 200,
                        [&](const Spot& a) { return macroWithin(a.at, 120) < 0 && a.openM > 70; });
    const ItemId mount = put(s);
    const PlanePoint d = openWay(s), turn = directionDeg(40);
    const auto [r1, small1] = radio(mount, d, true);
    const auto [r2, small2] = radio(mount, {d.x * turn.x - d.y * turn.y, d.x * turn.y + d.y * turn.x}, true);
    expect(mount, {r1, r2}, "same-mount-spread", "warn", "two radios of one carrier look only 40 deg apart");
}

void BadMounts::intoWall() {
    PlanePoint wall;
    const Spot s = find(MountKind::pole, {1350, 1450}, 350, [&](const Spot& a) {
        if (!quiet(a)) return false;
        for (int k = 0; k < 36; ++k) {
            const PlanePoint d = directionDeg(10.0 * k);
            const double at = openAhead(m_fabric, a.at, d, 20);
            if (at < 5 || at > 7 || clearShare(m_fabric, a.at, d) > 0.1) continue;
            const int h = m_fabric.houseAt(a.at + d * (at + 0.5));
            if (h < 0 || m_fabric.houses()[static_cast<std::size_t>(h)].heightM < 12) continue;
            wall = d;
            return true;
        }
        return false;
    });
    const ItemId mount = put(s);
    const auto [r, small] = radio(mount, wall, false);
    expect(mount, {r}, "into-obstruction", "block", "the beam ends at a house wall about 6 m ahead");
}

void BadMounts::alongOwnWall() {
    PlanePoint along;
    const Spot s = find(MountKind::wall, {1500, 1600}, 350, [&](const Spot& a) {
        along = leftOf(*a.faces);
        return quiet(a) && openAhead(m_fabric, a.at + *a.faces * 1.5, along, 40) >= 35;
    });
    const ItemId mount = put(s);
    const PlanePoint turn = directionDeg(14); // a little into the wall
    const auto [r, small] =
        radio(mount, {along.x * turn.x - along.y * turn.y, along.x * turn.y + along.y * turn.x}, false);
    expect(mount, {r}, "into-obstruction", "block",
           "turned along its own facade: the wall takes more than half of the beam");
}

void BadMounts::behindLip(double behindM, double aboveM, const char* why) {
    fresh();
    for (int tries = 0; tries < 4000; ++tries) {
        const PlanePoint p{m_random.between(1000, 2900), m_random.between(600, 2100)};
        const auto spot = m_finder.roof(p, m_random, behindM, aboveM);
        if (!spot || !m_roll.freeFor(spot->at, 25) || !quiet(*spot) || spot->openM < 15) continue;
        const ItemId mount = put(*spot);
        const auto [r, small] = radio(mount, *spot->faces, false, 4);
        expect(mount, {r}, "roof-edge", "block", why);
        return;
    }
}

void BadMounts::height(double m, const char* why) {
    Spot s =
        find(MountKind::pole, {1650, 1700}, 400, [&](const Spot& a) { return quiet(a) && a.openM > 80; });
    s.heightM = m;
    const ItemId mount = put(s);
    radio(mount, openWay(s), false);
    expect(mount, {mount}, "height-window", "warn", why);
}

void BadMounts::tiltedDown() {
    PlanePoint tower;
    const Spot s = find(MountKind::pole, {2650, 1560}, 450, [&](const Spot& a) {
        if (!quiet(a)) return false;
        for (int k = 0; k < 36; ++k) {
            const PlanePoint d = directionDeg(10.0 * k);
            const double at = openAhead(m_fabric, a.at, d, 70);
            if (at < 25 || at > 55) continue;
            const int h = m_fabric.houseAt(a.at + d * (at + 0.5));
            if (h < 0 || m_fabric.houses()[static_cast<std::size_t>(h)].storeys < 10) continue;
            tower = d;
            return true;
        }
        return false;
    });
    const ItemId mount = put(s);
    const auto [r, small] = radio(mount, tower, false, 9);
    expect(mount, {r}, "tilt-outlook", "warn",
           "tilted 9 deg down in front of a tower: the upper storeys lie above the beam");
}

void BadMounts::nearLine(const char* line, MountKind kind, double withinM, const char* why) {
    for (const OverheadLine& l : m_build.plan.overheadLines) {
        if (l.name != line) continue;
        Line path;
        for (const PlanePoint& p : l.path) path.push_back(m_build.town(p));
        fresh();
        for (int tries = 0; tries < 3000; ++tries) {
            const PlanePoint near = path[m_random.below(static_cast<std::uint32_t>(path.size()))] +
                                    directionDeg(m_random.between(0, 360)) * 9;
            const auto spot =
                kind == MountKind::pole ? m_finder.pole(near, m_random) : m_finder.wall(near, m_random);
            if (!spot || nearestOn(path, spot->at).distanceM > withinM) continue;
            const ItemId mount = put(*spot);
            radio(mount, openWay(*spot), false);
            expect(mount, {mount, l.id}, "line-clearance", "block", why);
            return;
        }
    }
}

void BadMounts::unsurveyed() {
    const Spot s = find(MountKind::pole, {760, 1000}, 300, [&](const Spot& a) {
        return m_finder.lineAt(a.at) > 20 && a.openM > 40 && macroWithin(a.at, 150) < 0;
    });
    Mount m = *m_build.plan.mounts.find(put(s));
    m.linesSurveyed = false;
    m_build.plan.mounts.put(m);
    radio(m.id, openWay(s), false);
    expect(m.id, {m.id}, "line-clearance", "block", "a post where nobody has looked for overhead lines");
}

void BadMounts::surveyedNear() {
    const Spot s = find(MountKind::pole, {600, 2000}, 260, [&](const Spot& a) {
        return m_finder.lineAt(a.at) > 20 && a.openM > 40 && macroWithin(a.at, 150) < 0;
    });
    Mount m = *m_build.plan.mounts.find(put(s));
    m.lineKnownClearanceM = 3.5;
    m.linesSurveyed = false;
    m_build.plan.mounts.put(m);
    radio(m.id, openWay(s), false);
    expect(m.id, {m.id}, "line-clearance", "block",
           "the survey saw a line at 3.5 m and did not read its voltage");
}

void BadMounts::noSky(MountKind kind, const char* why) {
    const Spot s = find(kind, {1290, 860}, 260, [&](const Spot& a) {
        return quiet(a) && m_finder.lineAt(a.at) > 20 && clearShare(m_fabric, a.at, openWay(a)) > 0.5;
    });
    Mount m = *m_build.plan.mounts.find(put(s));
    m.gnssTiming = true;
    m_build.plan.mounts.put(m);
    radio(m.id, openWay(s), false, 3, true);
    expect(m.id, {m.id}, "sky-view", "block", why);
}

void BadMounts::towardsSea() {
    PlanePoint sea;
    const Spot s = find(MountKind::pole, {1500, 800}, 350, [&](const Spot& a) {
        for (int k = 0; k < 36; ++k) {
            const PlanePoint d = directionDeg(10.0 * k);
            bool wet = true;
            for (const double m : {30.0, 80.0, 150.0, 230.0, 300.0})
                wet = wet && m_fabric.country().inlandM(a.at + d * m) < -10;
            if (!wet) continue;
            sea = d;
            return true;
        }
        return false;
    });
    const ItemId mount = put(s);
    const auto [r, small] = radio(mount, sea, false);
    expect(mount, {small}, "sparse-outlook", "warn", "looks over the harbour, where nobody is");
}

void BadMounts::towardsHill() {
    PlanePoint up;
    const Spot s = find(MountKind::pole, {900, 2750}, 400, [&](const Spot& a) {
        for (int k = 0; k < 36; ++k) {
            const PlanePoint d = directionDeg(10.0 * k);
            const int n =
                static_cast<int>(m_fabric
                                     .housesNear({a.at.x + d.x * 140 - 120, a.at.y + d.y * 140 - 120,
                                                  a.at.x + d.x * 140 + 120, a.at.y + d.y * 140 + 120})
                                     .size());
            if (n > 2) continue;
            up = d;
            return true;
        }
        return false;
    });
    const ItemId mount = put(s);
    const auto [r, small] = radio(mount, up, false);
    expect(mount, {small}, "sparse-outlook", "warn", "looks up the bare hillside behind the last houses");
}

void BadMounts::atMacroFoot(std::size_t macro, double nearM, double farM, const char* rule,
                            const char* severity, const char* why) {
    const Macro& m = m_macros[macro];
    std::vector<PlanePoint> beams;
    for (const Sector& s : m_build.plan.sectors)
        if (s.site == m.id) beams.push_back(m_build.directionOf(s.azimuth));
    const Spot s = find(MountKind::pole, m.at, farM, [&](const Spot& a) {
        const PlanePoint d = unit(a.at - m.at);
        const double far = planeDistance(a.at, m.at);
        const bool inBeam =
            std::any_of(beams.begin(), beams.end(), [&](PlanePoint b) { return dot(b, d) > 0.9; });
        return inBeam && far > nearM && far < farM && openAhead(m_fabric, a.at, d, 70) > 45 &&
               sees(a.at, m_build.ground(a.at) + 1.5, m.at, m.amsl, 0.2);
    });
    const ItemId mount = put(s);
    const auto [r, small] = radio(mount, s.at - m.at, true);
    expect(mount, {small}, rule, severity, why);
}

void BadMounts::outOfFringe(std::size_t macro) {
    const Macro& m = m_macros[macro];
    const Spot s = find(MountKind::pole, m.at, 170, [&](const Spot& a) {
        const double far = planeDistance(a.at, m.at);
        return far > 100 && far < 170 && openAhead(m_fabric, a.at, a.at - m.at, 70) > 50;
    });
    const ItemId mount = put(s);
    const auto [r, small] = radio(mount, s.at - m.at, true);
    expect(mount, {small}, "outside-fringe", "warn", "takes load that the macro next to it carries cheaply");
}

} // namespace fw::town
