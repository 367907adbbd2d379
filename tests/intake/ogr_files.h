// SPDX-License-Identifier: GPL-3.0-or-later
// Files for tests, written by the library that the readers are held beside.
#pragma once

#include "base/random.h"
#include "geo/shape.h"

#include <cpl_string.h>
#include <filesystem>
#include <memory>
#include <ogrsf_frmts.h>
#include <stdexcept>
#include <string>
#include <vector>

namespace fw::testing {

/// One row as it is written; what is read back is compared with it.
struct WrittenRow {
    std::string name;
    double height = 0;
    int storeys = 0;
    std::vector<Polygon> areas;
    std::vector<Line> lines;
    std::vector<PlanePoint> points;
};

inline Polygon randomFootprint(Random& random, PlanePoint at, double size, bool hole) {
    const auto box = [&](double half) {
        return Ring{{at.x - half, at.y - half},
                    {at.x + half, at.y - half},
                    {at.x + half * random.between(0.9, 1.1), at.y + half},
                    {at.x - half, at.y + half * random.between(0.9, 1.1)}};
    };
    Polygon p{box(size), {}};
    if (hole) {
        Ring inner = box(size / 3);
        std::swap(inner[1], inner[3]);
        p.holes.push_back(std::move(inner));
    }
    return p;
}

inline std::vector<WrittenRow> randomFootprints(Random& random, int n, PlanePoint middle, double spread,
                                                double size) {
    std::vector<WrittenRow> rows;
    for (int k = 0; k < n; ++k) {
        const PlanePoint at{middle.x + random.between(-spread, spread),
                            middle.y + random.between(-spread, spread)};
        WrittenRow row{"House \xc3\x9f " + std::to_string(k),
                       random.between(3, 60),
                       static_cast<int>(random.below(20)),
                       {},
                       {},
                       {}};
        row.areas.push_back(randomFootprint(random, at, size, random.chance(0.3)));
        if (random.chance(0.2))
            row.areas.push_back(randomFootprint(random, at + PlanePoint{4 * size, 0}, size, false));
        rows.push_back(std::move(row));
    }
    return rows;
}

inline void addRing(OGRPolygon& p, const Ring& ring) {
    auto* r = new OGRLinearRing;
    for (const PlanePoint& c : ring) r->addPoint(c.x, c.y);
    r->closeRings();
    p.addRingDirectly(r);
}

inline std::unique_ptr<OGRGeometry> geometryOf(const WrittenRow& row) {
    auto many = std::make_unique<OGRMultiPolygon>();
    for (const Polygon& area : row.areas) {
        auto* p = new OGRPolygon;
        addRing(*p, area.outer);
        for (const Ring& hole : area.holes) addRing(*p, hole);
        many->addGeometryDirectly(p);
    }
    if (row.areas.size() == 1) return std::unique_ptr<OGRGeometry>(many->getGeometryRef(0)->clone());
    if (!row.areas.empty()) return many;
    if (!row.lines.empty()) {
        auto line = std::make_unique<OGRLineString>();
        for (const PlanePoint& p : row.lines[0]) line->addPoint(p.x, p.y);
        return line;
    }
    if (!row.points.empty()) return std::make_unique<OGRPoint>(row.points[0].x, row.points[0].y);
    return nullptr;
}

struct CloseWritten {
    void operator()(GDALDataset* d) const { GDALClose(d); }
};
using WrittenFile = std::unique_ptr<GDALDataset, CloseWritten>;

inline WrittenFile createFile(const std::string& driver, const std::filesystem::path& file) {
    GDALAllRegister();
    CPLSetErrorHandler(CPLQuietErrorHandler); // what fails is thrown
    GDALDriver* d = GetGDALDriverManager()->GetDriverByName(driver.c_str());
    if (!d) throw std::runtime_error("no driver " + driver);
    WrittenFile data(d->Create(file.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    if (!data) throw std::runtime_error("cannot create " + file.string());
    return data;
}

/// @param epsg  0: none.
inline OGRLayer& addLayer(GDALDataset& data, const std::string& name, int epsg, OGRwkbGeometryType type,
                          const std::vector<std::string>& options = {}) {
    OGRSpatialReference system;
    system.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    if (epsg != 0) system.importFromEPSG(epsg);
    CPLStringList list;
    for (const std::string& o : options) list.AddString(o.c_str());
    OGRLayer* layer = data.CreateLayer(name.c_str(), epsg != 0 ? &system : nullptr, type, list.List());
    if (!layer) throw std::runtime_error("no layer " + name);
    OGRFieldDefn text("name", OFTString), height("height", OFTReal), storeys("storeys", OFTInteger);
    text.SetWidth(80);
    height.SetWidth(24);
    height.SetPrecision(15);
    layer->CreateField(&text);
    layer->CreateField(&height);
    layer->CreateField(&storeys);
    return *layer;
}

inline void addRow(OGRLayer& layer, const WrittenRow& row) {
    OGRFeature f(layer.GetLayerDefn());
    f.SetField(f.GetFieldIndex("name"), row.name.c_str());
    f.SetField(f.GetFieldIndex("height"), row.height);
    f.SetField(f.GetFieldIndex("storeys"), row.storeys);
    if (const auto g = geometryOf(row)) f.SetGeometry(g.get());
    if (layer.CreateFeature(&f) != OGRERR_NONE) throw std::runtime_error("a row is not taken");
}

inline void writeFile(const std::string& driver, const std::filesystem::path& file, int epsg,
                      const std::vector<WrittenRow>& rows, const std::vector<std::string>& options = {},
                      OGRwkbGeometryType type = wkbUnknown) {
    const WrittenFile data = createFile(driver, file);
    OGRLayer& layer = addLayer(*data, "buildings", epsg, type, options);
    for (const WrittenRow& row : rows) addRow(layer, row);
}

} // namespace fw::testing
