// SPDX-License-Identifier: GPL-3.0-or-later
// A map on paper: buildings quiet and light, what radiates loud. Grid north is up.
#pragma once

#include "delivery/map_content.h"
#include "delivery/sight_marks.h"
#include "print/paper.h"

#include <QImage>

namespace fw {

struct MapMark {
    PlanePoint at;
    QString text;
};

struct MapStyle {
    bool inset = false; ///< street names, wide beams, the mount's own building; else the overview
    ItemId focus;       ///< mount in the middle of an inset
    ItemId ownBuilding; ///< carries the focus
    double beamM = 90;  ///< ground metres that beams of an inset reach
    bool hillshade = false;
    QImage tint; ///< colours the ground of tintBox instead of relief; null: none
    Box tintBox;
    std::vector<MapMark> marks;
    std::vector<std::pair<ItemId, QString>> numbers; ///< badge by mount, overview
};

class MapDrawing {
public:
    /// The frame takes the shape of the content's bounds inside `room`, from its upper left corner.
    MapDrawing(Paper& paper, const MapContent& map, const QRectF& room, MapStyle style);
    void draw();
    /// Scale bar, true north, system and, for an overview, the signs; in a band under the map.
    /// @return its height (mm)
    double drawFoot(double topMm, double widthMm);
    [[nodiscard]] QRectF frame() const { return m_frame; }
    [[nodiscard]] QPointF at(PlanePoint p) const;
    [[nodiscard]] double mmPerGroundM() const { return m_mmPerM * m_map.scale; }

private:
    void drawHillshade();
    void drawTint();
    void drawLowGround();
    void drawContours();
    void drawGround();
    void drawBlocks();
    void drawWays();
    void drawWayNames();
    void drawMasts();
    void drawMastNames();
    void drawPlates();
    void drawMarks();
    double drawScaleBar(QPointF at);
    void drawSigns(double x, double y, double right);
    [[nodiscard]] QPolygonF polygon(const Ring& ring) const;

    Paper& m_paper;
    const MapContent& m_map;
    MapStyle m_style;
    QRectF m_frame;
    double m_mmPerM = 1;      ///< paper mm per plane metre
    double m_contourStep = 0; ///< 0: none drawn
    bool m_lowGround = false; ///< some was ruled
};

/// Ground length of a scale bar: 1, 2 or 5 times a power of ten, the longest within `mostMm`.
double scaleBarM(double mmPerGroundM, double mostMm);

} // namespace fw
