// SPDX-License-Identifier: GPL-3.0-or-later
// What the keyboard does to the selection, and what the status line says about it.
#include "canvas/tools/select_tool.h"
#include "canvas/tools/tool_marks.h"
#include "plan/edit_makers.h"
#include "text/figures.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

PlanePoint arrow(int key) {
    switch (key) {
    case Qt::Key_Left:
        return {-1, 0};
    case Qt::Key_Right:
        return {1, 0};
    case Qt::Key_Up:
        return {0, 1};
    case Qt::Key_Down:
        return {0, -1};
    default:
        return {};
    }
}

// Makes an edit or says why there is none.
bool perform(PlanDocument& document, const Result<Edit>& edit, bool nudge) {
    if (edit) return document.perform(*edit, nudge).ok();
    emit document.refused(QString::fromStdString(edit.error().sentence()));
    return false;
}

} // namespace

bool SelectTool::key(QKeyEvent& e) {
    if (e.modifiers() & (Qt::ControlModifier | Qt::MetaModifier)) return false;
    // While a button is down the keyboard waits; Esc comes by cancel().
    if (m_doing != Doing::nothing && m_doing != Doing::pressed) return false;
    const bool coarse = e.modifiers() & Qt::ShiftModifier;
    switch (e.key()) {
    case Qt::Key_Left:
    case Qt::Key_Right:
    case Qt::Key_Up:
    case Qt::Key_Down:
        return nudge(arrow(e.key()) * (coarse ? 10.0 : 1.0));
    case Qt::Key_BracketLeft:
    case Qt::Key_BraceLeft:
        return turnBy(coarse ? -10 : -1);
    case Qt::Key_BracketRight:
    case Qt::Key_BraceRight:
        return turnBy(coarse ? 10 : 1);
    case Qt::Key_Delete:
    case Qt::Key_Backspace:
        return remove();
    case Qt::Key_N:
        return !(e.modifiers() & Qt::AltModifier) && goRound(!coarse);
    default:
        return false;
    }
}

bool SelectTool::nudge(PlanePoint by) {
    Workspace& space = m_map.space();
    if (space.selection.empty()) return false;
    if (m_corner) {
        if (const auto ring = ringOf(*m_corner)) {
            perform(space.document,
                    moveCorner(space.document.plan(), m_corner->area, m_corner->index,
                               (*ring)[m_corner->index] + by),
                    true);
            return true;
        }
        m_corner.reset();
    }
    perform(space.document, moveItems(space.document.plan(), space.selection.items(), by), true);
    return true;
}

bool SelectTool::turnBy(double deg) {
    Workspace& space = m_map.space();
    const ItemId radio = chainOf(space.document.plan(), space.selection.primary()).radio;
    if (!radio) return false;
    perform(space.document, turnRadios(space.document.plan(), {radio}, deg), true);
    return true;
}

bool SelectTool::remove() {
    Workspace& space = m_map.space();
    if (m_corner && ringOf(*m_corner)) {
        if (perform(space.document, deleteCorner(space.document.plan(), m_corner->area, m_corner->index),
                    false))
            m_corner.reset();
        return true;
    }
    if (space.selection.empty()) return false;
    perform(space.document, removeItems(space.document.plan(), space.selection.items()), false);
    return true;
}

// The order is kept while the round goes on, though the view moves along.
bool SelectTool::goRound(bool forward) {
    Workspace& space = m_map.space();
    const Plan& plan = space.document.plan();
    const ItemId at = space.selection.primary();
    std::erase_if(m_round, [&](ItemId id) { return !plan.has(id); });
    if (m_round.empty() || !at || at != m_roundAt) {
        std::vector<std::pair<double, ItemId>> near;
        const PlanePoint middle = m_map.camera().centre;
        for (const Mount& m : plan.mounts) near.emplace_back(planeDistance(m.at, middle), m.id);
        for (const MacroSite& s : plan.macroSites) near.emplace_back(planeDistance(s.at, middle), s.id);
        for (const CongestionArea& a : plan.congestionAreas)
            near.emplace_back(planeDistance(centroidOf(a.area), middle), a.id);
        std::sort(near.begin(), near.end());
        m_round.clear();
        for (const auto& one : near) m_round.push_back(one.second);
    }
    if (m_round.empty()) return false;
    const auto n = m_round.size();
    const auto it = std::find(m_round.begin(), m_round.end(), at);
    std::size_t k = 0;
    if (it != m_round.end())
        k = (static_cast<std::size_t>(it - m_round.begin()) + (forward ? 1 : n - 1)) % n;
    else if (!forward)
        k = n - 1;
    m_roundAt = m_round[k];
    space.selection.setOne(m_roundAt);
    if (const Mount* m = plan.mounts.find(m_roundAt)) m_map.reveal(m->at);
    if (const MacroSite* s = plan.macroSites.find(m_roundAt)) m_map.reveal(s->at);
    if (const CongestionArea* a = plan.congestionAreas.find(m_roundAt)) m_map.reveal(centroidOf(a->area));
    return true;
}

// ---- cursor and words

