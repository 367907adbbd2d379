// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/random_plan.h"

#include <algorithm>
#include <cmath>
#include <string>

namespace fw::testing {

namespace {

/// Makes one edit that fits the plan. Most change what is there, some add or remove.
class RandomEditMaker {
public:
    RandomEditMaker(const Plan& plan, Random& random) : m_plan(plan), m_random(random) {}

    Edit make(EditKind kind) {
        switch (kind) {
        case EditKind::macro:
            return macro();
        case EditKind::sector:
            return sector();
        case EditKind::cell:
            return cell();
        case EditKind::building:
            return building();
        case EditKind::mount:
            return mount();
        case EditKind::radio:
            return radio();
        case EditKind::smallCell:
            return smallCell();
        case EditKind::weights:
            return weights();
        case EditKind::standing:
            return standing();
        case EditKind::tree:
            return tree();
        case EditKind::area:
            return area();
        }
        return weights();
    }

private:
    [[nodiscard]] PlanePoint anywhere() {
        const Box& b = m_plan.settings->workArea;
        const double x = m_random.between(b.x0 + 20, b.x1 - 20);
        return {oneDecimal(x), oneDecimal(m_random.between(b.y0 + 20, b.y1 - 20))};
    }
    [[nodiscard]] PlanePoint nudged(PlanePoint p, double m) {
        const double x = p.x + m_random.between(-m, m);
        return {oneDecimal(x), oneDecimal(p.y + m_random.between(-m, m))};
    }
    static Edit put(const char* text, Item item) { return {text, {Put{std::move(item)}}}; }

