// SPDX-License-Identifier: GPL-3.0-or-later
// Insides of the map: for map_view*.cpp only.
#pragma once

#include "canvas/aim_rose.h"
#include "canvas/attribution_mark.h"
#include "canvas/corner_marks.h"
#include "canvas/footprint_layer.h"
#include "canvas/fringe_layer.h"
#include "canvas/ground_tint.h"
#include "canvas/live_frame.h"
#include "canvas/map_hits.h"
#include "canvas/map_view.h"
#include "canvas/name_layer.h"
#include "canvas/split_tiles.h"
#include "canvas/swipe_divider.h"

#include <QElapsedTimer>
#include <QTimer>

namespace fw {

struct MapView::Impl {
    explicit Impl(MapView& view);

    // What is drawn
    void planReplaced();
    void planChanged(const PlanDiff& diff);
    void terrainChanged();
    void shadeGround();
    void shownChanged();
    void tintChanged();
    void basemapArrived(const Box& where);
    void lookChanged(); ///< palette, font, device pixels
    void aimChanged();
    void reviewChanged();
    [[nodiscard]] std::shared_ptr<const TileScene> scene();

    // Frames
    void paint(QPainter& p);
    void paintLive(QPainter& p);
    void paintAttribution(QPainter& p);
    void requestTiles();
    void syncPause() { tiles.setPaused(map.m_space.jobs.resting()); }
    void syncDivider(); ///< there or not, as the pictures are
    void dividerMoved();
    /// What lies on the map, and how wide its rim is that lets it through (kCardRim).
    [[nodiscard]] std::vector<std::pair<QRect, int>> cards() const;
    [[nodiscard]] double ratio() const { return map.devicePixelRatioF(); }
    [[nodiscard]] double scale() const { return signs.scaleAt(map.m_camera.metresPerPixel); }
    [[nodiscard]] HitScene hitScene() const {
        return {map.m_camera, items, index.get(), map.m_space, scale(), aimed, aimedHome};
    }

    // Hands
    void fit(const Box& box);
    [[nodiscard]] QMargins coveredPart() const;
    [[nodiscard]] PlanePoint beside(const Camera& c, PlanePoint at) const;
    void moved(const Camera& camera); ///< the camera has another place or size
    void zoomStep(QPointF anchor, double octaves);
    void pan(QPointF pixels);
    void setPointer(std::optional<QPointF> screen);
    void afterTool(); ///< cursor and hint may differ
    [[nodiscard]] MapPointer pointerOf(const QMouseEvent& e) const;
    bool panKey(const QKeyEvent& e);

    MapView& map;
    SplitTiles tiles;
    MapItems items;
    SignSheet signs;
    NameLayer names;
    FindingMarks findings;
    CornerMarks corner;
    AttributionMark attribution;
    SwipeDivider* divider = nullptr; ///< a child of the map; null while nothing is parted
    FringeLayer fringes;
    FootprintLayer footprint;
    AimRose rose;
    GroundTintSource tints;
    std::shared_ptr<const SceneryIndex> index;
    std::shared_ptr<const ShadedTerrain> ground;
    Plan drawnPlan;                         ///< that tiles show
    std::shared_ptr<const TileScene> drawn; ///< what tiles were last asked to show
    std::vector<std::pair<std::function<void(QPainter&, const Camera&)>, bool>> overlays;
    ItemId aimed, aimedHome;

    QTimer zoomRest;
    QElapsedTimer sinceZoom;
    double zoomLeft = 0; ///< octaves of the wheel that made no whole step yet
    bool panning = false, spaceHeld = false, keyFocus = false;
    QMargins covered;    ///< at the edges, by cards of the window
    bool placed = false; ///< somebody chose the view: a resize keeps it
    QPointF panFrom;
    QString hint;
    double drawnRatio = 0;
};

} // namespace fw
