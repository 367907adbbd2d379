// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/after_days.h"

#include "base/text.h"

#include <algorithm>
#include <fmt/format.h>
#include <limits>
#include <map>

namespace fw {

namespace {

using Weight = IntakeRemark::Weight;

struct Span {
    std::int32_t first = std::numeric_limits<std::int32_t>::max(),
                 last = std::numeric_limits<std::int32_t>::min();
    void add(std::int32_t day) {
        first = std::min(first, day);
        last = std::max(last, day);
    }
    [[nodiscard]] bool empty() const { return first > last; }
};

Span spanOf(const IntakePreview& preview) {
    Span span;
    for (const CounterCell& c : preview.counted)
        for (const CounterDay& d : c.days) span.add(d.day);
    return span;
}

// A part of the work, from `from` to `to` of the whole.
Job part(const Job& job, double from, double to) {
    Job out;
    out.stop = job.stop;
    out.progress = [&job, from, to](double share, std::string_view what) {
        job.report(from + share * (to - from), what);
    };
    return out;
}

Result<IntakePreview> read(const Plan& plan, const AfterFiles& files, const std::filesystem::path& file,
                           const Job& job) {
    IntakeRequest request = files.intake;
    request.kind = IntakeKind::counters;
    return files.memory ? previewIntake(plan, file, request, *files.memory, job)
                        : previewIntake(plan, file, request, job);
}

/// Puts the days of the files to cells, and says how.
class Sorting {
public:
    Sorting(const Plan& plan, const AfterFiles& files, AfterDays& out)
        : m_plan(plan), m_files(files), m_out(out) {
        for (const Cell& c : plan.cells) m_byName.emplace(c.name, c.id);
    }

    void run() {
        askWhere();
        if (m_out.before) sort(*m_out.before, true);
        sort(m_out.after, false);
        for (auto& [id, days] : m_cells) {
            if (days.after.empty()) continue;
            if (days.before.empty()) takeFromPlan(days);
            m_out.cells.push_back(std::move(days));
        }
        askForBefore();
        sayPlan();
        sayPrediction();
    }

private:
    void remark(Weight weight, std::string text, std::string answer = {}) {
        m_out.remarks.push_back({weight, std::move(text), std::move(answer)});
    }

    // Two files with days in common do not tell by themselves which of them are after.
    void askWhere() {
        if (m_files.onAir || !m_out.before) return;
        const Span was = spanOf(*m_out.before), is = spanOf(m_out.after);
        if (was.empty() || is.empty() || was.last < is.first) return;
        remark(Weight::question,
               fmt::format("The file from before reaches to {}, the one from after begins on {}: on which "
                           "day did the small cells go on air?",
                           dayText(was.last), dayText(is.first)),
               "--on-air YYYY-MM-DD");
    }

    void sort(const IntakePreview& preview, bool fileBefore) {
        for (const CounterCell& c : preview.counted) {
            const auto id = m_byName.find(c.cell);
            if (id == m_byName.end()) continue;
            CellDays& days = m_cells[id->second];
            days.cell = id->second;
            for (const CounterDay& d : c.days) {
                const auto& busy = d.busy[static_cast<std::size_t>(CounterFigure::downlinkPrb)];
                if (!busy || d.day == m_files.onAir) continue;
                const bool before = m_files.onAir ? d.day < *m_files.onAir : fileBefore;
                (before ? days.before : days.after).push_back({d.day, busy->share});
            }
        }
    }

    void takeFromPlan(CellDays& days) {
        const CellLoad& load = m_plan.cells.find(days.cell)->load;
        const auto last = dayFrom(load.date);
        std::int32_t first = days.after.front().day;
        for (const DayUse& d : days.after) first = std::min(first, d.day);
        if (!last || load.dailyDlPrbUse.empty() || *last >= first ||
            (m_files.onAir && *last >= *m_files.onAir))
            return;
        const auto n = static_cast<std::int32_t>(load.dailyDlPrbUse.size());
        for (std::int32_t k = 0; k < n; ++k)
            days.before.push_back({*last - n + 1 + k, load.dailyDlPrbUse[static_cast<std::size_t>(k)]});
        ++m_out.fromPlan;
        m_planDays.add(*last);
    }

