// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/shape_text.h"

#include "intake/gdal_scope.h"
#include "intake/ogr_row.h"

#include <memory>
#include <ogr_geometry.h>

namespace fw {

namespace {

constexpr std::size_t kLongest = 8 << 20; // a field of a table; an outline of 200,000 corners

struct EndGeometry {
    void operator()(OGRGeometry* g) const { OGRGeometryFactory::destroyGeometry(g); }
};

} // namespace

SourceShape shapeFromText(const std::string& text) {
    SourceShape out;
    if (text.size() > kLongest) {
        out.fault = "is too long for an outline";
        return out;
    }
    const GdalScope scope;
    OGRGeometry* made = nullptr;
    const char* at = text.c_str();
    const bool read = OGRGeometryFactory::createFromWkt(&at, nullptr, &made) == OGRERR_NONE;
    const std::unique_ptr<OGRGeometry, EndGeometry> geometry(made);
    if (!read || !geometry)
        out.fault = "is no well-known text of a geometry";
    else
        shapeFrom(geometry.get(), false, out);
    return out;
}

} // namespace fw
