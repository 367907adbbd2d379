// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/file_place.h"

#include "intake/gdal_scope.h"
#include "intake/kind_guess.h"
#include "intake/ogr_transformation.h"
#include "intake/raster_file.h"
#include "intake/row_reader.h"

#include <algorithm>
#include <cmath>
#include <gdal_priv.h>
#include <memory>
#include <ogr_spatialref.h>
#include <utility>

namespace fw {

namespace {

constexpr std::size_t kEnoughPlaces = 1000;

Transformation toDegrees(OGRSpatialReference from) {
    OGRSpatialReference to;
    to.importFromEPSG(4326);
    from.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    to.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return Transformation(OGRCreateCoordinateTransformation(&from, &to));
}

Transformation toDegrees(const SourceHead& head) {
    OGRSpatialReference from;
    const bool known = head.epsg != 0 ? from.importFromEPSG(head.epsg) == OGRERR_NONE
                                      : from.SetFromUserInput(head.wkt.c_str()) == OGRERR_NONE;
    return known ? toDegrees(std::move(from)) : nullptr;
}

std::optional<PlanePoint> firstPoint(const SourceShape& shape) {
    if (!shape.points.empty()) return shape.points.front();
    if (!shape.lines.empty() && !shape.lines.front().empty()) return shape.lines.front().front();
    if (!shape.areas.empty() && !shape.areas.front().outer.empty()) return shape.areas.front().outer.front();
    return std::nullopt;
}

std::vector<PlanePoint> shapePlaces(Source& source, const Job& job) {
    std::vector<PlanePoint> places;
    const Status read = source.forEachRow(job, [&](SourceRow& row) {
        if (const auto p = firstPoint(row.shape)) places.push_back(*p);
        return places.size() < kEnoughPlaces;
    });
    const auto way = read.ok() ? toDegrees(source.head()) : nullptr;
    if (!way) return {};
    std::erase_if(places, [&](PlanePoint& p) { return !way->Transform(1, &p.x, &p.y); });
    return places;
}

// Columns of a table, whichever kind it is.
std::vector<PlanePoint> columnPlaces(Source& source, const Job& job) {
    const auto kind = guessKind(source.head());
    if (!kind) return {};
    const IntakeKindInfo& info = infoOf(*kind);
    const auto mapping = mappingFor(info, source.head(), {});
    const int latitude = fieldNumber(info, "latitude"), longitude = fieldNumber(info, "longitude");
    if (!mapping || latitude < 0 || longitude < 0) return {};
    RowReader rows(info, *mapping, source.head());
    if (!rows.holds(latitude) || !rows.holds(longitude)) return {};
    std::vector<PlanePoint> places;
    const Status read = source.forEachRow(job, [&](SourceRow& row) {
        rows.start(row);
        const auto lat = rows.number(latitude), lon = rows.number(longitude);
        if (lat && lon) places.push_back({*lon, *lat});
        return places.size() < kEnoughPlaces;
    });
    return read.ok() ? places : std::vector<PlanePoint>();
}

// The middle of a raster.
std::optional<GeoPoint> rasterPlace(const std::filesystem::path& file) {
    const auto raster = openRaster(file);
    if (!raster || !raster->data->GetSpatialRef()) return std::nullopt;
    const auto way = toDegrees(*raster->data->GetSpatialRef());
    const double col = raster->data->GetRasterXSize() / 2.0, row = raster->data->GetRasterYSize() / 2.0;
    const auto& to = raster->place;
    PlanePoint p{to[0] + to[1] * col + to[2] * row, to[3] + to[4] * col + to[5] * row};
    if (!way || !way->Transform(1, &p.x, &p.y) || !std::isfinite(p.x) || !std::isfinite(p.y))
        return std::nullopt;
    return GeoPoint{p.y, p.x};
}

} // namespace

std::optional<GeoPoint> placeOfFile(const std::filesystem::path& file, const Job& job) {
    const GdalScope scope;
    if (const auto admitted = admitFile(file); admitted && isRaster(admitted->format))
        return rasterPlace(file);
    auto source = openSource(file, {}, job);
    if (!source) {
        const auto layers = layersOf(file, job); // of several the first will do
        if (!layers || layers->empty()) return std::nullopt;
        SourceOptions options;
        options.layer = layers->front().name;
        source = openSource(file, options, job);
        if (!source) return std::nullopt;
    }
    std::vector<PlanePoint> places =
        (*source)->head().hasShapes ? shapePlaces(**source, job) : columnPlaces(**source, job);
    std::erase_if(places, [](const PlanePoint& p) {
        return !std::isfinite(p.x) || !std::isfinite(p.y) || (p.x == 0 && p.y == 0);
    });
    if (places.empty()) return std::nullopt;
    const auto middle = [&](double PlanePoint::*axis) {
        const auto mid = places.begin() + static_cast<std::ptrdiff_t>(places.size() / 2);
        std::nth_element(places.begin(), mid, places.end(),
                         [&](const PlanePoint& a, const PlanePoint& b) { return a.*axis < b.*axis; });
        return (*mid).*axis;
    };
    const double lon = middle(&PlanePoint::x), lat = middle(&PlanePoint::y);
    return GeoPoint{lat, lon};
}

} // namespace fw
