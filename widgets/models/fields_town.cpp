// SPDX-License-Identifier: GPL-3.0-or-later
// Fields of macros and of the town.
#include "models/field_makers.h"

namespace fw::field_making {

namespace {
template <class T>
void addName(std::vector<ItemField>& f, const QString& meaning) {
    f.push_back(text<T>(
        "name", FieldText::tr("Name"), meaning, [](T & t) -> auto& { return t.name; }));
}
} // namespace

std::vector<ItemField> macroSiteFields() {
    std::vector<ItemField> f;
    addName<MacroSite>(f, FieldText::tr("What people call the site."));
    addPlace<MacroSite>(f);
    return f;
}

std::vector<ItemField> sectorFields() {
    using S = Sector;
    std::vector<ItemField> f;
    addName<S>(f, FieldText::tr("What people call the sector."));
    f.push_back(number<S>(
        "height_m", FieldText::tr("Height"), kM, 1, {0, 500}, FieldText::tr("Antenna above the ground."),
        [](S & s) -> auto& { return s.height.m; }));
    f.push_back(number<S>(
        "azimuth_deg", FieldText::tr("Azimuth, true"), kDeg, 1, {0, 360},
        FieldText::tr("Direction of the beam, clockwise from true north."),
        [](S & s) -> auto& { return s.azimuth; }));
    f.push_back(number<S>(
        "mechanical_tilt_deg", FieldText::tr("Mechanical tilt"), kDeg, 1, {-90, 90},
        FieldText::tr("By the bracket, down positive."), [](S & s) -> auto& { return s.mechanicalTiltDeg; }));
    f.push_back(number<S>(
        "electrical_tilt_deg", FieldText::tr("Electrical tilt"), kDeg, 1, {-90, 90},
        FieldText::tr("Inside the antenna, down positive."),
        [](S & s) -> auto& { return s.electricalTiltDeg; }));
    f.push_back(number<S>(
        "gain_dbi", FieldText::tr("Gain"), kDbi, 1, {-40, 60},
        FieldText::tr("Of the antenna at its best, where it has no measured cut."),
        [](S & s) -> auto& { return s.gainDbi; }));
    f.push_back(number<S>(
        "h_beam_deg", FieldText::tr("Beam across"), kDeg, 1, {1, 360},
        FieldText::tr("Half-power beamwidth in the horizontal plane."),
        [](S & s) -> auto& { return s.hBeamDeg; }));
    f.push_back(number<S>(
        "v_beam_deg", FieldText::tr("Beam upright"), kDeg, 1, {1, 360},
        FieldText::tr("Half-power beamwidth in the vertical plane."),
        [](S & s) -> auto& { return s.vBeamDeg; }));
    return f;
}

namespace {

std::vector<ItemField> buildingFields() {
    using B = Building;
    std::vector<ItemField> f;
    addName<B>(f, FieldText::tr("What people call the building; may be empty."));
    f.push_back(number<B>(
        "height_m", FieldText::tr("Height"), kM, 1, {0, 1000},
        FieldText::tr("Roof above the lowest ground under the footprint."),
        [](B & b) -> auto& { return b.heightM; }));
    f.push_back(number<B>(
        "storeys", FieldText::tr("Storeys"), {}, 0, {0, 300},
        FieldText::tr("Full storeys; demand indoors goes with them."),
        [](B & b) -> auto& { return b.storeys; }));
    f.push_back(choice<B>(
        "building_use", FieldText::tr("Use"),
        {FieldText::tr("residential"), FieldText::tr("commercial"), FieldText::tr("office"),
         FieldText::tr("industrial"), FieldText::tr("public"), FieldText::tr("other")},
        FieldText::tr("What the building is used for."), [](B & b) -> auto& { return b.use; }));
    f.push_back(choice<B>(
        "entry", FieldText::tr("Walls"),
        {FieldText::tr("unknown"), FieldText::tr("traditional"), FieldText::tr("efficient")},
        FieldText::tr("How much the walls and panes keep out: thermally efficient ones more."),
        [](B & b) -> auto& { return b.entry; }));
    f.push_back(number<B>(
        "parapet_m", FieldText::tr("Parapet"), kM, 1, {0, 100},
        FieldText::tr("Wall round the roof, above it."), [](B & b) -> auto& { return b.parapetM; }));
    return f;
}

std::vector<ItemField> treeFields() {
    using T = Tree;
    std::vector<ItemField> f;
    addPlace<T>(f);
    f.push_back(number<T>(
        "top_m", FieldText::tr("Top"), kM, 1, {0, 200}, FieldText::tr("Above the ground."),
        [](T & t) -> auto& { return t.topM; }));
    f.push_back(number<T>(
        "crown_radius_m", FieldText::tr("Crown radius"), kM, 1, {0, 100},
        FieldText::tr("From the trunk to the edge of the crown."),
        [](T & t) -> auto& { return t.crownRadiusM; }));
    f.push_back(number<T>(
        "crown_bottom_m", FieldText::tr("Crown from"), kM, 1, {},
        FieldText::tr("Lower edge of the crown above the ground."),
        [](T & t) -> auto& { return t.crownBottomM; }));
    return f;
}

std::vector<ItemField> lineFields() {
    using L = OverheadLine;
    std::vector<ItemField> f;
    addName<L>(f, FieldText::tr("What people call the line."));
    f.push_back(number<L>(
        "lowest_m", FieldText::tr("Lowest wire"), kM, 1, {0, 500},
        FieldText::tr("Above the ground, where it hangs lowest."),
        [](L & l) -> auto& { return l.lowest.m; }));
    f.push_back(number<L>(
        "kilovolts", FieldText::tr("Voltage"), QStringLiteral("kV"), 1, {0, 2000},
        FieldText::tr("Empty: unknown, taken as the worst."), [](L & l) -> auto& { return l.kilovolts; }));
    return f;
}

} // namespace

std::vector<ItemField> townFields(Kind kind) {
    std::vector<ItemField> f;
    switch (kind) {
    case Kind::congestionArea:
        addName<CongestionArea>(f, FieldText::tr("What people call the area."));
        f.push_back(number<CongestionArea>(
            "demand_factor", FieldText::tr("Demand factor"), {}, 2, {0, 1000},
            FieldText::tr("Multiplies the demand inside."),
            [](CongestionArea & a) -> auto& { return a.demandFactor; }));
        return f;
    case Kind::building:
        return buildingFields();
    case Kind::tree:
        return treeFields();
    case Kind::overheadLine:
        return lineFields();
    case Kind::street:
        addName<Street>(f, FieldText::tr("What people call the street."));
        f.push_back(number<Street>(
            "width_m", FieldText::tr("Width"), kM, 1, {0, 500}, FieldText::tr("Between the fronts or kerbs."),
            [](Street & s) -> auto& { return s.widthM; }));
        return f;
    case Kind::fibrePoint:
        addName<FibrePoint>(f, FieldText::tr("What people call the fibre point."));
        addPlace<FibrePoint>(f);
        return f;
    case Kind::powerTap:
        addName<PowerTap>(f, FieldText::tr("What people call the power tap."));
        addPlace<PowerTap>(f);
        f.push_back(number<PowerTap>(
            "volts", FieldText::tr("Voltage"), QStringLiteral("V"), 0, {1, 1e6},
            FieldText::tr("Of the supply."), [](PowerTap & p) -> auto& { return p.volts; }));
        f.push_back(number<PowerTap>(
            "phases", FieldText::tr("Phases"), {}, 0, {1, 3}, FieldText::tr("Of the supply."),
            [](PowerTap & p) -> auto& { return p.phases; }));
        return f;
    default:
        return f;
    }
}

} // namespace fw::field_making
