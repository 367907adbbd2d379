// SPDX-License-Identifier: GPL-3.0-or-later
// What has a place or a path and little else: trees, lines, streets, areas, fibre points, power taps.
#include "intake/footprint_mend.h"
#include "intake/taker.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

/// Keeps what was taken and refuses what is there already.
class PlainTaker : public Taker {
public:
    using Taker::Taker;

protected:
    bool seenBefore(RowReader& row, std::uint64_t key) {
        return refuseIfSeen(row, m_seen.before(key, row.row().number));
    }
    bool refuseIfSeen(RowReader& row, std::optional<std::int64_t> before) {
        if (!before) return false;
        refuseTwice(row, *before < 0 ? std::string("is in the plan already")
                                     : fmt::format("is where row {} is", *before));
        return true;
    }
    template <class T>
    void keep(T item) {
        item.id = freshId();
        m_changes.emplace_back(Put{std::move(item)});
    }
    void known(std::uint64_t key) { m_seen.before(key, -1); }
    void deliver(IntakePreview& preview, Kind kind) {
        preview.counts.push_back({kind, m_changes.size(), 0});
        preview.edit.changes.insert(preview.edit.changes.end(), std::make_move_iterator(m_changes.begin()),
                                    std::make_move_iterator(m_changes.end()));
    }
    void sayDefault(IntakePreview& preview, std::size_t n, const char* what) const {
        if (n > 0) preview.remarks.push_back({Weight::look, fmt::format("{} {}.", n, what), {}});
    }

private:
    SeenRows m_seen;
    std::vector<Change> m_changes;
};

class TreeTaker : public PlainTaker {
public:
    TreeTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : PlainTaker(plan, frame, request, rows) {
        for (const Tree& t : plan.scenery.trees) known(keyOf(t.at));
    }
    void take(RowReader& row, SourceShape shape) override {
        const auto at = pointOf(row, shape);
        const auto top = row.number(m_top, 0.5, 200), radius = row.number(m_radius, 0.1, 100),
                   diameter = row.number(m_diameter, 0.2, 200), bottom = row.number(m_bottom, 0, 200);
        if (row.refused() || !at) return;
        Tree tree;
        tree.at = *at;
        tree.topM = top.value_or(tree.topM);
        tree.crownRadiusM = radius ? *radius : diameter ? *diameter / 2 : tree.crownRadiusM;
        // [own]: the default's share of the height, where only the height is known.
        tree.crownBottomM = bottom.value_or(tree.topM * Tree{}.crownBottomM / Tree{}.topM);
        if (!stands(row, tree) || seenBefore(row, keyOf(tree.at))) return;
        if (!top) ++m_noTop;
        keep(tree);
    }
    void finish(IntakePreview& preview) override {
        deliver(preview, Kind::tree);
        sayDefault(preview, m_noTop, "trees have no height; they get 8 m");
    }

private:
    int m_top = field("top_m"), m_radius = field("crown_radius_m"), m_diameter = field("crown_diameter_m"),
        m_bottom = field("crown_bottom_m");
    std::size_t m_noTop = 0;
};

class LineTaker : public PlainTaker {
public:
    LineTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : PlainTaker(plan, frame, request, rows) {
        for (const OverheadLine& l : plan.overheadLines) known(keyOf(l.path));
    }
    void take(RowReader& row, SourceShape shape) override {
        const auto lowest = row.number(m_lowest, 0, 500), kilovolts = row.number(m_kilovolts, 0, 2000);
        if (row.refused()) return;
        if (shape.lines.empty()) {
            row.refuse("is no line");
            return;
        }
        OverheadLine line;
        line.name = row.text(m_name);
        line.lowest = {lowest.value_or(line.lowest.m)};
        line.kilovolts = kilovolts;
        for (const Line& path : shape.lines) {
            line.path = path;
            if (!stands(row, line)) return;
        }
        if (seenBefore(row, keyOf(shape.lines.front()))) return;
        if (!lowest) ++m_noHeight;
        if (!kilovolts) ++m_noVoltage;
        for (Line& path : shape.lines) {
            line.path = std::move(path);
            keep(line);
        }
    }
    void finish(IntakePreview& preview) override {
        deliver(preview, Kind::overheadLine);
        sayDefault(preview, m_noHeight,
                   "lines have no height; they get 7 m. Have the clearance measured by who is licensed to");
        sayDefault(preview, m_noVoltage, "lines have no voltage; they are treated as the worst");
    }

private:
    int m_name = field("name"), m_lowest = field("lowest_m"), m_kilovolts = field("kilovolts");
    std::size_t m_noHeight = 0, m_noVoltage = 0;
};

class StreetTaker : public PlainTaker {
public:
    StreetTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : PlainTaker(plan, frame, request, rows) {
        for (const Street& s : plan.streets) known(keyOf(s.path));
    }
    void take(RowReader& row, SourceShape shape) override {
        const auto width = row.number(m_width, 0, 500);
        if (row.refused()) return;
        if (shape.lines.empty()) {
            row.refuse("is no line");
            return;
        }
        Street street;
        street.name = row.text(m_name);
        if (width && *width > 0) street.widthM = *width;
        for (const Line& path : shape.lines) {
            street.path = path;
            if (!stands(row, street)) return;
        }
        if (seenBefore(row, keyOf(shape.lines.front()))) return;
        if (!width || *width == 0) ++m_noWidth;
        for (Line& path : shape.lines) {
            street.path = std::move(path);
            keep(street);
        }
    }
    void finish(IntakePreview& preview) override {
        deliver(preview, Kind::street);
        sayDefault(preview, m_noWidth, "streets have no width; they get 8 m");
    }

private:
    int m_name = field("name"), m_width = field("width_m");
    std::size_t m_noWidth = 0;
};

