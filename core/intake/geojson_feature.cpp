// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/geojson_feature.h"

#include "base/text.h"
#include "intake/ogr_row.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace fw {
namespace {

constexpr int kDeepestCollection = 32; // of collections in collections

bool isPlain(std::string_view s) {
    return std::all_of(s.begin(), s.end(), [](char c) { return c >= ' ' && c != 0x7f; });
}

/// Text without blanks at its ends; most is plain ASCII and needs no closer look.
std::string textFrom(std::string_view s) {
    if (!s.empty() && s.front() != ' ' && s.back() != ' ' && isPlain(s)) return std::string(s);
    return cleanText(std::string(s).c_str());
}

void setNone(SourceRow& row) {
    row.fault = CORE_TEXT("it is no feature");
    row.shape.fault = CORE_TEXT("it has no geometry");
}

bool isWhole(std::string_view number) { return number.find_first_of(".eE") == number.npos; }

} // namespace

std::optional<std::size_t> GeoJsonColumns::find(std::string_view name, std::size_t likely) {
    if (likely < m_columns.size() && m_columns[likely].head.name == name) return likely;
    std::string key = cleanText(std::string(name).c_str());
    const auto known = m_byName.find(key);
    if (known != m_byName.end()) return known->second;
    // Beyond that a file has no table of columns, but keys that are data.
    constexpr std::size_t kMostColumns = 2000;
    if (!m_open || m_columns.size() == kMostColumns) return std::nullopt;
    m_byName.emplace(key, m_columns.size());
    m_columns.push_back({{std::move(key), false, {}}});
    return m_columns.size() - 1;
}

void GeoJsonColumns::look(const SourceRow& row) {
    constexpr std::size_t kMost = 5;
    for (std::size_t k = 0; k < row.values.size() && k < m_columns.size(); ++k) {
        const SourceValue& v = row.values[k];
        if (v.index() == 0) continue;
        Column& column = m_columns[k];
        (v.index() == 1 ? column.numbers : column.others) = true;
        if (column.head.samples.size() < kMost) column.head.samples.push_back(sampleText(v));
    }
}

std::vector<SourceColumn> GeoJsonColumns::columns() const {
    std::vector<SourceColumn> columns;
    columns.reserve(m_columns.size());
    for (const Column& c : m_columns) {
        columns.push_back(c.head);
        columns.back().numeric = c.numbers && !c.others;
    }
    return columns;
}

void GeoJsonFeatures::clear(std::int64_t ordinal, SourceRow& row) const {
    row.number = ordinal;
    row.fault.clear();
    row.shape = {};
    for (SourceValue& v : row.values) v = {};
    row.values.resize(m_columns.size());
}

bool GeoJsonFeatures::readGeometry(JsonCursor& c, std::int64_t ordinal, SourceRow& row) {
    clear(ordinal, row);
    return geometry(c, row.shape, 0);
}

bool GeoJsonFeatures::read(JsonCursor& c, std::int64_t ordinal, SourceRow& row) {
    clear(ordinal, row);
    if (c.peek() != '{') {
        setNone(row);
        return c.skip();
    }
    m_isFeature = m_hasGeometry = false;
    c.take('{');
    if (c.peek() == '}') {
        setNone(row);
        return c.take('}');
    }
    for (bool ok = true, next = true; next;) {
        std::string_view key;
        if (!c.string(key)) return false;
        m_key.assign(key);
        if (!c.take(':') || !member(c, m_key, row)) return false;
        next = c.more('}', ok);
        if (!ok) return false;
    }
    if (!m_isFeature) row.fault = CORE_TEXT("it is no feature");
    if (!m_hasGeometry) row.shape.fault = CORE_TEXT("it has no geometry");
    row.values.resize(m_columns.size());
    return true;
}

bool GeoJsonFeatures::member(JsonCursor& c, std::string_view key, SourceRow& row) {
    if (key == "type") {
        std::string_view type;
        if (c.peek() != '"') return c.skip();
        if (!c.string(type)) return false;
        m_isFeature = type == "Feature";
        return true;
    }
    if (key == "geometry") {
        m_hasGeometry = c.peek() == '{';
        row.shape = {};
        return m_hasGeometry ? geometry(c, row.shape, 0) : c.skip();
    }
    if (key == "properties" && c.peek() == '{') return properties(c, row);
    if (key == "id") return id(c, row);
    return c.skip();
}

