// SPDX-License-Identifier: GPL-3.0-or-later
#include "review/review.h"

#include "base/sorted.h"
#include "review/change.h"
#include "review/remedy.h"
#include "review/standing.h"

#include <algorithm>
#include <tuple>

namespace fw {

namespace {

std::size_t indexOf(const std::string& rule) {
    const auto& table = rules();
    const auto it = std::find_if(table.begin(), table.end(), [&](const Rule& r) { return r.id == rule; });
    return static_cast<std::size_t>(it - table.begin());
}

// Which tuples are wanted: all, or those about one item, what hangs on it and what it hangs on.
class Filter {
public:
    Filter(const Study& study, ItemId only) : m_all(!only) {
        if (m_all) return;
        m_ids.push_back(only);
        for (const SmallCellPart& s : study.smallCells()) {
            if (s.id == only) m_ids.insert(m_ids.end(), {s.radio, s.mount});
            if (s.radio == only) m_ids.insert(m_ids.end(), {s.id, s.mount});
            if (s.mount == only) m_ids.insert(m_ids.end(), {s.id, s.radio});
        }
        sortUnique(m_ids);
    }
    [[nodiscard]] bool wants(const std::vector<ItemId>& subjects) const {
        return m_all ||
               std::any_of(subjects.begin(), subjects.end(), [&](ItemId id) { return isAmong(m_ids, id); });
    }

private:
    bool m_all;
    std::vector<ItemId> m_ids;
};

void checkInto(const RuleView& view, const Rule& rule, const Subjects& tuple, std::vector<Finding>& out) {
    auto f = rule.check(view, tuple);
    if (!f) return;
    f->rule = rule.id;
    f->subjects = tuple;
    out.push_back(std::move(*f));
}

bool allThere(const Plan& plan, const std::vector<ItemId>& ids) {
    return std::all_of(ids.begin(), ids.end(), [&](ItemId id) { return plan.has(id); });
}

// A finding with the place of its rule in the table.
struct Placed {
    std::size_t rule = 0;
    Finding finding;
};

bool earlier(const Placed& a, const Placed& b) {
    return std::tie(b.finding.severity, a.rule, a.finding.subjects) <
           std::tie(a.finding.severity, b.rule, b.finding.subjects);
}

std::vector<Placed> placed(std::vector<Finding> findings) {
    std::vector<Placed> out;
    out.reserve(findings.size());
    for (Finding& f : findings) out.push_back({indexOf(f.rule), std::move(f)});
    return out;
}

// `kept` in order, `fresh` in any.
std::vector<Finding> inOrder(std::vector<Placed> kept, std::vector<Placed> fresh) {
    std::sort(fresh.begin(), fresh.end(), earlier);
    std::vector<Finding> out;
    out.reserve(kept.size() + fresh.size());
    auto k = kept.begin();
    for (Placed& f : fresh) {
        for (; k != kept.end() && earlier(*k, f); ++k) out.push_back(std::move(k->finding));
        out.push_back(std::move(f.finding));
    }
    for (; k != kept.end(); ++k) out.push_back(std::move(k->finding));
    return out;
}

std::vector<ItemId> blockedBy(const std::vector<Finding>& findings, const Neighbours& near,
                              const Study& study) {
    std::vector<ItemId> out;
    const auto addAll = [&](const std::vector<ItemId>& ids) {
        out.insert(out.end(), ids.begin(), ids.end());
    };
    for (const Finding& f : findings) {
        if (f.severity != Severity::block || !isOpen(f) || rules()[indexOf(f.rule)].ofIdentity) continue;
        for (const ItemId id : f.subjects) {
            if (const SmallCellPart* s = study.smallCell(id)) {
                addAll({s->id, s->radio, s->mount});
            } else if (isAmong(near.radios(), id)) {
                const Radio* r = study.plan().radios.find(id);
                addAll({id, r ? r->mount : id});
                addAll(near.smallsOfRadio(id));
            } else if (isAmong(near.mounts(), id)) {
                out.push_back(id);
                addAll(near.radiosOfMount(id));
                addAll(near.smallsOfMount(id));
            }
        }
    }
    sortUnique(out);
    return out;
}

// The part that is always made anew: standings, what is blocked, remedies. `findings` are in order.
Review finish(const RuleView& view, std::vector<Finding> findings, const Filter& filter,
              const ReviewOptions& options, const Job& job) {
    Review out;
    out.findings = std::move(findings);
    const Plan& plan = view.plan();
    static const std::vector<Quantity> kNone;
    out.staleWaivers = applyWaivers(
        plan, out.findings, [](const std::string& id) -> const auto& {
            const std::size_t i = indexOf(id);
            return i < rules().size() ? rules()[i].slack : kNone;
        });
    std::erase_if(out.staleWaivers, [&](ItemId id) {
        const Waiver* w = plan.waivers.find(id);
        return !w || !filter.wants(w->subjects);
    });
    out.blockedItems = blockedBy(out.findings, view.near(), view.study());
    if (!options.remedies) return out;
    for (std::size_t i = 0; i < out.findings.size() && !job.stopped(); ++i) {
        Finding& f = out.findings[i];
        job.report(0.5 + 0.5 * static_cast<double>(i) / static_cast<double>(out.findings.size()), "remedies");
        if (isOpen(f)) f.remedy = remedyFor(view, rules()[indexOf(f.rule)], f);
    }
    return out;
}

void lookAtIdentities(RuleView& view, const ReviewOptions& options, const Job& job) {
    if (!options.identities) return;
    const Job quiet{job.stop, {}};
    view.setIdentities(std::make_shared<const IdentityNet>(
        reviewNetOf(view.study(), view.limits(), options.threads, quiet)));
}

Review runAll(RuleView view, const Filter& filter, const ReviewOptions& options, const Job& job) {
    lookAtIdentities(view, options, job);
    std::vector<Finding> findings;
    const double share = options.remedies ? 0.5 : 1.0;
    for (std::size_t i = 0; i < rules().size(); ++i) {
        const Rule& rule = rules()[i];
        if (rule.ofIdentity && !options.identities) continue;
        job.report(share * static_cast<double>(i) / static_cast<double>(rules().size()), rule.title);
        for (const Subjects& t : rule.all(view)) {
            if (job.stopped())
                return finish(view, inOrder({}, placed(std::move(findings))), filter, {false, options.only},
                              job);
            if (filter.wants(t)) checkInto(view, rule, t, findings);
        }
    }
    Review out = finish(view, inOrder({}, placed(std::move(findings))), filter, options, job);
    job.report(1, "review");
    return out;
}

} // namespace

int Review::count(Severity s, Standing st) const {
    return static_cast<int>(std::count_if(findings.begin(), findings.end(), [&](const Finding& f) {
        return f.severity == s && f.standing == st;
    }));
}

bool Review::blocked(ItemId subject) const { return isAmong(blockedItems, subject); }

Review reviewAll(const Study& study, const ReviewOptions& options, const Job& job) {
    const Limits limits(study.plan().settings->profile);
    const Neighbours near(study);
    return runAll(RuleView(study, limits, near), Filter(study, options.only), options, job);
}

Review reviewAfter(const Study& study, Review previous, const Study& previousStudy,
                   const ReviewOptions& options, const Job& job) {
    const Limits limits(study.plan().settings->profile);
    const Neighbours near(study);
    RuleView view(study, limits, near);
    const Filter filter(study, options.only);
    const auto change = changeBetween(previousStudy, study, near);
    if (!change) return runAll(view, filter, options, job);

    lookAtIdentities(view, options, job);
    std::vector<Finding> findings;
    std::vector<std::vector<Subjects>> again; // by rule, sorted
    for (const Rule& rule : rules()) {
        std::vector<Subjects> tuples;
        if (!rule.ofIdentity)
            tuples = rule.touched(view, *change);
        else if (options.identities)
            tuples = rule.all(view);
        std::sort(tuples.begin(), tuples.end());
        for (const Subjects& t : tuples)
            if (filter.wants(t)) checkInto(view, rule, t, findings);
        again.push_back(std::move(tuples));
        if (job.stopped()) break;
    }
    again.resize(rules().size());
    const auto touches = [&](ItemId id) { return isAmong(change->items, id); };
    std::vector<Placed> kept;
    kept.reserve(previous.findings.size());
    for (Finding& f : previous.findings) {
        const std::size_t rule = indexOf(f.rule);
        const bool whole = rules()[rule].ofIdentity;
        if (whole ? options.identities || !allThere(study.plan(), f.subjects)
                  : std::any_of(f.subjects.begin(), f.subjects.end(), touches))
            continue;
        if (std::binary_search(again[rule].begin(), again[rule].end(), f.subjects) ||
            !filter.wants(f.subjects))
            continue;
        kept.push_back({rule, std::move(f)});
        kept.back().finding.remedy.reset();
    }
    return finish(view, inOrder(std::move(kept), placed(std::move(findings))), filter, options, job);
}

} // namespace fw
