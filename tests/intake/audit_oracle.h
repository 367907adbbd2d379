// SPDX-License-Identifier: GPL-3.0-or-later
// The checks of the audit once more, told in the plainest way over all pairs; shares no code with
// core/intake.
#pragma once

#include "plan/plan.h"

#include <cmath>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace fwtest {

using namespace fw;

/// Check and subjects.
using Doubt = std::pair<std::string, std::vector<ItemId>>;
using Doubts = std::set<Doubt>;

inline PlanePoint unitOf(double azimuthDeg) {
    return {std::sin(azimuthDeg * M_PI / 180), std::cos(azimuthDeg * M_PI / 180)};
}
/// Angle between two directions by their unit vectors: no wrapping, so nothing happens at north.
inline double between(double a, double b) {
    const PlanePoint u = unitOf(a), v = unitOf(b);
    return std::atan2(std::fabs(u.x * v.y - u.y * v.x), u.x * v.x + u.y * v.y) * 180 / M_PI;
}

class AuditOracle {
public:
    explicit AuditOracle(const Plan& plan) : m_plan(plan) {}
    Doubts all() {
        azimuths();
        places();
        heights();
        tilts();
        names();
        pcis();
        powers();
        empty();
        return m_out;
    }

private:
    std::vector<Sector> sectorsOf(ItemId site) const {
        std::vector<Sector> out;
        for (const Sector& s : m_plan.sectors)
            if (s.site == site) out.push_back(s);
        return out;
    }
    bool shareCarrier(ItemId a, ItemId b) const {
        for (const Cell& c : m_plan.cells)
            for (const Cell& d : m_plan.cells)
                if (c.sector == a && d.sector == b && c.carrier.channel == d.carrier.channel &&
                    c.carrier.technology == d.carrier.technology)
                    return true;
        return false;
    }
    void azimuths() {
        for (const MacroSite& site : m_plan.macroSites) {
            const auto sectors = sectorsOf(site.id);
            std::vector<ItemId> whole{site.id};
            int zero = 0, wide = 0;
            for (const Sector& s : sectors) {
                whole.push_back(s.id);
                zero += s.azimuth.deg == 0 && s.mechanicalTiltDeg == 0 && s.electricalTiltDeg == 0;
                for (const Sector& t : sectors) wide += between(s.azimuth.deg, t.azimuth.deg) > 5 + 1e-9;
            }
            if (sectors.size() >= 2 && zero == static_cast<int>(sectors.size())) {
                m_out.insert({"zero-angles", whole});
            } else if (sectors.size() >= 3 && wide == 0) {
                m_out.insert({"equal-azimuths", whole});
            } else {
                for (const Sector& s : sectors)
                    for (const Sector& t : sectors)
                        if (s.id < t.id && between(s.azimuth.deg, t.azimuth.deg) <= 5 + 1e-9 &&
                            shareCarrier(s.id, t.id))
                            m_out.insert({"equal-azimuths", {site.id, s.id, t.id}});
            }
        }
    }
    static double middle(std::vector<double> v) {
        std::sort(v.begin(), v.end());
        return (v[(v.size() - 1) / 2] + v[v.size() / 2]) / 2;
    }
    void places() {
        std::vector<double> xs, ys, ds;
        for (const MacroSite& s : m_plan.macroSites) xs.push_back(s.at.x), ys.push_back(s.at.y);
        const double x = middle(xs), y = middle(ys);
        for (const MacroSite& s : m_plan.macroSites) ds.push_back(std::hypot(s.at.x - x, s.at.y - y));
        const double doubt = std::max(20000.0, 10 * middle(ds)), reach = m_plan.settings->model.macroReachM;
        const Box a = m_plan.settings->workArea;
        std::vector<ItemId> outside;
        for (const MacroSite& s : m_plan.macroSites) {
            const double px = std::min(std::max(s.at.x, a.x0), a.x1),
                         py = std::min(std::max(s.at.y, a.y0), a.y1);
            if (std::hypot(s.at.x - px, s.at.y - py) <= reach) continue;
            if (std::hypot(s.at.x - x, s.at.y - y) > doubt)
                m_out.insert({"far-off-site", {s.id}});
            else
                outside.push_back(s.id);
        }
        if (!outside.empty()) m_out.insert({"far-off-site", outside});
        for (const MacroSite& s : m_plan.macroSites) // pairs alone are planted, never three
            for (const MacroSite& t : m_plan.macroSites)
                if (s.id < t.id && std::hypot(s.at.x - t.at.x, s.at.y - t.at.y) < 2)
                    m_out.insert({"sites-at-one-place", {s.id, t.id}});
    }
    void heights() {
        std::vector<ItemId> all, odd;
        std::size_t high = 0, fives = 0;
        for (const Sector& s : m_plan.sectors) {
            all.push_back(s.id);
            if (s.height.m < 3 || s.height.m > 150) odd.push_back(s.id);
            high += s.height.m >= 60;
            fives += std::round(s.height.m / 5) * 5 == s.height.m;
        }
        if (all.size() >= 5 && high == all.size() && fives * 2 >= all.size())
            m_out.insert({"heights-in-feet", all});
        else
            for (const ItemId id : odd) m_out.insert({"height", {id}});
    }
    void tilts() {
        std::vector<ItemId> all;
        bool mechanical = false, electrical = false;
        for (const Sector& s : m_plan.sectors) {
            all.push_back(s.id);
            mechanical |= s.mechanicalTiltDeg != 0;
            electrical |= s.electricalTiltDeg != 0;
            if (s.mechanicalTiltDeg == 0 && s.electricalTiltDeg == 0) m_out.insert({"no-tilt", {s.id}});
        }
        if (all.size() >= 3 && !mechanical && electrical) m_out.insert({"tilt-split-unknown", all});
    }
    void names() {
        std::map<std::string, std::vector<ItemId>> called;
        std::vector<ItemId> unloaded;
        for (const Cell& c : m_plan.cells) {
            if (!c.name.empty()) called[c.name].push_back(c.id);
            if (!c.load.dlPrbUse) unloaded.push_back(c.id);
        }
        for (const auto& [name, ids] : called)
            if (ids.size() > 1) m_out.insert({"name-twice", ids});
        if (!unloaded.empty()) m_out.insert({"cell-without-load", unloaded});
    }
    PlanePoint placeOf(const Cell& c) const {
        return m_plan.macroSites.find(m_plan.sectors.find(c.sector)->site)->at;
    }
    void pcis() { // the later cell is to change; one that changes is in nobody's way any more
        std::set<ItemId> changing;
        for (const Cell& c : m_plan.cells) {
            double nearest = m_plan.settings->model.macroReachM;
            ItemId other;
            for (const Cell& d : m_plan.cells) {
                if (!(d.id < c.id) || d.pci != c.pci || d.carrier.channel != c.carrier.channel ||
                    d.carrier.technology != c.carrier.technology || changing.contains(d.id))
                    continue;
                const PlanePoint p = placeOf(c), q = placeOf(d);
                if (const double m = std::hypot(p.x - q.x, p.y - q.y); m < nearest) nearest = m, other = d.id;
            }
            if (!other) continue;
            changing.insert(c.id);
            m_out.insert({"pci-equal", {other, c.id}});
        }
    }
    // All cells here are 20 MHz LTE: 1200 subcarriers (3GPP TS 36.104, table 5.6-1).
    void powers() {
        for (const Cell& c : m_plan.cells) {
            bool odd = !c.totalPowerDbm && !c.referencePowerDbm;
            if (c.totalPowerDbm) odd |= *c.totalPowerDbm < 30 || *c.totalPowerDbm > 55;
            if (c.referencePowerDbm) odd |= *c.referencePowerDbm < 0 || *c.referencePowerDbm > 33;
            if (c.totalPowerDbm && c.referencePowerDbm && !odd)
                odd = std::fabs(*c.referencePowerDbm -
                                (*c.totalPowerDbm - 10 * std::log10(1200.0 * c.ports))) >= 10;
            if (odd) m_out.insert({"power", {c.id}});
        }
    }
    void empty() {
        for (const MacroSite& site : m_plan.macroSites)
            if (sectorsOf(site.id).empty()) m_out.insert({"empty-sector", {site.id}});
        for (const Sector& s : m_plan.sectors) {
            bool any = false;
            for (const Cell& c : m_plan.cells) any |= c.sector == s.id;
            if (!any) m_out.insert({"empty-sector", {s.id}});
        }
    }

    const Plan& m_plan;
    Doubts m_out;
};

} // namespace fwtest
