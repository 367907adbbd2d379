// SPDX-License-Identifier: GPL-3.0-or-later
// Mounts with their radios: the support by its shape, a plate that points where the radio looks.
#include "canvas/live_frame.h"

namespace fw {

namespace {

void paintOne(LiveFrame& f, const MountSign& m, bool blocked) {
    const QPointF at = f.at(m.at);
    f.signs.support(f.p, at, m, f.scale);
    for (const RadioSign& r : m.radios) f.signs.plate(f.p, at, r, f.scale);
    if (blocked) f.signs.badge(f.p, at + QPointF(8, -8) * f.scale, f.scale);
}

} // namespace

void paintMounts(LiveFrame& f) {
    if (!f.on(MapLayer::smallCells)) return;
    const Review& review = f.space.live.review();
    for (const MountSign& m : f.items.mounts())
        if (f.seen.contains(m.at) && !f.dragged.of(m.id)) paintOne(f, m, review.blocked(m.id));
    for (const MountSign& m : f.dragged.mounts) {
        const MountSign* before = f.items.mount(m.id);
        if (before && before->at != m.at) {
            // A faint mark keeps the place it came from.
            f.signs.support(f.p, f.at(before->at), *before, f.scale, true);
            QPen pen(f.colors().ghost, 1, Qt::DotLine);
            f.p.setPen(pen);
            f.p.drawLine(f.at(before->at), f.at(m.at));
        }
        paintOne(f, m, review.blocked(m.id));
    }
}

void paintFindings(LiveFrame& f) {
    if (!f.on(MapLayer::findings)) return;
    for (const Finding& x : f.space.live.review().findings) {
        if (x.standing == Standing::stands || x.standing == Standing::stale) continue;
        if (!f.seen.contains(x.where)) continue;
        // Where it lies on a sign it would hide it: there the badge speaks.
        const QPointF at = f.at(x.where) + QPointF(-8, -8) * f.scale;
        f.signs.finding(f.p, at, static_cast<int>(x.severity), f.scale * 0.8);
    }
}

} // namespace fw
