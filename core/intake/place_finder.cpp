// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/place_finder.h"

#include "geo/geodesy.h"
#include "intake/shape_text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

constexpr std::size_t kKept = 10000;
constexpr int kWgs84 = 4326;

template <class F>
void forEachPart(SourceShape& shape, F&& f) {
    if (!shape.points.empty()) f(shape.points);
    for (Line& line : shape.lines) f(line);
    for (Polygon& area : shape.areas) {
        f(area.outer);
        for (Ring& hole : area.holes) f(hole);
    }
}

std::optional<PlanePoint> firstOf(SourceShape& shape) {
    std::optional<PlanePoint> first;
    forEachPart(shape, [&](std::vector<PlanePoint>& part) {
        if (!first && !part.empty()) first = part.front();
    });
    return first;
}

double apart(PlanePoint a, PlanePoint b) { return std::hypot(a.x - b.x, a.y - b.y); }

bool looksLikeDegrees(const std::vector<PlanePoint>& places) {
    return std::all_of(places.begin(), places.end(),
                       [](PlanePoint p) { return std::fabs(p.x) <= 180 && std::fabs(p.y) <= 90; });
}

} // namespace

std::optional<PlanePoint> middleOf(const Plan& plan) {
    if (!plan.settings->workArea.empty()) return plan.settings->workArea.centre();
    Box all;
    for (const MacroSite& s : plan.macroSites) all.add(s.at);
    for (const Mount& m : plan.mounts) all.add(m.at);
    for (const auto& chunk : plan.scenery.buildingChunks()) all.add(chunk->bounds);
    if (all.empty()) return std::nullopt;
    return all.centre();
}

Result<PlaceFinder> PlaceFinder::open(const Plan& plan, const Frame& frame, const RowReader& rows,
                                      const IntakeRequest& request, std::vector<IntakeRemark>& remarks) {
    PlaceFinder out(frame);
    const IntakeKindInfo& info = rows.info();
    const auto mapped = [&](const char* name) {
        const int f = fieldNumber(info, name);
        return rows.holds(f) ? f : -1;
    };
    out.m_latitude = mapped("latitude");
    out.m_longitude = mapped("longitude");
    out.m_east = mapped("east_m");
    out.m_north = mapped("north_m");
    out.m_wkt = mapped("wkt");
    out.m_needed = info.place != PlaceNeed::pointMaybe;
    out.m_swap = request.swapAxes;
    out.m_anchor = middleOf(plan);
    if (info.place == PlaceNeed::none) return out;
    const bool points = info.place == PlaceNeed::point || info.place == PlaceNeed::pointMaybe;
    if (rows.head().hasShapes)
        out.m_from = From::shape;
    else if (points && out.m_latitude >= 0 && out.m_longitude >= 0)
        out.m_from = From::degrees;
    else if (points && out.m_east >= 0 && out.m_north >= 0)
        out.m_from = From::plane;
    else if (out.m_wkt >= 0)
        out.m_from = From::text;
    if (Status s = out.chooseSystem(rows, request, remarks); !s.ok()) return s.error();
    return out;
}

Status PlaceFinder::chooseSystem(const RowReader& rows, const IntakeRequest& request,
                                 std::vector<IntakeRemark>& remarks) {
    using Weight = IntakeRemark::Weight;
    if (m_from == From::nowhere) {
        if (m_needed)
            remarks.push_back({Weight::question,
                               rows.info().place == PlaceNeed::point
                                   ? "No column gives a place: there is neither latitude and longitude nor "
                                     "east and north."
                                   : "The file holds no geometry, and no column is called \"wkt\".",
                               rows.info().place == PlaceNeed::point
                                   ? "--map latitude=... --map longitude=..."
                                   : "--map wkt=..."});
        return Done{};
    }
    SourceSystem system{request.epsg, {}};
    if (request.epsg == 0 && m_from == From::shape)
        system = {rows.head().epsg, rows.head().wkt};
    else if (request.epsg == 0 && (m_from == From::degrees || m_from == From::text))
        system.epsg = kWgs84; // text has nowhere to say it; degrees are taken for the satellites' own system
    if (!system.known()) return Done{}; // asked about when the places have been seen
    auto reader = PlaceReader::open(system, m_frame);
    if (!reader) return reader.error();
    if (m_from == From::degrees && !reader->geographic())
        return Error{ErrorCode::badInput,
                     fmt::format("Latitude and longitude are degrees, and {} is not a system of degrees.",
                                 reader->name())};
    m_system = reader->name();
    if (request.epsg == 0 && (m_from == From::degrees || m_from == From::text)) m_system += ", assumed";
    m_reader = std::move(*reader);
    return Done{};
}

SourceShape PlaceFinder::rawPlaceOf(RowReader& row) {
    SourceShape out;
    if (m_from == From::shape) {
        out = std::move(row.row().shape);
        if (out.empty() && out.fault.empty()) out.fault = "has no geometry";
        if (out.empty()) row.refuse(out.fault);
        return out;
    }
    if (m_from == From::text) {
        const std::string text = row.text(m_wkt);
        if (text.empty()) {
            row.refuse(m_wkt, "holds no outline");
            return out;
        }
        out = shapeFromText(text);
        if (out.empty()) row.refuse(m_wkt, out.fault);
        return out;
    }
    const bool degreesGiven = m_from == From::degrees;
    const int xField = degreesGiven ? m_longitude : m_east, yField = degreesGiven ? m_latitude : m_north;
    const auto x = m_swap ? row.number(yField) : row.number(xField);
    const auto y = m_swap ? row.number(xField) : row.number(yField);
    if (row.refused()) return out;
    if (x && y)
        out.points = {{*x, *y}};
    else if (x || y || m_needed)
        row.refuse(x ? yField : xField, "is empty, so that the place is not known");
    return out;
}

