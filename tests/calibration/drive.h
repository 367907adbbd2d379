// SPDX-License-Identifier: GPL-3.0-or-later
// A drive test whose truth is known: levels that a study predicts, with an offset a cell, scatter and gross
// outliers put on.
#pragma once

#include "base/random.h"
#include "calibration/calibration.h"
#include "support/random_plan.h"

#include "catch.h"

#include <map>
#include <memory>

namespace fwtest {

using namespace fw;

inline std::shared_ptr<const Study> studyOf(const Plan& plan) {
    auto terrain = std::make_shared<Terrain>();
    terrain->flatM = plan.settings->terrain.flatM;
    auto s = Study::advance(nullptr, plan, terrain, StudyOptions{1});
    if (!s.ok()) FAIL(s.error().sentence());
    return *s;
}

inline Plan drivePlan(std::uint64_t seed) {
    Random random(seed);
    fw::testing::RandomPlanSpec spec;
    spec.buildings = 200;
    spec.mounts = 0;
    spec.trees = 0;
    return fw::testing::randomPlan(random, spec);
}

struct Drive {
    double sigmaDb = 6, outliers = 0.05;
    bool byName = false;
    std::map<ItemId, double> offsets; ///< truth, by cell
    std::vector<MeasuredPoint> points;
};

/// `count` places in the work area's open ground; at each the strongest cell of every layer is measured.
/// Outliers are 30 dB too weak: one-sided, as blunders of a log are (a phone laid down, a tunnel).
inline Drive driveThrough(const Study& truth, Random& random, int count, Drive drive = {}) {
    const Plan& plan = truth.plan();
    for (const Cell& c : plan.cells)
        drive.offsets.try_emplace(c.id, std::round(random.between(-9, 9) * 10) / 10);
    const Box area = plan.settings->workArea;
    while (static_cast<int>(drive.points.size()) < count) {
        const PlanePoint at{random.between(area.x0, area.x1), random.between(area.y0, area.y1)};
        for (std::size_t layer = 0; layer < truth.layers().size(); ++layer) {
            const auto served = truth.macroAt(static_cast<int>(layer), at);
            if (!served) continue;
            const Cell& c = *plan.cells.find(served->cell);
            MeasuredPoint p;
            p.at = at;
            p.rsrpDbm = served->levelDbm + drive.offsets.at(c.id) + drive.sigmaDb * random.normal();
            if (random.chance(drive.outliers)) p.rsrpDbm -= 30;
            if (drive.byName)
                p.cell = c.name;
            else
                p.pci = c.pci, p.channel = c.carrier.channel;
            drive.points.push_back(p);
        }
    }
    return drive;
}

} // namespace fwtest
