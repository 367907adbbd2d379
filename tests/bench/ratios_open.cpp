// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/ratios.h"
#include "store/plan_file.h"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <cstdio>
#include <cstdlib>

namespace fw::bench {
namespace {

/// Every building's feature and geometry; their number.
long featuresIn(const std::string& file) {
    const char* drivers[] = {"GPKG", nullptr};
    auto* data = static_cast<GDALDataset*>(
        GDALOpenEx(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, nullptr, nullptr));
    if (!data) return 0;
    long n = 0;
    if (OGRLayer* layer = data->GetLayerByName("buildings"))
        for (const auto& feature : *layer) n += feature->GetGeometryRef() != nullptr;
    GDALClose(data);
    return n;
}

} // namespace

bool openRows(const Plan& plan, std::vector<Row>& rows) {
    GDALAllRegister();
    std::string folder = (std::filesystem::temp_directory_path() / "fringewright-bench-XXXXXX").string();
    if (!mkdtemp(folder.data())) return false;
    const std::filesystem::path file = std::filesystem::path(folder) / "city.gpkg";
    bool same = false;
    if (const auto saved = savePlan(plan, file); !saved) {
        fmt::print(stderr, "{}\n", saved.error().sentence());
    } else {
        long features = 0;
        std::size_t buildings = 0;
        const double peerMs = medianMs(5, 1, [&](int) { features = featuresIn(file.string()); });
        const double oursMs = medianMs(5, 1, [&](int) {
            const auto open = openPlan(file);
            buildings = open ? open->plan.scenery.buildingCount() : 0;
        });
        same = buildings > 0 && features == static_cast<long>(buildings);
        // The first map has 120 ms where the loop takes 38 ms, measured together on one machine.
        rows.push_back({fmt::format("open and check a plan of {} buildings", buildings),
                        "OGR feature loop, buildings alone", peerMs, oursMs, Row::Goal::atMost,
                        120.0 / 38.0});
    }
    std::error_code ignored;
    std::filesystem::remove_all(folder, ignored);
    return same;
}

} // namespace fw::bench
