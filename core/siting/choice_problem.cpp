// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choice_problem.h"

#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>

namespace fw {
namespace {

Error bad(std::string text, const std::string& where = "choice") {
    return {ErrorCode::badInput, std::move(text), where};
}

bool rangeHolds(StepRange r, std::uint16_t steps) {
    return r.from < steps && r.count >= 1 && r.count <= steps;
}

// Adds up without running over; false when the sum is too large or a part negative.
bool addWithin(std::int64_t& sum, std::int64_t part) {
    if (part < 0 || part > kChoiceMost - sum) return false;
    sum += part;
    return true;
}

Status checkPlaces(const ChoiceProblem& p) {
    if (p.target.size() != p.worth.size()) return bad(CORE_TEXT("every place needs a target"));
    std::int64_t sum = 0;
    for (std::size_t i = 0; i < p.worth.size(); ++i) {
        if (!addWithin(sum, p.worth[i]))
            return bad(fmt::format("the worth of place {} is negative, or all together is too much", i));
        if (p.target[i] >= p.targets.size()) return bad(fmt::format("place {} names no target", i));
    }
    for (const auto& t : p.targets)
        if (t.need < 0 || t.need > kChoiceMost)
            return bad(CORE_TEXT("its need is negative or too large"), t.name);
    return Done{};
}

Status checkRuns(const ChoiceProblem& p, const ChoiceProblem::Mount& m) {
    for (std::size_t k = 0; k < m.runs.size(); ++k) {
        if (m.runs[k].place >= p.worth.size() || !rangeHolds(m.runs[k].at, p.steps))
            return bad(fmt::format("run {} names a place or a step that is not there", k), m.name);
        if (k > 0 && m.runs[k].place < m.runs[k - 1].place)
            return bad(CORE_TEXT("its runs are not in the order of places"), m.name);
    }
    return Done{};
}

Status checkMount(const ChoiceProblem& p, const ChoiceProblem::Mount& m, std::int64_t& cost) {
    if (m.radios < 0 || m.apart < 1 || m.apart > p.steps)
        return bad(CORE_TEXT("its number of radios, or what parts them, makes no sense"), m.name);
    if (m.group >= static_cast<int>(p.groupLimits.size())) return bad(CORE_TEXT("names no group"), m.name);
    if (!m.allowed.empty() && m.allowed.size() != p.steps)
        return bad(CORE_TEXT("says of another number of azimuths which are allowed"), m.name);
    const bool held = addWithin(cost, m.siteCost) && m.radioCost <= kChoiceMost / p.steps &&
                      addWithin(cost, m.radioCost * std::min<std::int64_t>(m.radios, p.steps));
    if (!held) return bad(CORE_TEXT("its cost is negative, or all together is too much"), m.name);
    return checkRuns(p, m);
}

} // namespace

Status checkChoice(const ChoiceProblem& p) {
    if (p.steps == 0 || p.steps > 3600) return bad(CORE_TEXT("1 to 3600 azimuths a mount can be searched"));
    if (auto s = checkPlaces(p); !s) return s;
    std::int64_t cost = 0;
    for (const auto& m : p.mounts)
        if (auto s = checkMount(p, m, cost); !s) return s;
    for (const auto& c : p.conflicts)
        if (c.a >= p.mounts.size() || c.b >= p.mounts.size() || c.a == c.b || !rangeHolds(c.atA, p.steps) ||
            !rangeHolds(c.atB, p.steps))
            return bad(CORE_TEXT("a conflict names a mount or a step that is not there"));
    return Done{};
}

} // namespace fw
