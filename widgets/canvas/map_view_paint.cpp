// SPDX-License-Identifier: GPL-3.0-or-later
// One frame of the map: tiles, what is alive over them, the tool.
#include "canvas/map_view_impl.h"

#include <QPaintEvent>

namespace fw {

void MapView::Impl::paintLive(QPainter& p) {
    DraggedSigns dragged;
    const LiveDrag& drag = map.m_space.drag;
    if (drag.active()) {
        for (const Mount& m : drag.mounts())
            if (const MountSign* sign = items.mount(m.id))
                dragged.mounts.push_back(items.moved(*sign, &m, drag.radios()));
        if (drag.mounts().empty())
            for (const Radio& r : drag.radios())
                if (const MountSign* sign = items.mount(r.mount))
                    dragged.mounts.push_back(items.moved(*sign, nullptr, drag.radios()));
    }
    const Camera& camera = map.m_camera;
    LiveFrame f{p,
                camera,
                map.m_space,
                items,
                signs,
                dragged,
                findings,
                aimed,
                aimedHome,
                scale(),
                camera.visible().grown(40 * scale() * camera.metresPerPixel)};
    p.setRenderHint(QPainter::Antialiasing);
    paintAreas(f);
    fringes.paint(p, camera, f.colors());
    footprint.paint(p, camera, f.colors());
    for (const auto& [overlay, below] : overlays)
        if (below) overlay(p, camera);
    paintBeams(f);
    rose.paint(p, camera, f.colors());
    paintMacros(f);
    paintMounts(f);
    paintFindings(f);
    names.paint(f);
    paintSelection(f);
    for (const Ghost& ghost : map.m_ghosts) paintGhost(f, ghost);
    for (const auto& [overlay, below] : overlays)
        if (!below) overlay(p, camera);
    corner.paint(f, map.layoutDirection(), ratio());
}

void MapView::Impl::paintAttribution(QPainter& p) {
    const Basemap& basemap = map.m_space.basemap;
    const AttributionMark::Words words{basemap.attribution(), basemap.word()};
    if (words.empty()) return;
    std::vector<QRect> lying;
    for (const auto& [card, rim] : cards()) lying.push_back(card);
    attribution.paint(p, words, map.size(), lying, map.font(), windowPalette(map.palette()),
                      map.layoutDirection(), ratio());
}

void MapView::Impl::paint(QPainter& p) {
    const WindowPalette& colors = windowPalette(map.palette());
    if (!map.m_space.document.isOpen()) {
        p.fillRect(map.rect(), colors.ground);
        return;
    }
    if (drawnRatio != ratio()) lookChanged();
    syncPause();
    tiles.paint(p, map.m_camera, ratio(), colors.ground, divider ? divider->lineX() : 0);
    paintLive(p);
    p.save();
    map.m_tool->paint(p);
    p.restore();
    if (divider) divider->paintWords(p, colors);
    paintAttribution(p);
    if (!keyFocus) return;
    p.setBrush(Qt::NoBrush);
    p.setPen(QPen(colors.focus, 2));
    p.drawRect(QRectF(map.rect()).adjusted(1, 1, -1, -1));
}

void MapView::paintEvent(QPaintEvent*) {
    QPainter p(this);
    m_impl->paint(p);
    p.end();
    emit framePainted();
}

} // namespace fw
