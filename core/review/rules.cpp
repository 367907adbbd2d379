// SPDX-License-Identifier: GPL-3.0-or-later
// The explicit table of rules. A new rule: a file under rules/, a line in every_rule.h and one here, its
// limits in limits.cpp.
#include "review/rules/every_rule.h"

namespace fw {

const std::vector<Rule>& rules() {
    static const std::vector<Rule> table = {
        facesMacro(),      macroFacesCell(), macroTooNear(),
        mutualFacing(),    oneWayFacing(),   sameMountSpread(),
        intoObstruction(), roofEdge(),       heightWindow(),
        tiltOutlook(),     sparseOutlook(),  outsideFringe(),
        lineClearance(),   skyView(),        pciCollision(),
        pciConfusion(),    pciModulo(),      rootSequenceOverlap(),
    };
    return table;
}

} // namespace fw
