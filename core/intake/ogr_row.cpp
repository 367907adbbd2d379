// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/ogr_row.h"

#include "base/text.h"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <fmt/format.h>
#include <ogr_feature.h>
#include <ogr_geometry.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <string_view>

namespace fw {
namespace {

class ShapeReader {
public:
    ShapeReader(SourceShape& shape, bool swapped) : m_shape(shape), m_swapped(swapped) {}

    void add(const OGRGeometry& g) {
        if (g.IsEmpty() || !m_fault.empty()) return;
        switch (wkbFlatten(g.getGeometryType())) {
        case wkbPoint:
            m_shape.points.push_back(at(*g.toPoint()));
            break;
        case wkbLineString:
            m_shape.lines.push_back(line(*g.toLineString()));
            if (m_shape.lines.back().size() < 2) m_fault = CORE_TEXT("its line has fewer than two places");
            break;
        case wkbTriangle:
        case wkbPolygon:
            addArea(*g.toPolygon());
            break;
        case wkbMultiPoint:
        case wkbMultiLineString:
        case wkbMultiPolygon:
        case wkbGeometryCollection:
            for (const OGRGeometry* part : *g.toGeometryCollection()) add(*part);
            break;
        case wkbPolyhedralSurface:
        case wkbTIN:
            m_fault = CORE_TEXT("it is the surface of a solid, not a footprint");
            break;
        default:
            m_fault = CORE_TEXT("its geometry is of a kind that is not read");
        }
    }
    [[nodiscard]] const std::string& fault() const { return m_fault; }

private:
    template <class P>
    PlanePoint at(const P& p) {
        const PlanePoint out = m_swapped ? PlanePoint{p.getY(), p.getX()} : PlanePoint{p.getX(), p.getY()};
        if (!std::isfinite(out.x) || !std::isfinite(out.y))
            m_fault = CORE_TEXT("one of its coordinates is not a number");
        return out;
    }
    Line line(const OGRSimpleCurve& curve) {
        Line out;
        out.reserve(static_cast<std::size_t>(curve.getNumPoints()));
        for (const OGRPoint& p : curve) out.push_back(at(p));
        return out;
    }
    Ring ring(const OGRLinearRing& r) {
        Ring out = line(r);
        if (out.size() > 1 && out.front() == out.back()) out.pop_back();
        return out;
    }
    void addArea(const OGRPolygon& p) {
        Polygon area;
        if (const OGRLinearRing* outer = p.getExteriorRing()) area.outer = ring(*outer);
        if (area.outer.size() < 3) {
            m_fault = CORE_TEXT("its outline has fewer than three corners");
            return;
        }
        for (int k = 0; k < p.getNumInteriorRings(); ++k)
            if (Ring hole = ring(*p.getInteriorRing(k)); hole.size() >= 3)
                area.holes.push_back(std::move(hole));
        m_shape.areas.push_back(std::move(area));
    }

