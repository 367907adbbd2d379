// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/turned.h"

#include "review/standing.h"

#include <algorithm>

namespace fw {

TurnedRadio::TurnedRadio(const Study& study, ItemId radio)
    : m_study(study), m_limits(study.plan().settings->profile), m_near(study) {
    const Radio* as = study.plan().radios.find(radio);
    if (!as) return;
    const RuleView view(study, m_limits, m_near);
    ReviewChange turn;
    turn.smalls = m_near.smallsOfRadio(radio);
    turn.radios = {radio};
    turn.mounts = {as->mount};
    for (const Rule& r : rules()) {
        if (!r.turnable || !r.blocks) continue;
        for (Subjects& t : r.touched(view, turn)) {
            const bool holds = std::any_of(t.begin(), t.end(), [&](ItemId id) {
                return id == radio || std::binary_search(turn.smalls.begin(), turn.smalls.end(), id);
            });
            if (holds) m_asked.push_back({&r, std::move(t)});
        }
    }
    std::stable_sort(m_asked.begin(), m_asked.end(),
                     [](const Asked& a, const Asked& b) { return a.rule->heavy < b.rule->heavy; });
}

std::vector<Finding> TurnedRadio::blocking(const Radio& turned, std::shared_ptr<const Study> overlay,
                                           bool first) const {
    const RuleView view(m_study, m_limits, m_near);
    const RuleView there = view.with(turned, std::move(overlay));
    std::vector<Finding> out;
    for (const Asked& a : m_asked) {
        auto f = a.rule->check(there, a.tuple);
        if (!f || f->severity != Severity::block) continue;
        f->rule = a.rule->id;
        f->subjects = a.tuple;
        std::vector<Finding> one{std::move(*f)};
        applyWaivers(
            m_study.plan(), one, [&](const std::string&) -> const auto& { return a.rule->slack; });
        out.push_back(std::move(one.front()));
        if (first) break;
    }
    return out;
}

} // namespace fw
