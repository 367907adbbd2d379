// SPDX-License-Identifier: GPL-3.0-or-later
// A flat patch of ground to which a test adds what it needs.
#pragma once

#include "catch.h"
#include "geo/geodesy.h"
#include "review/review.h"

#include <algorithm>
#include <memory>
#include <string>
#include <utility>
#include <vector>

namespace fwtest {

using namespace fw;

class SmallPlan {
public:
    SmallPlan() : frame(Frame::fromEpsg(32627).value()) {
        PlanSettings s;
        s.name = "Patch";
        s.date = {2026, 6, 1};
        s.epsg = 32627;
        s.workArea = {middle.x - 150, middle.y - 150, middle.x + 150, middle.y + 150};
        s.model.macroReachM = 800;
        s.model.smallReachM = 200;
        s.activeVariant = id();
        s.profile.limits = {{"faces-macro.lead-block", 0}, {"faces-macro.lead-warn", 0}};
        plan.variants.put({s.activeVariant, "Main"});
        plan.settings = std::make_shared<const PlanSettings>(s);
    }

    ItemId id() { return plan.lastId = plan.nextId(); }
    void set(const std::string& limit, double value) {
        PlanSettings s = *plan.settings;
        s.profile.limits[limit] = value;
        plan.settings = std::make_shared<const PlanSettings>(s);
    }
    /// The place at a true azimuth and ground distance, by the geodesic.
    [[nodiscard]] PlanePoint away(PlanePoint from, double trueAzimuth, double metres) const {
        const GeoPoint g = geodesicEnd(frame.toGeo(from).value(), TrueAzimuth::of(trueAzimuth), metres);
        return frame.toPlane(g).value();
    }

    ItemId macro(PlanePoint at, std::int32_t channel = 1300, double heightM = 30, double azimuth = 180) {
        MacroSite site{id(), "M-" + std::to_string(++m_sites), at};
        plan.macroSites.put(site);
        Sector s;
        s.id = id();
        s.site = site.id;
        s.name = site.name + "/1";
        s.height = {heightM};
        s.azimuth = TrueAzimuth::of(azimuth);
        plan.sectors.put(s);
        Cell c;
        c.id = id();
        c.sector = s.id;
        c.name = site.name + "/1-L18";
        c.carrier.channel = channel;
        c.referencePowerDbm = 15;
        c.load.dlPrbUse = 0.8;
        plan.cells.put(c);
        return site.id;
    }
    ItemId mount(PlanePoint at, MountKind kind = MountKind::pole) {
        Mount m;
        m.id = id();
        m.name = "W-" + std::to_string(++m_mounts);
        m.kind = kind;
        m.at = at;
        m.linesSurveyed = true;
        m.gnssTiming = false;
        plan.mounts.put(m);
        return m.id;
    }
    /// A radio with one small cell; the small cell's id.
    ItemId cell(ItemId mount, double azimuth, std::int32_t channel = 1300) {
        Radio r;
        r.id = id();
        r.mount = mount;
        r.name = "R-" + std::to_string(r.id.v);
        r.azimuth = TrueAzimuth::of(azimuth);
        plan.radios.put(r);
        SmallCell c;
        c.id = id();
        c.radio = r.id;
        c.variant = plan.settings->activeVariant;
        c.name = "S-" + std::to_string(c.id.v);
        c.carrier.channel = channel;
        plan.smallCells.put(c);
        return c.id;
    }
    ItemId radioOf(ItemId small) const { return plan.smallCells.find(small)->radio; }
    void turn(ItemId small, double azimuth) {
        Radio r = *plan.radios.find(radioOf(small));
        r.azimuth = TrueAzimuth::of(azimuth);
        plan.radios.put(r);
    }
    template <class F>
    void changeMount(ItemId mount, F&& f) {
        Mount m = *plan.mounts.find(mount);
        f(m);
        plan.mounts.put(m);
    }
    /// A rectangle `length` long along a plan azimuth and `width` across, about `at`.
    ItemId building(PlanePoint at, double azimuthDeg, double length, double width, double heightM) {
        const double a = azimuthDeg * M_PI / 180;
        const PlanePoint u{std::sin(a) * length / 2, std::cos(a) * length / 2};
        const PlanePoint v{-std::cos(a) * width / 2, std::sin(a) * width / 2}; // left of u
        Building b;
        b.id = id();
        b.heightM = heightM;
        b.storeys = std::max(1, static_cast<int>(heightM / 3));
        b.footprint.outer = {at - u - v, at + u - v, at + u + v, at - u + v};
        if (signedArea(b.footprint.outer) < 0)
            std::reverse(b.footprint.outer.begin(), b.footprint.outer.end());
        plan.scenery.putBuildings({b});
        return b.id;
    }

    /// Flat, and above the sea: ground at 0 m counts as water.
    static std::shared_ptr<const Terrain> dryLand() {
        auto t = std::make_shared<Terrain>();
        t->flatM = 12;
        return t;
    }
    [[nodiscard]] std::shared_ptr<const Study> study() const {
        auto s = Study::advance(nullptr, plan, dryLand(), {1});
        if (!s.ok()) FAIL(s.error().sentence());
        return *s;
    }
    [[nodiscard]] std::optional<Finding> finding(const std::string& rule, const Subjects& subjects) const {
        for (const Finding& f : reviewAll(*study(), {false, {}}).findings)
            if (f.rule == rule && f.subjects == subjects) return f;
        return std::nullopt;
    }
    /// "block", "warn", "note" or "none".
    [[nodiscard]] std::string grade(const std::string& rule, const Subjects& subjects) const {
        const auto f = finding(rule, subjects);
        return f ? wordFor(f->severity) : "none";
    }

    Plan plan;
    Frame frame;
    PlanePoint middle{553728, 4084480};

private:
    int m_sites = 0, m_mounts = 0;
};

} // namespace fwtest
