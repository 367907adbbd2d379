// SPDX-License-Identifier: GPL-3.0-or-later
// Every value type of a plan. Plain values: equality is by content, nothing points to anything, other items
// are named by id. Places are plane metres of the plan's frame; azimuths are true; heights say above what.
#pragma once

#include "base/id.h"
#include "base/technology.h"
#include "base/units.h"
#include "geo/declination.h"
#include "geo/shape.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fw {

/// Where macro antennas stand.
struct MacroSite {
    ItemId id;
    std::string name;
    PlanePoint at;
    bool operator==(const MacroSite&) const = default;
};

/// One direction of a macro site: antenna position, height and pattern, shared by its cells.
struct Sector {
    ItemId id, site;
    std::string name;
    HeightAgl height{30};
    TrueAzimuth azimuth;
    double mechanicalTiltDeg = 0; ///< down positive
    double electricalTiltDeg = 4; ///< down positive
    ItemId antenna;               ///< AntennaCut, or none: the parabolic cuts below
    double gainDbi = 17, hBeamDeg = 65, vBeamDeg = 7;
    bool operator==(const Sector&) const = default;
};

enum class Duplex : std::uint8_t { fdd, tdd };

/// Carrier of a macro cell or a small cell.
struct Carrier {
    Technology technology = Technology::lte;
    std::int32_t channel = 1300; ///< downlink EARFCN or NR-ARFCN
    double bandwidthMHz = 20;
    Duplex duplex = Duplex::fdd;
    double downlinkShare = 1; ///< of time; 1 for FDD, about 0.74 for TDD
    std::int32_t scsKHz = 15;
    bool operator==(const Carrier&) const = default;
};

/// Measured busy-hour load of a macro cell. What was not measured is absent, never zero.
struct CellLoad {
    std::string date;                         ///< YYYY-MM-DD of the last day counted
    std::int32_t hour = -1;                   ///< 0..23 local, -1 unknown
    std::optional<double> dlPrbUse;           ///< mean of the daily busy hours, share 0..1
    std::optional<double> ulPrbUse;           ///< likewise
    std::vector<double> dailyDlPrbUse;        ///< one per day, share 0..1; for the trigger
    std::optional<double> users;              ///< mean active users in the busy hour
    std::optional<double> userThroughputMbps; ///< mean user throughput in the busy hour
    std::vector<double> timingAdvance;        ///< samples per step; may be empty
    std::vector<double> cqi;                  ///< samples per CQI 0..15; may be empty
    bool operator==(const CellLoad&) const = default;
};

/// What the network knows a cell by beside its PCI. What is not known is absent.
struct CellIdentity {
    std::optional<std::int64_t> rootSequence; ///< first logical root sequence of random access, 0..837
    std::optional<std::int64_t> trackingArea; ///< code: 16 bits in LTE, 24 in NR
    std::optional<std::int64_t> cell;         ///< ECI (28 bits) or NCI (36 bits), base station included
    bool operator==(const CellIdentity&) const = default;
};

/// One carrier of a sector: what is full or idle.
struct Cell {
    ItemId id, sector;
    std::string name;
    Carrier carrier;
    std::optional<double> referencePowerDbm; ///< per resource element and port
    std::optional<double> totalPowerDbm;     ///< all ports together; used when the former is absent
    std::int32_t ports = 2;
    std::int32_t pci = 0;
    double offsetDb = 0; ///< calibration, added to the predicted level
    CellIdentity identity;
    CellLoad load;
    bool operator==(const Cell&) const = default;
};

/// Ground that must be relieved, drawn or taken from a fringe.
struct CongestionArea {
    ItemId id;
    std::string name;
    Polygon area;
    double demandFactor = 1; ///< multiplies demand inside
    bool operator==(const CongestionArea&) const = default;
};

enum class MountKind : std::uint8_t { pole, wall, parapet, roof };
enum class ConsentState : std::uint8_t { unknown, asked, given, refused };

