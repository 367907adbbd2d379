// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/rates_out.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

Json pairJson(const UserRatePair& pair) {
    return {{"median_mbps", number(pair.median.mbps, 3)},
            {"median_sinr_db", number(pair.median.sinrDb, 1)},
            {"low_mbps", number(pair.low.mbps, 3)},
            {"low_sinr_db", number(pair.low.sinrDb, 1)}};
}

} // namespace

Json ratesJson(const Study& study, const UserRates* rates) {
    if (!rates) return nullptr;
    return {{"before", pairJson(rates->before)},
            {"after", rates->after ? pairJson(*rates->after) : Json(nullptr)},
            {"stay", number(rates->stay, 6)},
            {"median_working", working(workingOfRates(study, *rates, true))},
            {"low_working", working(workingOfRates(study, *rates, false))}};
}

Json smallRatesJson(const Study& study, const SmallRates* rates) {
    if (!rates) return nullptr;
    Json out = pairJson(rates->now);
    out["median_working"] = working(workingOfRates(study, *rates, true));
    out["low_working"] = working(workingOfRates(study, *rates, false));
    return out;
}

std::string smallRatesText(const SmallRates* rates) {
    if (!rates) return "";
    return fmt::format("users get {:.1f}, 95 of 100 {:.1f} Mbit/s", rates->now.median.mbps,
                       rates->now.low.mbps);
}

std::string ratesText(const Study& study, const std::vector<UserRates>& rates,
                      const std::vector<ItemId>& cells) {
    std::string out;
    for (const ItemId cell : cells) {
        const UserRates* r = ratesOf(rates, cell);
        if (!r) continue;
        const auto after = [r](bool median) {
            return r->after ? fmt::format("{:.1f}", median ? r->after->median.mbps : r->after->low.mbps)
                            : std::string("-");
        };
        out +=
            fmt::format("  {:<24} {:>7.1f} {:>7} {:>7.1f} {:>7}   {:.0f} % stay\n", study.plan().label(cell),
                        r->before.median.mbps, after(true), r->before.low.mbps, after(false), r->stay * 100);
    }
    if (out.empty()) return out;
    return fmt::format("{:<26} {:>7} {:>7} {:>7} {:>7}   Mbit/s that one more user gets\n", "What users get",
                       "median", "after", "5 %", "after") +
           out;
}

} // namespace fw::cli
