// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/live_frame.h"

#include <vector>

namespace fw {

/// Names beside their signs, none over another. Placed anew when the resolution or the plan changes or the
/// view has left the ground they were placed for; while panning they keep their places.
class NameLayer {
public:
    void paint(LiveFrame& f);
    void forget() { m_version = 0; }

private:
    struct Placed {
        QString text;
        NameStyle style;
        PlanePoint at;
        QPointF offset; ///< from `at` on the screen to the picture's corner
        ItemId item;
    };
    void place(LiveFrame& f);

    std::vector<Placed> m_placed;
    Box m_ground;
    double m_metresPerPixel = 0;
    unsigned m_version = 0;
    std::vector<ItemId> m_selected;
    bool m_macros = false, m_mounts = false, m_areas = false, m_owners = false;
};

} // namespace fw
