// SPDX-License-Identifier: GPL-3.0-or-later
// A file with a picture of the ground, open: for intake/basemap*.cpp only.
#pragma once

#include "intake/basemap.h"
#include "intake/file_gate.h"
#include "intake/mesh_warp.h"

#include <memory>

namespace fw {

/// For one thread at a time.
class BasemapSheet {
public:
    virtual ~BasemapSheet() = default;
    BasemapSheet() = default;
    BasemapSheet(const BasemapSheet&) = delete;
    BasemapSheet& operator=(const BasemapSheet&) = delete;

    /// All but the extent in the plan, and the cell's size there.
    [[nodiscard]] virtual BasemapHead head() const = 0;
    /// Where the picture ends and one of its pixels in the middle, in its own system: corners and places
    /// along the edge, then the pixel's three corners.
    struct Outline {
        std::vector<PlanePoint> edge, pixel;
    };
    [[nodiscard]] virtual Outline outline() const = 0;
    /// False when `goOn` said no; an error when the file cannot be read any more.
    virtual Result<bool> draw(const Box& plan, const PlaceReader& way, Picture& out,
                              const std::function<bool()>& goOn) = 0;
};

Result<std::unique_ptr<BasemapSheet>> openRasterSheet(const AdmittedFile& file, const Job& job);
Result<std::unique_ptr<BasemapSheet>> openTileSheet(const AdmittedFile& file, const std::string& layer);

} // namespace fw
