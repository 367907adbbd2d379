// SPDX-License-Identifier: GPL-3.0-or-later
// A small plan for tests of the window: one full macro sector, houses, and small cells on poles before it.
#pragma once

#include "document/workspace.h"
#include "gui_app.h"
#include "study/hand_plan.h"

#include <QTest>

namespace fwtest {

struct WindowPlan {
    fw::LoadedPlan loaded;
    fw::ItemId cell, small, otherSmall;
};

/// A macro 180 m west of the middle looking east, full; eight houses; a small cell at the middle that looks
/// east (away from it) and another 90 m south-east of it that looks north-east. UTM zone 27N, flat at 12 m.
inline WindowPlan windowPlan() {
    using namespace fw::testing;
    HandPlan hand;
    WindowPlan out;
    out.cell = hand.macro(place(-180, 0), 90, 0.85, 2);
    for (int k = 0; k < 8; ++k) hand.building(place(60 + 34.0 * (k % 4), k < 4 ? 46 : -46), 18, 3);
    out.small = hand.small(place(0, 0), 90);
    out.otherSmall = hand.small(place(64, -64), 45);
    out.loaded.plan = hand.done();
    auto terrain = std::make_shared<fw::Terrain>();
    terrain->flatM = 12;
    out.loaded.terrain = terrain;
    return out;
}

/// Everything that was to be computed is computed and settled.
inline bool allQuiet(fw::Workspace& space, int msecs = kPatienceMs) {
    return QTest::qWaitFor(
        [&] { return !space.live.stale() && !space.live.settling() && space.live.study(); }, msecs);
}

} // namespace fwtest
