// SPDX-License-Identifier: GPL-3.0-or-later
#include "oracle.h"

#include <GeographicLib/Geodesic.hpp>

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

namespace fwtest {

using fw::ItemId;
using fw::PlanePoint;
using Says = Verdict::Says;

namespace {

constexpr double kDeg = 0.1, kMetre = 0.1; // how near to a limit either answer is right

struct GeoLine {
    double azimuth = 0, distance = 0;
};

// Three-valued: sure yes, sure no, or too close to call.
enum class Tri { no, yes, close };
Tri operator&&(Tri a, Tri b) {
    if (a == Tri::no || b == Tri::no) return Tri::no;
    return a == Tri::close || b == Tri::close ? Tri::close : Tri::yes;
}
Tri operator!(Tri a) { return a == Tri::yes ? Tri::no : a == Tri::no ? Tri::yes : Tri::close; }
Tri atMost(double value, double limit, double room) {
    if (std::fabs(value - limit) < room) return Tri::close;
    return value < limit ? Tri::yes : Tri::no;
}

struct Spot {
    PlanePoint at;
    double height = 0; ///< above the flat ground
};

struct CellHere { ///< a small cell with what it hangs on
    const fw::SmallCell* cell;
    const fw::Radio* radio;
    const fw::Mount* mount;
};

class Oracle {
public:
    Oracle(const fw::Plan& plan, const fw::Frame& frame, const std::function<double(const char*)>& limit)
        : m_plan(plan), m_frame(frame), m_limit(limit) {
        for (const fw::SmallCell& c : plan.smallCells) {
            if (c.variant != plan.settings->activeVariant) continue;
            const fw::Radio* r = plan.radios.find(c.radio);
            m_cells.push_back({&c, r, plan.mounts.find(r->mount)});
        }
        plan.scenery.forEachBuilding([&](const fw::Building& b) { m_buildings.push_back(b); });
    }

    std::map<TupleKey, Verdict> run() {
        for (const CellHere& c : m_cells)
            for (const fw::MacroSite& s : m_plan.macroSites) facesMacro(c, s);
        for (std::size_t i = 0; i < m_cells.size(); ++i)
            for (std::size_t k = i + 1; k < m_cells.size(); ++k) facing(m_cells[i], m_cells[k]);
        std::set<ItemId> radios, mounts;
        for (const CellHere& c : m_cells) {
            radios.insert(c.radio->id);
            mounts.insert(c.mount->id);
        }
        for (const ItemId a : radios)
            for (const ItemId b : radios)
                if (a < b) spread(*m_plan.radios.find(a), *m_plan.radios.find(b));
        for (const ItemId m : mounts) {
            heightWindow(*m_plan.mounts.find(m));
            lines(*m_plan.mounts.find(m));
        }
        return std::move(m_out);
    }

private:
    [[nodiscard]] GeoLine line(PlanePoint a, PlanePoint b) const {
        const auto p = m_frame.toGeo(a).value(), q = m_frame.toGeo(b).value();
        GeoLine l;
        double back = 0;
        GeographicLib::Geodesic::WGS84().Inverse(p.latDeg, p.lonDeg, q.latDeg, q.lonDeg, l.distance,
                                                 l.azimuth, back);
        return l;
    }
    static double turn(double a, double b) { // 0..180
        double d = std::fmod(std::fabs(a - b), 360.0);
        return d > 180 ? 360 - d : d;
    }
    void put(const char* rule, std::vector<ItemId> subjects, const Verdict& v) {
        std::sort(subjects.begin(), subjects.end());
        m_out[{rule, std::move(subjects)}] = v;
    }