bool GeoJsonFeatures::id(JsonCursor& c, SourceRow& row) {
    SourceValue id;
    if (!value(c, id)) return false;
    if (const auto* number = std::get_if<double>(&id); number && *number == std::floor(*number)) {
        row.number = static_cast<std::int64_t>(*number);
    } else if (id.index() == 2) {
        if (const auto at = m_columns.find("id", 0)) {
            if (*at >= row.values.size()) row.values.resize(m_columns.size());
            // A property of that name is the better one.
            if (row.values[*at].index() == 0) row.values[*at] = std::move(id);
        }
    }
    return true;
}

bool GeoJsonFeatures::properties(JsonCursor& c, SourceRow& row) {
    c.take('{');
    if (c.peek() == '}') return c.take('}');
    std::size_t likely = 0;
    for (bool ok = true, next = true; next;) {
        std::string_view key;
        if (!c.string(key)) return false;
        const auto at = m_columns.find(key, likely);
        if (!c.take(':')) return false;
        if (at) {
            likely = *at + 1;
            if (*at >= row.values.size()) row.values.resize(*at + 1);
            if (!value(c, row.values[*at])) return false;
        } else if (!c.skip()) {
            return false;
        }
        next = c.more('}', ok);
        if (!ok) return false;
    }
    return true;
}

bool GeoJsonFeatures::value(JsonCursor& c, SourceValue& to) {
    const char first = c.peek();
    std::string_view text;
    if (first == '"') {
        if (!c.string(text)) return false;
        std::string s = textFrom(text);
        to = s.empty() ? SourceValue() : SourceValue(std::move(s));
        return true;
    }
    if (JsonCursor::beginsNumber(first)) {
        double v = 0;
        if (!c.number(v, text)) return false;
        // Whole numbers that a double cannot hold are identifiers; what is no number is refused by its text.
        constexpr double kExact = 9007199254740992.0;
        if (!std::isfinite(v) || (std::fabs(v) > kExact && isWhole(text)))
            to = std::string(text);
        else
            to = v;
        return true;
    }
    if (first == '{' || first == '[') {
        if (!c.raw(text)) return false;
        to = cleanText(std::string(text).c_str());
        return true;
    }
    to = first == 't' ? SourceValue("true") : first == 'f' ? SourceValue("false") : SourceValue();
    return c.skip();
}

bool GeoJsonFeatures::geometry(JsonCursor& c, SourceShape& shape, int depth) {
    if (depth == kDeepestCollection) return c.fail("its geometries are nested too deeply");
    std::string type;
    bool hasCoordinates = false;
    c.take('{');
    if (c.peek() == '}') {
        shape.fault = CORE_TEXT("its geometry is empty");
        return c.take('}');
    }
    for (bool ok = true, next = true; next;) {
        std::string_view key;
        if (!c.string(key)) return false;
        if (key == "type") {
            std::string_view named;
            if (!c.take(':')) return false;
            if (c.peek() == '"' ? !c.string(named) : !c.skip()) return false;
            type = named;
        } else if (key == "coordinates") {
            m_points.clear();
            m_marks.clear();
            m_depth = -1;
            m_bad = nullptr;
            hasCoordinates = true;
            if (!c.take(':') || !(c.peek() == '[' ? coordinates(c, 0) : c.skip())) return false;
        } else if (key == "geometries") {
            if (!c.take(':') || !(c.peek() == '[' ? geometries(c, shape, depth) : c.skip())) return false;
        } else if (!c.take(':') || !c.skip()) {
            return false;
        }
        next = c.more('}', ok);
        if (!ok) return false;
    }
    if (hasCoordinates && type != "GeometryCollection") build(type, shape);
    if (depth > 0) return true;
    if (shape.fault.empty() && shape.empty()) shape.fault = CORE_TEXT("its geometry is empty");
    if (!shape.fault.empty()) shape = {{}, {}, {}, std::move(shape.fault)};
    return true;
}

bool GeoJsonFeatures::geometries(JsonCursor& c, SourceShape& shape, int depth) {
    c.take('[');
    if (c.peek() == ']') return c.take(']');
    for (bool ok = true, next = true; next;) {
        if (!(c.peek() == '{' ? geometry(c, shape, depth + 1) : c.skip())) return false;
        next = c.more(']', ok);
        if (!ok) return false;
    }
    return true;
}

