// SPDX-License-Identifier: GPL-3.0-or-later
#include "port_merrow_parts.h"

#include "pieces.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <iterator>

namespace fw::town {

namespace {

constexpr char kLetter[] = {'L', 'W', 'P', 'R'};

// Who owns a mount and how one gets to it; all invented.
void describe(Mount& m, Random& random) {
    static const char* const postOwners[] = {"Port Merrow Street Lighting", "Merrow Harbour Board",
                                             "Port Merrow Roads Office"};
    static const char* const houseOwners[] = {"Quayside Housing Society", "Tern Lane Owners", "private owner",
                                              "Merrow Traders' Guild", "Port Merrow Town Estates"};
    static const char* const postAccess[] = {"from the footway, one lane to be closed", "from the footway",
                                             "from the footway, not on market days"};
    static const char* const houseAccess[] = {
        "by ladder from the footway", "by lifting platform, permit for one day",
        "roof hatch, key with the caretaker", "by ladder, tenant to be told"};
    const bool post = m.kind == MountKind::pole;
    m.owner = post ? postOwners[random.below(3)] : houseOwners[random.below(5)];
    m.access = post ? postAccess[random.below(3)] : houseAccess[random.below(4)];
    const double u = random.unit();
    m.consent = u < 0.45   ? ConsentState::given
                : u < 0.75 ? ConsentState::asked
                : u < 0.96 ? ConsentState::unknown
                           : ConsentState::refused;
    m.earthPossible = post || random.chance(0.7);
    if (random.chance(0.2)) m.fibreM = rounded(random.between(20, 180), 1);
    if (random.chance(0.25)) m.powerM = rounded(random.between(4, 60), 1);
}

} // namespace

bool RollOut::freeFor(PlanePoint at, double spacingM) const {
    return std::none_of(m_taken.begin(), m_taken.end(),
                        [&](PlanePoint p) { return planeDistance(p, at) < spacingM; });
}

ItemId RollOut::addMount(const Spot& spot, Random& random) {
    const auto kind = static_cast<std::size_t>(spot.kind);
    std::uint32_t number = 101 + random.below(800);
    while (!m_numbers.insert(number).second) number = 101 + random.below(800);
    Mount m;
    m.id = m_build.next();
    m.name = fmt::format("{}-{}", kLetter[kind], number);
    m.kind = spot.kind;
    m.at = m_build.plane(spot.at);
    m.height = {spot.heightM};
    if (spot.faces) m.faces = m_build.azimuthOf(*spot.faces);
    m.tiltsDeg =
        spot.kind == MountKind::pole ? std::vector<double>{0, 3, 6, 9} : std::vector<double>{0, 2, 4, 6, 8};
    m.linesSurveyed = true;
    m.gnssTiming = spot.kind != MountKind::wall;
    describe(m, random);
    m_taken.push_back(spot.at);
    m_build.plan.mounts.put(m);
    return m.id;
}

ItemId RollOut::addRadio(ItemId mount, TrueAzimuth azimuth, double tiltDeg) {
    const auto before = std::count_if(m_build.plan.radios.begin(), m_build.plan.radios.end(),
                                      [&](const Radio& r) { return r.mount == mount; });
    Radio r;
    r.id = m_build.next();
    r.mount = mount;
    r.name = nameOf(mount) + static_cast<char>('a' + before);
    r.azimuth = azimuth;
    r.tiltDeg = tiltDeg;
    m_build.plan.radios.put(r);
    return r.id;
}

ItemId RollOut::addSmall(ItemId radio, bool own, ItemId variant, bool chosen) {
    SmallCell s;
    s.id = m_build.next();
    s.radio = radio;
    s.variant = variant;
    s.name = nameOf(radio) + (own ? "-L23" : "-L18");
    s.carrier = own ? ownCarrier() : lowBandCarrier();
    s.pci = static_cast<std::int32_t>(120 + radio.v % 360);
    s.chosen = chosen;
    m_build.plan.smallCells.put(s);
    return s.id;
}

double clearShare(const Fabric& fabric, PlanePoint at, PlanePoint boresight) {
    int clear = 0;
    constexpr int kSide = 6;
    for (int k = -kSide; k <= kSide; ++k) {
        const PlanePoint turn = directionDeg(5.0 * k);
        const PlanePoint d = {boresight.x * turn.x - boresight.y * turn.y,
                              boresight.x * turn.y + boresight.y * turn.x};
        clear += openAhead(fabric, at, d, 15, 0.5) >= 15;
    }
    return clear / (2.0 * kSide + 1);
}

namespace {

double bestClearShare(const Fabric& fabric, const Spot& spot) {
    double best = 0;
    for (int k = 0; k < 24; ++k) {
        const PlanePoint d = directionDeg(15.0 * k);
        if (spot.faces && dot(d, *spot.faces) < 0.17) continue;
        // On a roof the look begins at its edge.
        const bool onTop = spot.kind == MountKind::parapet || spot.kind == MountKind::roof;
        const PlanePoint from = onTop ? spot.at + *spot.faces * 1.5 : spot.at;
        best = std::max(best, clearShare(fabric, from, d));
    }
    return best;
}

struct Zone {
    PlanePoint centre;
    double radiusM;
    int posts, walls, parapets, roofs;
};
// Most where the town is dense and carriers are full.
constexpr Zone kZones[] = {
    {{1290, 1080}, 180, 5, 12, 2, 2}, {{1300, 800}, 180, 3, 10, 2, 2},  {{1570, 1350}, 180, 7, 5, 2, 1},
    {{1360, 1680}, 200, 13, 6, 2, 2}, {{2430, 1510}, 270, 11, 2, 3, 3}, {{1700, 1700}, 260, 5, 2, 0, 0},
    {{1950, 1850}, 260, 4, 0, 1, 1},  {{700, 1350}, 300, 2, 0, 1, 1},   {{2300, 900}, 300, 1, 0, 1, 1},
    {{2950, 1650}, 260, 2, 0, 1, 1},
};

void fillZone(RollOut& roll, const Zone& zone, MountKind kind, int count, Random& random, double spacingM) {
    const Fabric& fabric = roll.build().fabric;
    for (int tries = 0; count > 0 && tries < 2500; ++tries) {
        const PlanePoint p =
            zone.centre + directionDeg(random.between(0, 360)) * (zone.radiusM * std::sqrt(random.unit()));
        const auto spot = kind == MountKind::pole      ? roll.finder().pole(p, random)
                          : kind == MountKind::wall    ? roll.finder().wall(p, random)
                          : kind == MountKind::parapet ? roll.finder().parapet(p, random)
                                                       : roll.finder().roof(p, random);
        if (!spot || !roll.freeFor(spot->at, spacingM) || roll.finder().lineAt(spot->at) < 12) continue;
        if (kind == MountKind::pole ? spot->openM < 50 : spot->openM < 9) continue;
        if (bestClearShare(fabric, *spot) < 0.62) continue;
        roll.addMount(*spot, random);
        --count;
    }
}

} // namespace

void addGoodMounts(RollOut& roll, std::size_t count) {
    Random random(1402);
    for (const Zone& zone : kZones) {
        fillZone(roll, zone, MountKind::parapet, zone.parapets, random, 24);
        fillZone(roll, zone, MountKind::roof, zone.roofs, random, 24);
        fillZone(roll, zone, MountKind::wall, zone.walls, random, 30);
        fillZone(roll, zone, MountKind::pole, zone.posts, random, 30);
    }
    const Zone whole{{1600, 1400}, 800, 0, 0, 0, 0};
    while (roll.build().plan.mounts.size() < count) {
        const std::size_t before = roll.build().plan.mounts.size();
        fillZone(roll, whole, MountKind::pole, static_cast<int>(count - before), random, 45);
        if (roll.build().plan.mounts.size() == before) break;
    }
}

void addRadios(RollOut& roll, const std::vector<Aim>& aims) {
    Build& b = roll.build();
    for (const Aim& aim : aims) {
        const auto it = std::find_if(b.plan.mounts.begin(), b.plan.mounts.end(),
                                     [&](const Mount& m) { return m.name == aim.mount; });
        if (it == b.plan.mounts.end()) continue;
        const Mount mount = *it;
        const ItemId radio = roll.addRadio(mount.id, TrueAzimuth::of(aim.azimuthDeg), aim.tiltDeg);
        for (const char v : aim.variants)
            roll.addSmall(radio, aim.carrier == 'O' || v == 'B' || v == 'b',
                          v == 'A' || v == 'a' ? roll.a() : roll.b(), v == 'A' || v == 'B');
        const bool known = std::any_of(b.plan.siteWorks.begin(), b.plan.siteWorks.end(),
                                       [&](const SiteWorks& w) { return w.mount == mount.id; });
        if (known || aim.variants[0] != 'A') continue;
        SiteWorks works;
        works.id = b.next();
        works.mount = mount.id;
        const bool post = mount.kind == MountKind::pole;
        works.cabinet =
            post ? "roadside cabinet, 0.6 x 0.4 x 1.2 m" : "wall cabinet indoors, 0.6 x 0.4 x 0.3 m";
        works.pole = post ? "post stays; bracket at antenna height" : "";
        works.earthPit = mount.earthPossible ? "one rod 2.4 m at the foot" : "to the building's earth bar";
        works.camouflage = mount.kind == MountKind::wall ? "shroud in the colour of the facade" : "";
        b.plan.siteWorks.put(std::move(works));
    }
}

} // namespace fw::town
