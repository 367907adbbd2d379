// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/random_plan.h"

#include <algorithm>
#include <string>
#include <utility>

namespace fw::testing {

Polygon rectangle(PlanePoint centre, double w, double h, double turnDeg) {
    // A turn by a fraction of a right angle from plain arithmetic: no library sine, so no machine in it.
    const double t = std::fmod(turnDeg, 90.0) / 90.0, n = std::sqrt(t * t + (1 - t) * (1 - t));
    const PlanePoint u{(1 - t) / n, t / n}, v{-u.y, u.x};
    const auto corner = [&](double a, double b) {
        const PlanePoint p = centre + u * (a * w / 2) + v * (b * h / 2);
        return PlanePoint{toMillimetre(p.x), toMillimetre(p.y)};
    };
    return {{corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1)}, {}};
}

ItemId pickBuilding(const Plan& plan, Random& random) {
    std::size_t n = random.below(static_cast<std::uint32_t>(plan.scenery.buildingCount()));
    for (const auto& chunk : plan.scenery.buildingChunks()) {
        if (n < chunk->size()) return chunk->ids[n];
        n -= chunk->size();
    }
    return {};
}

Building randomBuilding(ItemId id, PlanePoint centre, Random& random) {
    Building b;
    b.id = id;
    const double turn = random.chance(0.3) ? random.between(0, 90) : 0;
    const double width = random.between(10, 24);
    b.footprint = rectangle(centre, width, random.between(9, 20), turn);
    if (random.chance(0.03)) {
        Ring court = rectangle(centre, 4, 4).outer;
        b.footprint.holes.push_back({court.rbegin(), court.rend()});
    }
    b.storeys = static_cast<std::int32_t>(1 + random.below(5));
    b.heightM = oneDecimal(b.storeys * 3.0 + random.between(0, 1.5));
    b.use = static_cast<BuildingUse>(random.below(6));
    b.entry = static_cast<EntryKind>(random.below(3));
    b.parapetM = random.chance(0.3) ? 0 : 1;
    if (random.chance(0.02)) b.name = "Hall " + std::to_string(id.v);
    return b;
}

CellLoad randomLoad(Random& random) {
    CellLoad load;
    load.date = "2026-05-" + std::to_string(10 + random.below(20));
    load.hour = static_cast<std::int32_t>(17 + random.below(5));
    const double use = random.chance(0.25) ? random.between(0.72, 0.95) : random.between(0.1, 0.65);
    load.dlPrbUse = use;
    if (random.chance(0.8)) load.ulPrbUse = use * random.between(0.2, 0.6);
    for (int day = 0; day < 7; ++day)
        load.dailyDlPrbUse.push_back(std::min(1.0, use * random.between(0.9, 1.1)));
    if (random.chance(0.8)) load.users = random.between(2, 40);
    if (random.chance(0.8))
        load.userThroughputMbps = use > 0.7 ? random.between(1, 4) : random.between(4, 30);
    if (random.chance(0.3))
        for (int ring = 0; ring < 12; ++ring) load.timingAdvance.push_back(random.below(10000));
    if (random.chance(0.3))
        for (int index = 0; index < 16; ++index) load.cqi.push_back(random.below(10000));
    return load;
}

Carrier ownCarrier() { return {Technology::lte, 39150, 20, Duplex::tdd, 0.74, 15}; }

namespace {

/// Builds a plan kind by kind, giving out ids as it goes.
class RandomPlanMaker {
public:
    RandomPlanMaker(Random& random, const RandomPlanSpec& spec) : m_random(random), m_spec(spec) {}

    Plan make() {
        settings();
        buildings();
        macros();
        mounts();
        surroundings();
        return std::move(m_plan);
    }

private:
    ItemId id() { return m_plan.lastId = m_plan.nextId(); }
    PlanePoint at(double east, double north) const { return m_spec.southWest + PlanePoint{east, north}; }
    PlanePoint anywhere(double margin) {
        const double x = m_random.between(margin, m_spec.areaM - margin);
        return at(oneDecimal(x), oneDecimal(m_random.between(margin, m_spec.areaM - margin)));
    }

