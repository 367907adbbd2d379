// SPDX-License-Identifier: GPL-3.0-or-later
// Mounts with their radios: the support by its shape, a plate that points where the radio looks.
#include "canvas/live_frame.h"

#include <algorithm>
#include <cmath>

namespace fw {

QPointF findingSide(const MountSign& mount) {
    return mount.radios.empty() ? QPointF(0.7, -0.7) : -screenDirection(mount.radios.front().gridDeg + 25);
}

QPointF ownerSide(const MountSign& mount) {
    return mount.radios.empty() ? QPointF(-0.7, 0.7) : -screenDirection(mount.radios.front().gridDeg - 40);
}

// Who was not asked yet is most of a town: that is told from near only.
bool ownerShown(const MountSign& mount, double metresPerPixel) {
    return metresPerPixel <= (mount.consent == ConsentState::unknown ? 1.4 : 3.5);
}

namespace {

void paintOne(LiveFrame& f, const MountSign& m) {
    const QPointF at = f.at(m.at);
    f.signs.support(f.p, at, m, f.scale);
    for (const RadioSign& r : m.radios) f.signs.plate(f.p, at, r, f.scale);
    if (f.on(MapLayer::owners) && ownerShown(m, f.camera.metresPerPixel))
        f.signs.owner(f.p, at + ownerSide(m) * (kFindingOff * f.scale), m.consent, f.scale);
    const auto worst = f.findings.worst(m.id);
    if (!worst) return;
    // What blocks is said always; the rest with its layer, notes only from near.
    const bool block = *worst == Severity::block;
    if (!block && !f.on(MapLayer::findings)) return;
    if (!block && f.camera.metresPerPixel > (*worst == Severity::warn ? 4.0 : 0.9)) return;
    f.signs.finding(f.p, at + findingSide(m) * (kFindingOff * f.scale), static_cast<int>(*worst),
                    f.scale * (block ? 0.8 : 0.68));
}

} // namespace

void paintMounts(LiveFrame& f) {
    if (!f.on(MapLayer::smallCells)) return;
    for (const MountSign& m : f.items.mounts())
        if (f.seen.contains(m.at) && !f.dragged.of(m.id)) paintOne(f, m);
    for (const MountSign& m : f.dragged.mounts) {
        const MountSign* before = f.items.mount(m.id);
        if (before && before->at != m.at) {
            // A faint mark keeps the place it came from.
            f.signs.support(f.p, f.at(before->at), *before, f.scale, true);
            QPen pen(f.colors().ghost, 1, Qt::DotLine);
            f.p.setPen(pen);
            f.p.drawLine(f.at(before->at), f.at(m.at));
        }
        paintOne(f, m);
    }
}

void FindingMarks::take(const Review& review, const Plan& plan) {
    m_marks.clear();
    m_worst.clear();
    for (const Finding& x : review.findings) {
        if (x.standing == Standing::stands || x.standing == Standing::stale || x.subjects.empty()) continue;
        ItemId home = x.subjects.front();
        if (const SmallCell* c = plan.smallCells.find(home)) home = c->radio;
        if (const Radio* r = plan.radios.find(home)) home = r->mount;
        m_marks.push_back({x.where, x.severity, home});
        m_worst.emplace_back(home, x.severity);
    }
    std::sort(m_worst.begin(), m_worst.end(), [](const auto& a, const auto& b) {
        return a.first != b.first ? a.first < b.first : a.second > b.second;
    });
    const auto same = [](const auto& a, const auto& b) { return a.first == b.first; };
    m_worst.erase(std::unique(m_worst.begin(), m_worst.end(), same), m_worst.end());
}

std::optional<Severity> FindingMarks::worst(ItemId mount) const {
    const auto at = std::lower_bound(m_worst.begin(), m_worst.end(), mount,
                                     [](const auto& a, ItemId id) { return a.first < id; });
    return at != m_worst.end() && at->first == mount ? std::optional(at->second) : std::nullopt;
}

void paintFindings(LiveFrame& f) {
    // From afar a place of its own cannot be told from the sign.
    if (!f.on(MapLayer::findings) || f.camera.metresPerPixel > 1.4) return;
    for (const FindingMarks::Mark& x : f.findings.marks()) {
        if (!f.seen.contains(x.at)) continue;
        const MountSign* home = f.items.mount(x.mount);
        const QPointF at = f.at(x.at);
        if (home) {
            const QPointF way = at - f.at(f.now(*home).at);
            if (std::hypot(way.x(), way.y()) < 26 * f.scale) continue; // its sign says it
        }
        f.signs.finding(f.p, at, static_cast<int>(x.severity), f.scale * 0.68);
    }
}

} // namespace fw
