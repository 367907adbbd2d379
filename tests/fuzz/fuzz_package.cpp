// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes as a geometry of a GeoPackage, or as a whole package: rows or a sentence, and the file as it was.
// From the seeds a minute on two busy cores reaches 1440 edges.
#include "fuzz/fuzz_folder.h"
#include "intake/package_shape.h"
#include "intake/source.h"
#include "store/folder.h"

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <filesystem>

using namespace fw;
namespace fs = std::filesystem;

namespace {

void check(const SourceShape& shape) {
    if (shape.empty() != !shape.fault.empty()) std::abort();
    for (const PlanePoint& p : shape.points)
        if (!std::isfinite(p.x) || !std::isfinite(p.y)) std::abort();
    for (const Polygon& area : shape.areas) {
        if (area.outer.size() < 3) std::abort();
        for (const PlanePoint& p : area.outer)
            if (!std::isfinite(p.x) || !std::isfinite(p.y)) std::abort();
    }
}

void readAll(const fs::path& file) {
    const auto layers = layersOf(file);
    if (!layers) {
        if (layers.error().text.size() < 10) std::abort();
        return;
    }
    for (const SourceLayer& layer : *layers) {
        SourceOptions options;
        options.layer = layer.name;
        const auto source = openSource(file, options);
        if (!source) continue;
        const std::size_t columns = (*source)->head().columns.size();
        int rows = 0;
        (void)(*source)->forEachRow({}, [&](SourceRow& row) {
            if (row.values.size() != columns) std::abort();
            if ((*source)->head().hasShapes) check(row.shape);
            return ++rows < 1000;
        });
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string bytes(reinterpret_cast<const char*>(data), size);
    if (!bytes.starts_with("SQLite")) {
        SourceShape shape;
        shapeFromPackage(bytes, shape);
        check(shape);
        return 0;
    }
    const fs::path file = testing::fuzzFolder() / "in.gpkg";
    testing::writeBytes(file, bytes);
    readAll(file);
    if (testing::bytesOf(file) != bytes) std::abort();
    return 0;
}
