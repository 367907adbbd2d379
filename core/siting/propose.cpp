// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/propose.h"

#include "base/text.h"
#include "review/turned.h"
#include "siting/trials.h"
#include "study/fit.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

namespace fw {

namespace {

constexpr std::array kKinds = {ProposalKind::turn,   ProposalKind::tilt,  ProposalKind::turnBoth,
                               ProposalKind::height, ProposalKind::shift, ProposalKind::otherMount};
constexpr int kEnough = 5;               // of one kind that clear: the best of them is shown
constexpr double kTurnsApartDeg = 10;    // between turns that are compared by fit
constexpr std::size_t kMostTrials = 150; // of one kind that are reviewed in full

using Key = std::pair<std::string, std::vector<ItemId>>;
Key keyOf(const Finding& f) { return {f.rule, f.subjects}; }

int openWarnings(const Review& r) {
    return r.count(Severity::warn, Standing::open) + r.count(Severity::warn, Standing::nowWorse);
}

Edit editOf(const Trial& t) {
    Edit e{t.text, {}};
    if (t.mount) e.changes.emplace_back(Put{*t.mount});
    for (const Radio& r : t.radios) e.changes.emplace_back(Put{r});
    return e;
}

class Proposing {
public:
    Proposing(const std::shared_ptr<const Study>& study, const Review& review, const Finding& finding,
              const ProposeOptions& options, const Job& job)
        : m_study(study), m_review(review), m_finding(finding), m_job(job),
          m_trials(*study, finding, options), m_limits(study->plan().settings->profile), m_near(*study),
          m_view(*study, m_limits, m_near) {
        for (const Rule& r : rules())
            if (r.id == finding.rule) m_rule = &r;
        for (const Finding& f : review.findings) {
            m_before.insert(keyOf(f));
            if (f.severity == Severity::block) m_blocks.insert(keyOf(f));
            if (f.standing == Standing::stands) m_stands.insert(keyOf(f));
        }
        m_fitBefore = lowestFit(*study);
    }

    Proposals run() {
        Proposals out;
        if (m_rule && m_rule->ofIdentity) {
            out.nothing =
                CORE_TEXT("No change of place or azimuth is looked for: other numbers clear it. Give "
                          "the small cells their identities anew.");
            return out;
        }
        for (std::size_t k = 0; k < kKinds.size() && !m_job.stopped(); ++k) {
            m_job.report(static_cast<double>(k) / kKinds.size(), wordFor(kKinds[k]));
            Proposals::Tried tried;
            tried.kind = kKinds[k];
            const auto trials = m_trials.of(kKinds[k], tried.why);
            tried.trials = static_cast<int>(trials.size());
            keepBest(kKinds[k] == ProposalKind::turn ? clearingTurns(trials) : clearing(trials), tried, out);
            out.tried.push_back(std::move(tried));
        }
        std::stable_sort(out.list.begin(), out.list.end(), [](const Proposal& a, const Proposal& b) {
            return a.fitKept != b.fitKept ? a.fitKept > b.fitKept : a.change < b.change;
        });
        if (out.list.empty()) out.nothing = nothingText(out.tried);
        return out;
    }

private:
    // The smallest of what clears, and the one with most fit.
    static void keepBest(const std::vector<Proposal>& found, Proposals::Tried& tried, Proposals& out) {
        tried.cleared = static_cast<int>(found.size());
        if (found.empty()) {
            if (tried.trials > 0) tried.why = CORE_TEXT("None of them clears it and blocks nothing else.");
            return;
        }
        out.list.push_back(found.front());
        const auto best =
            std::max_element(found.begin(), found.end(),
                             [](const Proposal& a, const Proposal& b) { return a.fitKept < b.fitKept; });
        if (best->fitKept > found.front().fitKept + 0.05) out.list.push_back(*best);
    }

    std::vector<Proposal> clearing(const std::vector<Trial>& trials) {
        std::vector<Proposal> out;
        std::size_t reviewed = 0;
        for (const Trial& t : trials) {
            if (m_job.stopped() || static_cast<int>(out.size()) >= kEnough || reviewed >= kMostTrials) break;
            if (!hopeful(t)) continue;
            ++reviewed;
            if (auto p = tried(t)) out.push_back(std::move(*p));
        }
        return out;
    }

