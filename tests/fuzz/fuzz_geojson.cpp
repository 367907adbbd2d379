// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes as GeoJSON: rows or a sentence, the same through any window, and no shape that is half read. From
// the seeds a minute on two busy cores reaches 1500 edges.
#include "intake/geojson_reader.h"
#include "intake/rows_text.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdlib>

using namespace fw;

namespace {

bool sound(const SourceShape& shape) {
    const auto finite = [](const std::vector<PlanePoint>& points) {
        return std::all_of(points.begin(), points.end(),
                           [](const PlanePoint& p) { return std::isfinite(p.x) && std::isfinite(p.y); });
    };
    if (shape.empty() != !shape.fault.empty() || !finite(shape.points)) return false;
    for (const Line& line : shape.lines)
        if (!finite(line)) return false;
    for (const Polygon& area : shape.areas) {
        if (area.outer.size() < 3 || !finite(area.outer)) return false;
        for (const Ring& hole : area.holes)
            if (hole.size() < 3 || !finite(hole)) return false;
    }
    return true;
}

std::string readThrough(std::string_view bytes, std::size_t window) {
    std::size_t at = 0;
    GeoJsonColumns columns;
    GeoJsonFeatures features(columns);
    GeoJsonReader reader(
        [&](char* to, std::size_t most) {
            const std::size_t n = bytes.substr(at).copy(to, most);
            at += n;
            return n;
        },
        window);
    std::string all;
    SourceHead head;
    const Status read = reader.read(features, {}, [&](SourceRow& row) {
        if (!sound(row.shape)) std::abort();
        columns.look(row);
        head.columns = columns.columns();
        all += testing::textOf(head, row) + "\n";
        return true;
    });
    if (!read && read.error().text.size() < 10) std::abort();
    return all + (read ? "" : read.error().text);
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string_view bytes(reinterpret_cast<const char*>(data), size);
    if (readThrough(bytes, 1 << 18) != readThrough(bytes, 16)) std::abort();
    return 0;
}
