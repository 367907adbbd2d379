// SPDX-License-Identifier: GPL-3.0-or-later
// Hourly counters and histograms to the loads of the plan's cells.
#include "intake/counters.h"
#include "intake/histograms.h"
#include "intake/sector_balance.h"
#include "intake/taker.h"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <set>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

constexpr std::size_t kNamed = 8; // cells or sectors that a remark names

/// What both have in common: cells by name, and rows of cells that the plan does not have.
class LoadTaker : public Taker {
public:
    LoadTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : Taker(plan, frame, request, rows) {
        for (const Cell& c : plan.cells) m_cells.emplace(c.name, c);
    }

protected:
    /// Empty, and the row refused, where the plan has no such cell.
    std::string cellOf(RowReader& row) {
        std::string name = row.text(m_cell);
        if (name.empty()) {
            row.refuse(m_cell, "names no cell");
        } else if (!m_cells.contains(name)) {
            row.refuse(m_cell, "is no cell of the plan; take in the cells first");
            m_unknown.insert(name);
        }
        return row.refused() ? std::string() : name;
    }
    [[nodiscard]] const Cell& cell(const std::string& name) const { return m_cells.at(name); }

    void put(IntakePreview& preview, const Cell& changed) {
        if (changed == m_cells.at(changed.name)) return;
        preview.edit.changes.emplace_back(Put{changed});
        ++m_count.changed;
    }
    void count(IntakePreview& preview) const {
        preview.counts.push_back(m_count);
        tellUnknown(preview);
    }
    void tellUnknown(IntakePreview& preview) const {
        preview.unknownCells.assign(m_unknown.begin(), m_unknown.end());
    }

    int m_cell = field("cell");

private:
    std::map<std::string, Cell> m_cells;
    std::set<std::string> m_unknown;
    IntakeCount m_count{Kind::cell, 0, 0};
};

class CounterTaker : public LoadTaker {
public:
    CounterTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : LoadTaker(plan, frame, request, rows) {
        if (request.dateOrder)
            m_order = *request.dateOrder == 'd' ? DateOrder::dayFirst : DateOrder::monthFirst;
        else if (rows.holds(m_time))
            m_order = dateOrderOf(
                rows.head().columns[static_cast<std::size_t>(rows.mapped(m_time).column)].samples);
        for (const char* name : {"dl_prb_use", "ul_prb_use", "control_use", "connected_use"})
            m_shares.push_back(field(name));
    }

    void take(RowReader& row, SourceShape) override {
        CounterSample sample;
        sample.cell = cellOf(row);
        if (row.refused()) return;
        sample.row = row.row().number;
        const auto at = hourOf(row);
        if (!at) return;
        sample.at = *at;
        sample.of(CounterFigure::downlinkPrb) = row.number(m_shares[0], 0, 1);
        sample.of(CounterFigure::uplinkPrb) = row.number(m_shares[1], 0, 1);
        sample.of(CounterFigure::control) = row.number(m_shares[2], 0, 1);
        sample.of(CounterFigure::connected) = row.number(m_shares[3], 0, 1);
        sample.of(CounterFigure::users) = row.number(m_users, 0, 1e6);
        sample.of(CounterFigure::throughput) = row.number(m_throughput, 0, 1e6);
        if (row.refused()) return;
        if (std::none_of(sample.figures.begin(), sample.figures.end(),
                         [](const auto& f) { return f.has_value(); })) {
            row.refuse("holds no figure");
            return;
        }
        m_collector.add(sample);
    }

