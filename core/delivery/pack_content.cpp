// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/pack_content.h"

namespace fw {

namespace {

constexpr double kInsetCellM = 10, kOverviewCells = 150;

} // namespace

Result<PackContent> packContent(const Study& study, const Review& review, const Ledger& ledger,
                                const MagneticField& field, const Issue& issue) {
    PackContent out;
    std::vector<SiteSheet> sheets;
    std::vector<PlanePoint> places;
    for (const ItemId mount : chosenMounts(study)) {
        auto sheet = siteSheet(study, review, field, mount, &ledger);
        if (!sheet) return sheet.error();
        places.push_back(sheet->plane);
        sheets.push_back(*std::move(sheet));
    }
    if (sheets.empty())
        return Error{
            ErrorCode::badInput,
            "No small cell is chosen in the active variant, so there is nothing to build; choose one first."};
    out.overview = overviewOf(study, review, ledger, sheets, issue);
    const Box all = overviewBounds(study, places);
    out.map = mapContent(study, all, std::max(10.0, std::max(all.width(), all.height()) / kOverviewCells));
    out.change = changeMap(study, all);
    out.workings = coverWorkings(study, ledger);
    for (SiteSheet& sheet : sheets) {
        const Box around =
            Box{sheet.plane.x, sheet.plane.y, sheet.plane.x, sheet.plane.y}.grown(kInsetReachM);
        MapContent map = mapContent(study, around, kInsetCellM);
        std::vector<Working> workings = siteWorkings(study, review, ledger, sheet);
        out.sites.push_back({std::move(sheet), std::move(map), std::move(workings)});
    }
    return out;
}

} // namespace fw