    Edit macro() {
        if (m_plan.macroSites.empty()) return weights();
        MacroSite s = pick(m_plan.macroSites, m_random);
        s.at = nudged(s.at, 40);
        return put("Move macro site", s);
    }
    Edit sector() {
        if (m_plan.sectors.empty()) return weights();
        Sector s = pick(m_plan.sectors, m_random);
        switch (m_random.below(4)) {
        case 0:
            s.azimuth = TrueAzimuth::of(m_random.below(360));
            break;
        case 1:
            s.electricalTiltDeg = m_random.below(11);
            break;
        case 2:
            s.height = {oneDecimal(m_random.between(20, 40))};
            break;
        default:
            s.gainDbi = oneDecimal(m_random.between(15, 18.5));
            break;
        }
        return put("Change sector", s);
    }
    Edit cell() {
        if (m_plan.cells.empty()) return weights();
        Cell c = pick(m_plan.cells, m_random);
        if (m_random.chance(0.7))
            c.load = randomLoad(m_random);
        else
            c.referencePowerDbm = oneDecimal(m_random.between(12, 18));
        return put("Change cell", c);
    }
    Edit building() {
        const std::size_t n = m_plan.scenery.buildingCount();
        if (n == 0 || m_random.chance(0.2)) {
            const PlanePoint at = anywhere();
            return put("Add building", randomBuilding(m_plan.nextId(), at, m_random));
        }
        const ItemId id = pickBuilding(m_plan, m_random);
        if (n > 50 && m_random.chance(0.15)) return removalOf(m_plan, id);
        Building b = *m_plan.scenery.building(id);
        if (m_random.chance(0.5)) {
            b.heightM = oneDecimal(m_random.between(3, 18));
            return put("Change height", b);
        }
        const double east = oneDecimal(m_random.between(-6, 6));
        const PlanePoint by{east, oneDecimal(m_random.between(-6, 6))};
        for (PlanePoint& p : b.footprint.outer) p = p + by;
        for (Ring& hole : b.footprint.holes)
            for (PlanePoint& p : hole) p = p + by;
        return put("Move building", b);
    }
    Edit mount() {
        if (m_plan.mounts.empty() || m_random.chance(0.1)) return addMount();
        Mount m = pick(m_plan.mounts, m_random);
        if (m_plan.mounts.size() > 4 && m_random.chance(0.12)) return removalOf(m_plan, m.id);
        switch (m_random.below(4)) {
        case 0:
            m.height = {oneDecimal(m_random.between(5, 10))};
            break;
        case 1:
            m.consent = static_cast<ConsentState>(m_random.below(4));
            break;
        default:
            m.at = nudged(m.at, 15);
            break;
        }
        return put("Change mount", m);
    }
    // A pole with a radio and a small cell on it, as one step.
    Edit addMount() {
        Mount m;
        m.id = m_plan.nextId();
        m.name = "W-" + std::to_string(m.id.v);
        m.at = anywhere();
        m.height = {oneDecimal(m_random.between(6, 9))};
        Radio r;
        r.id = {m.id.v + 1};
        r.mount = m.id;
        r.azimuth = TrueAzimuth::of(m_random.below(360));
        SmallCell c;
        c.id = {m.id.v + 2};
        c.radio = r.id;
        c.variant = m_plan.variants.begin()->id;
        return {"Add mount", {Put{m}, Put{r}, Put{c}}};
    }
    Edit radio() {
        if (m_plan.radios.empty()) return addMount();
        Radio r = pick(m_plan.radios, m_random);
        switch (m_random.below(4)) {
        case 0:
            r.tiltDeg = m_plan.mounts.find(r.mount)->tiltsDeg[m_random.below(4)];
            break;
        case 1:
            r.totalPowerDbm = 28 + m_random.below(12);
            break;
        default:
            r.azimuth = TrueAzimuth::of(m_random.below(3600) / 10.0);
            break;
        }
        return put("Turn radio", r);
    }
    Edit smallCell() {
        if (m_plan.smallCells.empty()) return addMount();
        SmallCell c = pick(m_plan.smallCells, m_random);
        switch (m_random.below(5)) {
        case 0:
            c.chosen = !c.chosen;
            break;
        case 1:
            c.pci = static_cast<std::int32_t>(m_random.below(504));
            break;
        case 2:
            if (m_plan.smallCells.size() > 4 && m_random.chance(0.5)) return removalOf(m_plan, c.id);
            c.id = m_plan.nextId();
            c.carrier = m_random.chance(0.5) ? Carrier{} : ownCarrier();
            return put("Add small cell", c);
        default:
            c.biasDb = m_random.below(13) / 2.0;
            break;
        }
        return put("Change small cell", c);
    }
    Edit weights() {
        PlanSettings s = *m_plan.settings;
        s.weights.relief = 20 + m_random.below(40);
        s.weights.outlook = 10 + m_random.below(20);
        s.weights.isolation = m_random.below(30);
        return {"Change weights", {PutSettings{s}}};
    }
    Edit standing() {
        if (!m_plan.waivers.empty() && m_random.chance(0.5)) {
            Waiver w = pick(m_plan.waivers, m_random);
            if (m_random.chance(0.4)) return removalOf(m_plan, w.id);
            w.measured = m_random.between(0, 100);
            return put("Stands, because", w);
        }
        if (m_plan.radios.empty() || m_plan.sectors.empty()) return weights();
        static constexpr const char* rules[] = {"faces-macro", "mutual-facing", "into-obstruction",
                                                "height-window"};
        Waiver w;
        w.id = m_plan.nextId();
        w.rule = rules[m_random.below(4)];
        w.subjects = {pick(m_plan.sectors, m_random).id, pick(m_plan.radios, m_random).id};
        std::sort(w.subjects.begin(), w.subjects.end());
        if (m_random.chance(0.5)) w.variant = m_plan.variants.begin()->id;
        w.reason = "Agreed on site";
        w.who = "K. Planner";
        w.when = "2026-06-01";
        w.measured = m_random.between(0, 100);
        w.limit = 70;
        w.unit = "m";
        return put("Stands, because", w);
    }
    Edit tree() {
        const auto& trees = m_plan.scenery.trees;
        if (trees.empty() || m_random.chance(0.2))
            return put("Plant tree", Tree{m_plan.nextId(), anywhere(), 3, 9, 2.5});
        Tree t = pick(trees, m_random);
        if (m_random.chance(0.2)) return removalOf(m_plan, t.id);
        if (m_random.chance(0.5))
            t.at = nudged(t.at, 10);
        else
            t.topM = oneDecimal(m_random.between(5, 15));
        return put("Change tree", t);
    }
    Edit area() {
        if (m_plan.congestionAreas.empty() || m_random.chance(0.2)) {
            const PlanePoint at = anywhere();
            const double width = m_random.between(60, 200);
            const Polygon shape = rectangle(at, width, m_random.between(60, 200));
            return put("Draw area", CongestionArea{m_plan.nextId(), "", shape, 1.2});
        }
        CongestionArea a = pick(m_plan.congestionAreas, m_random);
        if (m_plan.congestionAreas.size() > 1 && m_random.chance(0.3)) return removalOf(m_plan, a.id);
        if (m_random.chance(0.5))
            a.demandFactor = oneDecimal(m_random.between(0.5, 3));
        else
            for (PlanePoint& p : a.area.outer) p.x = oneDecimal(p.x + 7);
        return put("Change area", a);
    }

    const Plan& m_plan;
    Random& m_random;
};

} // namespace

Edit randomEdit(const Plan& plan, Random& random, EditKind kind) {
    return RandomEditMaker(plan, random).make(kind);
}

} // namespace fw::testing
