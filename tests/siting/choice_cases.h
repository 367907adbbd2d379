// SPDX-License-Identifier: GPL-3.0-or-later
// Made-up problems of choice, and plain code that judges answers: it shares nothing with core/siting/choose.
#pragma once

#include "base/random.h"
#include "siting/choose.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <set>

namespace fwtest {

struct CaseSpec {
    int mounts = 8, places = 60, targets = 2;
    std::uint16_t steps = 4;
    double sideM = 600, reachM = 180;
    double beam = 0.3;          ///< of the circle
    bool money = false;         ///< costs that differ; else each radio costs 1
    int radios = 1;             ///< on a mount, at most
    double conflicts = 0;       ///< chance that a pair of mounts has one
    int groups = 0, limit = 2;  ///< streets
    double musts = 0, nots = 0; ///< chance of a mount
    double need = 0.4;          ///< of what could be relieved
    std::uint64_t seed = 1;
};

inline fw::StepRange someRange(fw::Random& r, std::uint16_t steps, std::uint32_t count) {
    return {static_cast<std::uint16_t>(r.below(steps)),
            static_cast<std::uint16_t>(std::clamp<std::uint32_t>(count, 1, steps))};
}

/// Mounts strewn over a square; each serves the places near it from an arc of azimuths round the bearing.
inline fw::ChoiceProblem makeCase(const CaseSpec& spec) {
    fw::Random r(spec.seed);
    fw::ChoiceProblem p;
    p.steps = spec.steps;
    for (int t = 0; t < spec.targets; ++t) p.targets.push_back({fmt::format("T{}", t), 0});
    struct At {
        double x, y;
    };
    std::vector<At> at;
    for (int i = 0; i < spec.places; ++i) at.push_back({r.between(0, spec.sideM), r.between(0, spec.sideM)});
    std::sort(at.begin(), at.end(), [](const At& a, const At& b) { // tile by tile, as real ones come
        const auto tile = [](double v) { return static_cast<int>(v / 100); };
        return tile(a.x) != tile(b.x) ? a.x < b.x : tile(a.y) != tile(b.y) ? a.y < b.y : a.x < b.x;
    });
    for (int i = 0; i < spec.places; ++i) {
        p.worth.push_back(1 + r.below(99));
        p.target.push_back(r.below(static_cast<std::uint32_t>(spec.targets)));
    }
    for (int g = 0; g < spec.groups; ++g) p.groupLimits.push_back(spec.limit);
    for (int m = 0; m < spec.mounts; ++m) {
        fw::ChoiceProblem::Mount mount;
        mount.name = fmt::format("M{}", m);
        if (spec.money) {
            mount.siteCost = 20 + r.below(80);
            mount.radioCost = 10 + r.below(30);
        }
        mount.radios = spec.radios;
        mount.apart = static_cast<std::uint16_t>(std::max(1, spec.steps / 4));
        if (spec.groups > 0) mount.group = static_cast<int>(r.below(static_cast<std::uint32_t>(spec.groups)));
        const At here{r.between(0, spec.sideM), r.between(0, spec.sideM)};
        const double reach = spec.reachM * r.between(0.6, 1.2);
        const auto wide = static_cast<std::uint32_t>(std::lround(spec.beam * spec.steps));
        for (int i = 0; i < spec.places; ++i) {
            const double dx = at[static_cast<std::size_t>(i)].x - here.x,
                         dy = at[static_cast<std::size_t>(i)].y - here.y;
            const double d = std::hypot(dx, dy);
            if (d > reach) continue;
            const double turn = std::atan2(dx, dy) / 6.283185307179586 + 1;
            // Far places take a boresight nearer to them.
            const auto half = static_cast<std::uint32_t>(std::lround(0.5 * wide * (1.5 - d / reach)));
            const auto step = static_cast<std::uint32_t>(std::lround(turn * spec.steps));
            const auto count = std::min<std::uint32_t>(2 * half + 1, spec.steps);
            mount.runs.push_back(
                {static_cast<std::uint32_t>(i),
                 {static_cast<std::uint16_t>((step + spec.steps - half % spec.steps) % spec.steps),
                  static_cast<std::uint16_t>(count)}});
        }
        if (r.chance(spec.musts)) mount.must = true;
        if (!mount.must && r.chance(spec.nots)) {
            mount.allowed.assign(spec.steps, 1);
            for (auto& a : mount.allowed) a = r.chance(0.5) ? 1 : 0;
        }
        p.mounts.push_back(std::move(mount));
    }
    for (std::uint32_t a = 0; a < p.mounts.size(); ++a)
        for (std::uint32_t b = a + 1; b < p.mounts.size(); ++b)
            if (r.chance(spec.conflicts))
                p.conflicts.push_back({a, b, someRange(r, spec.steps, 1 + r.below(spec.steps)),
                                       someRange(r, spec.steps, 1 + r.below(spec.steps))});
    std::vector<std::uint8_t> served(p.worth.size());
    for (const auto& m : p.mounts)
        for (const auto& run : m.runs) served[run.place] = 1;
    std::vector<double> all(p.targets.size());
    for (std::size_t i = 0; i < served.size(); ++i)
        if (served[i]) all[p.target[i]] += static_cast<double>(p.worth[i]);
    for (std::size_t t = 0; t < all.size(); ++t)
        p.targets[t].need = static_cast<std::int64_t>(spec.need * all[t]);
    return p;
}

// ---- judges, written from the definition

inline bool servesPlain(const fw::ChoiceProblem& p, fw::ChoiceOption o, std::uint32_t place) {
    for (const auto& run : p.mounts[o.mount].runs)
        if (run.place == place)
            for (int k = 0; k < run.at.count; ++k)
                if ((run.at.from + k) % p.steps == o.step) return true;
    return false;
}

inline bool holdsStep(fw::StepRange r, int step, int steps) {
    for (int k = 0; k < r.count; ++k)
        if ((r.from + k) % steps == step) return true;
    return false;
}

struct Judged {
    std::vector<std::int64_t> reliefOf;
    std::int64_t relief = 0, cost = 0, missing = 0;
};
inline Judged judge(const fw::ChoiceProblem& p, const std::vector<fw::ChoiceOption>& set) {
    Judged j;
    j.reliefOf.resize(p.targets.size());
    for (std::uint32_t i = 0; i < p.worth.size(); ++i)
        if (std::any_of(set.begin(), set.end(), [&](auto o) { return servesPlain(p, o, i); })) {
            j.relief += p.worth[i];
            j.reliefOf[p.target[i]] += p.worth[i];
        }
    std::set<std::uint32_t> sites;
    for (const auto o : set) {
        j.cost += p.mounts[o.mount].radioCost;
        if (sites.insert(o.mount).second) j.cost += p.mounts[o.mount].siteCost;
    }
    for (std::size_t t = 0; t < p.targets.size(); ++t)
        j.missing += std::max<std::int64_t>(0, p.targets[t].need - j.reliefOf[t]);
    return j;
}

/// The first rule that a set breaks, must-haves apart; empty when all hold.
inline std::string broken(const fw::ChoiceProblem& p, const std::vector<fw::ChoiceOption>& set) {
    std::vector<int> on(p.mounts.size()), in(p.groupLimits.size());
    for (const auto o : set) {
        const auto& m = p.mounts[o.mount];
        if (!m.allowed.empty() && !m.allowed[o.step]) return m.name + " looks where it must not";
        if (++on[o.mount] > m.radios) return m.name + " carries too many";
        if (m.group >= 0 &&
            ++in[static_cast<std::size_t>(m.group)] > p.groupLimits[static_cast<std::size_t>(m.group)])
            return fmt::format("group {} is over its limit", m.group);
        for (const auto other : set) {
            if (other == o) continue;
            const int d = std::abs(int{o.step} - int{other.step});
            if (other.mount == o.mount && std::min(d, p.steps - d) < m.apart) return m.name + " too close";
            for (const auto& c : p.conflicts)
                if (c.a == o.mount && c.b == other.mount && holdsStep(c.atA, o.step, p.steps) &&
                    holdsStep(c.atB, other.step, p.steps))
                    return m.name + " conflicts with " + p.mounts[other.mount].name;
        }
    }
    return {};
}

inline std::string mustsMissing(const fw::ChoiceProblem& p, const std::vector<fw::ChoiceOption>& set) {
    for (std::uint32_t m = 0; m < p.mounts.size(); ++m)
        if (p.mounts[m].must && std::none_of(set.begin(), set.end(), [&](auto o) { return o.mount == m; }))
            return p.mounts[m].name + " is missing";
    return {};
}

/// Best of all sets there are: the most relief within the budget, or the least cost that reaches every target
/// (empty: none does).
inline std::optional<std::int64_t> bestOfAll(const fw::ChoiceProblem& p, const fw::ChooseOptions& o) {
    std::vector<fw::ChoiceOption> set;
    std::optional<std::int64_t> best;
    const bool relief = o.goal == fw::ChoiceGoal::mostRelief;
    const auto options = static_cast<std::uint32_t>(p.mounts.size() * p.steps);
    const auto go = [&](auto& self, std::uint32_t from) -> void {
        const Judged j = judge(p, set);
        if (relief && j.cost > o.budget) return;
        if (!relief && best && j.cost >= *best) return; // nothing below can be cheaper
        if (mustsMissing(p, set).empty()) {
            if (relief && (!best || j.relief > *best)) best = j.relief;
            if (!relief && j.missing == 0 && (!best || j.cost < *best)) best = j.cost;
        }
        for (std::uint32_t k = from; k < options; ++k) {
            set.push_back({k / p.steps, static_cast<std::uint16_t>(k % p.steps)});
            if (broken(p, set).empty()) self(self, k + 1);
            set.pop_back();
        }
    };
    go(go, 0);
    return best;
}

inline std::vector<fw::ChoiceOption> optionsOf(const fw::Choice& c) {
    std::vector<fw::ChoiceOption> out;
    for (const auto& o : c.chosen) out.push_back(o.option);
    return out;
}

} // namespace fwtest
