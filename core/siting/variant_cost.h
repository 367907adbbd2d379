// SPDX-License-Identifier: GPL-3.0-or-later
// What a variant's chosen small cells cost to build, by the table of costs.
#pragma once

#include "base/working.h"
#include "siting/choice_costs.h"

#include <cstdint>
#include <vector>

namespace fw {

/// One mount that carries chosen small cells.
struct SiteCost {
    ItemId mount;
    MountKind kind{};
    int radios = 0;            ///< with chosen small cells; one that carries several carriers counts once
    MountCost parts;           ///< as entered, not rounded
    std::int64_t site = 0;     ///< once, beside its radios; whole units of the currency
    std::int64_t ofRadios = 0; ///< likewise
    bool operator==(const SiteCost&) const = default;
};

struct VariantCost {
    CostTable table;             ///< what it was reckoned by; names the currency
    std::vector<SiteCost> sites; ///< ascending by mount
    std::int64_t total = 0;      ///< whole units of the currency
    bool operator==(const VariantCost&) const = default;
};

/// Cost of all chosen small cells of a variant, as `choose` reckons what is new (CostTable, choice_feed):
/// each mount once, rounded, and each radio, rounded. A variant that is none, or empty: no sites, 0. Every
/// unit cost is own judgement until the planner replaces it. Not a quotation.
VariantCost variantCost(const Plan& plan, ItemId variant, const CostTable& costs);

/// The unit costs, what each mount comes to, and the sum. @param plan  asked for names alone.
Working workingOf(const Plan& plan, ItemId variant, const VariantCost& cost);

} // namespace fw
