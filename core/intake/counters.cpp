// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/counters.h"

#include "base/text.h"
#include "intake/counter_days.h"
#include "intake/counter_series.h"
#include "study/study.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <numeric>
#include <unordered_map>

namespace fw {

const char* nameOf(CounterFigure figure) {
    switch (figure) {
    case CounterFigure::downlinkPrb:
        return CORE_TEXT("downlink resource blocks");
    case CounterFigure::uplinkPrb:
        return CORE_TEXT("uplink resource blocks");
    case CounterFigure::control:
        return CORE_TEXT("control channel");
    case CounterFigure::connected:
        return CORE_TEXT("connected users");
    case CounterFigure::users:
        return CORE_TEXT("active users");
    case CounterFigure::throughput:
        return CORE_TEXT("user throughput");
    }
    return "";
}

struct CounterCollector::Impl {
    struct Cell {
        std::string name;
        std::vector<CounterRow> rows;
    };
    std::unordered_map<std::string, std::size_t> index;
    std::vector<Cell> cells;
    std::int64_t samples = 0;
    bool allUtc = true;
};

namespace {

std::optional<double> meanOf(const std::vector<double>& values) {
    if (values.empty()) return std::nullopt;
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

std::vector<double> sharesOf(const std::vector<CounterDay>& days, std::size_t resource) {
    std::vector<double> out;
    for (const CounterDay& d : days)
        if (d.busy[resource]) out.push_back(d.busy[resource]->share);
    return out;
}

std::vector<double> measuredOf(const std::vector<CounterDay>& days,
                               std::optional<double> CounterDay::*figure) {
    std::vector<double> out;
    for (const CounterDay& d : days)
        if (d.*figure) out.push_back(*(d.*figure));
    return out;
}

int usualHour(const std::vector<CounterDay>& days, std::size_t resource) {
    std::array<int, 24> count{};
    for (const CounterDay& d : days)
        if (d.busy[resource]) ++count[static_cast<std::size_t>(d.busy[resource]->hour)];
    return static_cast<int>(std::max_element(count.begin(), count.end()) - count.begin());
}

void fillLoad(CounterCell& cell) {
    CellLoad& load = cell.load;
    load.date = dayText(cell.days.back().day);
    load.hour = usualHour(cell.days, static_cast<std::size_t>(*cell.ranking));
    load.dailyDlPrbUse = sharesOf(cell.days, static_cast<std::size_t>(CounterFigure::downlinkPrb));
    load.dlPrbUse = meanOf(load.dailyDlPrbUse);
    load.ulPrbUse = meanOf(sharesOf(cell.days, static_cast<std::size_t>(CounterFigure::uplinkPrb)));
    load.users = meanOf(measuredOf(cell.days, &CounterDay::users));
    load.userThroughputMbps = meanOf(measuredOf(cell.days, &CounterDay::throughputMbps));
    // A plan keeps a thousand days at most; the latest count.
    constexpr std::size_t kKept = 1000;
    if (load.dailyDlPrbUse.size() > kKept)
        load.dailyDlPrbUse.erase(load.dailyDlPrbUse.begin(),
                                 load.dailyDlPrbUse.end() - static_cast<std::ptrdiff_t>(kKept));
}

void findLimit(CounterCell& cell) {
    for (std::size_t k = 0; k < kCounterResources; ++k) {
        const auto mean = meanOf(sharesOf(cell.days, k));
        if (!mean || (cell.limiting && *mean <= cell.limitingShare)) continue;
        cell.limiting = static_cast<CounterFigure>(k);
        cell.limitingShare = *mean;
    }
}

void judge(CounterCell& cell, const ModelSettings& m) {
    const auto& daily = cell.load.dailyDlPrbUse;
    const auto from = daily.end() - static_cast<std::ptrdiff_t>(std::min<std::size_t>(daily.size(), 7));
    cell.daysOver =
        static_cast<int>(std::count_if(from, daily.end(), [&](double u) { return u >= m.triggerUse; }));
    cell.triggered = overTrigger(cell.load, m);
}

void noteCell(CounterCell& cell, const CounterSpan& span, const ModelSettings& m) {
    const auto say = [&](std::string text) { cell.notes.push_back(std::move(text)); };
    if (!cell.ranking) {
        say(CORE_TEXT("No use of any resource was measured, so there is no busy hour."));
        return;
    }
    if (cell.days.empty()) {
        say(fmt::format("No day has the {} hours that it needs, so there is no busy hour.", span.needed));
        return;
    }
    if (*cell.ranking != CounterFigure::downlinkPrb)
        say(fmt::format("Downlink use was not measured; the busy hours are those of the {}.",
                        nameOf(*cell.ranking)));
    if (cell.days.size() < 7) say(fmt::format("Days that count: {}; a week has seven.", cell.days.size()));
    if (cell.limiting && *cell.limiting != CounterFigure::downlinkPrb && cell.limitingShare >= m.triggerUse)
        say(fmt::format("What runs out first is the {} ({:.0f} %), not the downlink resource blocks{}.",
                        nameOf(*cell.limiting), cell.limitingShare * 100,
                        cell.load.dlPrbUse ? fmt::format(" ({:.0f} %)", *cell.load.dlPrbUse * 100) : ""));
}

CounterCell cellFrom(const std::string& name, const CounterSeries& series, const CounterSpan& span,
                     const CounterOptions& options, std::optional<int> networkHour) {
    CounterCell cell;
    cell.cell = name;
    cell.ranking = rankingOf(series);
    cell.hours = static_cast<std::int64_t>(series.hours.size());
    cell.missingHours = missingHours(series, span);
    if (cell.ranking) {
        CounterDays days = daysOf(series, *cell.ranking, span,
                                  options.rule == BusyHourRule::network ? networkHour : std::nullopt);
        cell.days = std::move(days.days);
        cell.daysLeftOut = days.leftOut;
    }
    if (!cell.days.empty()) {
        fillLoad(cell);
        findLimit(cell);
        judge(cell, options.model);
    }
    noteCell(cell, span, options.model);
    return cell;
}

std::string hourText(const LocalHour& at) {
    return fmt::format("{} {:02}:{:02}", dayText(at.day), at.hour, at.minute);
}

void noteDuplicates(CounterSummary& s) {
    const auto say = [&](std::string text) { s.notes.push_back(std::move(text)); };
    if (s.identical > 0) say(fmt::format("Rows that repeat an earlier row, counted once: {}.", s.identical));
    if (s.completed > 0)
        say(fmt::format("Rows that add figures to an hour which another row began: {}.", s.completed));
    if (s.conflicts > 0) {
        const CounterConflict& c = s.conflicting.front();
        say(fmt::format(
            "Rows that differ from an earlier row of the same cell and hour: {}; the later row was "
            "taken. The first is {} at {}, rows {} and {}.",
            s.conflicts, c.cell, hourText(c.at), c.earlierRow, c.takenRow));
    }
    if (s.repeatedHours > 0)
        say(fmt::format("Hours of cells that stand twice because clocks were set back, both kept: {}.",
                        s.repeatedHours));
}

void noteSpan(CounterSummary& s, const CounterSpan& span, std::size_t cells, bool utc) {
    s.notes.push_back(fmt::format("Rows: {}, cells: {}, from {} to {}.", s.samples, cells,
                                  dayText(s.firstDay), dayText(s.lastDay)));
    if (utc) s.notes.emplace_back(CORE_TEXT("All hours are in UTC; busy hours are named in UTC too."));
    if (span.clockHours == 1)
        s.notes.emplace_back(CORE_TEXT("There is one hour a day; it is taken for that day's busy hour."));
    else if (span.clockHours < 24)
        s.notes.push_back(fmt::format(
            "The file has {} hours of the day; the busy hour is the busiest of those.", span.clockHours));
    if (s.missingHours > 0)
        s.notes.push_back(fmt::format("Hours of cells that are missing: {} of {}.", s.missingHours,
                                      s.cellHours - s.repeatedHours + s.missingHours));
    if (s.daysLeftOut > 0)
        s.notes.push_back(fmt::format("Days of cells with fewer than {} hours, not counted: {}.",
                                      s.hoursNeeded, s.daysLeftOut));
}

void addUp(CounterSummary& s, const CounterSeries& series, const std::string& name) {
    s.identical += series.identical;
    s.completed += series.completed;
    s.conflicts += series.conflicts;
    s.repeatedHours += series.repeated;
    for (CounterConflict c : series.conflicting) {
        if (s.conflicting.size() >= CounterSummary::kConflicts) break;
        c.cell = name;
        s.conflicting.push_back(std::move(c));
    }
}

} // namespace

CounterCollector::CounterCollector() : m_impl(std::make_unique<Impl>()) {}
CounterCollector::~CounterCollector() = default;
CounterCollector::CounterCollector(CounterCollector&&) noexcept = default;
CounterCollector& CounterCollector::operator=(CounterCollector&&) noexcept = default;

void CounterCollector::add(const CounterSample& sample) {
    const auto [at, isNew] = m_impl->index.try_emplace(sample.cell, m_impl->cells.size());
    if (isNew) m_impl->cells.push_back({sample.cell, {}});
    CounterRow row;
    row.day = sample.at.day;
    row.minute = static_cast<std::int16_t>(sample.at.hour * 60 + sample.at.minute);
    if (sample.at.offsetMinutes) row.offset = static_cast<std::int16_t>(*sample.at.offsetMinutes);
    row.row = sample.row;
    for (std::size_t k = 0; k < kCounterFigures; ++k)
        row.figures[k] = sample.figures[k].value_or(std::numeric_limits<double>::quiet_NaN());
    m_impl->cells[at->second].rows.push_back(row);
    m_impl->allUtc = m_impl->allUtc && row.offset == 0;
    ++m_impl->samples;
}

std::int64_t CounterCollector::size() const { return m_impl->samples; }

Result<CounterResult> CounterCollector::finish(const CounterOptions& options, const Job& job) const {
    if (m_impl->samples == 0)
        return Error{ErrorCode::badInput, CORE_TEXT("There are no counters to take."), {}};
    const Error stopped{ErrorCode::cancelled, CORE_TEXT("The reading of counters was stopped."), {}};
    std::vector<const Impl::Cell*> order;
    for (const Impl::Cell& c : m_impl->cells) order.push_back(&c);
    std::sort(order.begin(), order.end(), [](const auto* a, const auto* b) { return a->name < b->name; });
    std::vector<CounterSeries> all;
    CounterResult out;
    CounterSummary& s = out.summary;
    s.samples = m_impl->samples;
    for (const Impl::Cell* c : order) {
        if (job.stopped()) return stopped;
        all.push_back(seriesOf(c->rows));
        addUp(s, all.back(), c->name);
        job.report(0.9 * static_cast<double>(all.size()) / static_cast<double>(order.size()),
                   CORE_TEXT("Finding busy hours"));
    }
    const CounterSpan span = spanOf(all, options);
    s.firstDay = span.firstDay;
    s.lastDay = span.lastDay;
    s.hoursNeeded = span.needed;
    s.networkHour = networkHourOf(all, span);
    for (std::size_t k = 0; k < order.size(); ++k) {
        if (job.stopped()) return stopped;
        out.cells.push_back(cellFrom(order[k]->name, all[k], span, options, s.networkHour));
        s.cellHours += out.cells.back().hours;
        s.missingHours += out.cells.back().missingHours;
        s.daysLeftOut += out.cells.back().daysLeftOut;
    }
    noteSpan(s, span, order.size(), m_impl->allUtc);
    noteDuplicates(s);
    return out;
}

} // namespace fw
