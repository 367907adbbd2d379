// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/cbc_judge.h"

#include <coin/Cbc_C_Interface.h>

#include <algorithm>
#include <fmt/format.h>
#include <limits>
#include <map>
#include <vector>

namespace fwtest {
namespace {

constexpr double kMost = 1e30;

// Rows are gathered one by one and turned into columns at the end.
class Program {
public:
    int column(double cost, double upper, bool whole) {
        m_cost.push_back(cost);
        m_upper.push_back(upper);
        m_whole.push_back(whole);
        m_columns.emplace_back();
        return static_cast<int>(m_cost.size()) - 1;
    }
    void row(const std::map<int, double>& terms, double low, double high) {
        const int r = static_cast<int>(m_low.size());
        for (const auto& [c, v] : terms) m_columns[static_cast<std::size_t>(c)].emplace_back(r, v);
        m_low.push_back(low);
        m_high.push_back(high);
    }
    CbcAnswer solve(bool most, bool relaxed, std::optional<double> seconds) const {
        std::vector<CoinBigIndex> start{0};
        std::vector<int> index;
        std::vector<double> value;
        for (const auto& c : m_columns) {
            for (const auto& [r, v] : c) {
                index.push_back(r);
                value.push_back(v);
            }
            start.push_back(static_cast<CoinBigIndex>(index.size()));
        }
        const std::vector<double> zero(m_cost.size());
        Cbc_Model* model = Cbc_newModel();
        Cbc_loadProblem(model, static_cast<int>(m_cost.size()), static_cast<int>(m_low.size()), start.data(),
                        index.data(), value.data(), zero.data(), m_upper.data(), m_cost.data(), m_low.data(),
                        m_high.data());
        for (std::size_t c = 0; c < m_whole.size(); ++c)
            if (m_whole[c] && (!relaxed || c == 0)) Cbc_setInteger(model, static_cast<int>(c));
        Cbc_setObjSense(model, most ? -1 : 1);
        Cbc_setParameter(model, "logLevel", "0");
        Cbc_setParameter(model, "ratioGap", "0");
        Cbc_setParameter(model, "allowableGap", "0");
        if (seconds) Cbc_setParameter(model, "seconds", fmt::format("{}", *seconds).c_str());
        Cbc_solve(model);
        CbcAnswer out;
        out.optimal = Cbc_isProvenOptimal(model) != 0;
        out.value = Cbc_getObjValue(model);
        out.bound = relaxed ? out.value : Cbc_getBestPossibleObjValue(model);
        Cbc_deleteModel(model);
        return out;
    }

private:
    std::vector<double> m_cost, m_upper, m_low, m_high;
    std::vector<bool> m_whole;
    std::vector<std::vector<std::pair<int, double>>> m_columns;
};

bool holds(fw::StepRange r, int step, int steps) {
    for (int k = 0; k < r.count; ++k)
        if ((r.from + k) % steps == step) return true;
    return false;
}

class Writer {
public:
    Writer(const fw::ChoiceProblem& p, const fw::ChooseOptions& o) : m_p(p), m_o(o) {}

    Program write() {
        m_program.column(0, 0, true); // without any whole number in it the solver talks
        options();
        places();
        mounts();
        conflicts();
        return std::move(m_program);
    }

private:
    [[nodiscard]] bool relief() const { return m_o.goal == fw::ChoiceGoal::mostRelief; }
    [[nodiscard]] int at(std::size_t mount, int step) const {
        return m_option[mount * m_p.steps + static_cast<std::size_t>(step)];
    }

    void options() {
        for (const auto& m : m_p.mounts) {
            m_site.push_back(m_program.column(relief() ? 0 : static_cast<double>(m.siteCost), 1, true));
            for (int a = 0; a < m_p.steps; ++a) {
                const bool open = m.allowed.empty() || m.allowed[static_cast<std::size_t>(a)] != 0;
                m_option.push_back(
                    m_program.column(relief() ? 0 : static_cast<double>(m.radioCost), open ? 1 : 0, true));
            }
        }
    }
    void places() {
        std::vector<std::map<int, double>> serves(m_p.worth.size()), needs(m_p.targets.size());
        for (std::size_t m = 0; m < m_p.mounts.size(); ++m)
            for (const auto& run : m_p.mounts[m].runs)
                for (int a = 0; a < m_p.steps; ++a)
                    if (holds(run.at, a, m_p.steps)) serves[run.place][at(m, a)] = -1;
        for (std::size_t i = 0; i < serves.size(); ++i) {
            if (serves[i].empty()) continue;
            const auto worth = static_cast<double>(m_p.worth[i]);
            const int served = m_program.column(relief() ? worth : 0, 1, false);
            auto row = serves[i];
            row[served] = 1;
            m_program.row(row, -kMost, 0);
            needs[m_p.target[i]][served] = worth;
        }
        if (relief()) return;
        for (std::size_t t = 0; t < needs.size(); ++t)
            m_program.row(needs[t], static_cast<double>(m_p.targets[t].need), kMost);
    }
    void mounts() {
        std::map<int, double> money;
        std::vector<std::map<int, double>> groups(m_p.groupLimits.size());
        for (std::size_t m = 0; m < m_p.mounts.size(); ++m) {
            const auto& mount = m_p.mounts[m];
            std::map<int, double> all;
            money[m_site[m]] = static_cast<double>(mount.siteCost);
            for (int a = 0; a < m_p.steps; ++a) {
                all[at(m, a)] = 1;
                money[at(m, a)] = static_cast<double>(mount.radioCost);
                if (mount.siteCost > 0) m_program.row({{at(m, a), 1}, {m_site[m], -1}}, -kMost, 0);
                if (mount.group >= 0) groups[static_cast<std::size_t>(mount.group)][at(m, a)] = 1;
                for (int b = a + 1; b < m_p.steps && mount.radios > 1; ++b)
                    if (std::min(b - a, m_p.steps - (b - a)) < mount.apart)
                        m_program.row({{at(m, a), 1}, {at(m, b), 1}}, -kMost, 1);
            }
            m_program.row(all, mount.must ? 1 : 0, mount.radios);
        }
        for (std::size_t g = 0; g < groups.size(); ++g)
            if (!groups[g].empty()) m_program.row(groups[g], -kMost, m_p.groupLimits[g]);
        if (relief()) m_program.row(money, -kMost, static_cast<double>(m_o.budget));
    }
    void conflicts() {
        for (const auto& c : m_p.conflicts)
            for (int a = 0; a < m_p.steps; ++a)
                for (int b = 0; b < m_p.steps; ++b)
                    if (holds(c.atA, a, m_p.steps) && holds(c.atB, b, m_p.steps))
                        m_program.row({{at(c.a, a), 1}, {at(c.b, b), 1}}, -kMost, 1);
    }

    const fw::ChoiceProblem& m_p;
    const fw::ChooseOptions& m_o;
    Program m_program;
    std::vector<int> m_option, m_site;
};

} // namespace

CbcAnswer askCbc(const fw::ChoiceProblem& problem, const fw::ChooseOptions& options, bool relaxed,
                 std::optional<double> seconds) {
    return Writer(problem, options)
        .write()
        .solve(options.goal == fw::ChoiceGoal::mostRelief, relaxed, seconds);
}

} // namespace fwtest
