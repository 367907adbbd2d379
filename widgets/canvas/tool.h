// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/camera.h"

#include <QCursor>
#include <QKeyEvent>
#include <QPainter>
#include <QString>

namespace fw {

class MapView;

struct MapPointer {
    QPointF screen; ///< device-independent pixels in the map
    PlanePoint at;
    Qt::KeyboardModifiers modifiers;
    Qt::MouseButtons buttons;
};

/// What the left button does on the map. One tool at a time has the map; pan and zoom belong to the map
/// itself.
class Tool {
public:
    explicit Tool(MapView& map) : m_map(map) {}
    virtual ~Tool() = default;
    Tool(const Tool&) = delete;
    Tool& operator=(const Tool&) = delete;

    virtual void press(const MapPointer&) {}
    virtual void move(const MapPointer&) {} ///< with and without a button
    virtual void release(const MapPointer&) {}
    virtual void doubleClick(const MapPointer&) {}
    virtual void away() {} ///< the pointer has left the map, no button down
    /// True when the key was meant for the tool.
    virtual bool key(QKeyEvent&) { return false; }
    /// Esc, or another tool takes over: what was begun is dropped. True when there was something to drop.
    virtual bool cancel() { return false; }
    /// Over everything on the map, in device-independent pixels.
    virtual void paint(QPainter&) {}
    [[nodiscard]] virtual QCursor cursor() const { return Qt::ArrowCursor; }
    /// One line for the status line: what a click would do now.
    [[nodiscard]] virtual QString hint() const { return {}; }
    /// What copying gives while the tool has the map; empty: the selection.
    [[nodiscard]] virtual QString copyText() const { return {}; }
    /// Whether the last double click also opens what lies under it.
    [[nodiscard]] virtual bool activates() const { return false; }

protected:
    MapView& m_map;
};

} // namespace fw