    SourceShape& m_shape;
    std::string m_fault;
    bool m_swapped;
};

/// ISO 8601. The library counts zones in quarters of an hour, 100 is UTC, 0 and 1 say nothing.
std::string timeText(const OGRFeature& f, int field, OGRFieldType type) {
    int year = 0, month = 0, day = 0, hour = 0, minute = 0, zone = 0;
    float second = 0;
    f.GetFieldAsDateTime(field, &year, &month, &day, &hour, &minute, &second, &zone);
    std::string date = fmt::format("{:04}-{:02}-{:02}", year, month, day);
    if (type == OFTDate) return date;
    const int ms = std::clamp(static_cast<int>(std::lround(second * 1000)), 0, 60999);
    std::string time = fmt::format("{:02}:{:02}:{:02}", hour, minute, ms / 1000);
    if (ms % 1000 != 0) time += fmt::format(".{:03}", ms % 1000);
    if (type == OFTTime) return time;
    time.insert(0, date + "T");
    const int off = (zone - 100) * 15;
    if (zone == 100) return time + "Z";
    if (zone <= 1) return time;
    return time + fmt::format("{}{:02}:{:02}", off < 0 ? '-' : '+', std::abs(off) / 60, std::abs(off) % 60);
}

std::string listText(const OGRFeature& f, int field, OGRFieldType type) {
    std::string text;
    const auto add = [&](const std::string& one) { text += (text.empty() ? "" : ", ") + one; };
    int n = 0;
    if (type == OFTIntegerList) {
        const int* v = f.GetFieldAsIntegerList(field, &n);
        for (int k = 0; k < n; ++k) add(fmt::format("{}", v[k]));
    } else if (type == OFTInteger64List) {
        const GIntBig* v = f.GetFieldAsInteger64List(field, &n);
        for (int k = 0; k < n; ++k) add(fmt::format("{}", v[k]));
    } else if (type == OFTRealList) {
        const double* v = f.GetFieldAsDoubleList(field, &n);
        for (int k = 0; k < n; ++k) add(fmt::format("{}", v[k]));
    } else {
        for (char** v = f.GetFieldAsStringList(field); v && *v; ++v) add(cleanText(*v));
    }
    return text;
}

SourceValue numberValue(double v) {
    // Kept as text, so that whoever reads the value refuses it by what it says.
    if (!std::isfinite(v)) return fmt::format("{}", v);
    return v;
}

SourceValue valueOf(const OGRFeature& f, int field) {
    if (!f.IsFieldSetAndNotNull(field)) return {};
    const OGRFieldDefn& kind = *f.GetFieldDefnRef(field);
    std::string text;
    switch (const OGRFieldType type = kind.GetType()) {
    case OFTInteger:
        if (kind.GetSubType() == OFSTBoolean)
            return std::string(f.GetFieldAsInteger(field) ? "true" : "false");
        return double(f.GetFieldAsInteger(field));
    case OFTInteger64: {
        const GIntBig v = f.GetFieldAsInteger64(field);
        constexpr GIntBig kExact = GIntBig{1} << 53;
        if (v > kExact || v < -kExact) return fmt::format("{}", v); // an identifier
        return static_cast<double>(v);
    }
    case OFTReal:
        return numberValue(f.GetFieldAsDouble(field));
    case OFTString:
        text = cleanText(f.GetFieldAsString(field));
        break;
    case OFTDate:
    case OFTTime:
    case OFTDateTime:
        return timeText(f, field, type);
    default:
        text = listText(f, field, type);
    }
    if (text.empty()) return {};
    return text;
}

bool isNumeric(const OGRFieldDefn& kind) {
    const OGRFieldType type = kind.GetType();
    return (type == OFTInteger && kind.GetSubType() != OFSTBoolean) || type == OFTInteger64 ||
           type == OFTReal;
}

} // namespace

void shapeFrom(const OGRGeometry* geometry, bool swapped, SourceShape& shape) {
    shape = {};
    if (!geometry) {
        shape.fault = CORE_TEXT("it has no geometry");
        return;
    }
    std::unique_ptr<OGRGeometry> chords;
    if (geometry->hasCurveGeometry(TRUE)) chords.reset(geometry->getLinearGeometry());
    ShapeReader reader(shape, swapped);
    reader.add(chords ? *chords : *geometry);
    std::string fault = reader.fault();
    if (fault.empty() && shape.empty()) fault = CORE_TEXT("its geometry is empty");
    if (fault.empty()) return;
    shape = {};
    shape.fault = std::move(fault);
}

OgrRows::OgrRows(OGRFeatureDefn& kind, bool swapped, const std::vector<std::string>& leaveOut)
    : m_swapped(swapped) {
    for (int k = 0; k < kind.GetFieldCount(); ++k) {
        const OGRFieldDefn& field = *kind.GetFieldDefn(k);
        const std::string name = cleanText(field.GetNameRef());
        if (field.GetType() == OFTBinary ||
            std::find(leaveOut.begin(), leaveOut.end(), name) != leaveOut.end())
            continue;
        m_fields.push_back(k);
        m_columns.push_back({name, isNumeric(field), {}});
    }
}

void OgrRows::read(const OGRFeature& feature, SourceRow& row) const {
    row.number = feature.GetFID();
    row.fault.clear();
    row.values.resize(m_fields.size());
    for (std::size_t k = 0; k < m_fields.size(); ++k) row.values[k] = valueOf(feature, m_fields[k]);
    if (feature.GetGeomFieldCount() > 0)
        shapeFrom(feature.GetGeometryRef(), m_swapped, row.shape);
    else
        row.shape = {};
}

std::string sampleText(const SourceValue& value) {
    if (const auto* number = std::get_if<double>(&value)) return fmt::format("{}", *number);
    if (const auto* text = std::get_if<std::string>(&value)) return *text;
    return {};
}

void addSamples(const SourceRow& row, std::vector<SourceColumn>& columns) {
    constexpr std::size_t kMost = 5;
    for (std::size_t k = 0; k < columns.size() && k < row.values.size(); ++k)
        if (columns[k].samples.size() < kMost && row.values[k].index() != 0)
            columns[k].samples.push_back(sampleText(row.values[k]));
}

std::string shapeWords(bool points, bool lines, bool areas) {
    std::vector<const char*> words;
    if (points) words.push_back("points");
    if (lines) words.push_back("lines");
    if (areas) words.push_back("polygons");
    if (words.size() == 3) return "points, lines and polygons";
    return fmt::format("{}", fmt::join(words, " and "));
}

std::string cleanText(const char* text) {
    std::string_view s = text ? text : "";
    constexpr const char* kBlanks = " \t\r\n\v\f";
    const std::size_t from = s.find_first_not_of(kBlanks);
    if (from == s.npos) return {};
    s = s.substr(from, s.find_last_not_of(kBlanks) - from + 1);
    std::string out(s);
    if (CPLIsUTF8(out.c_str(), static_cast<int>(out.size()))) return out;
    const std::unique_ptr<char, void (*)(char*)> known(
        CPLRecode(out.c_str(), CPL_ENC_ISO8859_1, CPL_ENC_UTF8), [](char* c) { CPLFree(c); });
    return known ? std::string(known.get()) : std::string();
}

} // namespace fw
