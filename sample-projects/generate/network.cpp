// SPDX-License-Identifier: GPL-3.0-or-later
#include "network.h"

#include "pieces.h"

#include <algorithm>
#include <cmath>

namespace fw::town {

Carrier lowBandCarrier() { return {Technology::lte, 1300, 20, Duplex::fdd, 1, 15}; }
Carrier highBandCarrier() { return {Technology::lte, 2850, 20, Duplex::fdd, 1, 15}; }
Carrier newRadioCarrier() { return {Technology::nr, 428000, 20, Duplex::fdd, 1, 15}; }
Carrier ownCarrier() { return {Technology::lte, 39150, 20, Duplex::tdd, 0.74, 15}; }

namespace {

// Seven busy hours that average to about `mean`; town traffic is lower at the weekend.
CellLoad loadOf(double mean, Random& random, double megabitPerBlockShare) {
    static constexpr double kWeek[7] = {1.02, 1.05, 1.03, 1.06, 1.08, 0.93, 0.83};
    CellLoad load;
    load.date = "2026-05-31"; // a Sunday: the week before the plan's date
    load.hour = mean > 0.5 ? 20 : 19;
    double sum = 0;
    for (const double day : kWeek) {
        const double v = std::min(0.98, rounded(mean * day * random.between(0.985, 1.015), 0.001));
        load.dailyDlPrbUse.push_back(v);
        sum += v;
    }
    load.dlPrbUse = rounded(sum / 7, 0.001);
    load.ulPrbUse = rounded(sum / 7 * random.between(0.35, 0.5), 0.001);
    load.users = rounded(4 + 62 * mean * mean * random.between(0.9, 1.1), 0.1);
    // What is left over, shared by those who are active at the same time.
    load.userThroughputMbps = rounded(megabitPerBlockShare * (1 - mean) * random.between(0.9, 1.1), 0.1);
    return load;
}

int tallestNear(const Fabric& fabric, PlanePoint p, double reachM) {
    int best = -1;
    double bestScore = -1e9;
    for (const int i : fabric.housesNear({p.x - reachM, p.y - reachM, p.x + reachM, p.y + reachM})) {
        const House& house = fabric.houses()[static_cast<std::size_t>(i)];
        if (!house.footprint.holes.empty() || areaOf(house.footprint) < 90) continue;
        const PlanePoint c = centroidOf(house.footprint);
        const double far = planeDistance(c, p);
        if (far > reachM || !contains(house.footprint, c)) continue;
        const double score = house.heightM - far / 12;
        if (score > bestScore) {
            bestScore = score;
            best = i;
        }
    }
    return best;
}

void addCells(Build& b, const Sector& sector, const SectorLoad& load, int pci, Random& random) {
    const auto add = [&](const char* suffix, const Carrier& carrier, double use, double megabit,
                         double powerDbm, std::int32_t ports) {
        if (use <= 0) return;
        Cell cell;
        cell.id = b.next();
        cell.sector = sector.id;
        cell.name = sector.name + suffix;
        cell.carrier = carrier;
        // 46 dBm a port over 1,200 subcarriers of 20 MHz (TS 36.101, 5.6): 15.2 dBm each; NR sends a little
        // less.
        cell.referencePowerDbm = powerDbm;
        cell.ports = ports;
        cell.pci = pci;
        cell.load = loadOf(use, random, megabit);
        b.plan.cells.put(std::move(cell));
    };
    add("-L18", lowBandCarrier(), load.lowBand, 13, 15.2, 2);
    add("-L26", highBandCarrier(), load.highBand, 19, 15.2, 4);
    add("-N21", newRadioCarrier(), load.newRadio, 24, 14.5, 4);
}

} // namespace

void addMacros(Build& b, const std::vector<SiteSpec>& sites, std::uint64_t seed) {
    Random random(seed);
    int number = 0;
    for (const SiteSpec& spec : sites) {
        MacroSite site;
        site.id = b.next();
        site.name = spec.name;
        PlanePoint at = spec.near;
        double height = spec.mastM;
        if (const int roof = spec.mastM > 0 ? -1 : tallestNear(b.fabric, spec.near, 90); roof >= 0) {
            const House& house = b.fabric.houses()[static_cast<std::size_t>(roof)];
            at = centroidOf(house.footprint);
            height = house.baseM + house.heightM + 4 - b.ground(at);
        }
        site.at = b.plane(at);
        b.plan.macroSites.put(site);
        for (std::size_t k = 0; k < spec.sectors.size(); ++k) {
            Sector sector;
            sector.id = b.next();
            sector.site = site.id;
            sector.name = site.name + " " + std::to_string(k + 1);
            sector.height = {rounded(height, 0.1)};
            sector.azimuth = TrueAzimuth::of(spec.sectors[k].azimuthDeg);
            sector.mechanicalTiltDeg = 0;
            sector.electricalTiltDeg = 4 + static_cast<double>(random.below(4));
            b.plan.sectors.put(sector);
            addCells(b, sector, spec.sectors[k], 3 * number + static_cast<int>(k), random);
        }
        ++number;
    }
}

} // namespace fw::town
