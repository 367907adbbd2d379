// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/kinds.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>

namespace fw {

namespace {

using T = FieldType;

/// Lists of fields one behind the other.
template <std::size_t... N>
constexpr auto joined(const std::array<IntakeField, N>&... lists) {
    std::array<IntakeField, (N + ...)> all{};
    std::size_t at = 0;
    (
        [&] {
            for (const IntakeField& f : lists) all[at++] = f;
        }(),
        ...);
    return all;
}

// The places of points, in one of two ways.
constexpr std::array kPlace{
    IntakeField{"latitude", "latitude", T::latitude, "deg", false,
                "latitude lat breite latwgs84 wgs84lat gpslat gridlat", "36.9312",
                "WGS 84; degrees, or degrees, minutes, seconds"},
    IntakeField{"longitude", "longitude", T::longitude, "deg", false,
                "longitude lon long lng laenge lonwgs84 wgs84lon gpslon gridlon", "-20.4187", "likewise"},
    IntakeField{"east_m", "east", T::plane, "m", false, "east easting ostwert rechtswert xcoord x", "",
                "in the system named with --crs"},
    IntakeField{"north_m", "north", T::plane, "m", false, "north northing nordwert hochwert ycoord y", "",
                "likewise"},
};
// Where a sector's antennas hang and look.
constexpr std::array kDirection{
    IntakeField{"height_m", "height", T::length, "m", false,
                "height antennaheight heightagl agl hba hoehe radiationcentre", "30",
                "radiation centre above ground"},
    IntakeField{"azimuth_deg", "azimuth", T::azimuth, "deg", false,
                "azimuth azi bearing direction richtung azimut", "120", "clockwise from true north"},
    IntakeField{"mechanical_tilt_deg", "mechanical tilt", T::tilt, "deg", false,
                "mechanicaltilt mtilt mechtilt tiltmech mdt", "2", "down positive"},
    IntakeField{"electrical_tilt_deg", "electrical tilt", T::tilt, "deg", false,
                "electricaltilt etilt electilt tiltelec edt ret", "4", "down positive"},
    IntakeField{"tilt_deg", "total tilt", T::tilt, "deg", false, "tilt totaltilt downtilt", "",
                "where the split is not known"},
    IntakeField{"gain_dbi", "antenna gain", T::number, "dBi", false, "gain antennagain", "17", ""},
    IntakeField{"h_beam_deg", "horizontal beamwidth", T::number, "deg", false,
                "hbeam hbeamwidth horizontalbeamwidth hbw beamwidth hpbw", "65", ""},
    IntakeField{"v_beam_deg", "vertical beamwidth", T::number, "deg", false,
                "vbeam vbeamwidth verticalbeamwidth vbw", "7", ""},
    IntakeField{"antenna", "antenna", T::text, "", false, "antenna antennamodel antennatype", "",
                "name of an antenna of the plan"},
};
constexpr std::array kCarrier{
    IntakeField{"technology", "technology", T::choice, "", false, "technology tech rat system", "LTE",
                "LTE or NR"},
    IntakeField{"channel", "channel", T::whole, "", false,
                "channel earfcn earfcndl dlearfcn arfcn nrarfcn nrarfcndl channelnumber dlchannel", "1300",
                "downlink EARFCN or NR-ARFCN"},
    IntakeField{"bandwidth_mhz", "bandwidth", T::number, "MHz", false,
                "bandwidth bw dlbandwidth channelbandwidth", "20", ""},
    IntakeField{"pci", "PCI", T::whole, "", false, "pci physicalcellid physcellid phycellid", "101", ""},
};
constexpr auto kSites = joined(
    std::array{
        IntakeField{"site", "site", T::text, "", false, "site sitename siteid name id standort", "PM-01",
                    "left out: named by number"},
    },
    kPlace);
constexpr auto kSectors = joined(
    std::array{
        IntakeField{"sector", "sector", T::text, "", true, "sector sectorname sectorid name", "PM-01/1", ""},
        IntakeField{"site", "site", T::text, "", true, "site sitename siteid standort", "PM-01", ""},
    },
    kPlace, kDirection);
constexpr auto kCells = joined(
    std::array{
        IntakeField{"cell", "cell", T::text, "", true, "cell cellname cellid celluid eci nci name id zelle",
                    "PM-01/1-L1800", ""},
        IntakeField{"sector", "sector", T::text, "", false, "sector sectorname sectorid", "PM-01/1",
                    "left out: one a direction of the site"},
        IntakeField{"site", "site", T::text, "", false, "site sitename siteid standort enodeb gnodeb",
                    "PM-01", ""},
    },
    kPlace, kDirection, kCarrier,
    std::array{
        IntakeField{"duplex", "duplex", T::choice, "", false, "duplex duplexmode", "FDD", "FDD or TDD"},
        IntakeField{"downlink_share", "downlink share", T::share, "1", false, "downlinkshare dlshare dlratio",
                    "", "of time; for TDD"},
        IntakeField{"scs_khz", "subcarrier spacing", T::whole, "kHz", false, "scs subcarrierspacing", "", ""},
        IntakeField{"reference_power_dbm", "reference-signal power", T::level, "dBm", false,
                    "referencepower rspower rsepre referencesignalpower crspower ssbpower", "18.2",
                    "per resource element and port"},
        IntakeField{"total_power_dbm", "total power", T::level, "dBm", false,
                    "totalpower power txpower maxpower outputpower", "", "all ports together"},
        IntakeField{"ports", "number of ports", T::whole, "", false, "ports txports antennaports mimo", "2",
                    ""},
        IntakeField{"root_sequence", "root sequence", T::whole, "", false,
                    "rootsequence rootsequenceindex prachrootsequence prachrootsequenceindex rsi prachrsi "
                    "logicalrootsequence",
                    "12", "the first logical one, 0 to 837"},
        IntakeField{"tracking_area", "tracking area", T::whole, "", false,
                    "trackingarea trackingareacode tac", "4001", "its code as a decimal number"},
        IntakeField{"cell_identity", "cell identity", T::whole, "", false,
                    "cellidentity eutrancellidentity nrcellidentity eci nci", "230401",
                    "ECI or NCI, base station included"},
    });
constexpr std::array kCounters{
    IntakeField{"cell", "cell", T::text, "", true, "cell cellname cellid celluid eci nci name object zelle",
                "PM-01/1-L1800", "as in the plan"},
    IntakeField{"time", "day and hour", T::hour, "", true,
                "time datetime timestamp begintime starttime periodstart zeit date datum day",
                "2026-10-05 18:00", "local clock; an offset from UTC may follow"},
    IntakeField{"hour", "hour", T::text, "", false, "hour hh stunde uhrzeit", "",
                "where the hour has a column of its own"},
    IntakeField{"dl_prb_use", "downlink PRB use", T::share, "1", false,
                "dlprbuse dlprb prbdl prbuse dlprbutilization dlprbutilisation prbutilization "
                "prbutilisation dlprbusage prbusagedl prbload dlload",
                "71 %", ""},
    IntakeField{"ul_prb_use", "uplink PRB use", T::share, "1", false,
                "ulprbuse ulprb prbul ulprbutilization ulprbutilisation ulprbusage prbusageul ulload", "38 %",
                ""},
    IntakeField{"users", "active users", T::number, "", false,
                "users activeusers avgusers averageusers rrcusers rrcconnected ues activeues", "42", ""},
    IntakeField{"user_throughput_mbps", "user throughput", T::number, "Mbit/s", false,
                "userthroughput throughput dluserthroughput userthp thp dlthroughput", "2.7", ""},
    IntakeField{"control_use", "control-channel use", T::share, "1", false,
                "controluse cceuse pdcchuse cceutilization pdcchutilization", "", ""},
    IntakeField{"connected_use", "connected users, of those admitted", T::share, "1", false,
                "connecteduse connectedshare rrcuse rrcconnectedshare", "", ""},
};
constexpr std::array kTimingAdvance{
    IntakeField{"cell", "cell", T::text, "", true, "cell cellname cellid celluid eci nci name zelle",
                "PM-01/1-L1800", "as in the plan"},
    IntakeField{"step", "timing-advance step", T::whole, "", false, "step ta tastep timingadvance bin index",
                "3", "one row a step; or columns ta0, ta1, ..."},
    IntakeField{"samples", "samples", T::number, "", false, "samples count n number hits", "1250", ""},
};
constexpr std::array kCqi{
    IntakeField{"cell", "cell", T::text, "", true, "cell cellname cellid celluid eci nci name zelle",
                "PM-01/1-L1800", "as in the plan"},
    IntakeField{"step", "CQI", T::whole, "", false, "step cqi cqiindex bin index", "7",
                "one row a value 0 to 15; or columns cqi0, cqi1, ..."},
    IntakeField{"samples", "samples", T::number, "", false, "samples count n number hits", "1250", ""},
};
constexpr auto kMounts = joined(
    std::array{
        IntakeField{"name", "name", T::text, "", false, "name mount id mountid candidate candidateid poleid",
                    "W-101", ""},
    },
    kPlace,
    std::array{
        IntakeField{"kind", "kind", T::choice, "", false, "kind type mounttype structure art", "wall",
                    "pole, wall, parapet or roof"},
        IntakeField{"height_m", "height", T::length, "m", false,
                    "height heightagl agl hoehe antennaheight mountheight", "7",
                    "radiation centre above the lowest ground ahead; left out: 7 m"},
        IntakeField{"faces_deg", "outward direction", T::azimuth, "deg", false,
                    "faces facing wallazimuth outward orientation", "145", "of a wall or parapet"},
        IntakeField{"tilts_deg", "allowed tilts", T::list, "deg", false, "tilts allowedtilts", "0 3 6 9", ""},
        IntakeField{"owner", "owner", T::text, "", false, "owner landlord eigentuemer", "Harbour office", ""},
        IntakeField{"access", "access", T::text, "", false, "access zugang", "stairs, key at the desk", ""},
        IntakeField{"consent", "consent", T::choice, "", false, "consent permission", "asked",
                    "unknown, asked, given or refused"},
        IntakeField{"line_clearance_m", "surveyed distance to lines", T::length, "m", false,
                    "lineclearance linedistance clearance", "", ""},
        IntakeField{"fibre_m", "fibre run", T::length, "m", false, "fibre fibrem fiber fiberm fibrerun", "",
                    ""},
        IntakeField{"power_m", "power run", T::length, "m", false, "powerm powerrun cablelength", "", ""},
        IntakeField{"earth_possible", "earth possible", T::yes, "", false, "earth earthpossible grounding",
                    "", ""},
        IntakeField{"azimuth_deg", "azimuth of a small cell", T::azimuth, "deg", false,
                    "azimuth azi azimut bearing", "", "with a channel: puts a small cell on it, not chosen"},
    },
    kCarrier);
constexpr std::array kOutline{
    IntakeField{"wkt", "outline", T::text, "", false, "wkt geom geometry outline shape", "",
                "of text files: well-known text"},
};
constexpr auto kAreas = joined(
    kOutline, std::array{
                  IntakeField{"name", "name", T::text, "", false, "name id area label", "Fish market", ""},
                  IntakeField{"demand_factor", "demand factor", T::number, "", false,
                              "demandfactor factor weight", "1.5", "multiplies demand inside"},
              });
constexpr auto kBuildings = joined(
    kOutline,
    std::array{
        IntakeField{
            "height_m", "height", T::length, "m", false,
            "height heightm buildingheight bldgheight hoehe hauteur altura measuredheight hgt zheight "
            "maxheight heightroof roofheight",
            "9.6", "roof above ground; left out: storeys, else the default"},
        IntakeField{"storeys", "storeys", T::number, "", false,
                    "storeys stories levels buildinglevels buildinglevel floors nfloors numfloors "
                    "storeysaboveground geschosse "
                    "etages",
                    "3", "3.2 m each where no height is given"},
        IntakeField{"building_use", "use", T::choice, "", false,
                    "buildinguse use usage function building type", "residential",
                    "residential, commercial, office, industrial, public or other"},
        IntakeField{"entry", "kind of facade", T::choice, "", false, "entry facade", "",
                    "traditional or efficient (P.2109)"},
        IntakeField{"parapet_m", "parapet", T::length, "m", false, "parapet parapetm parapetheight", "", ""},
        IntakeField{"name", "name", T::text, "", false, "name label buildingname", "", ""},
    });
constexpr auto kObstructions = joined(
    kOutline, std::array{
                  IntakeField{"height_m", "height", T::length, "m", false,
                              "height heightm hoehe hauteur altura hgt top", "4", "top above ground"},
                  IntakeField{"width_m", "width", T::length, "m", false, "width widthm thickness breite",
                              "0.5", "of walls given as lines, of posts given as points"},
                  IntakeField{"name", "name", T::text, "", false, "name label id type kind", "Billboard", ""},
              });
constexpr auto kTrees =
    joined(kPlace, std::array{
                       IntakeField{"top_m", "top", T::length, "m", false,
                                   "top topm height heightm hoehe treeheight hgt", "9", "left out: 8 m"},
                       IntakeField{"crown_radius_m", "crown radius", T::length, "m", false,
                                   "crownradius radius crownr", "3", ""},
                       IntakeField{"crown_diameter_m", "crown diameter", T::length, "m", false,
                                   "crowndiameter diametercrown crown diameter crownwidth spread", "", ""},
                       IntakeField{"crown_bottom_m", "lower edge of the crown", T::length, "m", false,
                                   "crownbottom crownbase bottom", "2.5", ""},
                   });
constexpr auto kLines = joined(
    kOutline,
    std::array{
        IntakeField{"name", "name", T::text, "", false, "name id label ref", "11 kV ring", ""},
        IntakeField{"lowest_m", "lowest height", T::length, "m", false,
                    "lowest lowestm height clearance sag minheight", "7", "above ground; left out: 7 m"},
        IntakeField{"kilovolts", "voltage", T::number, "kV", false, "kilovolts voltage kv volts spannung",
                    "11", "left out: unknown, treated as the worst"},
    });
constexpr auto kFibre = joined(
    std::array{
        IntakeField{"name", "name", T::text, "", false, "name id label ref", "Closure 14", ""},
    },
    kPlace,
    std::array{
        IntakeField{"wkt", "route", T::text, "", false, "wkt geom geometry route shape", "",
                    "of text files: a route as well-known text, in place of latitude and longitude"},
    });
constexpr auto kPower = joined(
    std::array{
        IntakeField{"name", "name", T::text, "", false, "name id label ref", "Feeder box 9", ""},
    },
    kPlace,
    std::array{
        IntakeField{"volts", "voltage", T::number, "V", false, "volts voltage v spannung", "230", ""},
        IntakeField{"phases", "phases", T::whole, "", false, "phases phase", "1", ""},
    });
constexpr auto kStreets = joined(
    kOutline,
    std::array{
        IntakeField{"name", "name", T::text, "", false, "name streetname strname road label", "Quay Street",
                    ""},
        IntakeField{"width_m", "width", T::length, "m", false, "width widthm breite", "8", "left out: 8 m"},
    });
constexpr std::array kAntennas{
    IntakeField{"antenna", "antenna", T::text, "", true, "antenna name model", "Panel 65", ""},
    IntakeField{"plane", "plane", T::choice, "", true, "plane cut", "horizontal", "horizontal or vertical"},
    IntakeField{"angle_deg", "angle", T::number, "deg", true, "angle phi theta direction", "10",
                "off boresight; in the vertical cut up positive"},
    IntakeField{"loss_db", "loss", T::number, "dB", true, "loss attenuation att", "0.3",
                "down from the peak, positive"},
    IntakeField{"gain_dbi", "gain", T::number, "dBi", false, "gain antennagain peakgain", "17", ""},
};
constexpr auto kMeasurements = joined(
    kPlace,
    std::array{
        IntakeField{"rsrp_dbm", "RSRP", T::level, "dBm", true,
                    "rsrp rsrpdbm rsrpavg rsrpmean meanrsrp ssrsrp level signal signalstrength", "-97.5", ""},
        IntakeField{"cell", "cell", T::text, "", false, "cell cellname cellid celluid eci nci zelle",
                    "PM-01/1-L1800", "or PCI and channel"},
    },
    kCarrier,
    std::array{
        IntakeField{"indoor", "indoors", T::yes, "", false, "indoor inside", "", ""},
    });

using K = IntakeKind;
using P = PlaceNeed;
constexpr std::array<IntakeKindInfo, kIntakeKinds> kKinds{{
    {K::sites, "sites", "macro sites", "A row is a macro site.", P::point, false, kSites},
    {K::sectors, "sectors", "sectors", "A row is a sector of a macro site.", P::pointMaybe, false, kSectors},
    {K::cells, "cells", "cells", "A row is a cell; its site and sector are made where the plan has none.",
     P::pointMaybe, false, kCells},
    {K::counters, "counters", "counters", "A row is one hour of one cell.", P::none, false, kCounters},
    {K::timingAdvance, "timing-advance", "timing-advance histograms",
     "A row is a cell with a column a step, or one step of a cell.", P::none, false, kTimingAdvance},
    {K::cqi, "cqi", "CQI histograms", "A row is a cell with a column a value, or one value of a cell.",
     P::none, false, kCqi},
    {K::mounts, "mounts", "mounts", "A row is something a small cell could be fixed to.", P::point, false,
     kMounts},
    {K::areas, "areas", "congestion areas", "A row is the outline of ground to be relieved.", P::area, false,
     kAreas},
    {K::buildings, "buildings", "buildings", "A row is a building's footprint.", P::area, false, kBuildings},
    {K::obstructions, "obstructions", "other obstructions",
     "A row is a wall, a billboard, a tank: anything solid that is no building.", P::area, false,
     kObstructions},
    {K::trees, "trees", "trees", "A row is a tree.", P::point, false, kTrees},
    {K::lines, "lines", "overhead lines", "A row is an overhead line.", P::line, false, kLines},
    {K::fibre, "fibre", "fibre points",
     "A row is a place where fibre can be joined, or a route with one at each corner.", P::point, false,
     kFibre},
    {K::power, "power", "power taps", "A row is a place where power can be had.", P::point, false, kPower},
    {K::streets, "streets", "streets", "A row is the middle line of a street.", P::line, false, kStreets},
    {K::antennas, "antennas", "antenna cuts", "A row is one angle of one cut of an antenna.", P::none, false,
     kAntennas},
    {K::measurements, "measurements", "measurements", "A row is one measured level at one place.", P::point,
     false, kMeasurements},
    {K::terrain, "terrain", "terrain", "A raster of ground heights.", P::none, true, {}},
    {K::demand, "demand", "demand", "A raster of demand.", P::none, true, {}},
    {K::landCover, "land-cover", "land cover", "A raster of classes of ground.", P::none, true, {}},
}};

} // namespace

const IntakeKindInfo& infoOf(IntakeKind kind) { return kKinds[static_cast<std::size_t>(kind)]; }

std::optional<IntakeKind> intakeKindNamed(std::string_view name) {
    for (const IntakeKindInfo& info : kKinds)
        if (name == info.name) return info.kind;
    return std::nullopt;
}

int fieldNumber(const IntakeKindInfo& info, std::string_view name) {
    for (std::size_t k = 0; k < info.fields.size(); ++k)
        if (name == info.fields[k].name) return static_cast<int>(k);
    return -1;
}

namespace {

// Letters with marks that European headers carry, as two bytes of UTF-8 each.
struct Plain {
    std::string_view marked, plain;
};
constexpr std::array kPlain{
    Plain{"ä", "ae"}, Plain{"ö", "oe"}, Plain{"ü", "ue"}, Plain{"Ä", "ae"}, Plain{"Ö", "oe"},
    Plain{"Ü", "ue"}, Plain{"ß", "ss"}, Plain{"é", "e"},  Plain{"É", "e"},  Plain{"è", "e"},
    Plain{"ê", "e"},  Plain{"à", "a"},  Plain{"á", "a"},  Plain{"ã", "a"},  Plain{"ç", "c"},
    Plain{"ó", "o"},  Plain{"ô", "o"},  Plain{"í", "i"},  Plain{"ú", "u"},  Plain{"ñ", "n"},
    Plain{"å", "a"},  Plain{"ø", "o"},  Plain{"æ", "ae"},
};

std::string folded(std::string_view text) {
    std::string out;
    for (std::size_t k = 0; k < text.size();) {
        const char c = text[k];
        if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9')) out += c;
        if (c >= 'A' && c <= 'Z') out += static_cast<char>(c - 'A' + 'a');
        const auto mark = std::find_if(kPlain.begin(), kPlain.end(),
                                       [&](const Plain& p) { return text.substr(k).starts_with(p.marked); });
        if (mark == kPlain.end()) {
            ++k;
            continue;
        }
        out += mark->plain;
        k += mark->marked.size();
    }
    return out;
}

// Units as headers write them, and as the fields do.
struct UnitWord {
    std::string_view written, unit;
};
constexpr std::array kUnitWords{
    UnitWord{"m", "m"},         UnitWord{"metres", "m"},      UnitWord{"meters", "m"},
    UnitWord{"metre", "m"},     UnitWord{"meter", "m"},       UnitWord{"ft", "ft"},
    UnitWord{"feet", "ft"},     UnitWord{"foot", "ft"},       UnitWord{"km", "km"},
    UnitWord{"cm", "cm"},       UnitWord{"deg", "deg"},       UnitWord{"degrees", "deg"},
    UnitWord{"degree", "deg"},  UnitWord{"\u00b0", "deg"},    UnitWord{"rad", "rad"},
    UnitWord{"radians", "rad"}, UnitWord{"%", "%"},           UnitWord{"pct", "%"},
    UnitWord{"percent", "%"},   UnitWord{"dbm", "dBm"},       UnitWord{"dbw", "dBW"},
    UnitWord{"w", "W"},         UnitWord{"watt", "W"},        UnitWord{"watts", "W"},
    UnitWord{"mw", "mW"},       UnitWord{"mhz", "MHz"},       UnitWord{"khz", "kHz"},
    UnitWord{"db", "dB"},       UnitWord{"dbi", "dBi"},       UnitWord{"kv", "kV"},
    UnitWord{"v", "V"},         UnitWord{"mbps", "Mbit/s"},   UnitWord{"mbit/s", "Mbit/s"},
    UnitWord{"kbps", "kbit/s"}, UnitWord{"kbit/s", "kbit/s"},
};

} // namespace

std::string unitOfWord(std::string_view text) {
    std::string low;
    for (const char c : text)
        if (c != ' ' && c != '.') low += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    for (const UnitWord& u : kUnitWords)
        if (low == u.written) return std::string(u.unit);
    return {};
}

FoldedHeader foldedHeader(std::string_view column) {
    FoldedHeader out;
    while (!column.empty() && column.back() == ' ') column.remove_suffix(1);
    if (!column.empty() && (column.back() == ')' || column.back() == ']')) {
        const std::size_t open = column.find_last_of("([");
        if (open != std::string_view::npos && open > 0) {
            out.unit = unitOfWord(column.substr(open + 1, column.size() - open - 2));
            if (!out.unit.empty()) column = column.substr(0, open);
        }
    }
    const std::size_t part = column.find_last_of("_ ");
    if (out.unit.empty() && part != std::string_view::npos && part > 0) {
        out.unit = unitOfWord(column.substr(part + 1));
        if (!out.unit.empty()) column = column.substr(0, part);
    }
    if (out.unit.empty() && column.ends_with("%")) out.unit = "%";
    out.name = folded(column);
    return out;
}

namespace {

// One angle of one cut says nothing: an antenna of 65 and 7 deg, 3GPP's parabola (TR 36.814, Table
// A.2.1.1-2).
std::string wholeAntenna(const IntakeKindInfo& info) {
    std::string out;
    for (const IntakeField& f : info.fields) out += (out.empty() ? "" : ",") + std::string(f.name);
    out += '\n';
    const auto add = [&](const char* plane, int deg, double beamDeg, double mostDb) {
        out += fmt::format("Panel 65,{},{},{:.1f},17\n", plane, deg,
                           std::min(12.0 * (deg / beamDeg) * (deg / beamDeg), mostDb));
    };
    for (int deg = -180; deg < 180; deg += 30) add("horizontal", deg, 65, 25);
    for (const int deg : {-90, -60, -30, -15, -10, -7, -3, 0, 3, 7, 10, 15, 30, 60, 90})
        add("vertical", deg, 7, 20);
    return out;
}

} // namespace

std::string templateOf(IntakeKind kind) {
    const IntakeKindInfo& info = infoOf(kind);
    if (info.raster) return {};
    if (kind == IntakeKind::antennas) return wholeAntenna(info);
    std::string head, row;
    const auto add = [](std::string& line, std::string_view text) {
        if (!line.empty()) line += ',';
        const bool quote = text.find_first_of(",\"") != std::string_view::npos;
        line += quote ? fmt::format("\"{}\"", text) : std::string(text);
    };
    for (const IntakeField& f : info.fields) {
        const bool shape = std::string_view(f.name) == "wkt" && info.place != PlaceNeed::point;
        if (*f.example == '\0' && !f.needed && !shape) continue;
        add(head, f.name);
        add(row, !shape                          ? f.example
                 : info.place == PlaceNeed::line ? "LINESTRING (-20.4187 36.9312, -20.4180 36.9318)"
                                                 : "POLYGON ((-20.4187 36.9312, -20.4180 36.9312, -20.4180 "
                                                   "36.9318, -20.4187 36.9312))");
    }
    return head + "\n" + row + "\n";
}

} // namespace fw
