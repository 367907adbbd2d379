// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tools/select_tool.h"

#include "canvas/tools/wall_finder.h"
#include "plan/edit_makers.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kTurnStepDeg = 1, kTurnCoarseDeg = 5; // nobody aims a bracket finer than a degree

bool adds(Qt::KeyboardModifiers m) { return m & (Qt::ControlModifier | Qt::ShiftModifier); }

double apart(QPointF a, QPointF b) { return std::hypot(a.x() - b.x(), a.y() - b.y()); }

// The mount that a chosen item stands for; none for others.
ItemId mountOf(const Plan& plan, ItemId item) { return chainOf(plan, item).mount; }

} // namespace

void SelectTool::press(const MapPointer& p) {
    m_pressed = p;
    m_at = p.screen;
    m_hit.reset();
    m_snap.reset();
    const auto hits = m_map.hitsAt(p.screen);
    if (!hits.empty()) m_hit = hits.front();
    m_doing = Doing::pressed;
    m_corner.reset();
    if (m_hit && m_hit->part == MapPart::corner)
        m_corner = Corner{m_hit->item, static_cast<std::size_t>(m_hit->corner)};
}

void SelectTool::move(const MapPointer& p) {
    m_at = p.screen;
    if (m_doing == Doing::nothing || !(p.buttons & Qt::LeftButton)) {
        const auto hits = m_map.hitsAt(p.screen);
        m_hover = hits.empty() ? std::nullopt : std::optional(hits.front());
        return;
    }
    if (m_doing == Doing::pressed && apart(p.screen, m_pressed.screen) >= kDragFromPx) begin(p);
    switch (m_doing) {
    case Doing::mounts:
        dragMounts(p);
        break;
    case Doing::turning:
        turn(p);
        break;
    case Doing::corner:
        m_cornerAt = p.at - m_grab;
        break;
    case Doing::band: {
        std::vector<ItemId> chosen = m_map.itemsIn(QRectF(m_pressed.screen, p.screen).normalized());
        const ItemId last = chosen.empty() ? ItemId{} : chosen.front();
        chosen.insert(chosen.end(), m_bandBefore.begin(), m_bandBefore.end());
        m_map.space().selection.set(std::move(chosen), last);
        break;
    }
    default:
        break;
    }
    m_map.update();
}

void SelectTool::begin(const MapPointer& p) {
    Workspace& space = m_map.space();
    const bool locked = space.document.readOnly();
    if (m_hit && m_hit->part == MapPart::turnHandle) {
        m_doing = space.drag.beginRadio(m_hit->item) ? Doing::turning : Doing::refused;
        return;
    }
    if (m_corner) {
        const auto ring = ringOf(*m_corner);
        m_doing = ring && !locked ? Doing::corner : Doing::refused;
        if (ring) m_grab = m_pressed.at - (*ring)[m_corner->index];
        return;
    }
    if (m_hit && space.document.plan().mounts.find(m_hit->item)) {
        m_doing = beginMounts() ? Doing::mounts : Doing::refused;
        return;
    }
    m_doing = Doing::band;
    m_bandBefore = adds(p.modifiers) ? space.selection.items() : std::vector<ItemId>{};
}

// The one under the pointer first: it has the live figures; what else is chosen goes along.
bool SelectTool::beginMounts() {
    Workspace& space = m_map.space();
    const Plan& plan = space.document.plan();
    const ItemId held = m_hit->item;
    std::vector<ItemId> all{held};
    bool chosen = false;
    for (const ItemId item : space.selection.items()) {
        const ItemId mount = mountOf(plan, item);
        if (mount == held) chosen = true;
        if (mount && std::find(all.begin(), all.end(), mount) == all.end()) all.push_back(mount);
    }
    if (!chosen) {
        all = {held};
        space.selection.setOne(held);
    }
    m_from = plan.mounts.find(held)->at;
    m_grab = m_pressed.at - m_from;
    return space.drag.begin(all);
}

