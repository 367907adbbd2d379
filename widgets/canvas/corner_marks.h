// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/live_frame.h"

#include <QPixmap>

namespace fw {

/// Scale bar and north arrow, small, in the lower corner where reading begins. Grid north is up; the arrow
/// says by how much true north differs.
class CornerMarks {
public:
    void paint(LiveFrame& f, Qt::LayoutDirection direction, double pixelRatio);
    void forget() { m_picture = QPixmap(); }

private:
    [[nodiscard]] QPixmap draw(const LiveFrame& f, double pixelRatio) const;
    QPixmap m_picture;
    double m_metresPerPixel = 0, m_pixelRatio = 0, m_convergenceDeg = 0;
    PlanePoint m_centre;
};

/// The longest of 1, 2, 5 times a power of ten that is no longer than `most`.
double roundLength(double most);

} // namespace fw
