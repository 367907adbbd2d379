// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/camera.h"

#include <algorithm>

namespace fw {

void Camera::zoomAt(QPointF anchor, double factor) {
    const PlanePoint kept = toPlane(anchor);
    metresPerPixel = std::clamp(metresPerPixel / factor, kNearest, kFarthest);
    const PlanePoint now = toPlane(anchor);
    centre = centre + (kept - now);
}

void Camera::show(const Box& box, double marginPx) {
    centre = {(box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2};
    const double w = std::max(50.0, size.width() - 2 * marginPx),
                 h = std::max(50.0, size.height() - 2 * marginPx);
    metresPerPixel = std::clamp(std::max(box.width() / w, (box.y1 - box.y0) / h), kNearest, kFarthest);
}

} // namespace fw
