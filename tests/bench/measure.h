// SPDX-License-Identifier: GPL-3.0-or-later
// How benches take time and say what came out. Only ratios taken in one run count.
#pragma once

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace fw::bench {

/// CPU time of the calling thread (s): a busy neighbour on the machine does not count.
double threadSeconds();
/// CPU time of all threads of the process (s).
double processSeconds();

/// Median over the rounds of the CPU time per call (ms); call(k) for k from 0 to calls - 1.
double medianMs(int rounds, int calls, const std::function<void(int)>& call);

/// Times of one thing done many times (ms).
class Series {
public:
    void add(double ms) { m_ms.push_back(ms); }
    [[nodiscard]] std::size_t size() const { return m_ms.size(); }
    /// The value that a share 0..1 of all stays at or below; 0 for none.
    [[nodiscard]] double at(double share) const;
    /// One line of text: name, median, 99th percentile, longest.
    [[nodiscard]] std::string line(const std::string& name) const;

private:
    std::vector<double> m_ms;
};

/// One comparison: two times of one run, and what their ratio should be.
struct Row {
    enum class Goal { none, atLeast, atMost };
    std::string job, peer;
    double peerMs = 0, oursMs = 0; ///< peerMs of a pure limit is the limit itself
    Goal goal = Goal::none;
    double limit = 0; ///< of faster() for atLeast, of share() for atMost

    [[nodiscard]] double faster() const { return peerMs / oursMs; } ///< how many times
    [[nodiscard]] double share() const { return oursMs / peerMs; }  ///< ours as part of the peer's
    [[nodiscard]] bool met() const;
    /// "4.2 x" or "0.70", as the goal speaks.
    [[nodiscard]] std::string ratioText() const;
    [[nodiscard]] std::string goalText() const;
};

/// The rows as a plain table.
std::string tableOf(const std::vector<Row>& rows);
/// {"schema": "fringewright-bench", "version": 1, "rows": [...]}: times in ms, `ratio` ours to peer as the
/// goal speaks of it.
std::string jsonOf(const std::vector<Row>& rows);

} // namespace fw::bench
