// SPDX-License-Identifier: GPL-3.0-or-later
#include "siting/variant_cost.h"

#include "base/text.h"
#include "plan/plan.h"

#include <array>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <set>

namespace fw {
namespace {

const std::array<const char*, 4> kMountNames{CORE_TEXT("a mount on a pole"), CORE_TEXT("a mount on a wall"),
                                             CORE_TEXT("a mount on a parapet"),
                                             CORE_TEXT("a mount on a roof")};

void tellUnitCosts(Working& w, const VariantCost& cost) {
    const CostTable& t = cost.table;
    const auto input = [&](const char* name, double v) {
        w.inputs.push_back({name, v, t.currency, originOf(t)});
    };
    std::array<bool, 4> used{};
    for (const SiteCost& s : cost.sites) used[static_cast<std::size_t>(s.kind)] = true;
    for (std::size_t k = 0; k < used.size(); ++k)
        if (used[k]) input(kMountNames[k], t.mount[k]);
    input(CORE_TEXT("a radio"), t.radio);
    input(CORE_TEXT("fibre, connection"), t.fibreConnection);
    input(CORE_TEXT("fibre, a metre"), t.fibrePerM);
    input(CORE_TEXT("power, connection"), t.powerConnection);
    input(CORE_TEXT("power, a metre"), t.powerPerM);
    input(CORE_TEXT("earth rod"), t.earthRod);
}

// "5000 + 1500 + 41.5 m x 60 + ..." with this mount's own figures.
std::string siteFormula(const SiteCost& s, const CostTable& t) {
    return fmt::format(
        "mount {:.6g} + fibre ({:.6g} + {:.1f} m x {:.6g}) + power ({:.6g} + {:.1f} m x {:.6g}) "
        "+ earth rod {:.6g}",
        t.mount[static_cast<std::size_t>(s.kind)], t.fibreConnection, s.parts.fibreM, t.fibrePerM,
        t.powerConnection, s.parts.powerM, t.powerPerM, t.earthRod);
}

} // namespace

VariantCost variantCost(const Plan& plan, ItemId variant, const CostTable& costs) {
    std::map<ItemId, std::set<ItemId>> radiosOn;
    for (const SmallCell& s : plan.smallCells) {
        if (s.variant != variant || !s.chosen) continue;
        const Radio* radio = plan.radios.find(s.radio);
        if (radio && plan.mounts.find(radio->mount)) radiosOn[radio->mount].insert(radio->id);
    }
    VariantCost out;
    out.table = costs;
    for (const auto& [mount, radios] : radiosOn) {
        const Mount& m = *plan.mounts.find(mount);
        SiteCost site{mount, m.kind, static_cast<int>(radios.size()), costOf(plan, m, costs)};
        site.site = std::llround(site.parts.site());
        site.ofRadios = site.radios * std::llround(costs.radio);
        out.total += site.site + site.ofRadios;
        out.sites.push_back(site);
    }
    return out;
}

Working workingOf(const Plan& plan, ItemId variant, const VariantCost& cost) {
    Working w;
    w.title = fmt::format("What {} costs to build", plan.label(variant));
    w.source =
        cost.table == CostTable{} ? "own judgement, to be replaced by your own figures" : "table of costs";
    if (cost.sites.empty()) {
        w.remarks.emplace_back("No small cell is chosen in it.");
    } else {
        tellUnitCosts(w, cost);
    }
    const std::string& money = cost.table.currency;
    bool straight = false, unknown = false;
    std::int64_t sites = 0, ofRadios = 0;
    int radios = 0;
    for (const SiteCost& s : cost.sites) {
        w.steps.push_back(
            {plan.label(s.mount), siteFormula(s, cost.table), static_cast<double>(s.site), money});
        for (const RunFrom from : {s.parts.fibreFrom, s.parts.powerFrom}) {
            straight = straight || from == RunFrom::nearestPoint;
            unknown = unknown || from == RunFrom::unknown;
        }
        sites += s.site;
        ofRadios += s.ofRadios;
        radios += s.radios;
    }
    w.steps.push_back(
        {CORE_TEXT("all mounts"), "sum; each once, whatever it carries", static_cast<double>(sites), money});
    w.steps.push_back({CORE_TEXT("their radios"), fmt::format("{} x a radio", radios),
                       static_cast<double>(ofRadios), money});
    w.steps.push_back(
        {CORE_TEXT("cost to build"), "mounts + radios", static_cast<double>(cost.total), money});
    if (straight)
        w.remarks.push_back(
            fmt::format("A run that the mount does not tell is the straight line to the nearest "
                        "point of the plan, times {:.6g}.",
                        cost.table.detour));
    if (unknown)
        w.remarks.push_back(
            fmt::format("A run that neither the mount nor a point of the plan tells is taken as "
                        "{:.6g} m.",
                        cost.table.unknownRunM));
    w.remarks.emplace_back("Counted as if nothing were built yet; what comes of it is no quotation.");
    return w;
}

} // namespace fw