    // --- sight ---------------------------------------------------------------------------------------------
    // Fractions of a-b that lie within a ring, by clipping against its (convex) sides pushed out by `grow`.
    static std::optional<std::pair<double, double>> within(const fw::Ring& ring, PlanePoint a, PlanePoint b,
                                                           double grow) {
        double from = 0, to = 1;
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const PlanePoint p = ring[i], q = ring[(i + 1) % ring.size()];
            const double len = std::hypot(q.x - p.x, q.y - p.y);
            const double nx = (q.y - p.y) / len, ny = -(q.x - p.x) / len; // outward of an anticlockwise ring
            const double da = (a.x - p.x) * nx + (a.y - p.y) * ny - grow;
            const double db = (b.x - p.x) * nx + (b.y - p.y) * ny - grow;
            if (da > 0 && db > 0) return std::nullopt;
            if (da > 0) from = std::max(from, da / (da - db));
            if (db > 0) to = std::min(to, da / (da - db));
        }
        if (from > to) return std::nullopt;
        return std::pair{from, to};
    }
    static bool cuts(const fw::Building& b, const Spot& s, const Spot& t, double grow) {
        const auto span = within(b.footprint.outer, s.at, t.at, grow);
        if (!span) return false;
        const double h1 = s.height + (t.height - s.height) * span->first;
        const double h2 = s.height + (t.height - s.height) * span->second;
        return std::min(h1, h2) < b.heightM + grow;
    }
    [[nodiscard]] Tri sight(const Spot& a, const Spot& b) const {
        bool wide = false;
        for (const fw::Building& x : m_buildings) {
            if (cuts(x, a, b, -kMetre)) return Tri::no;
            wide = wide || cuts(x, a, b, kMetre);
        }
        return wide ? Tri::close : Tri::yes;
    }

    // --- macros --------------------------------------------------------------------------------------------
    [[nodiscard]] std::vector<const fw::Cell*> cellsOf(ItemId site) const {
        std::vector<const fw::Cell*> out;
        for (const fw::Cell& c : m_plan.cells)
            if (m_plan.sectors.find(c.sector)->site == site) out.push_back(&c);
        return out;
    }
    [[nodiscard]] double spacing(const fw::MacroSite& site) const {
        std::vector<double> d;
        for (const fw::MacroSite& s : m_plan.macroSites)
            if (s.id != site.id && !cellsOf(s.id).empty()) d.push_back(line(site.at, s.at).distance);
        if (d.empty()) return m_limit("faces-macro.lone-spacing");
        std::sort(d.begin(), d.end());
        d.resize(std::min<std::size_t>(3, d.size()));
        double sum = 0;
        for (const double x : d) sum += x;
        return sum / static_cast<double>(d.size());
    }
    void facesMacro(const CellHere& c, const fw::MacroSite& site) {
        const auto sends = cellsOf(site.id);
        if (sends.empty()) return;
        const GeoLine l = line(c.mount->at, site.at);
        const double off = turn(l.azimuth, c.radio->azimuth.deg);
        const double half = c.radio->hBeamDeg / 2 + m_limit("faces-macro.margin");
        const double block = m_limit("faces-macro.block-within");
        const double warn = std::max(block, m_limit("faces-macro.warn-spacings") * spacing(site));
        const double note = std::max(warn, m_limit("faces-macro.note-spacings") * spacing(site));
        Tri seen = Tri::no; // any sector of the site that sends
        bool shares = false;
        for (const fw::Cell* cell : sends) {
            const double h = m_plan.sectors.find(cell->sector)->height.m;
            const Tri one = sight({c.mount->at, c.mount->height.m}, {site.at, h});
            if (one == Tri::yes || seen == Tri::no) seen = one;
            shares = shares || (cell->carrier.channel == c.cell->carrier.channel &&
                                cell->carrier.technology == c.cell->carrier.technology);
        }
        const Tri near = seen && atMost(l.distance, block, kMetre);
        const Tri mid = seen && atMost(l.distance, warn, kMetre);
        const Tri there = atMost(off, half, kDeg) && atMost(l.distance, note, kMetre);
        Verdict v;
        v.overNorth = std::fabs(std::fmod(l.azimuth + 360, 360) - c.radio->azimuth.deg) > 180;
        if (there == Tri::close || (there == Tri::yes && (near == Tri::close || mid == Tri::close))) {
            v.says = Says::tooClose;
        } else if (there == Tri::yes) {
            v.severity = (near == Tri::yes ? 2 : mid == Tri::yes ? 1 : 0) - (shares ? 0 : 1);
            v.says = v.severity < 0 ? Says::mayBe : Says::atLeast;
        } else {
            v.nearMiss = (off < half + 5 && l.distance <= note) || (off <= half && l.distance < note + 15);
        }
        put("faces-macro", {c.cell->id, site.id}, v);
    }