    // The nearest turn that clears, then some of those that keep most fit.
    std::vector<Proposal> clearingTurns(const std::vector<Trial>& trials) {
        std::vector<Proposal> out;
        std::map<ItemId, TurnedRadio> turned;
        for (const Radio& r : m_trials.radios()) turned.try_emplace(r.id, *m_study, r.id);
        std::vector<std::pair<double, const Trial*>> byFit;
        std::size_t reviewed = 0;
        for (const Trial& t : trials) {
            if (m_job.stopped()) break;
            const Radio& r = t.radios.front();
            const bool wanted = out.empty() || std::fmod(r.azimuth.deg, kTurnsApartDeg) < 0.5;
            if (!wanted || !hopeful(t) || blocksNew(turned.at(r.id).blocking(r))) continue;
            if (out.empty()) {
                if (++reviewed > kMostTrials) break;
                if (auto p = tried(t)) out.push_back(std::move(*p));
            } else {
                Hypothesis what;
                what.radio = r;
                byFit.emplace_back(lowestFit(*m_study->overlay(what)), &t);
            }
        }
        std::stable_sort(byFit.begin(), byFit.end(),
                         [](const auto& a, const auto& b) { return a.first > b.first; });
        for (const auto& [fit, t] : byFit) {
            if (m_job.stopped() || static_cast<int>(out.size()) >= kEnough) break;
            if (auto p = tried(*t)) out.push_back(std::move(*p));
        }
        return out;
    }

    [[nodiscard]] bool blocksNew(const std::vector<Finding>& blocking) const {
        return std::any_of(blocking.begin(), blocking.end(),
                           [&](const Finding& f) { return !m_blocks.count(keyOf(f)) && isOpen(f); });
    }

    // Whether the rule itself may be content, where that is cheap to see.
    [[nodiscard]] bool hopeful(const Trial& t) const {
        if (!m_rule || m_rule->heavy || t.mount || t.radios.empty()) return true;
        return std::any_of(t.radios.begin(), t.radios.end(), [&](const Radio& r) {
            const Radio* as = m_study->plan().radios.find(r.id);
            if (!as || as->mount != r.mount) return true;
            const auto f = m_rule->check(m_view.with(r), m_finding.subjects);
            return !f || (f->severity == Severity::note && m_finding.severity != Severity::note);
        });
    }

    [[nodiscard]] std::shared_ptr<const Study> with(const Trial& t, const Edit& edit) const {
        Hypothesis what;
        if (t.mount && t.radios.empty()) {
            what.mount = t.mount;
            return m_study->overlay(what);
        }
        if (t.radios.size() == 1 && m_study->plan().radios.find(t.radios[0].id)->mount == t.radios[0].mount) {
            what.radio = t.radios[0];
            return m_study->overlay(what);
        }
        Plan plan = m_study->plan();
        if (!apply(plan, edit)) return nullptr;
        auto s = Study::advance(m_study, std::move(plan), m_study->terrain(), {}, {m_job.stop, {}});
        return s ? *s : nullptr;
    }

    // The trial as a proposal, where it holds over the whole plan.
    std::optional<Proposal> tried(const Trial& t) {
        Proposal p;
        p.kind = t.kind;
        p.text = t.text;
        p.consent = t.consent;
        p.change = t.change;
        p.edit = editOf(t);
        const auto after = with(t, p.edit);
        if (!after) return std::nullopt;
        ReviewOptions options;
        options.remedies = false;
        options.identities = false;
        const Review review = reviewAfter(*after, m_review, *m_study, options, {m_job.stop, {}});
        if (m_job.stopped() || !holds(t, review)) return std::nullopt;
        p.fitBefore = m_fitBefore;
        p.fitKept = lowestFit(*after);
        p.warnings = openWarnings(review) - openWarnings(m_review);
        for (const Radio& r : m_trials.radios()) {
            const Radio& now = *after->plan().radios.find(r.id);
            const MountPart* m = after->mount(now.mount);
            p.ghosts.push_back({now.id, m ? m->at : PlanePoint{}, now.azimuth, now.tiltDeg});
        }
        return p;
    }