class AreaTaker : public PlainTaker {
public:
    AreaTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : PlainTaker(plan, frame, request, rows) {
        for (const CongestionArea& a : plan.congestionAreas) m_areas.before(a.area, -1);
    }
    void take(RowReader& row, SourceShape shape) override {
        const auto factor = row.number(m_factor, 0, 1000);
        if (row.refused()) return;
        std::vector<CongestionArea> made;
        MendTally tally;
        for (Polygon& outline : shape.areas)
            for (Polygon& part : mendedFootprint(std::move(outline), tally)) {
                CongestionArea area;
                area.name = row.text(m_name);
                area.area = std::move(part);
                area.demandFactor = factor.value_or(1);
                if (!stands(row, area)) return;
                made.push_back(std::move(area));
            }
        if (made.empty()) {
            row.refuse("is no outline of an area");
            return;
        }
        if (refuseIfSeen(row, m_areas.before(made.front().area, row.row().number))) return;
        for (CongestionArea& area : made) {
            if (area.name.empty()) area.name = fmt::format("Area {}", row.row().number);
            keep(std::move(area));
        }
    }
    void finish(IntakePreview& preview) override { deliver(preview, Kind::congestionArea); }

private:
    int m_name = field("name"), m_factor = field("demand_factor");
    SeenAreas m_areas;
};

/// Fibre can be joined at a point, or at each corner of a route (closures sit where routes bend; common
/// practice).
class FibreTaker : public PlainTaker {
public:
    FibreTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : PlainTaker(plan, frame, request, rows) {
        for (const FibrePoint& p : plan.fibrePoints) known(keyOf(p.at));
    }
    void take(RowReader& row, SourceShape shape) override {
        std::vector<PlanePoint> places = shape.points;
        for (const Line& route : shape.lines) places.insert(places.end(), route.begin(), route.end());
        if (places.empty()) {
            row.refuse("is neither point nor route");
            return;
        }
        const std::string name = row.text(m_name);
        for (const PlanePoint& at : places)
            if (!stands(row, FibrePoint{{}, name, at})) return;
        if (places.size() == 1 && seenBefore(row, keyOf(places.front()))) return;
        if (!shape.lines.empty()) ++m_routes;
        for (std::size_t k = 0; k < places.size(); ++k)
            keep(FibrePoint{{},
                            places.size() == 1 ? nameOf(name, row)
                                               : fmt::format("{} {}", nameOf(name, row), k + 1),
                            places[k]});
    }
    void finish(IntakePreview& preview) override {
        deliver(preview, Kind::fibrePoint);
        if (m_routes > 0)
            preview.remarks.push_back(
                {Weight::note,
                 fmt::format("{} routes give a fibre point at each of their corners.", m_routes),
                 {}});
    }

private:
    static std::string nameOf(const std::string& name, RowReader& row) {
        return name.empty() ? fmt::format("Fibre {}", row.row().number) : name;
    }
    int m_name = field("name");
    std::size_t m_routes = 0;
};

class PowerTaker : public PlainTaker {
public:
    PowerTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : PlainTaker(plan, frame, request, rows) {
        for (const PowerTap& p : plan.powerTaps) known(keyOf(p.at));
    }
    void take(RowReader& row, SourceShape shape) override {
        const auto at = pointOf(row, shape);
        const auto volts = row.number(m_volts, 1, 1e6);
        const auto phases = row.whole(m_phases, 1, 3);
        if (row.refused() || !at) return;
        PowerTap tap;
        tap.at = *at;
        tap.name = row.text(m_name);
        if (tap.name.empty()) tap.name = fmt::format("Tap {}", row.row().number);
        tap.volts = volts.value_or(tap.volts);
        tap.phases = phases.value_or(tap.phases);
        if (!stands(row, tap) || seenBefore(row, keyOf(tap.at))) return;
        if (!volts) ++m_noVoltage;
        keep(tap);
    }
    void finish(IntakePreview& preview) override {
        deliver(preview, Kind::powerTap);
        sayDefault(preview, m_noVoltage, "taps have no voltage; they get 230 V");
    }

private:
    int m_name = field("name"), m_volts = field("volts"), m_phases = field("phases");
    std::size_t m_noVoltage = 0;
};

template <class T>
TakerPtr made(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows) {
    return std::make_unique<T>(plan, frame, request, rows);
}

} // namespace

TakerPtr treeTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return made<TreeTaker>(p, f, q, r);
}
TakerPtr lineTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return made<LineTaker>(p, f, q, r);
}
TakerPtr streetTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return made<StreetTaker>(p, f, q, r);
}
TakerPtr areaTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return made<AreaTaker>(p, f, q, r);
}
TakerPtr fibreTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return made<FibreTaker>(p, f, q, r);
}
TakerPtr powerTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return made<PowerTaker>(p, f, q, r);
}

} // namespace fw
