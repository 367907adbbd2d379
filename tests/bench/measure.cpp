// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/measure.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

#include <time.h>

namespace fw::bench {
namespace {

double secondsOf(clockid_t clock) {
    timespec t{};
    clock_gettime(clock, &t);
    return static_cast<double>(t.tv_sec) + 1e-9 * static_cast<double>(t.tv_nsec);
}

} // namespace

double threadSeconds() { return secondsOf(CLOCK_THREAD_CPUTIME_ID); }
double processSeconds() { return secondsOf(CLOCK_PROCESS_CPUTIME_ID); }

double medianMs(int rounds, int calls, const std::function<void(int)>& call) {
    Series s;
    for (int k = 0; k < rounds; ++k) {
        const double from = threadSeconds();
        for (int c = 0; c < calls; ++c) call(c);
        s.add((threadSeconds() - from) * 1e3 / calls);
    }
    return s.at(0.5);
}

double Series::at(double share) const {
    if (m_ms.empty()) return 0;
    std::vector<double> sorted = m_ms;
    std::sort(sorted.begin(), sorted.end());
    const auto k = static_cast<std::size_t>(share * static_cast<double>(sorted.size()));
    return sorted[std::min(k, sorted.size() - 1)];
}

std::string Series::line(const std::string& name) const {
    return fmt::format("{:<40} median {:7.3f} ms   p99 {:7.3f}   longest {:7.3f}   ({})\n", name, at(0.5),
                       at(0.99), at(1), m_ms.size());
}

bool Row::met() const {
    switch (goal) {
    case Goal::atLeast:
        return faster() >= limit;
    case Goal::atMost:
        return share() <= limit;
    case Goal::none:
        break;
    }
    return true;
}

std::string Row::ratioText() const {
    return goal == Goal::atMost ? fmt::format("{:.2f}", share()) : fmt::format("{:.2f} x", faster());
}

std::string Row::goalText() const {
    switch (goal) {
    case Goal::atLeast:
        return fmt::format(">= {:g} x", limit);
    case Goal::atMost:
        return fmt::format("<= {:g}", limit);
    case Goal::none:
        break;
    }
    return "-";
}

std::string tableOf(const std::vector<Row>& rows) {
    std::size_t job = 3, peer = 4;
    for (const Row& r : rows) {
        job = std::max(job, r.job.size());
        peer = std::max(peer, r.peer.size());
    }
    std::string out = fmt::format("{:<{}}  {:<{}}  {:>10}  {:>10}  {:>8}  {:>8}\n", "job", job, "peer", peer,
                                  "peer ms", "ours ms", "ratio", "goal");
    for (const Row& r : rows)
        out += fmt::format("{:<{}}  {:<{}}  {:>10.4f}  {:>10.4f}  {:>8}  {:>8}  {}\n", r.job, job, r.peer,
                           peer, r.peerMs, r.oursMs, r.ratioText(), r.goalText(),
                           r.goal == Row::Goal::none ? ""
                           : r.met()                 ? "met"
                                                     : "MISSED");
    return out;
}

std::string jsonOf(const std::vector<Row>& rows) {
    nlohmann::json list = nlohmann::json::array();
    for (const Row& r : rows) {
        nlohmann::json j{{"job", r.job}, {"peer", r.peer}, {"peer_ms", r.peerMs}, {"ours_ms", r.oursMs}};
        j["ratio"] = r.goal == Row::Goal::atMost ? r.share() : r.faster();
        if (r.goal != Row::Goal::none) {
            j["goal"] = r.goalText();
            j["met"] = r.met();
        }
        list.push_back(std::move(j));
    }
    return nlohmann::json{{"schema", "fringewright-bench"}, {"version", 1}, {"rows", list}}.dump(2) + "\n";
}

} // namespace fw::bench
