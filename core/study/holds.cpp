// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/holds.h"

#include "base/log_exp.h"
#include "study/ledger.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {

std::optional<double> monthsUntilTrigger(double after, double relieved, const ModelSettings& m) {
    if (!meetsTarget(after, m.targetUse)) return {};
    const double regrown = after + m.regrowth * relieved; // users come back to a cell that works again
    if (regrown >= m.triggerUse) return 0.0;
    if (regrown <= 0 || m.growthPerYear <= 0) return kForGoodMonths;
    return std::min(kForGoodMonths, 12 * lnFixed(m.triggerUse / regrown) / lnFixed(1 + m.growthPerYear));
}

std::string monthsText(double months) {
    if (months >= kForGoodMonths) return "for good";
    const double whole = std::floor(months);
    return whole == 1 ? "1 month" : fmt::format("{:.0f} months", whole);
}

Date holdsTo(const Plan& plan, ItemId cell, double months) {
    Date from = plan.settings->date;
    if (const Cell* c = plan.cells.find(cell))
        if (const auto measured = Date::parse(c->load.date)) from = *measured;
    const int month = from.month - 1 + static_cast<int>(std::floor(std::clamp(months, 0.0, kForGoodMonths)));
    return {from.year + month / 12, month % 12 + 1, 1};
}

} // namespace fw
