// SPDX-License-Identifier: GPL-3.0-or-later
// What users get, as `ledger` prints it.
#pragma once

#include "commands/json_out.h"
#include "study/user_rates.h"

namespace fw::cli {

/// The object "users" of a cell of `ledger --json`; null without rates.
Json ratesJson(const Study& study, const UserRates* rates);
/// The same of a small cell; null without rates.
Json smallRatesJson(const Study& study, const SmallRates* rates);
/// "users get 34.1, 95 of 100 12.0 Mbit/s"; empty without rates.
std::string smallRatesText(const SmallRates* rates);
/// A table in words. @param cells  those wanted, in this order; others are passed over.
std::string ratesText(const Study& study, const std::vector<UserRates>& rates,
                      const std::vector<ItemId>& cells);

} // namespace fw::cli
