// SPDX-License-Identifier: GPL-3.0-or-later
// Seeded plans and edits that are physically plausible: a small town on a block grid in UTM zone 27N, near
// 36.9 N 20.4 W. For tests only. The same seed gives the same plan on every machine.
#pragma once

#include "base/random.h"
#include "plan/edit.h"
#include "plan/plan.h"

#include <cmath>
#include <cstdint>

namespace fw::testing {

struct RandomPlanSpec {
    int buildings = 300; ///< 324 lots at most
    int sites = 3;       ///< three sectors of two carriers each
    int mounts = 8;      ///< one radio each, two on every fourth
    int trees = 40;
    double areaM = 1000; ///< side of the work area
    double macroReachM = 1500;
    PlanePoint southWest{553000, 4084000};
};

/// What an edit is about; `area` is a congestion area, `standing` a "stands, because".
enum class EditKind { macro, sector, cell, building, mount, radio, smallCell, weights, standing, tree, area };
inline constexpr int kEditKinds = 11;

/// Width `w` along x before it is turned, depth `h`; metres.
Polygon rectangle(PlanePoint centre, double w, double h, double turnDeg = 0);

/// A value to one decimal, as a person would enter it.
inline double oneDecimal(double v) { return std::round(v * 10) / 10; }

template <class T>
const T& pick(const Table<T>& table, Random& random) {
    auto it = table.begin();
    for (std::uint32_t n = random.below(static_cast<std::uint32_t>(table.size())); n > 0; --n) ++it;
    return *it;
}

/// The plan must have buildings.
ItemId pickBuilding(const Plan& plan, Random& random);

Building randomBuilding(ItemId id, PlanePoint centre, Random& random);
CellLoad randomLoad(Random& random);
/// LTE band 40 with TDD configuration 2 (3GPP TS 36.101 table 5.7.3-1, TS 36.211 table 4.2-2).
Carrier ownCarrier();

Plan randomPlan(Random& random, const RandomPlanSpec& spec = {});

/// Always one that apply() takes on this plan.
Edit randomEdit(const Plan& plan, Random& random, EditKind kind);

} // namespace fw::testing
