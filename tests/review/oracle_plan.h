// SPDX-License-Identifier: GPL-3.0-or-later
// Small flat plans in many parts of the world, with radios aimed to just hit or just miss something.
#pragma once

#include "base/random.h"
#include "geo/frame.h"
#include "plan/plan.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace fwtest {

struct OraclePlan {
    fw::Plan plan;
    fw::Frame frame;
};

/// Places: UTM zones of both hemispheres (middle, rim, high latitude, beside the date line) and national
/// systems.
struct OraclePlace {
    int epsg;
    double lat, lon;
};
inline const std::vector<OraclePlace>& oraclePlaces() {
    static const std::vector<OraclePlace> places = {
        {32627, 36.9, -20.4},  {32631, 60.2, 0.05},   {32633, 64.9, 17.9},   {32733, -33.9, 18.4},
        {32756, -33.8, 151.2}, {32719, -45.4, -71.9}, {32660, 51.9, 179.95}, {32720, -51.6, -60.1},
        {2154, 48.8, -3.9},    {6677, 35.6, 139.7},   {2193, -41.3, 174.8},  {25832, 52.1, 6.1},
    };
    return places;
}

class OraclePlanMaker {
public:
    explicit OraclePlanMaker(std::uint64_t seed) : m_random(seed * 7919 + 17) {}

    OraclePlan make() {
        const auto& place = oraclePlaces()[m_random.below(static_cast<std::uint32_t>(oraclePlaces().size()))];
        m_frame = fw::Frame::fromEpsg(place.epsg).value();
        settings(place);
        macros();
        mounts();
        if (m_random.chance(0.4)) wall();
        for (fw::Mount& m : m_mounts) m_plan.mounts.put(m);
        for (std::size_t i = 0; i < m_mounts.size(); ++i) radios(i);
        lines();
        return {std::move(m_plan), *m_frame};
    }

private:
    fw::ItemId id() { return m_plan.lastId = m_plan.nextId(); }
    fw::PlanePoint spot(double from, double to) {
        const double x = m_random.between(from, to);
        return m_corner + fw::PlanePoint{x, m_random.between(from, to)};
    }
    double sign() { return m_random.chance(0.5) ? 1 : -1; }

    void settings(const OraclePlace& place) {
        fw::PlanSettings s;
        s.name = "Orientation";
        s.date = {2026, 6, 1};
        s.epsg = place.epsg;
        const fw::PlanePoint p = m_frame->toPlane({place.lat, place.lon}).value();
        m_corner = {std::floor(p.x / 512) * 512 + 64, std::floor(p.y / 512) * 512 + 64};
        s.workArea = {m_corner.x, m_corner.y, m_corner.x + 380, m_corner.y + 380};
        s.model.smallReachM = 60; // the rules asked here need no more, and a thousand plans stay quick
        s.model.macroReachM = 100;
        s.activeVariant = id();
        m_plan.variants.put({s.activeVariant, "Main"});
        if (m_random.chance(0.6))
            limits(s.profile);
        else
            s.profile.limits = {{"faces-macro.lead-block", 0}, {"faces-macro.lead-warn", 0}};
        m_margin = s.profile.limits.count("faces-macro.margin") ? s.profile.limits["faces-macro.margin"] : 5;
        m_plan.settings = std::make_shared<const fw::PlanSettings>(s);
    }
    void limits(fw::RuleProfile& p) {
        p.name = "other";
        p.limits["faces-macro.margin"] = std::round(m_random.between(0, 20));
        p.limits["faces-macro.block-within"] = m_random.between(60, 300);
        p.limits["faces-macro.warn-spacings"] = m_random.between(0.2, 1.2);
        p.limits["faces-macro.note-spacings"] = m_random.between(0.5, 2);
        p.limits["mutual-facing.margin"] = m_random.between(-10, 15);
        p.limits["mutual-facing.block-within"] = m_random.between(80, 320);
        p.limits["one-way-facing.margin"] = m_random.between(-10, 15);
        p.limits["one-way-facing.warn-within"] = m_random.between(60, 320);
        p.limits["same-mount-spread.spread"] = m_random.between(45, 120);
        p.limits["height-window.lowest"] = m_random.between(5, 6.5);
        p.limits["height-window.highest"] = m_random.between(7.5, 11);
        p.limits["line-clearance.working-radius"] = m_random.between(1, 6);
        p.limits["line-clearance.to-50kv"] = m_random.between(1, 8);
    }

    void macros() {
        const int n = static_cast<int>(1 + m_random.below(5));
        for (int k = 0; k < n; ++k) {
            fw::MacroSite site{id(), "M-" + std::to_string(k + 1), spot(-180, 560)};
            m_plan.macroSites.put(site);
            m_targets.push_back(site.at);
            if (m_random.chance(0.1)) continue; // a site that sends nothing
            const int sectors = static_cast<int>(1 + m_random.below(3));
            for (int s = 0; s < sectors; ++s) {
                fw::Sector sector;
                sector.id = id();
                sector.site = site.id;
                sector.height = {m_random.between(12, 35)};
                sector.azimuth = fw::TrueAzimuth::of(120.0 * s);
                m_plan.sectors.put(sector);
                if (m_random.chance(0.15)) continue; // a sector without a cell
                fw::Cell c;
                c.id = id();
                c.sector = sector.id;
                c.carrier.channel = m_random.chance(0.7) ? 1300 : 2850; // LTE bands 3, 7
                c.referencePowerDbm = 15;
                c.load.dlPrbUse = 0.5;
                m_plan.cells.put(c);
            }
        }
    }