    // --- small cells ---------------------------------------------------------------------------------------
    void facing(const CellHere& a, const CellHere& b) {
        if (a.mount == b.mount || !a.cell->chosen || !b.cell->chosen) return;
        if (a.cell->carrier.channel != b.cell->carrier.channel ||
            a.cell->carrier.technology != b.cell->carrier.technology)
            return;
        const GeoLine ab = line(a.mount->at, b.mount->at), ba = line(b.mount->at, a.mount->at);
        const double offA = turn(ab.azimuth, a.radio->azimuth.deg);
        const double offB = turn(ba.azimuth, b.radio->azimuth.deg);
        const Tri clear = sight({a.mount->at, a.mount->height.m}, {b.mount->at, b.mount->height.m});
        const bool north = std::fabs(std::fmod(ab.azimuth + 360, 360) - a.radio->azimuth.deg) > 180 ||
                           std::fabs(std::fmod(ba.azimuth + 360, 360) - b.radio->azimuth.deg) > 180;
        mutual(a, b, ab.distance, offA, offB, clear, north);
        oneWay(a, b, ab.distance, offA, offB, clear, north);
    }
    void mutual(const CellHere& a, const CellHere& b, double d, double offA, double offB, Tri clear,
                bool north) {
        const double margin = m_limit("mutual-facing.margin");
        const double halfA = a.radio->hBeamDeg / 2 + margin, halfB = b.radio->hBeamDeg / 2 + margin;
        const double block = m_limit("mutual-facing.block-within");
        const double warn = std::max(block, m_limit("mutual-facing.warn-within"));
        const Tri both = atMost(offA, halfA, kDeg) && atMost(offB, halfB, kDeg) && clear;
        const Tri near = both && atMost(d, block, kMetre), far = both && atMost(d, warn, kMetre);
        Verdict v;
        v.overNorth = north;
        if (near == Tri::yes) {
            v.says = Says::finding;
            v.severity = 2;
        } else if (near == Tri::close || far == Tri::close) {
            v.says = Says::tooClose;
        } else if (far == Tri::yes) {
            v.says = Says::mayBe;
        } else {
            const int beyond = (offA > halfA) + (offB > halfB) + (d > warn) + (clear == Tri::no);
            v.nearMiss = beyond == 1 && offA < halfA + 5 && offB < halfB + 5 && d < warn + 15;
        }
        put("mutual-facing", {a.cell->id, b.cell->id}, v);
    }
    void oneWay(const CellHere& a, const CellHere& b, double d, double offA, double offB, Tri clear,
                bool north) {
        const double margin = m_limit("one-way-facing.margin");
        const double halfA = a.radio->hBeamDeg / 2 + margin, halfB = b.radio->hBeamDeg / 2 + margin;
        const double within = m_limit("one-way-facing.warn-within");
        const Tri sees = atMost(offA, halfA, kDeg), seen = atMost(offB, halfB, kDeg);
        const Tri rest = clear && atMost(d, within, kMetre);
        const Tri first = sees && !seen && rest, second = seen && !sees && rest;
        Verdict v;
        v.overNorth = north;
        if (first == Tri::yes || second == Tri::yes) {
            v.says = Says::finding;
            v.severity = 1;
        } else if (first == Tri::close || second == Tri::close) {
            v.says = Says::tooClose;
        } else {
            const bool placed = clear == Tri::yes && d <= within;
            const bool beam =
                (offA < halfA + 5 && offB > halfB + 5) || (offB < halfB + 5 && offA > halfA + 5);
            v.nearMiss = (placed && beam) || (clear == Tri::yes && (offA <= halfA) != (offB <= halfB) &&
                                              d > within && d < within + 15);
        }
        put("one-way-facing", {a.cell->id, b.cell->id}, v);
    }
    void spread(const fw::Radio& a, const fw::Radio& b) {
        if (a.mount != b.mount) return;
        std::vector<const fw::SmallCell*> onA, onB;
        for (const CellHere& c : m_cells) {
            if (c.cell->chosen && c.radio->id == a.id) onA.push_back(c.cell);
            if (c.cell->chosen && c.radio->id == b.id) onB.push_back(c.cell);
        }
        if (onA.empty() || onB.empty()) return;
        bool shared = false;
        for (const auto* x : onA)
            for (const auto* y : onB)
                shared = shared || (x->carrier.channel == y->carrier.channel &&
                                    x->carrier.technology == y->carrier.technology);
        const double need = m_limit("same-mount-spread.spread"), apart = turn(a.azimuth.deg, b.azimuth.deg);
        Verdict v;
        v.overNorth = std::fabs(a.azimuth.deg - b.azimuth.deg) > 180;
        v.severity = shared ? 1 : 0;
        const Tri ok = atMost(need, apart, kDeg);
        v.says = ok == Tri::close ? Says::tooClose : ok == Tri::yes ? Says::nothing : Says::finding;
        v.nearMiss = v.says == Says::nothing && apart < need + 5;
        put("same-mount-spread", {a.id, b.id}, v);
    }

