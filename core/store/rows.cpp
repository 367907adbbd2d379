// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/rows.h"

namespace fw {

PackageLayer layerOf(Kind kind) {
    switch (kind) {
    case Kind::macroSite:
        return {"macro_sites", "Macro sites", "POINT"};
    case Kind::sector:
        return {"sectors", "Sectors", "POINT"};
    case Kind::cell:
        return {"cells", "Cells", "POINT"};
    case Kind::congestionArea:
        return {"congestion_areas", "Congestion areas", "POLYGON"};
    case Kind::mount:
        return {"mounts", "Mounts", "POINT"};
    case Kind::radio:
        return {"radios", "Radios", "POINT"};
    case Kind::smallCell:
        return {"small_cells", "Small cells", "POINT"};
    case Kind::variant:
        return {"variants", "Variants", ""};
    case Kind::overheadLine:
        return {"overhead_lines", "Overhead lines", "LINESTRING"};
    case Kind::street:
        return {"streets", "Streets", "LINESTRING"};
    case Kind::fibrePoint:
        return {"fibre_points", "Fibre points", "POINT"};
    case Kind::powerTap:
        return {"power_taps", "Power taps", "POINT"};
    case Kind::siteWorks:
        return {"site_works", "Site works", "POINT"};
    case Kind::waiver:
        return {"standing", "Findings that stand, with reason", ""};
    case Kind::antennaCut:
        return {"antenna_cuts", "Antenna cuts", ""};
    case Kind::building:
        return {"buildings", "Buildings", "POLYGON"};
    case Kind::tree:
        return {"trees", "Trees", "POINT"};
    }
    return {};
}

} // namespace fw
