// SPDX-License-Identifier: GPL-3.0-or-later
// A set of mounts and azimuths: most round-0 relief for a budget, or every target reached at least cost.
#pragma once

#include "base/job.h"
#include "siting/choice_problem.h"

#include <functional>
#include <limits>
#include <optional>

namespace fw {

enum class ChoiceGoal : std::uint8_t {
    mostRelief,   ///< for a budget
    reachTargets, ///< at least cost; relief beyond a target counts for nothing
};

struct ChoiceOption {
    std::uint32_t mount = 0;
    std::uint16_t step = 0;
    auto operator<=>(const ChoiceOption&) const = default;
};

/// A point of the curve: the best found and the best proven so far. The bound of a relief lies above, that of
/// a cost below.
struct ChoicePoint {
    int iteration = 0;        ///< of the search
    std::int64_t value = 0;   ///< relief, or cost
    std::int64_t missing = 0; ///< relief still missing from the targets; 0 when relief alone is sought
    std::optional<std::int64_t> bound;
    bool operator==(const ChoicePoint&) const = default;
};

struct ChooseOptions {
    ChoiceGoal goal = ChoiceGoal::mostRelief;
    std::int64_t budget = std::numeric_limits<std::int64_t>::max(); ///< with mostRelief
    std::uint64_t seed = 1;
    int iterations = 240;                                 ///< of the local search, twice as many
                                                          ///< where few mounts are left in doubt; fixed,
                                                          ///< never by the clock
    int boundSteps = 360;                                 ///< of the bound, likewise
    unsigned threads = 0;                                 ///< 0: one per core; two are of use
    std::function<void(const ChoicePoint&)> onPoint = {}; ///< the live curve; on the caller's thread
    bool keepStopped = false;                             ///< stopped: the best so far, not Error cancelled
};

struct ChosenOption {
    ChoiceOption option;
    std::int64_t marginal = 0; ///< relief that would be lost without it: why it is in
    std::int64_t alone = 0;    ///< relief if it were the only one
    std::int64_t cost = 0;     ///< that would be saved without it
    bool operator==(const ChosenOption&) const = default;
};

/// What the bound rests on, so that anybody can compute it again. With prices l over places and n over
/// targets (1 everywhere for relief):
///   relief <= sum(worth - l) + m budget + sum over mounts of max(0, best options' l - m cost)
///   cost   >= sum over targets of n (need - sum(worth - l)) + sum over mounts of min(0, cost - best n l)
/// where groups count their best within the limit and must-haves count even where that is unfavourable.
/// Conflicts are left out, which only loosens it.
struct BoundPrices {
    std::vector<std::int64_t> place; ///< 0..worth
    std::vector<double> target;
    double money = 0;
    bool operator==(const BoundPrices&) const = default;
};

struct Choice {
    ChoiceGoal goal = ChoiceGoal::mostRelief;
    std::vector<ChosenOption> chosen; ///< ascending by mount and step
    std::int64_t relief = 0, cost = 0;
    std::vector<std::int64_t> reliefOf; ///< by target
    std::vector<bool> reached;          ///< by target: its need is met
    bool allReached = true;             ///< true without targets in need
    /// Nothing relieves more, or costs less, by the round-0 objective. Absent: nothing was proven.
    std::optional<std::int64_t> bound;
    std::optional<double> gap; ///< share of the bound; absent without one, or where a target is missed
    BoundPrices prices;
    /// The option that would relieve most on top, money aside: allowed, and in no conflict with those chosen.
    std::optional<ChosenOption> leftOut;
    std::vector<ChoicePoint> curve;
    std::uint64_t seed = 0;
    int iterations = 0;
    bool stopped = false; ///< before all iterations were done; the bound holds nevertheless
    std::string says;     ///< one sentence on how it came out
    bool operator==(const Choice&) const = default;
};

/// Greedy with gains kept up to date, exchange moves, iterated local search; beside it a Lagrangian bound.
/// The same problem and seed give the same result for any number of threads. Refused by a sentence: a problem
/// that holds nothing to choose, must-haves that cannot stand together or cost more than the budget. Targets
/// that stay out of reach are no error: the result comes as near as it can and says so. Cancelled: Error
/// cancelled, unless what was found is to be kept.
Result<Choice> choose(const ChoiceProblem& problem, const ChooseOptions& options = {}, const Job& job = {});

} // namespace fw