    // --- mounts --------------------------------------------------------------------------------------------
    void heightWindow(const fw::Mount& m) {
        const double low = m_limit("height-window.lowest"), high = m_limit("height-window.highest");
        const double h = m.height.m;
        Verdict v;
        v.severity = 1;
        // Heights are compared as entered, without any geometry in between: no room is needed.
        v.says = h < low || h > high ? Says::finding : Says::nothing;
        v.nearMiss = v.says == Says::nothing && (h - low < 0.5 || high - h < 0.5);
        put("height-window", {m.id}, v);
    }
    // Ellipsoidal distance to the nearest place of a straight (in the plan) stretch, by thirds.
    [[nodiscard]] double distanceTo(PlanePoint at, PlanePoint p, PlanePoint q) const {
        const auto far = [&](double t) {
            return line(at, {p.x + (q.x - p.x) * t, p.y + (q.y - p.y) * t}).distance;
        };
        double a = 0, b = 1;
        for (int k = 0; k < 40; ++k) {
            const double u = a + (b - a) / 3, w = b - (b - a) / 3;
            (far(u) < far(w) ? b : a) = far(u) < far(w) ? w : u;
        }
        return std::min({far(0), far(1), far((a + b) / 2)});
    }
    [[nodiscard]] double clearanceFor(std::optional<double> kv) const {
        const double to1 = m_limit("line-clearance.to-1kv"), to50 = m_limit("line-clearance.to-50kv");
        const double to200 = m_limit("line-clearance.to-200kv"),
                     above = m_limit("line-clearance.above-200kv");
        if (!kv) return std::max(std::max(to1, to50), std::max(to200, above));
        if (*kv > 200) return above;
        if (*kv > 50) return to200;
        return *kv > 1 ? to50 : to1;
    }
    void lines(const fw::Mount& m) {
        const double zone = m_limit("line-clearance.working-radius"), widest = zone + clearanceFor({});
        Tri anyNear = Tri::no;
        for (const fw::OverheadLine& l : m_plan.overheadLines) {
            double d = 1e9;
            for (std::size_t k = 0; k + 1 < l.path.size(); ++k)
                d = std::min(d, distanceTo(m.at, l.path[k], l.path[k + 1]));
            const double need = zone + clearanceFor(l.kilovolts);
            const Tri inside = atMost(d, need, kMetre);
            Verdict v;
            v.severity = 2;
            v.says = inside == Tri::close ? Says::tooClose
                     : inside == Tri::yes ? Says::finding
                                          : Says::nothing;
            v.nearMiss = v.says == Says::nothing && d < need + 0.5;
            put("line-clearance", {m.id, l.id}, v);
            // The review asks for lines within a hundredth more, to have room for the scale of the plan.
            const Tri near = d > widest * 1.02 + kMetre ? Tri::no : d < widest ? Tri::yes : Tri::close;
            if (anyNear != Tri::yes && near != Tri::no) anyNear = near;
        }
        Verdict v;
        if (m.lineKnownClearanceM) {
            v.severity = 2;
            if (*m.lineKnownClearanceM < widest)
                v.says = !m.linesSurveyed || anyNear == Tri::no ? Says::finding
                         : anyNear == Tri::yes                  ? Says::nothing
                                                                : Says::tooClose;
            v.nearMiss = *m.lineKnownClearanceM >= widest && *m.lineKnownClearanceM < widest + 0.5;
        } else if (!m.linesSurveyed) {
            v.says = Says::finding;
            v.severity = m.kind == fw::MountKind::pole ? 2 : 1;
        }
        put("line-clearance", {m.id}, v);
    }

    const fw::Plan& m_plan;
    const fw::Frame& m_frame;
    const std::function<double(const char*)>& m_limit;
    std::vector<CellHere> m_cells;
    std::vector<fw::Building> m_buildings;
    std::map<TupleKey, Verdict> m_out;
};

} // namespace

std::map<TupleKey, Verdict> oracle(const fw::Plan& plan, const fw::Frame& frame,
                                   const std::function<double(const char*)>& limit) {
    return Oracle(plan, frame, limit).run();
}

} // namespace fwtest
