// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/sector_balance.h"

#include "base/text.h"
#include "radio/carrier.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace fw {
namespace {

std::string carrierName(const Plan& plan, ItemId id) {
    const Cell* cell = plan.cells.find(id);
    if (!cell) return plan.label(id);
    return fmt::format("{} ({}, {} MHz)", plan.label(id),
                       bandName(cell->carrier.technology, cell->carrier.channel), cell->carrier.bandwidthMHz);
}

std::string sectorName(const Plan& plan, ItemId id) {
    const Sector* sector = plan.sectors.find(id);
    const MacroSite* site = sector ? plan.macroSites.find(sector->site) : nullptr;
    return site ? fmt::format("{}, {}", plan.label(site->id), plan.label(id)) : plan.label(id);
}

std::string usesOf(const Plan& plan, const std::vector<CarrierUse>& uses) {
    std::string out;
    for (const CarrierUse& u : uses)
        out += fmt::format("{}{} is at {:.0f} %", out.empty() ? "" : ", ", carrierName(plan, u.cell),
                           u.use * 100);
    return out;
}

void describe(SectorBalance& b, const Plan& plan, const std::vector<CarrierUse>& all) {
    const ModelSettings& m = plan.settings->model;
    b.sentence = fmt::format(
        "{}: {}, and beside it {}: balance carriers first; spread evenly they would be at {:.0f} %{}.",
        sectorName(plan, b.sector), usesOf(plan, b.full), usesOf(plan, b.room), b.evenUse * 100,
        b.enough ? "" : fmt::format(", still above the target of {:.0f} %", m.targetUse * 100));
    Working& w = b.working;
    w.title = fmt::format("{}: load spread evenly over its carriers", sectorName(plan, b.sector));
    double sum = 0, weight = 0;
    for (const CarrierUse& u : all) {
        w.inputs.push_back({fmt::format("use of {}", plan.label(u.cell)), u.use * 100, "%", "plan"});
        w.inputs.push_back({fmt::format("width of {}", plan.label(u.cell)), u.weightMHz, "MHz", "plan"});
        sum += u.use * u.weightMHz;
        weight += u.weightMHz;
    }
    w.steps.push_back({CORE_TEXT("spectrum in use"), CORE_TEXT("sum of use x width"), sum, "MHz"});
    w.steps.push_back({CORE_TEXT("spectrum there is"), CORE_TEXT("sum of widths"), weight, "MHz"});
    w.steps.push_back(
        {CORE_TEXT("use when spread evenly"), CORE_TEXT("in use / there is"), b.evenUse * 100, "%"});
    w.source = CORE_TEXT("common practice");
    w.remarks.emplace_back(CORE_TEXT("Width is bandwidth x downlink share of time."));
    w.remarks.emplace_back(
        CORE_TEXT("Assumes that devices can use every carrier, and that each carries the same per MHz."));
}

} // namespace

std::vector<SectorBalance> unbalancedSectors(const Plan& plan) {
    const ModelSettings& m = plan.settings->model;
    std::map<ItemId, std::vector<CarrierUse>> bySector;
    for (const Cell& c : plan.cells)
        if (c.load.dlPrbUse)
            bySector[c.sector].push_back(
                {c.id, *c.load.dlPrbUse, c.carrier.bandwidthMHz * c.carrier.downlinkShare});
    std::vector<SectorBalance> out;
    for (const auto& [sector, all] : bySector) {
        SectorBalance b;
        b.sector = sector;
        double sum = 0, weight = 0;
        for (const CarrierUse& u : all) {
            sum += u.use * u.weightMHz;
            weight += u.weightMHz;
            if (u.use >= m.triggerUse) b.full.push_back(u);
            if (u.use < m.targetUse) b.room.push_back(u);
        }
        if (b.full.empty() || b.room.empty() || weight <= 0) continue;
        std::stable_sort(b.full.begin(), b.full.end(),
                         [](const auto& x, const auto& y) { return x.use > y.use; });
        std::stable_sort(b.room.begin(), b.room.end(),
                         [](const auto& x, const auto& y) { return x.use < y.use; });
        b.evenUse = sum / weight;
        b.enough = b.evenUse <= m.targetUse;
        describe(b, plan, all);
        out.push_back(std::move(b));
    }
    return out;
}

} // namespace fw