bool GeoJsonFeatures::coordinates(JsonCursor& c, int depth) {
    if (depth == kDeepestCollection) return c.fail("its coordinates are nested too deeply");
    c.take('[');
    const char first = c.peek();
    if (first == ']') {
        m_marks.push_back({depth, m_points.size()});
        return c.take(']');
    }
    if (first != '[') return position(c, depth);
    for (bool ok = true, next = true; next;) {
        if (!(c.peek() == '[' ? coordinates(c, depth + 1) : c.skip())) return false;
        next = c.more(']', ok);
        if (!ok) return false;
    }
    m_marks.push_back({depth, m_points.size()});
    return true;
}

bool GeoJsonFeatures::position(JsonCursor& c, int depth) {
    double xy[2] = {0, 0};
    int n = 0;
    for (bool ok = true, next = true; next; ++n) {
        std::string_view text;
        double v = 0;
        if (JsonCursor::beginsNumber(c.peek())) {
            if (!c.number(v, text)) return false;
        } else {
            if (!c.skip()) return false;
            v = std::nan("");
        }
        if (n < 2) xy[n] = v;
        next = c.more(']', ok);
        if (!ok) return false;
    }
    if (n < 2)
        m_bad = CORE_TEXT("one of its places has fewer than two coordinates");
    else if (!std::isfinite(xy[0]) || !std::isfinite(xy[1]))
        m_bad = CORE_TEXT("one of its coordinates is not a number");
    m_depth = m_depth == -1 || m_depth == depth ? depth : -2;
    m_points.push_back({xy[0], xy[1]});
    return true;
}

Line GeoJsonFeatures::slice(std::size_t from, std::size_t to) const {
    return {m_points.begin() + static_cast<std::ptrdiff_t>(from),
            m_points.begin() + static_cast<std::ptrdiff_t>(to)};
}

void GeoJsonFeatures::build(std::string_view type, SourceShape& shape) {
    if (!shape.fault.empty()) return;
    constexpr std::array<std::pair<std::string_view, int>, 6> kDepths{{{"Point", 0},
                                                                       {"MultiPoint", 1},
                                                                       {"LineString", 1},
                                                                       {"MultiLineString", 2},
                                                                       {"Polygon", 2},
                                                                       {"MultiPolygon", 3}}};
    const auto kind =
        std::find_if(kDepths.begin(), kDepths.end(), [&](const auto& k) { return k.first == type; });
    if (kind == kDepths.end()) {
        shape.fault = CORE_TEXT("its geometry is of a kind that is not read");
    } else if (m_bad) {
        shape.fault = m_bad;
    } else if (m_points.empty()) {
        return;
    } else if (m_depth != kind->second) {
        shape.fault = CORE_TEXT("its coordinates do not fit the kind of its geometry");
    } else if (kind->second == 0 || type == "MultiPoint") {
        shape.points.insert(shape.points.end(), m_points.begin(), m_points.end());
    } else if (type == "Polygon" || type == "MultiPolygon") {
        buildAreas(kind->second - 1, shape);
    } else {
        std::size_t from = 0;
        for (const Mark& m : m_marks)
            if (m.depth == kind->second - 1 && m.points > from) {
                if (m.points - from < 2) shape.fault = CORE_TEXT("its line has fewer than two places");
                shape.lines.push_back(slice(from, m.points));
                from = m.points;
            }
    }
}

void GeoJsonFeatures::buildAreas(int ringDepth, SourceShape& shape) {
    std::size_t from = 0;
    Polygon area;
    bool first = true; // ring of its polygon
    for (const Mark& m : m_marks) {
        if (m.depth == ringDepth) {
            Ring ring = slice(from, m.points);
            from = m.points;
            if (ring.size() > 1 && ring.front() == ring.back()) ring.pop_back();
            if (first)
                area.outer = std::move(ring);
            else if (ring.size() >= 3)
                area.holes.push_back(std::move(ring));
            first = false;
        } else if (m.depth == ringDepth - 1 && !first) {
            if (area.outer.size() < 3) {
                // An empty ring is an empty polygon, not a broken one.
                if (!area.outer.empty()) shape.fault = CORE_TEXT("its outline has fewer than three corners");
            } else {
                shape.areas.push_back(std::move(area));
            }
            area = {};
            first = true;
        }
    }
}

} // namespace fw
