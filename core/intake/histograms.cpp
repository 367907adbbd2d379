// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/histograms.h"

#include "base/ascii.h"
#include "base/text.h"
#include "intake/field_text.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace fw {
namespace {

int lastStep(HistogramKind kind) { return kind == HistogramKind::cqi ? 15 : 4095; }
const char* nameOf(HistogramKind kind) { return kind == HistogramKind::cqi ? "CQI" : "timing-advance"; }

} // namespace

std::optional<int> stepOf(std::string_view name) {
    name = trimmedField(name);
    while (!name.empty() && (name.back() == ']' || name.back() == ')')) name.remove_suffix(1);
    std::size_t from = name.size();
    while (from > 0 && isDigit(name[from - 1])) --from;
    const std::string_view digits = name.substr(from);
    if (digits.empty() || digits.size() > 6) return std::nullopt;
    // "1.5" and "0-78" are no steps; "TA-12" and "ta.12" are.
    if (from > 1 && std::string_view(".,-:").find(name[from - 1]) != std::string_view::npos &&
        isDigit(name[from - 2]))
        return std::nullopt;
    if (from == 1 && name[0] != '_' && name[0] != '#' && !std::isalpha(static_cast<unsigned char>(name[0])))
        return std::nullopt;
    int step = 0;
    std::from_chars(digits.data(), digits.data() + digits.size(), step);
    return step;
}

Status HistogramCollector::check(int step, double count) const {
    if (step < 0 || step > lastStep(m_kind))
        return Error{
            ErrorCode::badInput,
            fmt::format("{} is no {} step; they run from 0 to {}", step, nameOf(m_kind), lastStep(m_kind)),
            {}};
    if (!(count >= 0) || count > 1e15)
        return Error{ErrorCode::badInput, fmt::format("{} is no number of samples", count), {}};
    return Done{};
}

Status HistogramCollector::add(const std::string& cell, int step, double count) {
    if (auto status = check(step, count); !status) return status;
    CellHistogram& h = m_cells[cell];
    const auto k = static_cast<std::size_t>(step);
    if (h.counts.size() <= k) h.counts.resize(k + 1);
    h.counts[k] += count;
    ++h.rows;
    return Done{};
}

Status HistogramCollector::add(const std::string& cell, const std::vector<int>& steps,
                               const std::vector<std::optional<double>>& counts) {
    const std::size_t n = std::min(steps.size(), counts.size());
    bool any = false;
    for (std::size_t k = 0; k < n; ++k) {
        if (!counts[k]) continue;
        if (auto status = check(steps[k], *counts[k]); !status) return status;
        any = true;
    }
    if (!any) return Error{ErrorCode::badInput, CORE_TEXT("it has no counts"), {}};
    const std::int64_t before = m_cells[cell].rows;
    for (std::size_t k = 0; k < n; ++k)
        if (counts[k]) (void)add(cell, steps[k], *counts[k]);
    m_cells[cell].rows = before + 1;
    return Done{};
}

HistogramResult HistogramCollector::finish() const {
    HistogramResult out;
    std::int64_t empty = 0;
    bool zeroSeen = false;
    for (const auto& [name, h] : m_cells) {
        double sum = 0;
        for (const double c : h.counts) sum += c;
        zeroSeen = zeroSeen || (!h.counts.empty() && h.counts[0] > 0);
        if (sum <= 0) {
            ++empty;
            continue;
        }
        out.cells.push_back(h);
        out.cells.back().cell = name;
    }
    if (empty > 0)
        out.notes.push_back(fmt::format("Cells without samples in any step, left out: {}.", empty));
    if (m_kind == HistogramKind::timingAdvance && !out.cells.empty() && !zeroSeen)
        out.notes.emplace_back(
            CORE_TEXT("No cell has samples in step 0: if the file counts its steps from 1, take 1 off."));
    return out;
}

} // namespace fw
