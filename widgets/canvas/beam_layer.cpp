// SPDX-License-Identifier: GPL-3.0-or-later
// Beams as wedges of the half-power width that fade with distance.
#include "canvas/live_frame.h"

#include <QRadialGradient>

#include <algorithm>

namespace fw {

double beamLengthPx(const Camera& camera, double scale) {
    return std::clamp(90 / camera.metresPerPixel, 52 * scale, 190 * scale);
}

namespace {

void wedge(LiveFrame& f, QPointF at, const RadioSign& r, double length, bool strong) {
    QColor color = r.state == RadioState::bare ? f.colors().inkFaint : f.colors().accent;
    QRadialGradient fade(at, length);
    color.setAlpha(strong ? 135 : 70);
    fade.setColorAt(0, color);
    color.setAlpha(strong ? 60 : 28);
    fade.setColorAt(0.6, color);
    color.setAlpha(0);
    fade.setColorAt(1, color);
    f.p.setPen(Qt::NoPen);
    f.p.setBrush(fade);
    const QRectF round(at - QPointF(length, length), QSizeF(2 * length, 2 * length));
    const double width = std::min(360.0, r.beamDeg);
    // Angles of the painter run anticlockwise from east, in sixteenths.
    const double start = 90 - r.gridDeg - width / 2;
    f.p.drawPie(round, static_cast<int>(start * 16), static_cast<int>(width * 16));
}

} // namespace

void paintBeams(LiveFrame& f) {
    if (!f.on(MapLayer::beams) || !f.on(MapLayer::smallCells)) return;
    const double length = beamLengthPx(f.camera, f.scale);
    const Box reach = f.seen.grown(length * f.camera.metresPerPixel);
    const bool near = f.camera.metresPerPixel < 0.8;
    for (const MountSign& sign : f.items.mounts()) {
        const MountSign& m = f.now(sign);
        if (m.radios.empty() || !reach.contains(m.at)) continue;
        const bool chosenMount = f.space.selection.has(m.id);
        for (const RadioSign& r : m.radios) {
            const bool strong = chosenMount || r.id == f.aimed || f.space.selection.has(r.id);
            if (strong || (near && r.state == RadioState::chosen)) wedge(f, f.at(m.at), r, length, strong);
        }
    }
}

} // namespace fw
