// SPDX-License-Identifier: GPL-3.0-or-later
// Networks for the audit: sound ones, and such with faults planted in them.
#pragma once

#include "base/random.h"
#include "plan/plan.h"

#include <string>

namespace fwtest {

using namespace fw;

/// Sites of three sectors with one 20 MHz LTE cell each, 600 m apart, in UTM zone 27N.
class Network {
public:
    explicit Network(int sites = 6, double firstAzimuth = 20) {
        PlanSettings s;
        s.name = "Network";
        s.uid = "network";
        s.date = {2026, 6, 1};
        s.epsg = 32627;
        s.workArea = {553000, 4084000, 555000, 4086000};
        s.model.macroReachM = 1500;
        plan.settings = std::make_shared<const PlanSettings>(s);
        for (int k = 0; k < sites; ++k)
            site({553200.0 + 600 * (k % 3), 4084200.0 + 600 * (k / 3)}, firstAzimuth);
    }

    ItemId id() { return plan.lastId = plan.nextId(); }
    ItemId site(PlanePoint at, double firstAzimuth) {
        const MacroSite site{id(), "M-" + std::to_string(++m_sites), at};
        plan.macroSites.put(site);
        for (int k = 0; k < 3; ++k) {
            Sector s;
            s.id = id();
            s.site = site.id;
            s.name = site.name + "/" + std::to_string(k + 1);
            s.height = {27.5};
            s.azimuth = TrueAzimuth::of(firstAzimuth + 120 * k);
            s.mechanicalTiltDeg = 1;
            plan.sectors.put(s);
            Cell c;
            c.id = id();
            c.sector = s.id;
            c.name = s.name + "-L18";
            c.totalPowerDbm = 46;
            c.referencePowerDbm = 12.2;
            c.pci = 3 * m_sites + k;
            c.load.dlPrbUse = 0.5;
            plan.cells.put(c);
        }
        return site.id;
    }
    template <class T, class F>
    void change(Table<T>& table, ItemId id, F&& f) {
        T item = *table.find(id);
        f(item);
        table.put(item);
    }
    template <class T>
    ItemId any(const Table<T>& table, Random& random) {
        auto it = table.begin();
        for (std::uint32_t n = random.below(static_cast<std::uint32_t>(table.size())); n > 0; --n) ++it;
        return it->id;
    }

    /// One fault, or what nearly is one: values lie about the limits, on both sides.
    void plant(Random& random) {
        const ItemId sector = any(plan.sectors, random), cell = any(plan.cells, random),
                     site = any(plan.macroSites, random);
        switch (random.below(13)) {
        case 0: // beside another sector of the site, across north one time in two
            alike(sector, random.between(-7, 7), random.chance(0.5));
            break;
        case 1: // all ways alike
            for (const Sector& s : copyOf(plan.sectors))
                if (s.site == site)
                    change(plan.sectors, s.id,
                           [&](Sector& x) { x.azimuth = TrueAzimuth::of(358 + random.between(0, 6)); });
            break;
        case 2: // nobody entered angles; a little tilt saves it
            for (const Sector& s : copyOf(plan.sectors))
                if (s.site == site)
                    change(plan.sectors, s.id, [&](Sector& x) {
                        x.azimuth = {0};
                        x.mechanicalTiltDeg = 0;
                        x.electricalTiltDeg = random.chance(0.2) ? 2 : 0;
                    });
            break;
        case 3:
            change(plan.macroSites, site, [&](MacroSite& s) { s.at.x += random.between(500, 5000); });
            break;
        case 4:
            change(plan.macroSites, site, [&](MacroSite& s) { s.at.y += random.between(18000, 24000); });
            break;
        case 5: {
            const PlanePoint at = plan.macroSites.find(site)->at;
            if (!m_doubled) this->site(at + PlanePoint{random.between(1.5, 2.5), 0}, 50);
            m_doubled = true;
            break;
        }
        case 6:
            change(plan.sectors, sector, [&](Sector& s) {
                s.height = {random.chance(0.5) ? random.between(2.5, 3.5) : random.between(145, 155)};
            });
            break;
        case 7:
            change(plan.sectors, sector, [&](Sector& s) {
                s.mechanicalTiltDeg = 0;
                s.electricalTiltDeg = random.chance(0.7) ? 0 : 1;
            });
            break;
        case 8:
            change(plan.cells, cell, [&](Cell& c) { c.name = plan.cells.begin()->name; });
            break;
        case 9:
            change(plan.cells, cell, [&](Cell& c) { c.load.dlPrbUse.reset(); });
            break;
        case 10:
            change(plan.cells, cell, [&](Cell& c) { c.pci = plan.cells.find(any(plan.cells, random))->pci; });
            break;
        case 11:
            powers(cell, random);
            break;
        default:
            if (random.chance(0.5)) plan.cells.remove(cell);
            break;
        }
    }

    Plan plan;

private:
    template <class T>
    static std::vector<T> copyOf(const Table<T>& table) {
        return {table.begin(), table.end()};
    }
    void alike(ItemId sector, double byDeg, bool atNorth) {
        const ItemId site = plan.sectors.find(sector)->site;
        for (const Sector& s : copyOf(plan.sectors)) {
            if (s.site != site || s.id == sector) continue;
            if (atNorth) change(plan.sectors, s.id, [](Sector& x) { x.azimuth = {359}; });
            const double to = plan.sectors.find(s.id)->azimuth.deg + byDeg;
            change(plan.sectors, sector, [&](Sector& x) { x.azimuth = TrueAzimuth::of(to); });
            return;
        }
    }
    void powers(ItemId cell, Random& random) {
        change(plan.cells, cell, [&](Cell& c) {
            if (random.chance(0.3)) c.referencePowerDbm.reset();
            if (random.chance(0.3)) c.totalPowerDbm.reset();
            if (c.totalPowerDbm && random.chance(0.5)) c.totalPowerDbm = random.between(28, 58);
            if (c.referencePowerDbm && random.chance(0.7)) c.referencePowerDbm = random.between(-3, 36);
        });
    }
    int m_sites = 0;
    bool m_doubled = false;
};

} // namespace fwtest
