// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/change_map.h"
#include "delivery/map_content.h"
#include "delivery/overview.h"
#include "delivery/sheet_workings.h"
#include "delivery/site_sheet.h"

namespace fw {

/// Everything that is printed: built from a study once, drawn without one.
struct PackContent {
    Overview overview;
    MapContent map;
    ChangeMap change;              ///< over the bounds of `map`
    std::vector<Working> workings; ///< behind the overview
    struct Site {
        SiteSheet sheet;
        MapContent map;
        std::vector<Working> workings;
    };
    std::vector<Site> sites; ///< ascending by mount
};

/// Half the side of a sheet's map (m).
inline constexpr double kInsetReachM = 130;

/// Refused by a sentence when no small cell is chosen; whatever siteSheet() refuses is refused here.
Result<PackContent> packContent(const Study& study, const Review& review, const Ledger& ledger,
                                const MagneticField& field, const Issue& issue = {});

} // namespace fw
