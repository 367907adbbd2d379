// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of the ground out of files on this machine, in the plan's grid.
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "geo/frame.h"
#include "geo/shape.h"
#include "intake/picture.h"
#include "intake/place_reader.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

namespace fw {

/// A georeferenced raster (GeoTIFF; also grids of heights, as grey), MBTiles, or tiles of a GeoPackage.
struct BasemapFile {
    std::filesystem::path file;
    std::string layer; ///< of a GeoPackage with several sets of tiles; empty: the first
    int epsg = 0;      ///< of a file that names no system, as the user says; else 0
};

struct BasemapHead {
    std::string format;             ///< "GeoTIFF", "MBTiles", "GeoPackage", ...
    std::string what;               ///< "4000 x 3000 pixels, red, green and blue", "zoom 10 to 16"
    std::string title, attribution; ///< as the file says, plain words; may be empty
    std::string layer;
    std::vector<std::string> layers; ///< sets of tiles that the file has
    SourceSystem system;             ///< unknown: the user has to say it (BasemapFile::epsg)
    std::string crsName;
    Box extent;       ///< in the plan; empty where the system is unknown, or nothing has a place there
    double cellM = 0; ///< finest resolution, in the plan
    std::vector<std::string> notes; ///< sentences for who chooses
};

/// Refused by a sentence: what file_gate.h refuses, files without a picture, rasters that do not say where
/// they lie, tiles that are computed when looked at or hold lines and areas. Ends with ErrorCode::cancelled
/// when the job is stopped.
Result<BasemapHead> lookAtBasemap(const BasemapFile& what, const Frame& plan, const Job& job = {});

/// Thread-safe: each call has the file open for itself, and handles are used again.
class BasemapReader {
public:
    /// Refused as lookAtBasemap() says, and where there is no way from the file's system to the plan's.
    static Result<std::shared_ptr<const BasemapReader>> open(const BasemapFile& what, const Frame& plan);
    ~BasemapReader();
    BasemapReader(const BasemapReader&) = delete;
    BasemapReader& operator=(const BasemapReader&) = delete;

    /// The ground in a box of the plan, north up, transparent where the file has none; places are right to
    /// 0.1 pixels (see Mesh). ErrorCode::cancelled when `goOn` said no, which is asked often.
    [[nodiscard]] Result<Picture> read(const Box& plan, int width, int height,
                                       const std::function<bool()>& goOn = {}) const;

private:
    struct Impl;
    explicit BasemapReader(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace fw
