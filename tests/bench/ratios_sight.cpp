// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/ratios.h"
#include "bench/viewshed.h"
#include "fringe/path_kernel.h"
#include "support/true_scene.h"
#include "surface/sight_scan.h"

#include <cmath>
#include <memory>

namespace fw::bench {
namespace {

constexpr double kRadiusM = 300;
constexpr float kReceiverM = 1.5f;
constexpr int kDiscs = 40, kRayDiscs = 8;

/// Poles in the open whose disc lies inside the plan's area.
std::vector<ScanSpec> streetDiscs(const Study& study) {
    const Surface& s = study.surface();
    const Box inner = study.plan().settings->workArea.grown(-kRadiusM);
    std::vector<ScanSpec> out;
    for (const Mount& m : study.plan().mounts) {
        if (m.kind != MountKind::pole || !inner.contains(m.at) || s.prismAt(m.at) >= 0) continue;
        ScanSpec spec;
        spec.at = m.at;
        spec.antennaAmsl = study.mount(m.id)->antennaAmsl;
        spec.radiusCells = static_cast<int>(kRadiusM / s.cellM());
        out.push_back(spec);
        if (static_cast<int>(out.size()) == kDiscs) break;
    }
    return out;
}

/// Every cell of the disc as a ray, eight neighbours of a row at a time.
long traceDisc(const testing::TrueScene& scene, const SightScan& s) {
    long seen = 0;
    PlanePoint to[8];
    float z[8];
    for (int dy = -s.radius; dy <= s.radius; ++dy) {
        const int w = static_cast<int>(std::sqrt(double(s.radius * s.radius - dy * dy)));
        for (int dx = -w; dx <= w; dx += 8) {
            for (int k = 0; k < 8; ++k) {
                const int x = std::min(dx + k, w);
                to[k] = s.centre + PlanePoint{x * s.cellM, dy * s.cellM};
                z[k] = s.top[s.index(x, dy)] + kReceiverM;
            }
            seen += __builtin_popcount(scene.inSight8(s.antennaAmsl, to, z));
        }
    }
    return seen;
}

/// Loss of every cell of the disc, as a small cell's path part takes it.
void lossDisc(const Surface& surface, const SightScan& s, const LossModel& model, std::vector<float>& street,
              PathBend& bend, std::vector<std::int16_t>& loss) {
    int stride = 0;
    surface.groundWindow(s.centre, s.radius, street, stride);
    for (float& z : street) z += kReceiverM;
    bend.follow(s, street, 60); // as far to the side as a small cell looks
    loss.resize(s.top.size());
    const auto cell = static_cast<float>(s.cellM);
    for (int dy = -s.radius; dy <= s.radius; ++dy) {
        const int w = static_cast<int>(std::sqrt(double(s.radius * s.radius - dy * dy)));
        const std::size_t k = s.index(-w, dy);
        lossRow(model, 2 * w + 1, static_cast<float>(-w) * cell, cell, static_cast<float>(dy) * cell,
                static_cast<float>(s.antennaAmsl), 0, &street[k], &bend.plane()[k], &loss[k]);
    }
}

} // namespace

bool sightRows(const Study& study, std::vector<Row>& rows) {
    const Surface& surface = study.surface();
    const auto discs = streetDiscs(study);
    if (discs.size() < kRayDiscs) return false;
    const int n = static_cast<int>(discs.size());
    const auto spec = [&](int k) -> const ScanSpec& { return discs[static_cast<std::size_t>(k)]; };
    SightScan scan;
    std::vector<std::uint8_t> mask;
    std::vector<float> street;
    PathBend bend;
    std::vector<std::int16_t> loss;
    const auto sight = [&](int k) {
        ScanSpec one = spec(k);
        one.sightOnly = true;
        scanSight(surface, one, scan);
        visibleAt(scan, double{kReceiverM}, mask);
    };
    const LossModel model = smallCellModel(study.layers().front().frequency);
    const auto withLoss = [&](int k) {
        scanSight(surface, spec(k), scan);
        lossDisc(surface, scan, model, street, bend, loss);
    };
    double viewshedMs = 0;
    {
        const ViewshedPeer viewshed(surface);
        const auto peer = [&](int k) {
            viewshed.run(spec(k).at, spec(k).antennaAmsl, double{kReceiverM}, kRadiusM);
        };
        peer(0);
        viewshedMs = medianMs(7, n, peer);
    }
    const double sightMs = medianMs(9, n, sight), lossMs = medianMs(9, n, withLoss);

    std::vector<std::unique_ptr<testing::TrueScene>> scenes;
    std::vector<SightScan> scans(kRayDiscs);
    for (int k = 0; k < kRayDiscs; ++k) {
        scanSight(surface, spec(k), scans[static_cast<std::size_t>(k)]);
        scenes.push_back(std::make_unique<testing::TrueScene>(
            surface, scans[static_cast<std::size_t>(k)].centre, kRadiusM));
    }
    long seen = 0;
    const double raysMs = medianMs(3, kRayDiscs, [&](int k) {
        seen += traceDisc(*scenes[static_cast<std::size_t>(k)], scans[static_cast<std::size_t>(k)]);
    });
    const double fewMs = medianMs(9, kRayDiscs, sight);

    rows.push_back(
        {"line of sight, 300 m at 2 m", "GDAL viewshed", viewshedMs, sightMs, Row::Goal::atLeast, 4});
    rows.push_back(
        {"line of sight, 300 m at 2 m", "Embree, packets of 8", raysMs, fewMs, Row::Goal::atLeast, 20});
    rows.push_back({"line of sight, worst edge and loss", "GDAL viewshed alone", viewshedMs, lossMs,
                    Row::Goal::atLeast, 2});
    return seen > 0;
}

} // namespace fw::bench
