// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <memory>
#include <ogr_spatialref.h>

namespace fw {

struct EndTransformation {
    void operator()(OGRCoordinateTransformation* t) const { OGRCoordinateTransformation::DestroyCT(t); }
};
/// From one system into another; null where GDAL knows no way.
using Transformation = std::unique_ptr<OGRCoordinateTransformation, EndTransformation>;

} // namespace fw
