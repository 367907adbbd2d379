// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/checker.h"
#include "plan/class_weights.h"
#include "plan/enum_names.h"
#include "plan/id_ranges.h"
#include "plan/validate.h"

#include <fmt/format.h>

namespace fw {

namespace {

void checkModel(Checker& c, const ModelSettings& m) {
    c.range("shadowing of macros", m.macroSigmaDb, 0, 30, "dB");
    c.range("shadowing of small cells", m.smallSigmaDb, 0, 30, "dB");
    c.range("shadowing correlation", m.shadowCorrelation, 0, 1);
    c.range("noise figure", m.noiseFigureDb, 0, 40, "dB");
    c.range("level of service", m.servedFromDbm, -200, 0, "dBm");
    c.range("level of an own carrier", m.ownCarrierFromDbm, -200, 0, "dBm");
    c.range("share of devices with the own carrier", m.ownCarrierShare, 0, 1);
    c.range("indoor share", m.indoorShare, 0, 1);
    c.range("edge exponent", m.edgeExponent, 0, 2);
    c.range("fixed use", m.fixedUse, 0, 1);
    c.range("idle power of LTE with two ports", m.idleFloorLte2, 0, 1);
    c.range("idle power of LTE with four ports", m.idleFloorLte4, 0, 1);
    c.range("idle power of NR", m.idleFloorNr, 0, 1);
    c.range("cap of a small cell's use", m.smallUseCap, 0, 1);
    c.range("planned use of a small cell", m.smallUsePlanned, 0, 1);
    c.range("ceiling of the bias", m.biasCeilingDb, 0, 30, "dB");
    c.range("target use", m.targetUse, 0, 1);
    c.range("trigger use", m.triggerUse, 0, 1);
    if (m.targetUse > m.triggerUse)
        c.fail("the target use lies above the trigger, so that a cell at its target counts as full");
    c.range("trigger days", m.triggerDays, 1, 1000);
    c.range("trigger throughput", m.triggerThroughputMbps, 0, 1e6, "Mbit/s");
    c.range("regrowth", m.regrowth, 0, 1);
    c.range("growth a year", m.growthPerYear, -1, 10);
    c.range("reach of small cells", m.smallReachM, 10, 5000, "m");
    c.range("reach of macros", m.macroReachM, 10, 50000, "m");
    c.range("share of efficient buildings", m.efficientShare, 0, 1);
    c.range("weight of open ground", m.outdoorDensity, 0, 1e6);
    c.range("speed along streets", m.streetSpeedKmh, 1, 300, "km/h");
    if (!isKnown(m.efficiency) || !isKnown(m.macroPath) || !isKnown(m.smallPath) || !isKnown(m.entry))
        c.fail("a model that is chosen is none of the known ones");
}

void checkSpread(Checker& c, const SpreadSettings& s) {
    c.range("spread of demand", s.demandDb, 0, 20, "dB");
    c.range("spread of built azimuths", s.buildAzimuthDeg, 0, 90, "deg");
    c.range("spread of built tilts", s.buildTiltDeg, 0, 45, "deg");
    c.range("spread of listed azimuths", s.inventoryAzimuthDeg, 0, 90, "deg");
    c.range("distance of macro shadowing", s.macroShadowM, 1, 1000, "m");
    c.range("distance of small-cell shadowing", s.smallShadowM, 1, 1000, "m");
}

void checkUplink(Checker& c, const UplinkSettings& s) {
    c.range("power target of the uplink", s.p0Dbm, -200, 0, "dBm");
    c.range("share of path loss that the uplink makes up for", s.alpha, 0, 1);
    c.range("full power of a device", s.maxPowerDbm, -50, 50, "dBm");
    c.range("PRB a user sends on at once", s.blocks, 0.1, 1000);
    c.range("interference over thermal in the uplink", s.iotDb, 0, 40, "dB");
    c.range("noise figure of a base station", s.noiseFigureDb, 0, 40, "dB");
    c.range("fixed use of the uplink", s.fixedUse, 0, 1);
    c.range("PRB of a voice user", s.voiceBlocks, 0.1, 1000);
    c.range("SINR that voice needs in the uplink", s.voiceFromSinrDb, -30, 40, "dB");
}

void checkRanges(Checker& c, const char* what, const std::string& text, std::int64_t highest) {
    c.text(what, text);
    const auto ranges = idRanges(text, highest);
    if (!ranges) c.fail(fmt::format("the {}: {}", what, ranges.error().text));
}

void checkIdentities(Checker& c, const IdentitySettings& s) {
    checkRanges(c, "PCI for LTE small cells", s.pciLte, 503);
    checkRanges(c, "PCI for NR small cells", s.pciNr, 1007);
    checkRanges(c, "root sequences for LTE small cells", s.rootsLte, 837);
    checkRanges(c, "root sequences for NR small cells", s.rootsNr, 837);
    // TS 36.413 9.2.1.37 (macro eNB): 20 bits. TS 38.413 9.3.1.6: 22 to 32.
    c.range("length of a gNB number", s.gnbBits, 22, 32, "bit");
    checkRanges(c, "eNB numbers for small cells", s.enb, (std::int64_t{1} << 20) - 1);
    const int bits = s.gnbBits >= 22 && s.gnbBits <= 32 ? s.gnbBits : 32;
    checkRanges(c, "gNB numbers for small cells", s.gnb, (std::int64_t{1} << bits) - 1);
    checkRanges(c, "cell numbers within a base station", s.cells, 16383);
}

void checkWeights(Checker& c, const FitWeights& w) {
    c.range("weight of relief", w.relief, 0, 1e6);
    c.range("weight of the fringe share", w.fringeShare, 0, 1e6);
    c.range("weight of the outlook", w.outlook, 0, 1e6);
    c.range("weight of isolation", w.isolation, 0, 1e6);
    c.range("weight of practicality", w.practicality, 0, 1e6);
    if (!(w.relief + w.fringeShare + w.outlook + w.isolation + w.practicality > 0))
        c.fail("all weights of fit are 0; at least one must be above");
}

void checkArea(Checker& c, const Box& area) {
    if (area.empty() && area == Box{}) return;
    c.place("work area", {area.x0, area.y0});
    c.place("work area", {area.x1, area.y1});
    c.range("width of the work area", area.width(), 0, 2e5, "m");
    c.range("height of the work area", area.height(), 0, 2e5, "m");
}

} // namespace

Status validate(const PlanSettings& s) {
    Checker c;
    c.text("name", s.name);
    c.text("operator", s.operatorName);
    c.text("author", s.author);
    c.text("plan's own number", s.uid);
    c.date("date", s.date.iso());
    c.range("EPSG code", s.epsg, 0, 1000000);
    checkArea(c, s.workArea);
    c.text("terrain file", s.terrain.file);
    c.text("digest of the terrain", s.terrain.digest);
    c.range("height of flat ground", s.terrain.flatM, -1000, 10000, "m");
    c.text("demand raster", s.demandRaster.file);
    c.text("digest of the demand raster", s.demandRaster.digest);
    c.text("land-cover raster", s.landCover.file);
    c.text("digest of the land-cover raster", s.landCover.digest);
    c.text("weights of land cover", s.landCoverWeights);
    if (const auto weights = classWeights(s.landCoverWeights); !weights)
        c.fail(weights.error().text.substr(0, weights.error().text.find_last_not_of('.') + 1));
    checkModel(c, s.model);
    checkSpread(c, s.spread);
    checkUplink(c, s.uplink);
    checkIdentities(c, s.identities);
    checkWeights(c, s.weights);
    c.text("name of the rule profile", s.profile.name);
    c.text("note on the calibration", s.calibrationNote);
    for (const auto& [name, limit] : s.profile.limits) {
        c.text("name of a limit", name);
        c.range("limit of a rule", limit, -1e300, 1e300);
    }
    if (c.good()) return Done{};
    return c.error("settings of the plan");
}

} // namespace fw
