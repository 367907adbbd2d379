// SPDX-License-Identifier: GPL-3.0-or-later
// Mounts that are bad on purpose. Each is looked for by plain geometry of its own, so that it shows whether
// the review finds what stands in the town, not what the review itself thinks.
#include "port_merrow_parts.h"

#include "pieces.h"

#include <algorithm>
#include <cmath>
#include <functional>

namespace fw::town {

namespace {

struct Macro {
    ItemId id;
    PlanePoint at; ///< town metres
    double amsl = 0;
};

class BadMounts {
public:
    explicit BadMounts(RollOut& roll)
        : m_roll(roll), m_build(roll.build()), m_fabric(roll.build().fabric), m_finder(roll.finder()) {
        for (const MacroSite& site : m_build.plan.macroSites) {
            const PlanePoint at = m_build.town(site.at);
            for (const Sector& s : m_build.plan.sectors)
                if (s.site == site.id) {
                    m_macros.push_back({site.id, at, m_build.ground(at) + s.height.m});
                    break;
                }
        }
    }

    std::vector<Expected> expected;

    void facesMacro(std::size_t macro, double nearM, double farM, const char* why);
    void facingPair();
    void looksAtNeighbour();
    void tooClose();
    void intoWall();
    void alongOwnWall();
    void behindLip(double behindM, double aboveM, const char* why);
    void height(double m, const char* why);
    void tiltedDown();
    void nearLine(const char* line, MountKind kind, double withinM, const char* why);
    void unsurveyed();
    void surveyedNear();
    void noSky(MountKind kind, const char* why);
    void towardsSea();
    void towardsHill();
    void atMacroFoot(std::size_t macro, double nearM, double farM, const char* rule, const char* severity,
                     const char* why);
    void outOfFringe(std::size_t macro);

private:
    using Want = std::function<bool(const Spot&)>;
    Spot find(MountKind kind, PlanePoint centre, double radiusM, const Want& want);
    ItemId put(const Spot& spot) { return m_roll.addMount(spot, m_random); }
    void expect(ItemId mount, std::vector<ItemId> subjects, const char* rule, const char* severity,
                const char* why);
    // One radio with one co-channel cell.
    std::pair<ItemId, ItemId> radio(ItemId mount, PlanePoint towards, bool chosen, double tiltDeg = 3,
                                    bool own = false) {
        const ItemId r = m_roll.addRadio(mount, m_build.azimuthOf(towards), tiltDeg);
        return {r, m_roll.addSmall(r, own, m_roll.a(), chosen)};
    }
    [[nodiscard]] double amslOf(const Spot& s) const {
        return m_build.lowestAhead(s.at, s.faces ? &*s.faces : nullptr) + s.heightM;
    }
    [[nodiscard]] bool sees(PlanePoint a, double amslA, PlanePoint b, double amslB, double spareM = 1) const;
    [[nodiscard]] bool quiet(const Spot& s) const { return macroWithin(s.at, 190) < 0; }
    [[nodiscard]] int macroWithin(PlanePoint p, double m) const;
    // The clearest way along the street or away from a wall.
    [[nodiscard]] PlanePoint openWay(const Spot& s) const;

    RollOut& m_roll;
    Build& m_build;
    const Fabric& m_fabric;
    const SpotFinder& m_finder;
    std::vector<Macro> m_macros;
    // A seed for each search, so that changing one moves no other.
    void fresh() { m_random = Random(90210 + 97 * ++m_search); }

    Random m_random{90210};
    std::uint64_t m_search = 0;
};

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

} // namespace

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
