// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "study/study.h"

namespace fw {

/// Loads that agree with each other: every cell's use depends on its neighbours' interference, and theirs on
/// it. A standard interference function has at most one fixed point (Yates 1995); it is sought from the
/// measured loads, never from an earlier solution, in at most 40 rounds for each step. Small cells over their
/// cap lose bias first (down to -6 dB), then power (down to 10 dB less), in whole decibels, until they are
/// under it or have nothing left to lose: at most 22 steps for each small cell, where bias starts within +6
/// dB. Cancel answers within 0.2 s.
Result<Ledger> settle(const Study& study, const Job& job = {}, unsigned threads = 0);

} // namespace fw