QCursor SelectTool::cursor() const {
    switch (m_doing) {
    case Doing::mounts:
    case Doing::turning:
        return Qt::ClosedHandCursor;
    case Doing::corner:
        return Qt::SizeAllCursor;
    case Doing::band:
        return Qt::CrossCursor;
    case Doing::refused:
        return Qt::ForbiddenCursor;
    default:
        break;
    }
    if (!m_hover) return Qt::ArrowCursor;
    if (m_hover->part == MapPart::turnHandle) return Qt::OpenHandCursor;
    if (m_hover->part == MapPart::corner) return Qt::SizeAllCursor;
    return Qt::PointingHandCursor;
}

QString SelectTool::labelOf(ItemId item) const {
    return QString::fromStdString(m_map.space().document.plan().label(item));
}

QString SelectTool::dragHint() const {
    const Workspace& space = m_map.space();
    switch (m_doing) {
    case Doing::mounts: {
        if (space.drag.mounts().empty()) return {};
        const Mount& m = space.drag.mounts().front();
        const QString name = QString::fromStdString(m.name);
        const Frame& frame = space.document.frame();
        const QString moved = distance(frame.groundDistance(m_from, m.at));
        if (m_snap)
            return tr("%1, moved by %2, %3. Alt: away from walls. Esc: back.")
                .arg(name, moved, placeOnWall(*m_snap));
        if (m.kind != MountKind::pole) return tr("%1, moved by %2, on no wall. Esc: back.").arg(name, moved);
        return tr("%1, moved by %2. Esc: back.").arg(name, moved);
    }
    case Doing::turning:
        if (space.drag.radios().empty()) return {};
        return tr("%1 looks towards %2. Shift: steps of 5°. Esc: back.")
            .arg(QString::fromStdString(space.drag.radios().front().name),
                 bearing(space.drag.radios().front().azimuth.deg));
    case Doing::corner: {
        const auto ring = m_corner ? ringOf(*m_corner) : std::nullopt;
        if (!ring) return {};
        Ring changed = *ring;
        changed[m_corner->index] = m_cornerAt;
        const std::string fault = outlineFault(changed);
        return fault.empty() ? tr("Release to put the corner here. Esc: back.") : coreText(fault);
    }
    case Doing::band:
        return space.selection.items().size() == 1
                   ? tr("1 item in the frame.")
                   : tr("%n items in the frame.", nullptr, static_cast<int>(space.selection.items().size()));
    case Doing::refused:
        return tr("This plan is open for reading only. Save it under another name to change it.");
    default:
        return {};
    }
}

QString SelectTool::hint() const {
    if (QString dragged = dragHint(); !dragged.isEmpty()) return dragged;
    return m_hover ? hoverHint() : tr("Click to choose, drag a frame round several.");
}

QString SelectTool::hoverHint() const {
    const Plan& plan = m_map.space().document.plan();
    const QString label = labelOf(m_hover->item);
    if (m_map.space().document.readOnly())
        return tr("%1: click to choose. This plan is open for reading only.").arg(label);
    if (m_hover->part == MapPart::turnHandle) return tr("Drag to turn %1.").arg(label);
    if (m_hover->part == MapPart::corner)
        return tr("Drag to move this corner of %1; click and Delete to remove it.").arg(label);
    if (plan.mounts.find(m_hover->item)) return tr("%1: click to choose, drag to move.").arg(label);
    if (plan.congestionAreas.find(m_hover->item))
        return tr("%1: click to choose; a double click on its outline makes a corner.").arg(label);
    return tr("%1: click to choose.").arg(label);
}

// ---- marks

void SelectTool::paint(QPainter& p) {
    const WindowPalette& colors = windowPalette(m_map.palette());
    p.setRenderHint(QPainter::Antialiasing);
    if (m_doing == Doing::band) drawBand(p, QRectF(m_pressed.screen, m_at).normalized(), colors);
    if (m_corner) paintCorner(p);
    if (m_doing == Doing::mounts || m_doing == Doing::turning) paintDrag(p);
}

void SelectTool::paintCorner(QPainter& p) {
    const auto ring = ringOf(*m_corner);
    if (!ring) return;
    const WindowPalette& colors = windowPalette(m_map.palette());
    const Camera& camera = m_map.camera();
    if (m_doing != Doing::corner) return drawKnob(p, camera.toScreen((*ring)[m_corner->index]), true, colors);
    Ring changed = *ring;
    changed[m_corner->index] = m_cornerAt;
    drawRing(p, onScreen(camera, changed), false, colors);
    drawKnob(p, camera.toScreen(m_cornerAt), true, colors);
    if (const std::string fault = outlineFault(changed); !fault.empty())
        drawTag(p, camera, camera.toScreen(m_cornerAt), {coreText(fault)}, colors);
}

void SelectTool::paintDrag(QPainter& p) {
    const WindowPalette& colors = windowPalette(m_map.palette());
    const LiveDrag& drag = m_map.space().drag;
    if (m_doing == Doing::turning) {
        if (!drag.radios().empty())
            drawTag(p, m_map.camera(), m_at, {bearing(drag.radios().front().azimuth.deg)}, colors);
        return;
    }
    if (!m_snap) return;
    drawSnap(p, m_map.camera(), *m_snap, colors);
    drawTag(p, m_map.camera(), m_at, {placeOnWall(*m_snap)}, colors);
}

} // namespace fw
