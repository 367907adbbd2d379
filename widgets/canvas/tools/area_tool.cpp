// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tools/area_tool.h"

#include "canvas/tools/place_tool.h"
#include "canvas/tools/tool_marks.h"
#include "plan/edit_makers.h"
#include "text/figures.h"

#include <cmath>

namespace fw {

namespace {

constexpr double kClosePx = 9;

} // namespace

bool AreaTool::overFirst(QPointF screen) const {
    if (m_corners.size() < 3) return false;
    const QPointF d = m_map.camera().toScreen(m_corners.front()) - screen;
    return std::hypot(d.x(), d.y()) <= kClosePx;
}

void AreaTool::press(const MapPointer& p) {
    m_at = p.at;
    m_fault.clear();
    if (m_map.space().document.readOnly()) return;
    if (overFirst(p.screen)) return close();
    if (m_corners.empty() || planeDistance(m_corners.back(), p.at) > 0) m_corners.push_back(p.at);
}

void AreaTool::move(const MapPointer& p) {
    m_at = p.at;
    m_map.update();
}

// The first press of the two has put the last corner.
void AreaTool::doubleClick(const MapPointer&) { close(); }

void AreaTool::close() {
    Workspace& space = m_map.space();
    const auto drawn = drawArea(space.document.plan(), m_corners);
    if (!drawn) {
        m_fault = coreText(drawn.error().sentence());
        return;
    }
    if (!space.document.perform(drawn->edit).ok()) return;
    m_corners.clear();
    space.selection.setOne(drawn->area);
}

bool AreaTool::key(QKeyEvent& e) {
    switch (e.key()) {
    case Qt::Key_Backspace:
    case Qt::Key_Delete:
        m_fault.clear();
        if (m_corners.empty()) return false;
        m_corners.pop_back();
        return true;
    case Qt::Key_Return:
    case Qt::Key_Enter:
        if (m_corners.empty()) return false;
        close();
        return true;
    default:
        return false;
    }
}

bool AreaTool::cancel() {
    m_fault.clear();
    if (m_corners.empty()) {
        leaveTool(m_map, m_alive);
        return true;
    }
    m_corners.clear();
    return true;
}

QString AreaTool::hint() const {
    if (m_map.space().document.readOnly())
        return tr("This plan is open for reading only. Save it under another name to change it.");
    if (!m_fault.isEmpty()) return tr("%1 Backspace takes the last corner back.").arg(m_fault);
    if (m_corners.empty()) return tr("Click the corners of the congestion area. Esc: done.");
    if (m_corners.size() < 3) return tr("Click the next corner. Backspace: last corner back. Esc: drop it.");
    Ring now = m_corners;
    if (m_at && m_at != m_corners.back()) now.push_back(*m_at);
    if (now.size() > 3 && !outlineFault(now).empty())
        return tr("Here the outline would cross itself. Backspace: last corner back. Esc: drop it.");
    return tr("Enter or a double click closes the area, %1 m² so far. Backspace: last corner back. Esc: drop "
              "it.")
        .arg(figure(std::fabs(signedArea(now)), QString(), 0));
}

void AreaTool::paint(QPainter& p) {
    if (m_corners.empty()) return;
    const WindowPalette& colors = windowPalette(m_map.palette());
    p.setRenderHint(QPainter::Antialiasing);
    QPolygonF ring = onScreen(m_map.camera(), m_corners);
    const int fixed = static_cast<int>(ring.size());
    if (m_at && m_map.pointer()) ring << m_map.camera().toScreen(*m_at);
    drawRing(p, ring, true, colors);
    for (int k = 0; k < fixed; ++k) drawKnob(p, ring[k], k == 0 && overFirst(ring.last()), colors);
    if (!m_fault.isEmpty()) drawTag(p, m_map.camera(), ring.last(), {m_fault}, colors);
}

} // namespace fw
