// SPDX-License-Identifier: GPL-3.0-or-later
// What a plan holds once: frame, date, terrain, model values, weights, limits.
#pragma once

#include "base/id.h"
#include "geo/declination.h"
#include "geo/shape.h"
#include "plan/model_choices.h"

#include <cstdint>
#include <map>
#include <string>

namespace fw {

/// Values of the computation that a planner may replace by figures of their own. The origin of each default
/// stands beside it: [pub] a published source, [prac] common practice, [own] our judgement.
struct ModelSettings {
    double macroSigmaDb = 6; ///< shadowing of macros; TR 38.901 table 7.4.1-1, UMa NLOS [pub]
    double smallSigmaDb = 7; ///< shadowing of small cells; between P.1411-11 table 4's 5.1 and 7.6 [pub]
    double shadowCorrelation = 0.5;  ///< between sites [prac]
    double noiseFigureDb = 9;        ///< of a device; TR 36.942 table 12.2 [pub]
    double servedFromDbm = -124;     ///< RSRP below which nobody serves [prac]
    double ownCarrierFromDbm = -110; ///< RSRP at which a device moves to a small cell's own carrier [prac]
    double ownCarrierShare = 0.9;    ///< of devices with that band [own]
    double indoorShare = 0.8;        ///< of a cell's bits that are used indoors [prac]
    double edgeExponent = 0.3;       ///< demand goes with efficiency to this power [own]
    double fixedUse = 0.05;          ///< PRB use that cannot move: common channels, paging [own]
    double idleFloorLte2 = 0.10; ///< power of an idle LTE cell, two ports; TS 36.211 reference signals [pub]
    double idleFloorLte4 = 0.14; ///< the same with four ports [pub]
    double idleFloorNr = 0.05;   ///< of an idle NR cell [own]
    double smallUseCap = 0.70;   ///< a small cell's own use stays below [prac]
    double smallUsePlanned = 0.50;    ///< at which neighbours reckon with it in the live ledger [own]
    double biasCeilingDb = 6;         ///< without interference coordination [prac]
    double targetUse = 0.60;          ///< what a congested cell must come down to [prac]
    double triggerUse = 0.70;         ///< above which a busy hour counts [prac]
    int triggerDays = 5;              ///< of seven [prac]
    double triggerThroughputMbps = 3; ///< below which users suffer [prac]
    double regrowth = 0.20;           ///< of relieved load comes back [own]
    double growthPerYear = 0.25;      ///< of traffic [own]
    double smallReachM = 300;         ///< to which a small cell is computed
    double macroReachM = 3000;        ///< likewise for a macro
    double efficientShare = 0.3;      ///< of buildings whose kind is unknown [own]
    double outdoorDensity = 1;        ///< weight of a square metre of open ground
    double streetSpeedKmh = 50;       ///< of who passes a small cell along a street (study/dwell.h) [own]
    /// Leaves demand as it is modelled where a cell's timing-advance histogram could say better.
    bool ignoreTimingAdvance = false;
    EfficiencyModel efficiency = EfficiencyModel::attenuatedShannon;
    MacroPathModel macroPath = MacroPathModel::urbanMacro;
    SmallPathModel smallPath = SmallPathModel::belowRoofs;
    EntryModel entry = EntryModel::p2109;
    bool operator==(const ModelSettings&) const = default;
};

/// How far the inputs may be off, as standard deviations: what chance is drawn from (study/chance.h).
struct SpreadSettings {
    double demandDb = 4;            ///< of demand on a square of 50 m, log-normal [own]
    double buildAzimuthDeg = 5;     ///< of a radio as built [own]
    double buildTiltDeg = 1;        ///< likewise [own]
    double inventoryAzimuthDeg = 7; ///< of a macro sector as listed [own]
    double macroShadowM =
        50; ///< at which a macro's shadowing agrees by 1/e; TR 38.901 table 7.5-6, UMa NLOS [pub]
    double smallShadowM = 13; ///< likewise of a small cell's; the same table, UMi NLOS [pub]
    bool operator==(const SpreadSettings&) const = default;
};

/// What the uplink's ledger is reckoned with (study/uplink.h).
struct UplinkSettings {
    double p0Dbm = -90;          ///< target in one PRB at no path loss [prac]
    double alpha = 0.8;          ///< share of path loss made up for [prac]
    double maxPowerDbm = 23;     ///< of a device, power class 3: 3GPP TS 36.101, 6.2.2 [pub]
    double blocks = 20;          ///< PRB a user sends on at once [own]
    double iotDb = 6;            ///< interference over thermal at the macro [own]
    double noiseFigureDb = 5;    ///< of a base station: 3GPP TR 36.942 [pub, from memory]
    double fixedUse = 0.05;      ///< of the cell's PRB: control and access channels, cannot move [own]
    double voiceBlocks = 2;      ///< PRB of a voice user [own]
    double voiceFromSinrDb = -3; ///< under it at full power a voice user is at the edge [own]
    bool operator==(const UplinkSettings&) const = default;
};

/// From which identities small cells are given theirs (siting/identity.h): ranges as the user writes them,
/// "100-119, 140" (plan/id_ranges.h). Empty: every PCI and root sequence; of base stations none is given.
struct IdentitySettings {
    std::string pciLte, pciNr;     ///< of 0..503 and 0..1007
    std::string rootsLte, rootsNr; ///< logical root sequences, 0..837
    std::string enb, gnb;          ///< base stations for small cells
    int gnbBits = 24;              ///< length of a gNB's number, 22..32; TS 38.413, 9.3.1.6 [prac]
    std::string cells = "0-255";   ///< numbers of cells within a base station; TS 36.413, 9.2.1.38 (8 bits)
    bool operator==(const IdentitySettings&) const = default;
};

/// Weights of the terms of fit; only their ratios count.
struct FitWeights {
    double relief = 40, fringeShare = 15, outlook = 20, isolation = 15, practicality = 10;
    bool operator==(const FitWeights&) const = default;
};

/// Limits of the review by name (`rule.limit`), where they differ from the defaults of review/limits.h.
struct RuleProfile {
    std::string name = "default";
    std::map<std::string, double> limits;
    bool operator==(const RuleProfile&) const = default;
};

struct TerrainRef {
    std::string file;   ///< relative to the plan file; empty: flat
    std::string digest; ///< of the file's bytes
    double flatM = 0;   ///< height used when there is no file
    bool operator==(const TerrainRef&) const = default;
};

/// What the cells of a raster mean, which decides how they are resampled.
enum class RasterUse : std::uint8_t {
    height,    ///< of the ground: between cells in a straight line
    demand,    ///< amounts per cell: the sum stays
    landCover, ///< classes: the nearest cell
};

/// A raster beside the plan, in the plan's system.
struct RasterRef {
    std::string file;   ///< relative to the plan file; empty: none
    std::string digest; ///< of the file's bytes
    bool operator==(const RasterRef&) const = default;
};

/// Every file beside the plan that says what the ground is, and what lies on it.
struct GroundFiles {
    TerrainRef terrain;
    RasterRef demandRaster, landCover;
    bool operator==(const GroundFiles&) const = default;
};

struct PlanSettings {
    // Large, and made in plan.cpp only.
    PlanSettings();
    PlanSettings(const PlanSettings&);
    PlanSettings(PlanSettings&&) noexcept;
    PlanSettings& operator=(const PlanSettings&);
    PlanSettings& operator=(PlanSettings&&) noexcept;
    ~PlanSettings();

    std::string name, operatorName, author;
    std::string uid; ///< of this plan, made once
    Date date;       ///< of the plan: declination is taken for it
    int epsg = 0;
    Box workArea; ///< ground that is computed; macros may stand outside
    TerrainRef terrain;
    RasterRef demandRaster; ///< amounts per cell: where traffic is; stands for floor area and open ground
    RasterRef landCover;    ///< classes; weigh open ground by `landCoverWeights`
    std::string landCoverWeights; ///< see class_weights.h; classes it does not name keep the usual weights
    ItemId activeVariant;
    ModelSettings model;
    SpreadSettings spread;
    UplinkSettings uplink;
    IdentitySettings identities;
    FitWeights weights;
    RuleProfile profile;
    /// That the cells' offsets come from measurements, and from which; empty: they do not. One sentence or
    /// several, for people.
    std::string calibrationNote;
    [[nodiscard]] GroundFiles groundFiles() const { return {terrain, demandRaster, landCover}; }
    bool operator==(const PlanSettings&) const;
};

} // namespace fw
