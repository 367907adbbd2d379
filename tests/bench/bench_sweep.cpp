// SPDX-License-Identifier: GPL-3.0-or-later
// The sight sweep against the general library's viewshed, in one process on one thread. Only the ratios
// count: both sides see the same machine, the same discs and the same surface.
#include "bench/city.h"
#include "surface/sight_scan.h"
#include "surface/skyline.h"

#include <fmt/format.h>
#include <gdal_alg.h>
#include <gdal_priv.h>

#include <algorithm>
#include <cmath>
#include <functional>

using namespace fw;

namespace {

constexpr double kReceiverM = 1.5;

/// Median over the rounds of the CPU time per call (ms).
double medianMs(int rounds, int calls, const std::function<void(int)>& call) {
    std::vector<double> ms;
    for (int k = 0; k < rounds; ++k) {
        const double from = bench::threadSeconds();
        for (int c = 0; c < calls; ++c) call(c);
        ms.push_back((bench::threadSeconds() - from) * 1e3 / calls);
    }
    std::sort(ms.begin(), ms.end());
    return ms[ms.size() / 2];
}

/// The whole surface as a raster in memory, rows from the north, as the library wants it.
struct Raster {
    std::vector<float> cells;
    int width, height;
    GDALDataset* data = nullptr;

    explicit Raster(const Surface& s) {
        const Box b = s.bounds();
        width = static_cast<int>(b.width() / s.cellM());
        height = static_cast<int>(b.height() / s.cellM());
        cells.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
        for (const auto& t : s.tiles())
            for (int r = 0; r < t->top.height; ++r) {
                const int row = height - 1 - static_cast<int>((t->top.y0 - b.y0) / s.cellM()) - r;
                std::copy_n(&t->top.at(0, r), t->top.width,
                            &cells[static_cast<std::size_t>(row) * static_cast<std::size_t>(width) +
                                   static_cast<std::size_t>((t->top.x0 - b.x0) / s.cellM())]);
            }
        auto* driver = GetGDALDriverManager()->GetDriverByName("MEM");
        data = driver->Create("", width, height, 0, GDT_Float32, nullptr);
        char where[64] = {};
        where[CPLPrintPointer(where, cells.data(), sizeof where)] = 0;
        const std::string option = std::string("DATAPOINTER=") + where;
        const char* options[] = {option.c_str(), nullptr};
        data->AddBand(GDT_Float32, const_cast<char**>(options));
        double g[6] = {b.x0, s.cellM(), 0, b.y1, 0, -s.cellM()};
        data->SetGeoTransform(g);
    }
    ~Raster() { GDALClose(data); }
    Raster(const Raster&) = delete;
    Raster& operator=(const Raster&) = delete;
};

void compare(const Surface& surface, const std::vector<bench::Disc>& discs, double radiusM) {
    Raster raster(surface);
    SightScan scan;
    std::vector<std::uint8_t> mask;
    const int n = static_cast<int>(discs.size());
    const auto spec = [&](int k) {
        const bench::Disc& d = discs[static_cast<std::size_t>(k)];
        ScanSpec s;
        s.at = d.at;
        s.antennaAmsl = surface.groundAt(d.at) + d.mastM;
        s.radiusCells = static_cast<int>(radiusM / surface.cellM());
        return s;
    };
    const auto peer = [&](int k) {
        const bench::Disc& d = discs[static_cast<std::size_t>(k)];
        GDALDatasetH out = GDALViewshedGenerate(raster.data->GetRasterBand(1), "MEM", "", nullptr, d.at.x,
                                                d.at.y, d.mastM, kReceiverM, 255, 0, 0, -1, 0, GVM_Edge,
                                                radiusM, nullptr, nullptr, GVOT_NORMAL, nullptr);
        GDALClose(out);
    };
    scanSight(surface, spec(0), scan);
    peer(0);
    const double peerMs = medianMs(5, n, peer);
    const double scanMs = medianMs(9, n, [&](int k) { scanSight(surface, spec(k), scan); });
    const auto sight = [&](int k) {
        ScanSpec s = spec(k);
        s.sightOnly = true;
        scanSight(surface, s, scan);
        visibleAt(scan, kReceiverM, mask);
    };
    const double sightMs = medianMs(9, n, sight);
    const double bothMs = medianMs(9, n, [&](int k) {
        scanSight(surface, spec(k), scan);
        visibleAt(scan, kReceiverM, mask);
    });
    const double maskMs = medianMs(9, n, [&](int) { visibleAt(scan, kReceiverM, mask); });
    setScanKernelPlain(true);
    const double plainMs = medianMs(5, n, [&](int k) { scanSight(surface, spec(k), scan); });
    setScanKernelPlain(false);
    fmt::print("{:.0f} m at {:.0f} m, {} discs: viewshed {:.3f} ms\n", radiusM, surface.cellM(), n, peerMs);
    const auto line = [&](const char* what, double ms) {
        fmt::print("  {} {:.3f} ms = {:.2f} x\n", what, ms, peerMs / ms);
    };
    line("line of sight (sweep for sight only, visible mask)", sightMs);
    line("sweep with worst edge", scanMs);
    line("sweep with worst edge, visible mask", bothMs);
    line("visible mask alone", maskMs);
    line("sweep with worst edge without AVX2", plainMs);
}

} // namespace

int main() {
    GDALAllRegister();
    const bench::City city = bench::makeCity({});
    std::size_t corners = 0;
    for (const Prism& p : city.prisms) {
        corners += p.footprint.outer.size();
        for (const Ring& h : p.footprint.holes) corners += h.size();
    }
    fmt::print("city of {} buildings with {} corners, {} trees\n", city.prisms.size(), corners,
               city.crowns.size());
    Surface surface;
    for (const unsigned threads : {1u, 2u}) {
        timespec a{}, b{};
        clock_gettime(CLOCK_MONOTONIC, &a);
        surface = SurfaceBuilder::build(city.area, 2, city.terrain, city.prisms, city.crowns, threads);
        clock_gettime(CLOCK_MONOTONIC, &b);
        fmt::print("surface of {} tiles built in {:.0f} ms on {} threads\n", surface.tiles().size(),
                   static_cast<double>(b.tv_sec - a.tv_sec) * 1e3 +
                       static_cast<double>(b.tv_nsec - a.tv_nsec) / 1e6,
                   threads);
    }
    const auto discs = bench::streetDiscs(city, 40, 300, 2);
    compare(surface, discs, 300);

    for (const double reachM : {300.0, 500.0}) {
        const double lineMs = medianMs(9, static_cast<int>(discs.size()), [&](int k) {
            const bench::Disc& d = discs[static_cast<std::size_t>(k)];
            skylineAt(surface, {d.at, surface.groundAt(d.at) + d.mastM, reachM});
        });
        fmt::print("skyline, {:.0f} m: {:.3f} ms\n", reachM, lineMs);
    }

    SightScan scan;
    const auto far = bench::streetDiscs(city, 8, 3000, 4);
    const double farMs = medianMs(5, static_cast<int>(far.size()), [&](int k) {
        ScanSpec s;
        s.at = far[static_cast<std::size_t>(k)].at;
        s.antennaAmsl = surface.groundAt(s.at) + 30;
        s.radiusCells = 750;
        s.overview = 2;
        scanSight(surface, s, scan);
    });
    fmt::print("macro sweep, 3 km at 4 m: {:.2f} ms\n", farMs);
    return 0;
}
