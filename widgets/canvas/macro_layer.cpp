// SPDX-License-Identifier: GPL-3.0-or-later
// Macro sites: a mast, and for each sector an open arc as wide as its beam.
#include "canvas/live_frame.h"

namespace fw {

void paintMacros(LiveFrame& f) {
    if (!f.on(MapLayer::macros)) return;
    for (const MacroSign& m : f.items.macros())
        if (f.seen.contains(m.at)) f.signs.macro(f.p, f.at(m.at), m, f.scale);
}

} // namespace fw