    [[nodiscard]] bool concerns(const Trial& t, const Finding& f) const {
        return std::any_of(f.subjects.begin(), f.subjects.end(), [&](ItemId id) {
            if (t.mount && t.mount->id == id) return true;
            const SmallCellPart* s = m_study->smallCell(id);
            const ItemId radio = s ? s->radio : id;
            if (t.mount && s && s->mount == t.mount->id) return true;
            return std::any_of(t.radios.begin(), t.radios.end(),
                               [&](const Radio& r) { return r.id == radio || r.mount == id; });
        });
    }

    [[nodiscard]] bool holds(const Trial& t, const Review& after) const {
        const Key own = keyOf(m_finding);
        return std::none_of(after.findings.begin(), after.findings.end(), [&](const Finding& f) {
            const Key key = keyOf(f);
            if (key == own) return f.severity != Severity::note || m_finding.severity == Severity::note;
            if (f.standing == Standing::nowWorse && m_stands.count(key)) return true;
            if (!isOpen(f)) return false;
            if (f.severity == Severity::block && !m_blocks.count(key)) return true;
            return f.rule == m_finding.rule && f.severity != Severity::note && !m_before.count(key) &&
                   concerns(t, f);
        });
    }

    [[nodiscard]] double lowestFit(const Study& study) const {
        double lowest = 100;
        for (const ItemId id : m_trials.smalls()) lowest = std::min(lowest, fitOf(study, id).value);
        return lowest;
    }

    static std::string nothingText(const std::vector<Proposals::Tried>& tried) {
        std::string list;
        for (const Proposals::Tried& t : tried) {
            if (t.trials == 0) continue;
            list += fmt::format("{}{} of \"{}\"", list.empty() ? "" : ", ", t.trials, wordFor(t.kind));
        }
        if (list.empty()) return CORE_TEXT("Nothing here can be changed to clear it.");
        return fmt::format(
            "Nothing clears it without blocking something else. Tried: {}. Leave this one out, "
            "or keep it with a reason.",
            list);
    }

    const std::shared_ptr<const Study>& m_study;
    const Review& m_review;
    const Finding& m_finding;
    const Job& m_job;
    Trials m_trials;
    Limits m_limits;
    Neighbours m_near;
    RuleView m_view;
    const Rule* m_rule = nullptr;
    std::set<Key> m_before, m_blocks, m_stands;
    double m_fitBefore = 0;
};

} // namespace

const char* wordFor(ProposalKind kind) {
    switch (kind) {
    case ProposalKind::turn:
        return CORE_TEXT("turn");
    case ProposalKind::tilt:
        return CORE_TEXT("tilt");
    case ProposalKind::turnBoth:
        return CORE_TEXT("turn both");
    case ProposalKind::height:
        return CORE_TEXT("height");
    case ProposalKind::shift:
        return CORE_TEXT("shift");
    case ProposalKind::otherMount:
        break;
    }
    return CORE_TEXT("other mount");
}

Result<Proposals> proposalsFor(const std::shared_ptr<const Study>& study, const Review& review,
                               const Finding& finding, const ProposeOptions& options, const Job& job) {
    const bool known = std::any_of(review.findings.begin(), review.findings.end(),
                                   [&](const Finding& f) { return keyOf(f) == keyOf(finding); });
    if (!known)
        return Error{ErrorCode::badInput, CORE_TEXT("The finding is gone; the plan changed meanwhile."), ""};
    Proposals out = Proposing(study, review, finding, options, job).run();
    if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    return out;
}

Working workingOf(const Proposal& p, const Finding& finding) {
    Working w;
    w.title = p.text;
    const bool angle =
        p.kind == ProposalKind::turn || p.kind == ProposalKind::tilt || p.kind == ProposalKind::turnBoth;
    w.inputs.push_back(
        {"measured by the rule before", finding.measured.value, finding.measured.unit, "computed"});
    w.inputs.push_back({"limit of the rule", finding.limit.value, finding.limit.unit, "profile"});
    w.inputs.push_back({"fit before, lowest of the cells concerned", p.fitBefore, "", "computed"});
    w.steps.push_back({"change", "", p.change, angle ? "deg" : "m"});
    w.steps.push_back({"open warnings in the plan, more than before", "review of the whole plan",
                       static_cast<double>(p.warnings), ""});
    w.steps.push_back({"fit kept, lowest of the cells concerned", "", p.fitKept, ""});
    w.source = "rule " + finding.rule + ": " + finding.source;
    if (!p.consent.empty()) w.remarks.push_back(p.consent);
    return w;
}

} // namespace fw
