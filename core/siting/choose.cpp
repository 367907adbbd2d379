// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/choose.h"

#include "base/parallel.h"
#include "base/text.h"
#include "siting/choice_bound.h"
#include "siting/choice_search.h"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace fw {
namespace {

// Search and bound run side by side and tell each other what they have between rounds only, so that neither
// depends on who was faster.
constexpr int kRounds = 12;

Error nothing(std::string text) { return {ErrorCode::badInput, std::move(text), "choice"}; }

Status somethingToChoose(const ChoiceProblem& p, const ChooseOptions& options) {
    const auto open = std::any_of(p.mounts.begin(), p.mounts.end(), [](const auto& m) {
        const bool any = m.allowed.empty() ||
                         std::any_of(m.allowed.begin(), m.allowed.end(), [](auto a) { return a != 0; });
        return m.radios > 0 && any;
    });
    if (!open)
        return nothing(CORE_TEXT("there is no mount to choose: every one is ruled out or blocked in all "
                                 "directions; allow some, or add mounts"));
    if (std::accumulate(p.worth.begin(), p.worth.end(), std::int64_t{0}) == 0)
        return nothing(
            CORE_TEXT("there is no load to relieve: no candidate serves a place of the cells named "
                      "more strongly than they do"));
    if (options.budget < 0) return nothing(CORE_TEXT("the budget is negative"));
    return Done{};
}

// Of the relief that is there at all, counted once.
std::vector<std::int64_t> withinReach(const ChoiceProblem& p) {
    std::vector<std::uint8_t> served(p.worth.size());
    for (const auto& m : p.mounts)
        for (const auto& run : m.runs) served[run.place] = 1;
    std::vector<std::int64_t> out(p.targets.size());
    for (std::size_t i = 0; i < served.size(); ++i)
        if (served[i]) out[p.target[i]] += p.worth[i];
    return out;
}

class Chooser {
public:
    Chooser(const ChoiceProblem& problem, const ChooseOptions& options, const Job& job)
        : m_problem(problem), m_options(options), m_job(job),
          m_index(problem, options.goal == ChoiceGoal::reachTargets), m_search(m_index, options, job),
          m_bound(m_index, options) {}

    Result<Choice> run() {
        if (auto s = m_search.start(); !s) return s.error();
        m_bound.start(m_search.best(), m_search.rank().cost);
        point(0);
        rounds();
        m_out.stopped = m_job.stopped();
        if (m_out.stopped && !m_options.keepStopped)
            return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
        tell();
        return std::move(m_out);
    }

private:
    [[nodiscard]] bool relieves() const { return m_options.goal == ChoiceGoal::mostRelief; }
    [[nodiscard]] std::int64_t value() const {
        return relieves() ? m_search.rank().relief : m_search.rank().cost;
    }
    [[nodiscard]] bool proven() const {
        return m_search.rank().missing == 0 && m_bound.bound() == std::optional(value());
    }

    void point(int iteration) {
        m_out.curve.push_back({iteration, value(), m_search.rank().missing, m_bound.bound()});
        m_out.iterations = iteration;
        if (m_options.onPoint) m_options.onPoint(m_out.curve.back());
    }

    void rounds() {
        for (int r = 0; r < kRounds && !m_job.stopped() && !proven(); ++r) {
            const auto part = [&](int all) { return all * (r + 1) / kRounds - all * r / kRounds; };
            // Where a target is missed nobody knows what reaching it costs: somewhat more.
            const std::int64_t known = value() + (m_search.rank().missing > 0 ? value() / 4 + 1 : 0);
            parallelFor(2, m_options.threads, [&](std::size_t k) {
                if (k == 0)
                    m_bound.advance(part(m_options.boundSteps), known, m_job);
                else
                    m_search.iterate(part(m_options.iterations));
            });
            m_search.lookAt(m_bound.inDoubt(value()));
            point(m_job.stopped() ? m_out.iterations : m_options.iterations * (r + 1) / kRounds);
            m_job.report((r + 1.0) / kRounds, CORE_TEXT("choosing"));
        }
    }

    void tell() {
        ChoiceState& state = m_search.state();
        state.become(m_search.best());
        m_out.goal = m_options.goal;
        m_out.seed = m_options.seed;
        m_out.relief = state.relief();
        m_out.cost = state.cost();
        m_out.reliefOf = state.reliefOf();
        for (const ChoiceOption o : state.chosen())
            m_out.chosen.push_back({o, state.lossOf(o), state.aloneOf(o), state.costOfOne(o.mount)});
        for (std::size_t t = 0; t < m_problem.targets.size(); ++t) {
            m_out.reached.push_back(m_out.reliefOf[t] >= m_problem.targets[t].need);
            m_out.allReached = m_out.allReached && m_out.reached.back();
        }
        if (const ChoiceBest b = state.bestUncapped(); b.any)
            m_out.leftOut = ChosenOption{b.option, b.gain, state.aloneOf(b.option), b.cost};
        m_out.bound = m_bound.bound();
        m_out.prices = m_bound.prices();
        tellGap();
        m_out.says = sentence();
    }

    void tellGap() {
        if (!m_out.bound || m_search.rank().missing > 0) return;
        const auto bound = static_cast<double>(*m_out.bound), have = static_cast<double>(value());
        if (bound == have)
            m_out.gap = 0;
        else if (bound > 0)
            m_out.gap = relieves() ? (bound - have) / bound : (have - bound) / bound;
    }

    [[nodiscard]] std::string sentence() const {
        if (m_out.chosen.empty())
            return CORE_TEXT("Nothing is chosen: the budget does not pay for any that helps.");
        const std::string gap =
            !m_out.gap ? std::string("nothing is proven about better sets")
            : *m_out.gap == 0.0
                ? std::string("no other set is better")
                : fmt::format("no other set is better by more than {:.2f} %", 100 * *m_out.gap);
        if (relieves()) return fmt::format("{} chosen; {}.", m_out.chosen.size(), gap);
        if (m_out.allReached)
            return fmt::format("{} chosen reach every target; {}.", m_out.chosen.size(), gap);
        return missed();
    }

    [[nodiscard]] std::string missed() const {
        const auto all = withinReach(m_problem);
        std::string never, here;
        for (std::size_t t = 0; t < all.size(); ++t) {
            if (m_out.reached[t]) continue;
            std::string& list = all[t] < m_problem.targets[t].need ? never : here;
            list += (list.empty() ? "" : ", ") + m_problem.targets[t].name;
        }
        std::string out;
        if (!never.empty())
            out = fmt::format("{} cannot be reached even with every candidate: add mounts, or another way of "
                              "relief.",
                              never);
        if (!here.empty())
            out += fmt::format("{}No set was found that reaches {} within the conflicts and limits.",
                               out.empty() ? "" : " ", here);
        return out;
    }

    const ChoiceProblem& m_problem;
    const ChooseOptions& m_options;
    const Job& m_job;
    ChoiceIndex m_index;
    ChoiceSearch m_search;
    ChoiceBound m_bound;
    Choice m_out;
};

} // namespace

Result<Choice> choose(const ChoiceProblem& problem, const ChooseOptions& options, const Job& job) {
    if (auto s = checkChoice(problem); !s) return s.error();
    if (auto s = somethingToChoose(problem, options); !s) return s.error();
    return Chooser(problem, options, job).run();
}

} // namespace fw
