// SPDX-License-Identifier: GPL-3.0-or-later
// The sight sweep against the general library's viewshed, in one process on one thread. Only the ratios
// count: both sides see the same machine, the same discs and the same surface.
#include "bench/city.h"
#include "bench/measure.h"
#include "bench/viewshed.h"
#include "surface/sight_scan.h"
#include "surface/skyline.h"

#include <fmt/format.h>

using namespace fw;

namespace {

constexpr double kReceiverM = 1.5;

void compare(const Surface& surface, const std::vector<bench::Disc>& discs, double radiusM) {
    const bench::ViewshedPeer viewshed(surface);
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
        const ScanSpec one = spec(k);
        viewshed.run(one.at, one.antennaAmsl, kReceiverM, radiusM);
    };
    scanSight(surface, spec(0), scan);
    peer(0);
    const double peerMs = bench::medianMs(5, n, peer);
    const double scanMs = bench::medianMs(9, n, [&](int k) { scanSight(surface, spec(k), scan); });
    const auto sight = [&](int k) {
        ScanSpec s = spec(k);
        s.sightOnly = true;
        scanSight(surface, s, scan);
        visibleAt(scan, kReceiverM, mask);
    };
    const double sightMs = bench::medianMs(9, n, sight);
    const double bothMs = bench::medianMs(9, n, [&](int k) {
        scanSight(surface, spec(k), scan);
        visibleAt(scan, kReceiverM, mask);
    });
    const double maskMs = bench::medianMs(9, n, [&](int) { visibleAt(scan, kReceiverM, mask); });
    setScanKernelPlain(true);
    const double plainMs = bench::medianMs(5, n, [&](int k) { scanSight(surface, spec(k), scan); });
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
        const double lineMs = bench::medianMs(9, static_cast<int>(discs.size()), [&](int k) {
            const bench::Disc& d = discs[static_cast<std::size_t>(k)];
            skylineAt(surface, {d.at, surface.groundAt(d.at) + d.mastM, reachM});
        });
        fmt::print("skyline, {:.0f} m: {:.3f} ms\n", reachM, lineMs);
    }

    SightScan scan;
    const auto far = bench::streetDiscs(city, 8, 3000, 4);
    const double farMs = bench::medianMs(5, static_cast<int>(far.size()), [&](int k) {
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
