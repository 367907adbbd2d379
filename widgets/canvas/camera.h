// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "geo/shape.h"

#include <QPointF>
#include <QRectF>
#include <QSizeF>

namespace fw {

/// Which ground the map shows: grid north up, metres of the plan, device-independent pixels.
struct Camera {
    PlanePoint centre;
    double metresPerPixel = 2;
    QSizeF size{640, 480};

    static constexpr double kNearest = 0.02, kFarthest = 400; ///< metres per pixel

    [[nodiscard]] QPointF toScreen(PlanePoint p) const {
        return {size.width() / 2 + (p.x - centre.x) / metresPerPixel,
                size.height() / 2 - (p.y - centre.y) / metresPerPixel};
    }
    [[nodiscard]] PlanePoint toPlane(QPointF s) const {
        return {centre.x + (s.x() - size.width() / 2) * metresPerPixel,
                centre.y - (s.y() - size.height() / 2) * metresPerPixel};
    }
    [[nodiscard]] Box visible() const {
        const double w = size.width() * metresPerPixel / 2, h = size.height() * metresPerPixel / 2;
        return {centre.x - w, centre.y - h, centre.x + w, centre.y + h};
    }
    /// Zooms by a factor (> 1 nearer) and keeps the ground under `anchor` where it is.
    void zoomAt(QPointF anchor, double factor);
    /// Shows all of a box, with a margin.
    void show(const Box& box, double marginPx = 40);
    bool operator==(const Camera&) const = default;
};

} // namespace fw