    // Mounts in clusters, so that many pairs are near a limit of distance.
    void mounts() {
        for (int k = 0; k < 9; ++k) {
            fw::Mount m;
            m.id = id();
            m.name = "W-" + std::to_string(k + 1);
            m.kind = m_random.chance(0.7) ? fw::MountKind::pole : fw::MountKind::wall;
            m.at = spot(30, 350);
            if (k > 0 && m_random.chance(0.4)) { // about a limit away from the one before
                const double d = m_random.between(90, 150), a = m_random.between(0, 6.28);
                const fw::PlanePoint p =
                    m_mounts.back().at + fw::PlanePoint{d * std::sin(a), d * std::cos(a)};
                if (m_plan.settings->workArea.grown(-5).contains(p)) m.at = p;
            }
            m.height = {m_random.between(5, 10)};
            m.linesSurveyed = m_random.chance(0.5);
            if (m_random.chance(0.3)) m.lineKnownClearanceM = m_random.between(2, 14);
            m_mounts.push_back(m);
            m_targets.push_back(m.at);
        }
    }

    // One wall between, clear of all antennas by a few metres.
    void wall() {
        for (int tries = 0; tries < 20; ++tries) {
            const fw::PlanePoint c = spot(40, 340);
            const double a = m_random.between(0, 3.14), half = m_random.between(15, 70);
            const fw::PlanePoint u{std::cos(a), std::sin(a)}, v{-u.y, u.x};
            const auto corner = [&](double s, double t) { return c + u * (s * half) + v * (t * 1.5); };
            const auto near = [&](fw::PlanePoint p) {
                const fw::PlanePoint d = p - c;
                return std::fabs(fw::dot(d, u)) < half + 4 && std::fabs(fw::dot(d, v)) < 5;
            };
            if (std::any_of(m_targets.begin(), m_targets.end(), near)) continue;
            fw::Building b;
            b.id = id();
            b.heightM = m_random.between(4, 25);
            b.footprint.outer = {corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1)};
            m_plan.scenery.putBuildings({b});
            return;
        }
    }

    // Aimed so that a target lies just within or just outside the rim of the beam.
    double aimed(std::size_t mount, double half) {
        const fw::PlanePoint at = m_mounts[mount].at;
        const fw::PlanePoint to = m_targets[m_random.below(static_cast<std::uint32_t>(m_targets.size()))];
        if (to == at || m_random.chance(0.25)) return m_random.between(0, 360);
        const double bearing = m_frame->trueAzimuth(at, to).deg;
        if (m_random.chance(0.35)) return bearing + m_random.between(-half, half);
        return bearing + sign() * (half + m_random.between(-4, 4));
    }
    void radios(std::size_t mount) {
        const int n = m_random.chance(0.4) ? 2 : 1;
        double first = 0;
        for (int k = 0; k < n; ++k) {
            fw::Radio r;
            r.id = id();
            r.mount = m_mounts[mount].id;
            r.hBeamDeg = std::vector<double>{33, 65, 65, 90, 120}[m_random.below(5)];
            const double rim = m_random.chance(0.5) ? m_margin : 0;
            double azimuth = aimed(mount, r.hBeamDeg / 2 + rim);
            if (k == 1 && m_random.chance(0.7)) azimuth = first + sign() * m_random.between(75, 105);
            r.azimuth = fw::TrueAzimuth::of(azimuth);
            first = r.azimuth.deg;
            m_plan.radios.put(r);
            fw::SmallCell c;
            c.id = id();
            c.radio = r.id;
            c.variant = m_plan.settings->activeVariant;
            c.carrier.channel = m_random.chance(0.75) ? 1300 : m_random.chance(0.5) ? 2850 : 3100;
            c.chosen = m_random.chance(0.85);
            m_plan.smallCells.put(c);
        }
    }

    void lines() {
        const int n = static_cast<int>(m_random.below(3));
        for (int k = 0; k < n; ++k) {
            fw::OverheadLine l;
            l.id = id();
            const fw::Mount& m = m_mounts[m_random.below(static_cast<std::uint32_t>(m_mounts.size()))];
            const double a = m_random.between(0, 6.28), off = m_random.between(2, 13);
            const fw::PlanePoint u{std::cos(a), std::sin(a)}, v{-u.y, u.x};
            l.path = {m.at + v * off - u * m_random.between(5, 200), m.at + v * off,
                      m.at + v * (off + m_random.between(-20, 20)) + u * m_random.between(5, 200)};
            if (m_random.chance(0.8))
                l.kilovolts = std::vector<double>{0.4, 1, 11, 33, 110, 400}[m_random.below(6)];
            m_plan.overheadLines.put(l);
        }
    }

    fw::Random m_random;
    std::optional<fw::Frame> m_frame;
    fw::Plan m_plan;
    fw::PlanePoint m_corner;
    double m_margin = 5;
    std::vector<fw::Mount> m_mounts;
    std::vector<fw::PlanePoint> m_targets;
};

} // namespace fwtest