    void finish(IntakePreview& preview) override {
        askForPercent(preview.remarks);
        if (!m_order && m_rows.holds(m_time))
            preview.remarks.push_back(
                {Weight::question,
                 "In its dates day and month cannot be told apart.",
                 "--dates day or --dates month",
                 {{"Day first", {}, {}, 0, false, 'd'}, {"Month first", {}, {}, 0, false, 'm'}}});
        tellUnknown(preview);
        if (m_collector.size() == 0) return;
        CounterOptions options;
        options.rule = m_request.networkHour ? BusyHourRule::network : BusyHourRule::daily;
        options.model = m_plan.settings->model;
        auto result = m_collector.finish(options);
        if (!result) return;
        for (const CounterCell& c : result->cells) {
            Cell changed = cell(c.cell);
            CellLoad load = c.load;
            load.timingAdvance = changed.load.timingAdvance;
            load.cqi = changed.load.cqi;
            changed.load = std::move(load);
            put(preview, changed);
        }
        count(preview);
        say(*result, preview);
        preview.counted = std::move(result->cells);
    }

private:
    std::optional<LocalHour> hourOf(RowReader& row) {
        const DateOrder order = m_order.value_or(DateOrder::yearFirst);
        const std::string day = row.text(m_time), hour = row.holds(m_hour) ? row.text(m_hour) : std::string();
        if (day.empty()) {
            row.refuse(m_time, "is empty");
            return std::nullopt;
        }
        const auto at = hour.empty() ? hourFrom(day, order) : hourFrom(day, hour, order);
        if (at) return *at;
        row.refuse(m_time, at.error().text);
        return std::nullopt;
    }

    // 71 for 0.71: common, and silent where the header says nothing.
    void askForPercent(std::vector<IntakeRemark>& remarks) const {
        for (const int f : m_shares) {
            if (!m_rows.holds(f) || m_rows.mapped(f).unitSaid) continue;
            const SourceHead& head = m_rows.head();
            const SourceColumn& column = head.columns[static_cast<std::size_t>(m_rows.mapped(f).column)];
            const bool over =
                std::any_of(column.samples.begin(), column.samples.end(), [&](const std::string& s) {
                    const auto v = numberFrom(s, {head.decimal, head.thousands});
                    return v && *v > 1;
                });
            if (!over) continue;
            const IntakeField& shown = m_rows.info().fields[static_cast<std::size_t>(f)];
            remarks.push_back(
                {Weight::question,
                 fmt::format("\"{}\" has values over 1, and its header does not say that they are per "
                             "cent.",
                             column.name),
                 fmt::format("--map {}=:%", shown.name),
                 {{"per cent", shown.name, "%"}}});
        }
    }

    void say(const CounterResult& result, IntakePreview& preview) const {
        auto& remarks = preview.remarks;
        const CounterSummary& s = result.summary;
        remarks.push_back(
            {Weight::note, fmt::format("{} cells, {} to {}; a day counts with {} hours.", result.cells.size(),
                                       dayText(s.firstDay), dayText(s.lastDay), s.hoursNeeded)});
        for (const std::string& note : s.notes) remarks.push_back({Weight::note, note});
        for (std::size_t k = 0; k < std::min(kNamed, s.conflicting.size()); ++k) {
            const CounterConflict& c = s.conflicting[k];
            remarks.push_back(
                {Weight::look, fmt::format("{}, {} {:02}:00: rows {} and {} differ; the later one was taken.",
                                           c.cell, dayText(c.at.day), c.at.hour, c.earlierRow, c.takenRow)});
        }
        std::string full;
        std::size_t triggered = 0;
        for (const CounterCell& c : result.cells)
            if (c.triggered && ++triggered <= kNamed) full += (full.empty() ? "" : ", ") + c.cell;
        if (triggered > kNamed) full += ", ...";
        remarks.push_back({Weight::note, triggered == 0 ? std::string("No cell is over the trigger.")
                                                        : fmt::format("{} cells are over the trigger: {}.",
                                                                      triggered, full)});
        std::size_t named = 0;
        for (const CounterCell& c : result.cells)
            if (c.limiting && *c.limiting != CounterFigure::downlinkPrb &&
                c.limitingShare >= m_plan.settings->model.triggerUse && named++ < kNamed)
                remarks.push_back(
                    {Weight::look,
                     fmt::format("{} is limited by {} ({:.0f} % in its busy hours), which small cells on "
                                 "its downlink load alone do not see.",
                                 c.cell, nameOf(*c.limiting), 100 * c.limitingShare)});
        sayBalance(preview);
    }

