// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/place_reader.h"

#include "base/text.h"
#include "geo/shape.h"
#include "intake/gdal_scope.h"
#include "intake/ogr_transformation.h"
#include "intake/source_system.h"

#include <fmt/format.h>
#include <ogr_spatialref.h>

#include <cmath>
#include <limits>
#include <optional>

namespace fw {
namespace {

constexpr PlanePoint kNowhere{std::numeric_limits<double>::quiet_NaN(),
                              std::numeric_limits<double>::quiet_NaN()};

bool same(const OGRSpatialReference& a, const OGRSpatialReference& b) {
    const char* options[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES",
                             "CRITERION=EQUIVALENT_EXCEPT_AXIS_ORDER_GEOGCRS", nullptr};
    return a.IsSame(&b, options) != 0;
}

bool readCode(OGRSpatialReference& system, int epsg) {
    system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return system.importFromEPSG(epsg) == OGRERR_NONE;
}

Error refusal(const SourceSystem& from, std::string text) {
    return {ErrorCode::badInput, std::move(text), from.epsg != 0 ? fmt::format("EPSG:{}", from.epsg) : ""};
}

/// The system without its vertical part, or why there is none.
Result<OGRSpatialReference> systemOf(const SourceSystem& from, std::vector<std::string>& notes) {
    OGRSpatialReference system;
    const char* text = from.wkt.c_str();
    if (from.epsg != 0) {
        if (!readCode(system, from.epsg))
            return refusal(from, CORE_TEXT("This code is not a reference system in the EPSG registry. Check "
                                           "the number."));
    } else if (from.wkt.empty() || system.importFromWkt(&text) != OGRERR_NONE) {
        return refusal(from, CORE_TEXT("This names no coordinate system. Give its EPSG code."));
    }
    const FoundSystem found = systemFrom(&system);
    if (found.wkt.empty())
        return refusal(from, fmt::format(CORE_TEXT("\"{}\" has no places in the plane. Name a geographic or "
                                                   "projected system by its EPSG code."),
                                         system.GetName() ? system.GetName() : "unnamed"));
    notes = found.notes;
    if (system.IsCompound()) system.StripVertical();
    if (system.GetAxesCount() > 2) system.DemoteTo2D(nullptr);
    system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return system;
}

} // namespace

struct PlaceReader::Impl {
    enum class Way { wgs84, samePlane, transformed };
    explicit Impl(Frame frame) : plan(std::move(frame)) {}

    Frame plan;
    Way way = Way::transformed;
    bool geographic = false;
    std::string name;
    std::vector<std::string> notes;
    Transformation transformation, back; ///< the latter made when first asked for
    Box proven;                          ///< within which places are known to lie in the plan's system
    std::vector<GeoPoint> geo;
    std::vector<PlanePoint> plane;
    std::vector<double> x, y;

    bool fromWgs84(std::vector<PlanePoint>& points) {
        geo.clear();
        for (const PlanePoint& p : points) geo.push_back({p.y, p.x});
        if (!plan.toPlane(geo, plane)) return false;
        points = plane;
        return true;
    }
    bool transform(const std::vector<PlanePoint>& points) {
        x.clear();
        y.clear();
        for (const PlanePoint& p : points) {
            x.push_back(p.x);
            y.push_back(p.y);
        }
        const GdalQuiet quiet;
        return transformation->Transform(static_cast<int>(x.size()), x.data(), y.data()) != 0;
    }
    void toGeo(std::vector<PlanePoint>& points) const {
        for (PlanePoint& p : points) {
            const auto at = plan.toGeo(p);
            p = at ? PlanePoint{at->lonDeg, at->latDeg} : kNowhere;
        }
    }
    void transformBack(std::vector<PlanePoint>& points) {
        if (!back) back.reset(transformation->GetInverse());
        x.clear();
        y.clear();
        for (const PlanePoint& p : points) {
            x.push_back(p.x);
            y.push_back(p.y);
        }
        std::vector<int> fine(points.size(), 0);
        const GdalQuiet quiet;
        if (back) back->Transform(static_cast<int>(x.size()), x.data(), y.data(), nullptr, fine.data());
        for (std::size_t k = 0; k < points.size(); ++k)
            points[k] = fine[k] ? PlanePoint{x[k], y[k]} : kNowhere;
    }
    /// Far outside, projections go on and give places that mean nothing.
    bool liesInPlan(const std::vector<PlanePoint>& points) {
        Box box = proven;
        for (const PlanePoint& p : points) {
            if (!std::isfinite(p.x) || !std::isfinite(p.y)) return false;
            if (proven.contains(p)) continue;
            if (!plan.toGeo(p)) return false;
            box.add(p);
        }
        proven = box;
        return true;
    }
};

Result<PlaceReader> PlaceReader::open(const SourceSystem& from, const Frame& plan) {
    const GdalScope scope;
    auto impl = std::make_shared<Impl>(plan);
    const auto system = systemOf(from, impl->notes);
    if (!system) return system.error();
    OGRSpatialReference target, wgs84;
    if (!readCode(target, plan.epsg()) || !readCode(wgs84, 4326))
        return Error{
            ErrorCode::internal, CORE_TEXT("The registry of coordinate systems cannot be opened."), {}};
    impl->geographic = system->IsGeographic() != 0;
    impl->name = system->GetName() ? system->GetName() : "";
    if (same(*system, wgs84)) {
        impl->way = Impl::Way::wgs84;
    } else if (same(*system, target)) {
        impl->way = Impl::Way::samePlane;
    } else {
        OGRCoordinateTransformationOptions options;
        options.SetBallparkAllowed(false);
        impl->transformation.reset(OGRCreateCoordinateTransformation(&*system, &target, options));
        if (!impl->transformation)
            return refusal(from,
                           fmt::format(CORE_TEXT("There is no sure way from \"{}\" to {}: how the two "
                                                 "lie to each other is not known. Name the system that is "
                                                 "meant by its EPSG code."),
                                       impl->name, plan.name()));
    }
    PlaceReader reader;
    reader.m_impl = std::move(impl);
    return reader;
}

bool PlaceReader::geographic() const { return m_impl->geographic; }
const std::string& PlaceReader::name() const { return m_impl->name; }
const std::vector<std::string>& PlaceReader::notes() const { return m_impl->notes; }

bool PlaceReader::toPlan(std::vector<PlanePoint>& points) const {
    Impl& i = *m_impl;
    if (points.empty()) return true;
    if (i.way == Impl::Way::wgs84) return i.fromWgs84(points);
    std::vector<PlanePoint>& out = i.plane;
    if (i.way == Impl::Way::transformed) {
        if (!i.transform(points)) return false;
        out.clear();
        for (std::size_t k = 0; k < points.size(); ++k) out.push_back(kept({i.x[k], i.y[k]}));
    } else {
        out = points;
        for (PlanePoint& p : out) p = kept(p);
    }
    if (!i.liesInPlan(out)) return false;
    points = out;
    return true;
}

void PlaceReader::fromPlan(std::vector<PlanePoint>& points) const {
    if (points.empty()) return;
    if (m_impl->way == Impl::Way::wgs84)
        m_impl->toGeo(points);
    else if (m_impl->way == Impl::Way::transformed)
        m_impl->transformBack(points);
}

} // namespace fw