/// Something a small cell can be fixed to.
struct Mount {
    ItemId id;
    std::string name;
    MountKind kind = MountKind::pole;
    PlanePoint at;
    HeightAgl height{7};                      ///< radiation centre above the lowest ground within 10 m ahead
    std::optional<TrueAzimuth> faces;         ///< outward normal of its wall or parapet; absent for poles
    std::vector<double> tiltsDeg{0, 3, 6, 9}; ///< that its bracket allows, down positive
    std::optional<double>
        lineKnownClearanceM;      ///< surveyed distance to the nearest overhead line; absent: not surveyed
    bool linesSurveyed = false;   ///< true: the overhead lines near it are all in the plan
    std::optional<double> fibreM; ///< length of the fibre run, absent: from the plan's fibre points
    std::optional<double> powerM; ///< length of the power run, likewise
    bool earthPossible = true;    ///< ground at the foot takes a rod
    ConsentState consent = ConsentState::unknown;
    std::string owner, access;
    bool gnssTiming = true; ///< false: timing comes over the backhaul
    bool operator==(const Mount&) const = default;
};

/// One antenna on a mount.
struct Radio {
    ItemId id, mount;
    std::string name;
    TrueAzimuth azimuth;
    double tiltDeg = 3;        ///< down positive
    double totalPowerDbm = 37; ///< all ports together, per carrier, at the antenna port
    std::int32_t ports = 2;
    ItemId antenna; ///< AntennaCut, or none: the parabolic cuts below
    double gainDbi = 8, hBeamDeg = 65, vBeamDeg = 30;
    bool aimLocked =
        false; ///< the planner's word: no search and no move of its mount changes azimuth and tilt
    bool operator==(const Radio&) const = default;
};

/// A cell on a radio, in one variant of the plan.
struct SmallCell {
    ItemId id, radio, variant;
    std::string name;
    Carrier carrier;
    double biasDb = 0;
    std::int32_t pci = 0;
    CellIdentity identity;
    bool chosen = true; ///< takes load in its variant; a candidate that is not chosen is reviewed alone
    bool operator==(const SmallCell&) const = default;
};

/// An alternative set of small cells.
struct Variant {
    ItemId id;
    std::string name;
    bool operator==(const Variant&) const = default;
};

enum class BuildingUse : std::uint8_t { residential, commercial, office, industrial, public_, other };
enum class EntryKind : std::uint8_t { unknown, traditional, efficient };

/// Footprint corners are kept to the millimetre.
struct Building {
    ItemId id;
    Polygon footprint;
    double heightM = 6; ///< roof above the lowest ground under the footprint
    std::int32_t storeys = 2;
    BuildingUse use = BuildingUse::residential;
    EntryKind entry = EntryKind::unknown;
    double parapetM = 1.0;
    std::string name; ///< mostly empty
    bool operator==(const Building&) const = default;
};

struct Tree {
    ItemId id;
    PlanePoint at;
    double crownRadiusM = 3, topM = 8, crownBottomM = 2.5;
    bool operator==(const Tree&) const = default;
};

/// An overhead line.
struct OverheadLine {
    ItemId id;
    std::string name;
    Line path;
    HeightAgl lowest{7};
    std::optional<double> kilovolts; ///< absent: unknown, treated as the worst
    bool operator==(const OverheadLine&) const = default;
};

struct Street {
    ItemId id;
    std::string name;
    Line path;
    double widthM = 8;
    bool operator==(const Street&) const = default;
};

struct FibrePoint {
    ItemId id;
    std::string name;
    PlanePoint at;
    bool operator==(const FibrePoint&) const = default;
};

struct PowerTap {
    ItemId id;
    std::string name;
    PlanePoint at;
    double volts = 230;
    std::int32_t phases = 1;
    bool operator==(const PowerTap&) const = default;
};

/// What has to be built at one mount beside the radios.
struct SiteWorks {
    ItemId id, mount;
    std::string cabinet, pole, earthPit, camouflage, remark;
    bool operator==(const SiteWorks&) const = default;
};

/// "Stands, because": a finding that stays, with its reason and what was measured on that day.
struct Waiver {
    ItemId id;
    std::string rule;
    std::vector<ItemId> subjects; ///< ascending
    ItemId variant;
    std::string reason;    ///< required, never empty
    std::string who, when; ///< when: YYYY-MM-DD
    double measured = 0, limit = 0;
    std::string unit;
    bool operator==(const Waiver&) const = default;
};

/// A measured antenna: loss by angle off boresight in two planes (dB, positive down from the peak).
struct AntennaCut {
    ItemId id;
    std::string name;
    double gainDbi = 0;
    std::vector<double> horizontalDeg, horizontalLossDb;
    std::vector<double> verticalDeg, verticalLossDb; ///< elevation, up positive
    bool operator==(const AntennaCut&) const = default;
};

} // namespace fw