    void askForBefore() {
        const bool none = std::all_of(m_out.cells.begin(), m_out.cells.end(),
                                      [](const CellDays& d) { return d.before.empty(); });
        if (m_out.cells.empty()) {
            if (m_files.onAir && !spanOf(m_out.after).empty())
                remark(Weight::question,
                       fmt::format("No day after {} is in the file.", dayText(*m_files.onAir)),
                       "--on-air YYYY-MM-DD");
            else if (m_out.after.good > 0)
                remark(Weight::question,
                       CORE_TEXT("No cell has a day with downlink use and enough hours to count."),
                       "--map dl_prb_use=COLUMN, or take a file with whole days");
            return;
        }
        if (!none) return;
        const std::int32_t first = firstAfter();
        if (m_files.onAir)
            remark(Weight::question,
                   fmt::format("No day before {} is in the file, and the plan keeps no busy hours from "
                               "before it. Give counters from before.",
                               dayText(*m_files.onAir)),
                   "--before FILE");
        else
            remark(Weight::question,
                   fmt::format("Which days are from before? The plan keeps no busy hours from before {}, "
                               "where the file begins. Give the day on which the small cells went on air, or "
                               "counters from before.",
                               dayText(first)),
                   "--on-air YYYY-MM-DD, or --before FILE");
    }

    void sayPlan() {
        if (m_out.fromPlan == 0) return;
        const std::string until =
            m_planDays.first == m_planDays.last
                ? dayText(m_planDays.last)
                : fmt::format("{} to {}", dayText(m_planDays.first), dayText(m_planDays.last));
        remark(Weight::look,
               fmt::format("Days before of {} of {} cells are those that the plan keeps, up to {}, taken as "
                           "one day after the other.",
                           m_out.fromPlan, m_out.cells.size(), until));
    }

    // A prediction is made from the loads before; after them it would take the relief off twice.
    void sayPrediction() {
        if (m_out.cells.empty()) return;
        const std::int32_t from = m_files.onAir ? *m_files.onAir : firstAfter();
        std::size_t late = 0;
        for (const CellDays& d : m_out.cells) {
            const Cell& c = *m_plan.cells.find(d.cell);
            const auto last = c.load.dlPrbUse ? dayFrom(c.load.date) : std::nullopt;
            late += last && *last >= from;
        }
        if (late > 0)
            remark(Weight::look,
                   fmt::format("Loads of {} cells in the plan are from {} or later: what is predicted from "
                               "them has the relief in it already. Compare with the plan as it was before.",
                               late, dayText(from)));
    }

    [[nodiscard]] std::int32_t firstAfter() const {
        Span span;
        for (const CellDays& d : m_out.cells)
            for (const DayUse& u : d.after) span.add(u.day);
        return span.first;
    }

    const Plan& m_plan;
    const AfterFiles& m_files;
    AfterDays& m_out;
    std::map<std::string, ItemId> m_byName;
    std::map<ItemId, CellDays> m_cells;
    Span m_planDays;
};

void sayRefused(const IntakePreview& p, std::vector<IntakeRemark>& remarks) {
    const std::string name = p.head.file.filename().string();
    if (p.refused > 0 && !p.refusals.empty())
        remarks.push_back({Weight::look, fmt::format("{}: {} of {} rows were refused; the first: {}.", name,
                                                     p.refused, p.rows, sentenceOf(p.refusals[0], p.head))});
}

} // namespace

std::optional<std::int32_t> dayFrom(std::string_view text) {
    const auto at = hourFrom(text, DateOrder::yearFirst);
    if (!at || dayText(at->day) != text) return std::nullopt;
    return at->day;
}

bool AfterDays::usable() const {
    return !cells.empty() && std::none_of(remarks.begin(), remarks.end(),
                                          [](const IntakeRemark& r) { return r.weight == Weight::question; });
}

Result<AfterDays> readAfterDays(const Plan& plan, const AfterFiles& files, const Job& job) {
    AfterDays out;
    const bool two = !files.before.empty();
    auto after = read(plan, files, files.after, part(job, 0, two ? 0.5 : 1));
    if (!after) return after.error();
    out.after = std::move(*after);
    if (two) {
        auto before = read(plan, files, files.before, part(job, 0.5, 1));
        if (!before) return before.error();
        out.before = std::move(*before);
    }
    Sorting(plan, files, out).run();
    for (const IntakePreview* p : {out.before ? &*out.before : nullptr, &out.after}) {
        if (!p) continue;
        sayRefused(*p, out.remarks);
        out.remarks.insert(out.remarks.end(), p->remarks.begin(), p->remarks.end());
    }
    // Both files of one export ask the same once.
    auto end = out.remarks.end();
    for (auto it = out.remarks.begin(); it != end; ++it)
        end = std::remove_if(it + 1, end, [&](const IntakeRemark& r) {
            return r.weight == it->weight && r.text == it->text && r.answer == it->answer;
        });
    out.remarks.erase(end, out.remarks.end());
    std::stable_sort(out.remarks.begin(), out.remarks.end(),
                     [](const IntakeRemark& a, const IntakeRemark& b) { return a.weight > b.weight; });
    return out;
}

} // namespace fw
