// SPDX-License-Identifier: GPL-3.0-or-later
// The map: tiles made by workers under what is alive.
#pragma once

#include "canvas/camera.h"
#include "canvas/shown.h"
#include "canvas/tool.h"
#include "document/ghost.h"
#include "document/workspace.h"

#include <QMargins>
#include <QWidget>

#include <functional>
#include <memory>
#include <optional>
#include <vector>

namespace fw {

class GroundTintSource;

/// Part of an item that a pointer can take hold of.
enum class MapPart { body, turnHandle, corner };
struct MapHit {
    ItemId item; ///< mount, radio (turn handle), congestion area, macro site, sector, building, tree, line
    MapPart part = MapPart::body;
    int corner = -1; ///< of a congestion area's outer ring
};

/// Property of a sibling that lies on the map: how wide its rim is (px) that does not cover what is below.
/// Without it the whole sibling lets the map through.
inline constexpr const char* kCardRim = "cardRim";

class MapView : public QWidget {
    Q_OBJECT
public:
    explicit MapView(Workspace& space, QWidget* parent = nullptr);
    ~MapView() override;

    Workspace& space() { return m_space; }

    [[nodiscard]] const Camera& camera() const { return m_camera; }
    void setCamera(const Camera& camera);
    void zoomToPlan();
    void zoomTo(const Box& box);
    /// Brings a place into view; moves nothing when it is there already.
    void reveal(PlanePoint at);
    void zoomBy(double factor);
    /// Parts at the edges that something else lies over: zoomTo() and reveal() put nothing there.
    void setCovered(const QMargins& covered);

    /// Never null; SelectTool at first.
    [[nodiscard]] Tool& tool() { return *m_tool; }
    void setTool(std::unique_ptr<Tool> tool);

    void setGhosts(Ghosts ghosts);
    [[nodiscard]] const Ghosts& ghosts() const { return m_ghosts; }

    /// What lies under a place on the screen, the most likely first.
    [[nodiscard]] std::vector<MapHit> hitsAt(QPointF screen) const;
    /// Mounts, macro sites and congestion areas whose sign lies in a rectangle.
    [[nodiscard]] std::vector<ItemId> itemsIn(const QRectF& screen) const;
    [[nodiscard]] const std::optional<PlanePoint>& pointer() const { return m_pointer; }

    /// Further drawing in every frame, in device-independent pixels. `below`: between tiles and signs, else
    /// over signs and under the tool. Call update() when it is to be drawn anew.
    void addOverlay(std::function<void(QPainter&, const Camera&)> paint, bool below = true);

    /// What colours the ground, for legend and value under the pointer.
    [[nodiscard]] GroundTintSource& groundTint();

    /// Where whose background map it is was last painted; empty: nowhere (tests).
    [[nodiscard]] QRect attributionPlace() const;

    /// Draws the map anew, except under cards (kCardRim): what nobody sees is not drawn, and the card on it
    /// not a second time.
    void update();

    /// True when every visible tile is drawn at the resolution in view (tests, screenshots).
    [[nodiscard]] bool sharp() const;

signals:
    void pointerMoved(); ///< pointer() changed or left the map
    void cameraChanged();
    void toolChanged();
    void hintChanged(const QString& hint);
    void framePainted();                 ///< after each paint, for measuring
    void itemActivated(fw::ItemId item); ///< double click or Enter

protected:
    void paintEvent(QPaintEvent*) override;
    void resizeEvent(QResizeEvent*) override;
    void wheelEvent(QWheelEvent*) override;
    void mousePressEvent(QMouseEvent*) override;
    void mouseMoveEvent(QMouseEvent*) override;
    void mouseReleaseEvent(QMouseEvent*) override;
    void mouseDoubleClickEvent(QMouseEvent*) override;
    void keyPressEvent(QKeyEvent*) override;
    void keyReleaseEvent(QKeyEvent*) override;
    void leaveEvent(QEvent*) override;
    void changeEvent(QEvent*) override;
    bool event(QEvent*) override;
    void focusInEvent(QFocusEvent*) override;
    void focusOutEvent(QFocusEvent*) override;

private:
    struct Impl;
    Workspace& m_space;
    std::unique_ptr<Impl> m_impl;
    Camera m_camera;
    std::unique_ptr<Tool> m_tool;
    Ghosts m_ghosts;
    std::optional<PlanePoint> m_pointer;
};

} // namespace fw
