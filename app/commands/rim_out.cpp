// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/rim_out.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

const char* wordFor(RimSide side) {
    switch (side) {
    case RimSide::west:
        return "west";
    case RimSide::south:
        return "south";
    case RimSide::east:
        return "east";
    case RimSide::north:
        return "north";
    }
    return "";
}

} // namespace

Json rimJson(const Study& study) {
    const Plan& plan = study.plan();
    const Rim& rim = rimOf(study);
    Json cells = Json::array(), sites = Json::array(), bare = Json::array(), smalls = Json::array();
    for (const RimCell& c : rim.cells)
        cells.push_back({{"cell", item(plan, c.cell)},
                         {"rim_m", number(c.rimM, 0)},
                         {"near_rim", number(c.nearRim, 8)},
                         {"unreached", number(c.unreached, 8)},
                         {"working", working(workingOfRim(study, c.cell))}});
    for (const ItemId site : rim.outOfReach) sites.push_back(item(plan, site));
    for (const RimSide side : rim.bare) bare.push_back(wordFor(side));
    for (const SmallCellPart& s : study.smallCells())
        if (const double beyond = beyondRim(study, s.id); beyond > 0)
            smalls.push_back({{"small_cell", item(plan, s.id)}, {"beyond", number(beyond, 4)}});
    return {{"cells", std::move(cells)},
            {"sites_out_of_reach", std::move(sites)},
            {"sides_without_macros", std::move(bare)},
            {"small_cells", std::move(smalls)},
            {"remarks", rimRemarks(study)}};
}

std::string rimText(const Study& study) {
    std::string out;
    for (const std::string& remark : rimRemarks(study)) out += fmt::format("Note: {}\n", remark);
    return out;
}

} // namespace fw::cli
