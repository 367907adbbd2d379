// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/counter_series.h"

#include "intake/clock_changes.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <span>

namespace fw {
namespace {

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

bool timed(const CounterRow& r) { return r.offset != CounterRow::kNoOffset; }

bool sameTime(const CounterRow& a, const CounterRow& b) {
    return timed(a) == timed(b) && a.time() == b.time();
}

enum class Meeting : std::uint8_t { identical, completes, differs };
Meeting meetingOf(const CounterRow& earlier, const CounterRow& later) {
    bool completes = false;
    for (std::size_t k = 0; k < kCounterFigures; ++k) {
        const bool a = !std::isnan(earlier.figures[k]), b = !std::isnan(later.figures[k]);
        if (a && b && earlier.figures[k] != later.figures[k]) return Meeting::differs;
        completes = completes || a != b;
    }
    return completes ? Meeting::completes : Meeting::identical;
}

// What was measured later counts; what it lacks is kept.
void overlay(CounterRow& kept, const CounterRow& later) {
    for (std::size_t k = 0; k < kCounterFigures; ++k)
        if (!std::isnan(later.figures[k])) kept.figures[k] = later.figures[k];
    kept.row = later.row;
}

// Sums of one hour.
class HourSum {
public:
    void add(const CounterRow& row) {
        m_offset = row.offset;
        for (std::size_t k = 0; k < kCounterFigures; ++k) {
            if (std::isnan(row.figures[k])) continue;
            m_sum[k] += row.figures[k];
            ++m_count[k];
        }
    }
    [[nodiscard]] std::array<double, kCounterFigures> mean() const {
        std::array<double, kCounterFigures> out{};
        for (std::size_t k = 0; k < kCounterFigures; ++k) out[k] = m_count[k] ? m_sum[k] / m_count[k] : kNone;
        return out;
    }

    [[nodiscard]] std::int16_t offset() const { return m_offset; }

private:
    std::int16_t m_offset = CounterRow::kNoOffset;
    std::array<double, kCounterFigures> m_sum{};
    std::array<int, kCounterFigures> m_count{};
};

class Folder {
public:
    explicit Folder(std::vector<CounterRow> rows) : m_rows(std::move(rows)) {
        std::stable_sort(m_rows.begin(), m_rows.end(), [](const CounterRow& a, const CounterRow& b) {
            return timed(a) != timed(b) ? timed(b) : a.time() < b.time();
        });
    }
    CounterSeries run() {
        eachTime([&](std::span<const CounterRow> same) { countRepeated(same); });
        eachTime([&](std::span<const CounterRow> same) { take(same); });
        CounterSeries& out = m_out;
        for (const auto& [key, sum] : m_hours) {
            const bool again =
                !out.hours.empty() && out.hours.back().day == key.day && out.hours.back().hour == key.hour;
            out.hours.push_back(
                {key.day, key.hour, again ? out.hours.back().turn + 1 : 0, sum.offset(), sum.mean()});
            if (again) ++out.repeated;
        }
        return std::move(m_out);
    }

private:
    struct Key {
        std::int32_t day, hour;
        std::int32_t order; ///< of hours of one name: minutes behind UTC, or the turn
        auto operator<=>(const Key&) const = default;
    };

    template <class F>
    void eachTime(F&& f) const {
        for (std::size_t i = 0; i < m_rows.size();) {
            std::size_t end = i + 1;
            while (end < m_rows.size() && sameTime(m_rows[i], m_rows[end])) ++end;
            f(std::span(m_rows).subspan(i, end - i));
            i = end;
        }
    }

    void countRepeated(std::span<const CounterRow> same) {
        if (same.size() < 2 || timed(same[0])) return;
        auto& hours = m_repeated[same[0].day];
        const int hour = same[0].minute / 60;
        if (std::find(hours.begin(), hours.end(), hour) == hours.end()) hours.push_back(hour);
    }

    [[nodiscard]] bool setBack(std::span<const CounterRow> same) const {
        const CounterRow& r = same[0];
        return same.size() == 2 && !timed(r) && mayRepeat(r.day, r.minute / 60) &&
               m_repeated.at(r.day).size() == 1;
    }

    void take(std::span<const CounterRow> same) {
        if (setBack(same)) {
            put(same[0], 0);
            put(same[1], 1);
            return;
        }
        CounterRow kept = same[0];
        for (const CounterRow& later : same.subspan(1)) {
            const Meeting meeting = meetingOf(kept, later);
            if (meeting == Meeting::identical) ++m_out.identical;
            if (meeting == Meeting::completes) ++m_out.completed;
            if (meeting == Meeting::differs) conflict(kept, later);
            overlay(kept, later);
        }
        put(kept, timed(kept) ? -kept.offset : 0);
    }

    void conflict(const CounterRow& kept, const CounterRow& later) {
        ++m_out.conflicts;
        if (m_out.conflicting.size() >= CounterSummary::kConflicts) return;
        LocalHour at{kept.day, kept.minute / 60, kept.minute % 60, std::nullopt};
        if (timed(kept)) at.offsetMinutes = kept.offset;
        m_out.conflicting.push_back({{}, at, kept.row, later.row});
    }

    void put(const CounterRow& row, std::int32_t order) {
        m_hours[{row.day, row.minute / 60, order}].add(row);
    }

    std::vector<CounterRow> m_rows;
    std::map<std::int32_t, std::vector<int>> m_repeated; ///< by day: hours that stand twice
    std::map<Key, HourSum> m_hours;
    CounterSeries m_out;
};

} // namespace

CounterSeries seriesOf(std::vector<CounterRow> rows) { return Folder(std::move(rows)).run(); }

} // namespace fw