    void settings() {
        PlanSettings s;
        s.name = "Random town";
        s.operatorName = "Merrow Mobile";
        s.uid = "random-" + std::to_string(m_random.next());
        s.date = {2026, 6, 1};
        s.epsg = 32627;
        const PlanePoint a = m_spec.southWest;
        s.workArea = {a.x, a.y, a.x + m_spec.areaM, a.y + m_spec.areaM};
        s.terrain.flatM = 12;
        s.model.macroReachM = m_spec.macroReachM;
        s.activeVariant = id();
        m_plan.variants.put({s.activeVariant, "Main"});
        m_plan.settings = std::make_shared<const PlanSettings>(std::move(s));
    }

    // Lots on a grid; what is left between them are the streets.
    void buildings() {
        const double pitch = m_spec.areaM / 18;
        std::vector<int> lots;
        for (int k = 0; k < 18 * 18; ++k) lots.push_back(k);
        for (std::uint32_t k = 18 * 18 - 1; k > 0; --k) std::swap(lots[k], lots[m_random.below(k + 1)]);
        std::vector<Building> all;
        for (std::size_t k = 0; k < lots.size() && static_cast<int>(k) < m_spec.buildings; ++k) {
            const double x = (lots[k] % 18 + 0.5) * pitch + m_random.between(-5, 5);
            const double y = (lots[k] / 18 + 0.5) * pitch + m_random.between(-5, 5);
            const ItemId next = id();
            all.push_back(randomBuilding(next, at(x, y), m_random));
        }
        m_plan.scenery.putBuildings(std::move(all));
    }

    void macros() {
        AntennaCut cut;
        cut.id = id();
        cut.name = "Measured panel";
        cut.gainDbi = 16.5;
        for (int deg = -180; deg < 180; deg += 10) {
            cut.horizontalDeg.push_back(deg);
            cut.horizontalLossDb.push_back(std::min(25.0, 12.0 * deg * deg / (65.0 * 65.0)));
        }
        for (int deg = -90; deg <= 90; deg += 5) {
            cut.verticalDeg.push_back(deg);
            cut.verticalLossDb.push_back(std::min(20.0, 12.0 * deg * deg / 64.0));
        }
        m_plan.antennaCuts.put(cut);
        for (int k = 0; k < m_spec.sites; ++k) {
            const double x = m_spec.areaM * (0.2 + 0.6 * (k % 2)) + m_random.between(-60, 60);
            const double y = m_spec.areaM * (0.2 + 0.3 * (k % 3)) + m_random.between(-60, 60);
            const MacroSite site{id(), "M-" + std::to_string(k + 1), at(oneDecimal(x), oneDecimal(y))};
            m_plan.macroSites.put(site);
            for (int s = 0; s < 3; ++s) sector(site, k, s);
        }
    }

    void sector(const MacroSite& site, int siteIndex, int index) {
        Sector s;
        s.id = id();
        s.site = site.id;
        s.name = site.name + "/" + std::to_string(index + 1);
        s.height = {oneDecimal(m_random.between(22, 38))};
        s.azimuth = TrueAzimuth::of(std::round(30 + 120 * index + m_random.between(-20, 20)));
        s.mechanicalTiltDeg = m_random.below(4);
        s.electricalTiltDeg = 2 + m_random.below(7);
        if (m_random.chance(0.2)) s.antenna = m_plan.antennaCuts.begin()->id;
        m_plan.sectors.put(s);
        for (const int channel : {1300, 2850}) { // LTE bands 3 and 7 (3GPP TS 36.101 table 5.7.3-1)
            Cell c;
            c.id = id();
            c.sector = s.id;
            c.name = s.name + (channel == 1300 ? "-L18" : "-L26");
            c.carrier.channel = channel;
            c.referencePowerDbm = oneDecimal(m_random.between(12, 18));
            c.totalPowerDbm = 46;
            c.ports = m_random.chance(0.3) ? 4 : 2;
            c.pci = (siteIndex * 3 + index) % 504;
            c.load = randomLoad(m_random);
            m_plan.cells.put(c);
        }
    }

