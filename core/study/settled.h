// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "study/study.h"

namespace fw {

/// Loads that agree with each other: every cell's use depends on its neighbours' interference, and theirs on
/// it. A standard interference function has at most one fixed point (Yates 1995); it is sought from the
/// measured loads, never from an earlier solution, in a bounded number of rounds. Small cells over their cap
/// lose bias first, then power, in whole decibels. Cancel answers within 0.2 s.
Result<Ledger> settle(const Study& study, const Job& job = {}, unsigned threads = 0);

} // namespace fw