void SelectTool::dragMounts(const MapPointer& p) {
    Workspace& space = m_map.space();
    if (!space.drag.active()) return;
    const Mount& mount = space.drag.mounts().front();
    const PlanePoint wanted = p.at - m_grab;
    m_snap.reset();
    const bool free = mount.kind == MountKind::pole || (p.modifiers & Qt::AltModifier);
    const WallIndex* walls = free ? nullptr : WallFinder::of(m_map).walls();
    if (!walls) return space.drag.moveTo(wanted);
    const double reach = std::min(kSnapPx * m_map.camera().metresPerPixel, kSnapFarthestM);
    const Footing footing = footingOf(*walls, mount.kind, wanted, reach);
    m_snap = footing.wall;
    const auto faces = footing.faces();
    space.drag.moveTo(footing.at, faces ? std::optional(space.document.frame().toTrue(*faces, footing.at))
                                        : std::nullopt);
}

void SelectTool::turn(const MapPointer& p) {
    Workspace& space = m_map.space();
    if (!space.drag.active() || space.drag.radios().empty()) return;
    const auto mount = space.drag.mount(space.drag.radios().front().mount);
    if (!mount || planeDistance(mount->at, p.at) == 0) return;
    const double deg = space.document.frame().toTrue(gridAzimuth(mount->at, p.at), mount->at).deg;
    const double step = p.modifiers & Qt::ShiftModifier ? kTurnCoarseDeg : kTurnStepDeg;
    space.drag.turnTo(TrueAzimuth::of(std::round(deg / step) * step));
}

void SelectTool::release(const MapPointer& p) {
    m_at = p.screen;
    const Doing was = m_doing;
    m_doing = Doing::nothing;
    m_snap.reset();
    switch (was) {
    case Doing::pressed:
        click(p);
        break;
    case Doing::mounts:
    case Doing::turning:
        m_map.space().drag.finish();
        break;
    case Doing::corner:
        finishCorner();
        break;
    default:
        break;
    }
    const auto hits = m_map.hitsAt(p.screen);
    m_hover = hits.empty() ? std::nullopt : std::optional(hits.front());
}

void SelectTool::click(const MapPointer& p) {
    if (!m_hit || m_hit->part != MapPart::body) return;
    choose(m_hit->item, p.modifiers);
}

void SelectTool::choose(ItemId item, Qt::KeyboardModifiers modifiers) {
    Selection& selection = m_map.space().selection;
    if (adds(modifiers))
        selection.toggle(item);
    else
        selection.setOne(item);
}

void SelectTool::finishCorner() {
    PlanDocument& document = m_map.space().document;
    if (!m_corner || !ringOf(*m_corner)) return;
    const auto edit = moveCorner(document.plan(), m_corner->area, m_corner->index, m_cornerAt);
    if (edit)
        (void)document.perform(*edit);
    else
        emit document.refused(QString::fromStdString(edit.error().sentence()));
}

void SelectTool::doubleClick(const MapPointer& p) {
    Workspace& space = m_map.space();
    m_doing = Doing::nothing;
    m_madeCorner = false;
    const auto hits = m_map.hitsAt(p.screen);
    if (hits.empty()) return space.selection.clear();
    const MapHit& hit = hits.front();
    const CongestionArea* area = space.document.plan().congestionAreas.find(hit.item);
    if (!area || hit.part != MapPart::body || space.document.readOnly()) return;
    const Ring& outer = area->area.outer;
    const OnLine on = nearestOnBoundary({outer, {}}, p.at);
    if (on.distanceM > 8 * m_map.camera().metresPerPixel) return;
    const auto edit = insertCorner(space.document.plan(), hit.item, on.segment, on.nearest);
    if (!edit) return emit space.document.refused(QString::fromStdString(edit.error().sentence()));
    if (!space.document.perform(*edit).ok()) return;
    space.selection.setOne(hit.item);
    m_madeCorner = true;
    m_corner = Corner{hit.item, on.segment + 1};
}

bool SelectTool::cancel() {
    const Doing was = m_doing;
    m_doing = Doing::nothing;
    m_snap.reset();
    if (was == Doing::mounts || was == Doing::turning) m_map.space().drag.abandon();
    if (was == Doing::band) m_map.space().selection.set(m_bandBefore);
    const bool corner = m_corner.has_value();
    m_corner.reset();
    return was != Doing::nothing || corner;
}

std::optional<Ring> SelectTool::ringOf(const Corner& corner) const {
    const Workspace& space = m_map.space();
    const CongestionArea* area = space.document.plan().congestionAreas.find(corner.area);
    if (!area || corner.index >= area->area.outer.size() || !space.selection.has(corner.area))
        return std::nullopt;
    return area->area.outer;
}

} // namespace fw
