// SPDX-License-Identifier: GPL-3.0-or-later
// Root sequences of random access for the cells of one carrier, apart from any study: each cell takes some
// consecutive ones, and cells near each other share none.
#pragma once

#include "base/job.h"
#include "geo/point.h"

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

namespace fw {

struct RootVertex {
    PlanePoint at;
    std::int32_t first = -1; ///< as the plan has it; -1: not known
    int roots = 1;           ///< consecutive logical ones, 1..64; behind the last comes 0
    bool free = false;       ///< may be given others
};

struct RootProblem {
    std::vector<RootVertex> vertices;
    std::vector<std::pair<std::size_t, std::size_t>> apart; ///< share none, however far they are; once each
    double reuseM = 0;                                      ///< nearer than this none are shared either
    std::vector<std::int32_t> allowed;                      ///< ascending, for free vertices
    int count = 838;                                        ///< logical ones there are: 838, or 138 short
};

/// Whether so many consecutive ones from a first on are all allowed (ascending) and below `count`.
bool rootsWithin(const std::vector<std::int32_t>& allowed, std::int32_t first, int roots, int count);

/// First root sequences by vertex; -1 where it is not known, or where `allowed` has no run that is long
/// enough. As few pairs as can be found share some that must not, and what is shared is shared far apart;
/// what the plan has is kept where nothing is better. Deterministic.
std::vector<std::int32_t> planRoots(const RootProblem& problem, const Job& job = {});

} // namespace fw
