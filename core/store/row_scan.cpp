// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/row_scan.h"

#include <cstdint>
#include <limits>
#include <optional>
#include <vector>

namespace fw {

namespace {

constexpr std::int64_t kFirst = std::numeric_limits<std::int64_t>::min();
constexpr std::int64_t kLast = std::numeric_limits<std::int64_t>::max();
// Each try of a damaged place costs some page reads: this many take about a second.
constexpr int kMostTries = 20000;

struct Range {
    std::int64_t low = kFirst, high = kLast;
    [[nodiscard]] bool empty() const { return low > high; }
};

class Gatherer {
public:
    using Visit = std::function<Status(const Statement&)>;
    Gatherer(Statement up, Statement down, const std::function<void(Statement&)>& bind, const Visit& visit)
        : m_up(std::move(up)), m_down(std::move(down)), m_bind(bind), m_visit(visit) {}

    Result<std::string> all() {
        std::vector<Range> open{Range{}};
        for (int tries = 0; !open.empty() && tries < kMostTries; ++tries) {
            const Range range = open.back();
            open.pop_back();
            auto gap = gapIn(range);
            if (!gap) return gap.error();
            if (gap->empty() || gap->low == gap->high) continue;
            const std::int64_t middle =
                gap->low +
                static_cast<std::int64_t>(
                    (static_cast<std::uint64_t>(gap->high) - static_cast<std::uint64_t>(gap->low)) / 2);
            open.push_back({middle + 1, gap->high});
            open.push_back({gap->low, middle});
        }
        return m_trouble;
    }

private:
    // Reads a range from both ends; what lies between the two places that cannot be read is left.
    Result<Range> gapIn(Range range) {
        auto low = run(m_up, range);
        if (!low) return low.error();
        if (m_done) return Range{1, 0};
        if (*low) {
            if (**low == kLast) return Range{1, 0};
            range.low = **low + 1;
        }
        auto high = run(m_down, range);
        if (!high) return high.error();
        if (m_done) return Range{1, 0};
        if (*high) {
            if (**high == kFirst) return Range{1, 0};
            range.high = **high - 1;
        }
        return range;
    }

    // Number of the last row that could be read.
    Result<std::optional<std::int64_t>> run(Statement& statement, Range range) {
        std::optional<std::int64_t> last;
        m_done = false;
        if (range.empty()) {
            m_done = true;
            return last;
        }
        statement.reset();
        statement.bind(1, range.low);
        statement.bind(2, range.high);
        if (m_bind) m_bind(statement);
        for (;;) {
            auto row = statement.step();
            if (!row) {
                if (m_trouble.empty()) m_trouble = row.error().text;
                return last;
            }
            if (!*row) break;
            last = statement.integer(0);
            if (Status s = m_visit(statement); !s.ok()) return s.error();
        }
        m_done = true;
        return last;
    }

    Statement m_up, m_down;
    const std::function<void(Statement&)>& m_bind;
    const Visit& m_visit;
    std::string m_trouble;
    bool m_done = false;
};

std::string inOrder(const std::string& select, const char* order) {
    return select + " NOT INDEXED WHERE _rowid_ BETWEEN ?1 AND ?2 ORDER BY _rowid_" + order;
}

} // namespace

Status RowScan::each(const std::function<Status(const Statement&)>& visit) {
    auto rows = db.prepare(inOrder(select, ""));
    if (!rows) return rows.error();
    rows->bind(1, kFirst);
    rows->bind(2, kLast);
    if (bind) bind(*rows);
    for (;;) {
        auto row = rows->step();
        if (!row) return row.error();
        if (!*row) return Done{};
        if (Status s = visit(*rows); !s.ok()) return s;
    }
}

Result<std::string> RowScan::eachReadable(const std::function<Status(const Statement&)>& visit) {
    auto up = db.prepare(inOrder(select, ""));
    if (!up) return up.error();
    auto down = db.prepare(inOrder(select, " DESC"));
    if (!down) return down.error();
    return Gatherer(std::move(*up), std::move(*down), bind, visit).all();
}

} // namespace fw
