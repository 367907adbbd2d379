// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/map_view.h"
#include "canvas/tool.h"
#include "geo/shape.h"
#include "plan/wall_snap.h"

#include <QCoreApplication>

#include <optional>
#include <vector>

namespace fw {

/// Chooses, moves, turns and reshapes what is there. Ends nothing but with one step of the history.
///
/// Click chooses, Ctrl or Shift adds; a frame chooses several; a double click on empty ground chooses
/// nothing. Mounts are dragged and drawn to walls (Alt: not), the handle turns a radio (Shift: steps of 5
/// deg), corners of a chosen congestion area are dragged, a double click on its side makes one, Delete takes
/// it away. Keys: arrows 1 m, [ and ] 1 deg (Shift: ten), Delete, N and Shift+N go through the items from the
/// middle of the view outwards.
class SelectTool : public Tool {
    Q_DECLARE_TR_FUNCTIONS(SelectTool)
public:
    explicit SelectTool(MapView& map) : Tool(map) {}

    void press(const MapPointer& p) override;
    void move(const MapPointer& p) override;
    void release(const MapPointer& p) override;
    void doubleClick(const MapPointer& p) override;
    void away() override { m_hover.reset(); }
    bool key(QKeyEvent& e) override;
    bool cancel() override;
    void paint(QPainter& p) override;
    [[nodiscard]] QCursor cursor() const override;
    [[nodiscard]] QString hint() const override;
    [[nodiscard]] bool activates() const override { return !m_madeCorner; }

    /// A press becomes a drag after this many pixels.
    static constexpr double kDragFromPx = 4;

private:
    enum class Doing { nothing, pressed, band, mounts, turning, corner, refused };
    struct Corner {
        ItemId area;
        std::size_t index = 0;
    };

    void begin(const MapPointer& p);
    bool beginMounts();
    void dragMounts(const MapPointer& p);
    void turn(const MapPointer& p);
    void click(const MapPointer& p);
    void choose(ItemId item, Qt::KeyboardModifiers modifiers);
    void finishCorner();
    bool nudge(PlanePoint by);
    bool turnBy(double deg);
    bool remove();
    bool goRound(bool forward);
    [[nodiscard]] std::optional<Ring> ringOf(const Corner& corner) const;
    [[nodiscard]] QString hoverHint() const;
    [[nodiscard]] QString dragHint() const;
    [[nodiscard]] QString labelOf(ItemId item) const;
    void paintCorner(QPainter& p);
    void paintDrag(QPainter& p);

    Doing m_doing = Doing::nothing;
    MapPointer m_pressed{};
    QPointF m_at; ///< pointer, on the screen
    std::optional<MapHit> m_hit, m_hover;
    PlanePoint m_from, m_grab; ///< place of the mount before; pointer less that place
    std::optional<WallSnap> m_snap;
    std::optional<Corner> m_corner;   ///< chosen or dragged
    PlanePoint m_cornerAt;            ///< while dragged
    bool m_madeCorner = false;        ///< by the last double click
    std::vector<ItemId> m_bandBefore; ///< chosen before the frame, where it adds
    std::vector<ItemId> m_round;      ///< order that N goes through
    ItemId m_roundAt;
};

} // namespace fw
