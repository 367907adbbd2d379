// SPDX-License-Identifier: GPL-3.0-or-later
// What tools draw alike.
#pragma once

#include "canvas/camera.h"
#include "plan/wall_snap.h"
#include "theme/window_palette.h"

#include <QPainter>
#include <QPolygonF>
#include <QString>

namespace fw {

QPolygonF onScreen(const Camera& camera, const Ring& ring);

/// The wall that a mount is drawn to: the wall as a line, the place on it as a cross or, at a corner, a
/// square.
void drawSnap(QPainter& p, const Camera& camera, const WallSnap& wall, const WindowPalette& colors);

/// A line of text on a card of its own beside a place, kept inside the map. @param lines  the first is strong
void drawTag(QPainter& p, const Camera& camera, QPointF beside, const QStringList& lines,
             const WindowPalette& colors);

/// Frame dragged around several.
void drawBand(QPainter& p, const QRectF& band, const WindowPalette& colors);

/// Corners and sides of what is being drawn or reshaped; the last side dashed where the ring is still open.
void drawRing(QPainter& p, const QPolygonF& ring, bool open, const WindowPalette& colors);

/// A square knob at a corner.
void drawKnob(QPainter& p, QPointF at, bool chosen, const WindowPalette& colors);

/// Where a place on a wall is, in words: "3.2 m from the left corner".
QString placeOnWall(const WallSnap& wall);

} // namespace fw
