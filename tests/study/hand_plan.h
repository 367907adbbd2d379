// SPDX-License-Identifier: GPL-3.0-or-later
// Small plans set up by hand: flat ground, one tile of 512 m on the central meridian of UTM zone 27N, so that
// true and grid north agree to well under 0.1 deg and east mirrors to west.
#pragma once

#include "catch.h"
#include "plan/plan.h"
#include "study/state.h"

#include <memory>
#include <string>

namespace fw::testing {

/// The tile's middle stands at a corner of four pixels (4 m); places below count from it. A pixel's centre is
/// at odd multiples of 2 m.
inline constexpr PlanePoint kMiddle{499712 + 256, 4083712 + 256};
inline PlanePoint place(double east, double north) { return kMiddle + PlanePoint{east, north}; }

class HandPlan {
public:
    HandPlan() {
        PlanSettings s;
        s.name = "By hand";
        s.operatorName = "Merrow Mobile";
        s.uid = "by-hand";
        s.date = {2026, 6, 1};
        s.epsg = 32627;
        s.workArea = {kMiddle.x - 255, kMiddle.y - 255, kMiddle.x + 255, kMiddle.y + 255};
        s.terrain.flatM = 12;
        s.model.macroReachM = 800;
        s.activeVariant = id();
        plan.variants.put({s.activeVariant, "Main"});
        set = s;
    }

    Plan plan;
    PlanSettings set; ///< as it goes into done()

    /// 25 m above ground, 20 MHz in band 3 (100 PRB), 15 dBm a resource element.
    ItemId macro(PlanePoint at, double azimuthDeg, std::optional<double> use, double tiltDeg = 0) {
        const MacroSite site{id(), "M", at};
        plan.macroSites.put(site);
        Sector s;
        s.id = id();
        s.site = site.id;
        s.height = {25};
        s.azimuth = TrueAzimuth::of(azimuthDeg);
        s.electricalTiltDeg = tiltDeg;
        plan.sectors.put(s);
        Cell c;
        c.id = id();
        c.sector = s.id;
        c.name = "M" + std::to_string(c.id.v);
        c.referencePowerDbm = 15;
        c.load.dlPrbUse = use;
        plan.cells.put(c);
        return c.id;
    }
    ItemId building(PlanePoint at, double sideM, std::int32_t storeys) {
        Building b;
        b.id = id();
        const double h = sideM / 2;
        b.footprint.outer = {at + PlanePoint{-h, -h}, at + PlanePoint{h, -h}, at + PlanePoint{h, h},
                             at + PlanePoint{-h, h}};
        b.storeys = storeys;
        b.heightM = 3.2 * storeys;
        plan.scenery.putBuildings({b});
        return b.id;
    }
    /// 7 m up a pole, 20 MHz; the macros' carrier unless told.
    ItemId small(PlanePoint at, double azimuthDeg, Carrier carrier = {}, double powerDbm = 37) {
        Mount m;
        m.id = id();
        m.name = "P" + std::to_string(m.id.v);
        m.at = at;
        plan.mounts.put(m);
        Radio r;
        r.id = id();
        r.mount = m.id;
        r.azimuth = TrueAzimuth::of(azimuthDeg);
        r.totalPowerDbm = powerDbm;
        plan.radios.put(r);
        SmallCell c;
        c.id = id();
        c.radio = r.id;
        c.variant = set.activeVariant;
        c.name = "S" + std::to_string(c.id.v);
        c.carrier = carrier;
        plan.smallCells.put(c);
        return c.id;
    }
    /// Everybody at a place hears the same: nobody is decided by chance (the model's least spread is 0.1 dB).
    void noShadowing() { set.model.macroSigmaDb = set.model.smallSigmaDb = 0; }

    [[nodiscard]] Plan done() const {
        Plan out = plan;
        out.settings = std::make_shared<const PlanSettings>(set);
        return out;
    }

private:
    ItemId id() { return plan.lastId = plan.nextId(); }
};

/// LTE band 40, time division with 74 % downlink: no macro of these plans sends there.
inline Carrier bandForty() { return {Technology::lte, 39150, 20, Duplex::tdd, 0.74, 15}; }

inline Result<std::shared_ptr<const Study>> compute(const Plan& plan, unsigned threads = 1,
                                                    const std::shared_ptr<const Study>& previous = nullptr) {
    auto terrain = std::make_shared<Terrain>();
    terrain->flatM = plan.settings->terrain.flatM;
    return Study::advance(previous, plan, terrain, StudyOptions{threads});
}

inline std::shared_ptr<const Study> studyOf(const Plan& plan, unsigned threads = 1,
                                            const std::shared_ptr<const Study>& previous = nullptr) {
    auto s = compute(plan, threads, previous);
    INFO((s ? "" : s.error().sentence()));
    REQUIRE(s);
    return *s;
}
inline std::shared_ptr<const Study> studyOf(const HandPlan& hand) { return studyOf(hand.done()); }

inline const LedgerLine* lineOf(const Ledger& l, ItemId cell) {
    for (const LedgerLine& line : l.cells)
        if (line.cell == cell) return &line;
    return nullptr;
}
inline const SmallCellUse* useOf(const Ledger& l, ItemId small) {
    for (const SmallCellUse& u : l.smalls)
        if (u.small == small) return &u;
    return nullptr;
}
/// Cost units spread over all receivers of one cell.
inline std::int64_t spreadOf(const StudyCore& core, ItemId cell) {
    const auto n = core.cellIndex(cell);
    std::int64_t sum = 0;
    for (const TilePart& t : core.base->tiles)
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k)
            for (std::size_t i = 0; i < t.cost->layers[k].size(); ++i)
                if (t.cost->layers[k][i] && rosterOf(t.levels->layers[k].strongest[0][i]) == n)
                    sum += t.cost->layers[k][i];
    return sum;
}

/// Every figure of a ledger as text, to the last bit.
inline std::string bytesOf(const Ledger& l) {
    std::string s;
    auto put = [&](double v) { s.append(reinterpret_cast<const char*>(&v), sizeof v); };
    put(l.converged);
    put(l.rounds);
    for (const LedgerLine& c : l.cells) {
        put(c.cell.v);
        for (const double v : {c.before, c.fixed, c.harm, c.after, c.target, c.holdsMonths.value_or(-1)})
            put(v);
        for (const LedgerLine::Part& p : c.relief) {
            put(p.small.v);
            put(p.use);
            put(p.fringe);
        }
    }
    for (const SmallCellUse& u : l.smalls)
        for (const double v : {double(u.small.v), u.use, u.cap, u.biasDb, u.powerDownDb, double(u.feasible)})
            put(v);
    for (const std::string& r : l.remarks) s += r + "\n";
    return s;
}

} // namespace fw::testing