    void mounts() {
        for (int k = 0; k < m_spec.mounts; ++k) {
            const Mount m = k % 3 == 0 ? wallMount(k) : poleMount(k);
            m_plan.mounts.put(m);
            const double azimuth = m.faces ? m.faces->deg : m_random.below(360);
            radio(m, azimuth, k == 1);
            if (k % 4 == 3) radio(m, azimuth + 120, false);
        }
    }
    Mount poleMount(int k) {
        const double pitch = m_spec.areaM / 18; // lot borders carry the streets
        Mount m = bareMount(k);
        const double x = pitch * (2 + m_random.below(14)), y = pitch * (2 + m_random.below(14));
        m.at = at(oneDecimal(x), oneDecimal(y + m_random.between(-15, 15)));
        return m;
    }
    Mount wallMount(int k) {
        Mount m = bareMount(k);
        m.kind = MountKind::wall;
        const Building b = *m_plan.scenery.building(pickBuilding(m_plan, m_random));
        const PlanePoint p = b.footprint.outer[0], q = b.footprint.outer[1]; // the wall to the south or so
        m.at = {oneDecimal((p.x + q.x) / 2), oneDecimal((p.y + q.y) / 2 - 0.3)};
        m.faces = TrueAzimuth{180};
        return m;
    }
    Mount bareMount(int k) {
        Mount m;
        m.id = id();
        m.name = "W-" + std::to_string(k + 1);
        m.height = {oneDecimal(m_random.between(6, 9))};
        m.linesSurveyed = m_random.chance(0.5);
        if (m_random.chance(0.3)) m.lineKnownClearanceM = oneDecimal(m_random.between(1, 12));
        if (m_random.chance(0.3)) m.fibreM = std::round(m_random.between(5, 300));
        if (m_random.chance(0.3)) m.powerM = std::round(m_random.between(5, 120));
        m.earthPossible = m_random.chance(0.9);
        m.consent = static_cast<ConsentState>(m_random.below(4));
        if (m_random.chance(0.5)) m.owner = "Port Merrow council";
        m.gnssTiming = m_random.chance(0.8);
        return m;
    }
    void radio(const Mount& m, double azimuth, bool own) {
        Radio r;
        r.id = id();
        r.mount = m.id;
        r.azimuth = TrueAzimuth::of(azimuth);
        r.tiltDeg = m.tiltsDeg[m_random.below(4)];
        r.totalPowerDbm = 30 + m_random.below(9);
        m_plan.radios.put(r);
        SmallCell c;
        c.id = id();
        c.radio = r.id;
        c.variant = m_plan.settings->activeVariant;
        c.name = m.name + "-" + std::to_string(c.id.v);
        if (own) c.carrier = ownCarrier();
        c.biasDb = m_random.below(4);
        c.pci = static_cast<std::int32_t>(400 + m_random.below(100));
        c.chosen = m_random.chance(0.8);
        m_plan.smallCells.put(c);
    }

    void surroundings() {
        for (int k = 0; k < m_spec.trees; ++k) {
            Tree t;
            t.id = id();
            t.at = anywhere(5);
            t.crownRadiusM = oneDecimal(m_random.between(1.5, 5));
            t.topM = oneDecimal(m_random.between(6, 14));
            m_plan.scenery.trees.put(t);
        }
        const PlanePoint middle = anywhere(200);
        m_plan.congestionAreas.put({id(), "Market", rectangle(middle, 180, 140, 20), 1.5});
        const double pitch = m_spec.areaM / 18, side = m_spec.areaM;
        for (int k = 3; k < 18; k += 3)
            m_plan.streets.put(
                {id(), "Street " + std::to_string(k / 3), {at(pitch * k, 0), at(pitch * k, side)}, 10});
        const Line wire{at(0, pitch * 6), at(side / 2, pitch * 6.2), at(side, pitch * 6)};
        m_plan.overheadLines.put({id(), "Feeder", wire, {7.5}, 11.0});
        m_plan.fibrePoints.put({id(), "F-1", anywhere(100)});
        m_plan.fibrePoints.put({id(), "", anywhere(100)});
        m_plan.powerTaps.put({id(), "P-1", anywhere(100), 230, 1});
        m_plan.powerTaps.put({id(), "P-2", anywhere(100), 400, 3});
        if (m_plan.mounts.empty()) return;
        const ItemId mount = m_plan.mounts.begin()->id;
        m_plan.siteWorks.put(
            {id(), mount, "wall box", "none", "one rod", "paint to match", "needs scaffold"});
    }

    Random& m_random;
    RandomPlanSpec m_spec;
    Plan m_plan;
};

} // namespace

Plan randomPlan(Random& random, const RandomPlanSpec& spec) { return RandomPlanMaker(random, spec).make(); }

} // namespace fw::testing