    // Before any small cell: is the sector full, or one of its carriers?
    void sayBalance(IntakePreview& preview) const {
        Plan after = m_plan;
        if (!apply(after, preview.edit)) return;
        std::size_t named = 0;
        for (const SectorBalance& b : unbalancedSectors(after))
            if (named++ < kNamed) preview.remarks.push_back({Weight::look, b.sentence});
    }

    int m_time = field("time"), m_hour = field("hour"), m_users = field("users"),
        m_throughput = field("user_throughput_mbps");
    std::vector<int> m_shares;
    std::optional<DateOrder> m_order;
    CounterCollector m_collector;
};

class HistogramTaker : public LoadTaker {
public:
    HistogramTaker(const Plan& plan, const Frame& frame, const IntakeRequest& request, const RowReader& rows)
        : LoadTaker(plan, frame, request, rows),
          m_collector(request.kind == IntakeKind::cqi ? HistogramKind::cqi : HistogramKind::timingAdvance) {
        if (rows.holds(m_step) && rows.holds(m_samples)) return;
        const auto& columns = rows.head().columns;
        for (std::size_t c = 0; c < columns.size(); ++c)
            if (const auto step = static_cast<int>(c) == rows.mapped(m_cell).column
                                      ? std::nullopt
                                      : stepOf(columns[c].name)) {
                m_columns.push_back(c);
                m_steps.push_back(*step);
            }
    }

    void take(RowReader& row, SourceShape) override {
        const std::string name = cellOf(row);
        if (row.refused()) return;
        if (m_columns.empty())
            takeLong(row, name);
        else
            takeWide(row, name);
    }

    void finish(IntakePreview& preview) override {
        if (m_columns.empty() && !(m_rows.holds(m_step) && m_rows.holds(m_samples)))
            preview.remarks.push_back(
                {Weight::question,
                 "There are neither columns for step and samples nor columns that end in the "
                 "number of a step.",
                 "--map step=... --map samples=..."});
        const HistogramResult result = m_collector.finish();
        for (const CellHistogram& h : result.cells) {
            Cell changed = cell(h.cell);
            (m_request.kind == IntakeKind::cqi ? changed.load.cqi : changed.load.timingAdvance) = h.counts;
            put(preview, changed);
        }
        count(preview);
        for (const std::string& note : result.notes) preview.remarks.push_back({Weight::note, note});
    }

private:
    void takeLong(RowReader& row, const std::string& name) {
        const auto step = row.whole(m_step, 0, 4095);
        const auto samples = row.number(m_samples);
        if (row.refused()) return;
        if (!step || !samples) {
            row.refuse("lacks the step or the samples");
            return;
        }
        if (const Status s = m_collector.add(name, *step, *samples); !s.ok()) row.refuse(s.error().text);
    }

    void takeWide(RowReader& row, const std::string& name) {
        const NumberStyle style{row.head().decimal, row.head().thousands};
        std::vector<std::optional<double>> counts;
        for (const std::size_t c : m_columns) {
            counts.emplace_back();
            if (c >= row.row().values.size()) continue;
            const SourceValue& v = row.row().values[c];
            const std::string text = textOf(v);
            if (saysNothing(text)) continue;
            const auto* number = std::get_if<double>(&v);
            const Result<double> got = number ? Result<double>(*number) : numberFrom(text, style);
            if (!got) {
                row.refuse(got.error().text, row.head().columns[c].name, text);
                return;
            }
            counts.back() = *got;
        }
        if (const Status s = m_collector.add(name, m_steps, counts); !s.ok()) row.refuse(s.error().text);
    }

    int m_step = field("step"), m_samples = field("samples");
    std::vector<std::size_t> m_columns;
    std::vector<int> m_steps;
    HistogramCollector m_collector;
};

} // namespace

TakerPtr counterTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return std::make_unique<CounterTaker>(p, f, q, r);
}
TakerPtr histogramTaker(const Plan& p, const Frame& f, const IntakeRequest& q, const RowReader& r) {
    return std::make_unique<HistogramTaker>(p, f, q, r);
}

} // namespace fw
