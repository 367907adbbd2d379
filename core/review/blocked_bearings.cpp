// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/blocked_bearings.h"

#include "review/rule.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

struct Asked {
    const Rule* rule;
    Subjects tuple;
};

// Tuples of rules that can block and that hold the radio or one of its cells; cheap ones first.
std::vector<Asked> askedOf(const RuleView& view, const Radio& radio) {
    ReviewChange turn;
    turn.smalls = view.near().smallsOfRadio(radio.id);
    turn.radios = {radio.id};
    turn.mounts = {radio.mount};
    std::vector<Asked> out;
    for (const Rule& r : rules()) {
        if (!r.turnable || !r.blocks) continue;
        for (Subjects& t : r.touched(view, turn)) {
            const bool holds = std::any_of(t.begin(), t.end(), [&](ItemId id) {
                return id == radio.id || std::binary_search(turn.smalls.begin(), turn.smalls.end(), id);
            });
            if (holds) out.push_back({&r, std::move(t)});
        }
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const Asked& a, const Asked& b) { return a.rule->heavy < b.rule->heavy; });
    return out;
}

} // namespace

const std::optional<Finding>& BlockedBearings::at(TrueAzimuth azimuth) const {
    const auto k = static_cast<int>(std::lround(wrap360(azimuth.deg) / kBinDeg)) % kBins;
    return why[static_cast<std::size_t>(k)];
}

BlockedBearings blockedBearings(const Study& study, ItemId radio, const Job& job) {
    BlockedBearings out;
    const Radio* as = study.plan().radios.find(radio);
    if (!as) return out;
    const Limits limits(study.plan().settings->profile);
    const Neighbours near(study);
    const RuleView view(study, limits, near);
    const auto asked = askedOf(view, *as);
    for (int k = 0; k < BlockedBearings::kBins && !job.stopped(); ++k) {
        job.report(static_cast<double>(k) / BlockedBearings::kBins, "blocked bearings");
        Radio turned = *as;
        turned.azimuth = TrueAzimuth{k * BlockedBearings::kBinDeg};
        const RuleView there = view.with(turned);
        for (const Asked& a : asked) {
            auto f = a.rule->check(there, a.tuple);
            if (!f || f->severity != Severity::block) continue;
            f->rule = a.rule->id;
            f->subjects = a.tuple;
            out.why[static_cast<std::size_t>(k)] = std::move(f);
            break;
        }
    }
    return out;
}

} // namespace fw