bool PlaceFinder::toPlan(SourceShape& shape) const {
    bool good = true;
    forEachPart(shape, [&](std::vector<PlanePoint>& part) { good = good && m_reader->toPlan(part); });
    return good;
}

// Rows far from the plan are no use to it and mostly a sign that something is taken for what it is not.
void PlaceFinder::lookWhere(RowReader& row, SourceShape& shape, PlanePoint first) {
    const auto at = firstOf(shape);
    if (!at) return;
    ++m_looked;
    if (m_places.size() < kKept) m_places.push_back(*at);
    const double away = m_anchor ? apart(*m_anchor, *at) : 0;
    if (away <= kFarM) return;
    ++m_far;
    m_nearestFarM = std::min(m_nearestFarM, away);
    std::vector<PlanePoint> swapped{{first.y, first.x}};
    if (m_reader->toPlan(swapped) && apart(*m_anchor, swapped.front()) <= kFarM) ++m_nearIfSwapped;
    row.refuse(fmt::format("lies {:.0f} km from the plan", away / 1000));
    shape = {};
}

SourceShape PlaceFinder::placeOf(RowReader& row) {
    if (m_from == From::nowhere || row.refused()) return {};
    SourceShape shape = rawPlaceOf(row);
    if (!m_reader) {
        if (const auto at = firstOf(shape); at && m_places.size() < kKept) m_places.push_back(*at);
        return {};
    }
    if (row.refused() || shape.empty()) return {};
    if (m_swap && (m_from == From::shape || m_from == From::text))
        forEachPart(shape, [](std::vector<PlanePoint>& part) {
            for (PlanePoint& p : part) std::swap(p.x, p.y);
        });
    const PlanePoint first = *firstOf(shape);
    if (first.x == 0 && first.y == 0) {
        row.refuse("is at 0, 0, which stands for a place that was never filled in");
        return {};
    }
    if (!toPlan(shape)) {
        const bool degreesGiven = m_reader->geographic(); // said as people do, latitude first
        row.refuse(fmt::format("lies at {:.6f}, {:.6f}, which has no place in the plan's system",
                               degreesGiven ? first.y : first.x, degreesGiven ? first.x : first.y));
        ++m_looked;
        ++m_far;
        std::vector<PlanePoint> swapped{{first.y, first.x}};
        if (m_reader->toPlan(swapped) && (!m_anchor || apart(*m_anchor, swapped.front()) <= kFarM))
            ++m_nearIfSwapped;
        return {};
    }
    lookWhere(row, shape, first);
    return shape;
}

void PlaceFinder::askForSystem(std::vector<IntakeRemark>& remarks) const {
    std::string text = "The file does not say in which reference system its places are given.", answer;
    const bool nearby = m_anchor && !m_places.empty() &&
                        std::all_of(m_places.begin(), m_places.end(),
                                    [&](PlanePoint p) { return apart(p, *m_anchor) <= kFarM; });
    if (nearby) {
        text += " Its numbers fit the plan's own.";
        answer = fmt::format("--crs {}", m_frame.epsg());
    } else if (!m_places.empty() && looksLikeDegrees(m_places)) {
        text += " Its numbers look like degrees.";
        answer = fmt::format("--crs {}", kWgs84);
    } else {
        answer = "--crs with its EPSG code";
    }
    IntakeRemark remark{IntakeRemark::Weight::question, std::move(text), std::move(answer)};
    if (nearby) remark.choices.push_back({"The plan's own", {}, {}, m_frame.epsg(), false});
    if (!nearby && !m_places.empty() && looksLikeDegrees(m_places))
        remark.choices.push_back({"Degrees, WGS 84", {}, {}, kWgs84, false});
    remarks.push_back(std::move(remark));
}

void PlaceFinder::finish(std::vector<IntakeRemark>& remarks) const {
    using Weight = IntakeRemark::Weight;
    if (m_from != From::nowhere && !m_reader) {
        askForSystem(remarks);
        return;
    }
    if (m_far > 0 && 2 * m_nearIfSwapped > m_looked) {
        remarks.push_back({Weight::question,
                           fmt::format("The places of {} of {} rows are far off as they stand and near the "
                                       "plan with their two numbers exchanged: latitude and longitude, or "
                                       "east and north, are swapped.",
                                       m_nearIfSwapped, m_looked),
                           "--swap",
                           {{"Exchange them", {}, {}, 0, true}}});
        return;
    }
    if (m_looked > 0 && m_far == m_looked)
        remarks.push_back({Weight::look,
                           fmt::format("All rows lie far from the plan, the nearest {:.0f} km: another town, "
                                       "or another reference system than {}.",
                                       m_nearestFarM / 1000, m_system),
                           {}});
    if (m_from == From::plane && m_far == m_looked && looksLikeDegrees(m_places)) return;
    if (m_anchor || m_places.size() < 3) return;
    std::vector<double> xs, ys;
    for (const PlanePoint& p : m_places) {
        xs.push_back(p.x);
        ys.push_back(p.y);
    }
    const auto middle = [](std::vector<double>& v) {
        std::nth_element(v.begin(), v.begin() + static_cast<std::ptrdiff_t>(v.size() / 2), v.end());
        return v[v.size() / 2];
    };
    const PlanePoint mid{middle(xs), middle(ys)};
    const auto off =
        std::count_if(m_places.begin(), m_places.end(), [&](PlanePoint p) { return apart(p, mid) > kFarM; });
    if (off > 0)
        remarks.push_back({Weight::look,
                           fmt::format("{} of {} rows lie more than {:.0f} km from the others; look at them "
                                       "before you go on.",
                                       off, m_places.size(), kFarM / 1000),
                           {}});
}

} // namespace fw
