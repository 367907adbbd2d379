// SPDX-License-Identifier: GPL-3.0-or-later
// Every field of every item by name, told once: the plan file's columns and the journal's keys both come from
// here. Names end in the unit. An id is not a field. Changing a name changes both formats.
#pragma once

#include "plan/plan.h"
#include "plan/settings.h"

#include <string_view>

namespace fw {

namespace field_detail {

template <class C, class F>
void carrier(C& c, F& f) {
    f("technology", c.technology);
    f("channel", c.channel);
    f("bandwidth_mhz", c.bandwidthMHz);
    f("duplex", c.duplex);
    f("downlink_share", c.downlinkShare);
    f("scs_khz", c.scsKHz);
}

template <class C, class F>
void identity(C& c, F& f) {
    f("root_sequence", c.rootSequence);
    f("tracking_area", c.trackingArea);
    f("cell_identity", c.cell);
}

template <class L, class F>
void load(L& l, F& f) {
    f("load_date", l.date);
    f("load_hour", l.hour);
    f("dl_prb_use", l.dlPrbUse);
    f("ul_prb_use", l.ulPrbUse);
    f("daily_dl_prb_use", l.dailyDlPrbUse);
    f("users", l.users);
    f("user_throughput_mbps", l.userThroughputMbps);
    f("timing_advance", l.timingAdvance);
    f("cqi", l.cqi);
}

template <class T, class F>
void antenna(T& t, F& f) {
    f("antenna", t.antenna);
    f("gain_dbi", t.gainDbi);
    f("h_beam_deg", t.hBeamDeg);
    f("v_beam_deg", t.vBeamDeg);
}

template <class T, class Wanted>
inline constexpr bool is = std::is_same_v<std::remove_const_t<T>, Wanted>;

template <class T, class F>
void macro(T& t, F& f) {
    if constexpr (is<T, MacroSite>) {
        f("geom", t.at);
        f("name", t.name);
    } else if constexpr (is<T, Sector>) {
        f("site", t.site);
        f("name", t.name);
        f("height_m", t.height.m);
        f("azimuth_deg", t.azimuth.deg);
        f("mechanical_tilt_deg", t.mechanicalTiltDeg);
        f("electrical_tilt_deg", t.electricalTiltDeg);
        antenna(t, f);
    } else if constexpr (is<T, Cell>) {
        f("sector", t.sector);
        f("name", t.name);
        carrier(t.carrier, f);
        f("reference_power_dbm", t.referencePowerDbm);
        f("total_power_dbm", t.totalPowerDbm);
        f("ports", t.ports);
        f("pci", t.pci);
        f("offset_db", t.offsetDb);
        identity(t.identity, f);
        load(t.load, f);
    } else if constexpr (is<T, AntennaCut>) {
        f("name", t.name);
        f("gain_dbi", t.gainDbi);
        f("horizontal_deg", t.horizontalDeg);
        f("horizontal_loss_db", t.horizontalLossDb);
        f("vertical_deg", t.verticalDeg);
        f("vertical_loss_db", t.verticalLossDb);
    }
}

template <class T, class F>
void small(T& t, F& f) {
    if constexpr (is<T, Mount>) {
        f("geom", t.at);
        f("name", t.name);
        f("kind", t.kind);
        f("height_m", t.height.m);
        f("faces_deg", t.faces);
        f("tilts_deg", t.tiltsDeg);
        f("line_clearance_m", t.lineKnownClearanceM);
        f("lines_surveyed", t.linesSurveyed);
        f("fibre_m", t.fibreM);
        f("power_m", t.powerM);
        f("earth_possible", t.earthPossible);
        f("consent", t.consent);
        f("owner", t.owner);
        f("access", t.access);
        f("gnss_timing", t.gnssTiming);
    } else if constexpr (is<T, Radio>) {
        f("mount", t.mount);
        f("name", t.name);
        f("azimuth_deg", t.azimuth.deg);
        f("tilt_deg", t.tiltDeg);
        f("total_power_dbm", t.totalPowerDbm);
        f("ports", t.ports);
        antenna(t, f);
        f("aim_locked", t.aimLocked);
    } else if constexpr (is<T, SmallCell>) {
        f("radio", t.radio);
        f("variant", t.variant);
        f("name", t.name);
        carrier(t.carrier, f);
        f("bias_db", t.biasDb);
        f("pci", t.pci);
        identity(t.identity, f);
        f("chosen", t.chosen);
    } else if constexpr (is<T, Variant>) {
        f("name", t.name);
    } else if constexpr (is<T, SiteWorks>) {
        f("mount", t.mount);
        f("cabinet", t.cabinet);
        f("pole", t.pole);
        f("earth_pit", t.earthPit);
        f("camouflage", t.camouflage);
        f("remark", t.remark);
    } else if constexpr (is<T, Waiver>) {
        f("rule", t.rule);
        f("subjects", t.subjects);
        f("variant", t.variant);
        f("reason", t.reason);
        f("who", t.who);
        f("day", t.when);
        f("measured", t.measured);
        f("limit_value", t.limit); // LIMIT is a word of SQL
        f("unit", t.unit);
    }
}

template <class T, class F>
void town(T& t, F& f) {
    if constexpr (is<T, CongestionArea>) {
        f("geom", t.area);
        f("name", t.name);
        f("demand_factor", t.demandFactor);
    } else if constexpr (is<T, Building>) {
        f("geom", t.footprint);
        f("name", t.name);
        f("height_m", t.heightM);
        f("storeys", t.storeys);
        f("building_use", t.use);
        f("entry", t.entry);
        f("parapet_m", t.parapetM);
    } else if constexpr (is<T, Tree>) {
        f("geom", t.at);
        f("crown_radius_m", t.crownRadiusM);
        f("top_m", t.topM);
        f("crown_bottom_m", t.crownBottomM);
    } else if constexpr (is<T, OverheadLine>) {
        f("geom", t.path);
        f("name", t.name);
        f("lowest_m", t.lowest.m);
        f("kilovolts", t.kilovolts);
    } else if constexpr (is<T, Street>) {
        f("geom", t.path);
        f("name", t.name);
        f("width_m", t.widthM);
    } else if constexpr (is<T, FibrePoint>) {
        f("geom", t.at);
        f("name", t.name);
    } else if constexpr (is<T, PowerTap>) {
        f("geom", t.at);
        f("name", t.name);
        f("volts", t.volts);
        f("phases", t.phases);
    }
}

template <class M, class F>
void model(M& m, F& f) {
    f("macro_sigma_db", m.macroSigmaDb);
    f("small_sigma_db", m.smallSigmaDb);
    f("shadow_correlation", m.shadowCorrelation);
    f("noise_figure_db", m.noiseFigureDb);
    f("served_from_dbm", m.servedFromDbm);
    f("own_carrier_from_dbm", m.ownCarrierFromDbm);
    f("own_carrier_share", m.ownCarrierShare);
    f("indoor_share", m.indoorShare);
    f("edge_exponent", m.edgeExponent);
    f("fixed_use", m.fixedUse);
    f("idle_floor_lte_2_ports", m.idleFloorLte2);
    f("idle_floor_lte_4_ports", m.idleFloorLte4);
    f("idle_floor_nr", m.idleFloorNr);
    f("small_use_cap", m.smallUseCap);
    f("small_use_planned", m.smallUsePlanned);
    f("bias_ceiling_db", m.biasCeilingDb);
    f("target_use", m.targetUse);
    f("trigger_use", m.triggerUse);
    f("trigger_days", m.triggerDays);
    f("trigger_throughput_mbps", m.triggerThroughputMbps);
    f("regrowth", m.regrowth);
    f("growth_per_year", m.growthPerYear);
    f("small_reach_m", m.smallReachM);
    f("macro_reach_m", m.macroReachM);
    f("efficient_share", m.efficientShare);
    f("outdoor_density", m.outdoorDensity);
    f("street_speed_kmh", m.streetSpeedKmh);
    f("ignore_timing_advance", m.ignoreTimingAdvance);
    f("efficiency_model", m.efficiency);
    f("macro_path_model", m.macroPath);
    f("small_path_model", m.smallPath);
    f("entry_model", m.entry);
}

template <class S, class F>
void spread(S& s, F& f) {
    f("spread_demand_db", s.demandDb);
    f("spread_build_azimuth_deg", s.buildAzimuthDeg);
    f("spread_build_tilt_deg", s.buildTiltDeg);
    f("spread_inventory_azimuth_deg", s.inventoryAzimuthDeg);
    f("macro_shadow_m", s.macroShadowM);
    f("small_shadow_m", s.smallShadowM);
}

template <class S, class F>
void uplink(S& s, F& f) {
    f("uplink_p0_dbm", s.p0Dbm);
    f("uplink_alpha", s.alpha);
    f("uplink_max_power_dbm", s.maxPowerDbm);
    f("uplink_blocks", s.blocks);
    f("uplink_iot_db", s.iotDb);
    f("uplink_noise_figure_db", s.noiseFigureDb);
    f("uplink_fixed_use", s.fixedUse);
    f("uplink_voice_blocks", s.voiceBlocks);
    f("uplink_voice_from_sinr_db", s.voiceFromSinrDb);
}

template <class S, class F>
void identities(S& s, F& f) {
    f("identity_pci_lte", s.pciLte);
    f("identity_pci_nr", s.pciNr);
    f("identity_roots_lte", s.rootsLte);
    f("identity_roots_nr", s.rootsNr);
    f("identity_enb", s.enb);
    f("identity_gnb", s.gnb);
    f("identity_gnb_bits", s.gnbBits);
    f("identity_cells", s.cells);
}

} // namespace field_detail

/// Calls f(const char* name, value&) for each field of an item, geometry first as "geom". Values are one of:
/// std::string, double, std::int32_t, bool, ItemId, an enumeration of enum_names.h, std::optional<double>,
/// std::optional<std::int64_t>, std::optional<TrueAzimuth>, std::vector<double>, std::vector<ItemId>,
/// PlanePoint, Line, Polygon.
template <class T, class F>
void forEachField(T& item, F&& f) {
    field_detail::macro(item, f);
    field_detail::small(item, f);
    field_detail::town(item, f);
}

/// Settings that are written only where they differ from their default: files and edits from before there was
/// one are whole without it. Of the fields of items, those that edits from before there was one do without.
inline bool mayBeLeftOut(std::string_view setting) {
    if (setting.starts_with("uplink_")) return true;
    for (const std::string_view name : {"calibration_note",      "ignore_timing_advance",
                                        "street_speed_kmh",      "demand_file",
                                        "demand_digest",         "land_cover_file",
                                        "land_cover_digest",     "land_cover_weights",
                                        "spread_demand_db",      "spread_build_azimuth_deg",
                                        "spread_build_tilt_deg", "spread_inventory_azimuth_deg",
                                        "macro_shadow_m",        "small_shadow_m",
                                        "efficiency_model",      "macro_path_model",
                                        "small_path_model",      "entry_model",
                                        "identity_pci_lte",      "identity_pci_nr",
                                        "identity_roots_lte",    "identity_roots_nr",
                                        "identity_enb",          "identity_gnb",
                                        "identity_gnb_bits",     "identity_cells",
                                        "root_sequence",         "tracking_area",
                                        "cell_identity"})
        if (setting == name) return true;
    return false;
}

/// The same for the settings, `profile.limits` apart; further value types: int, Date.
template <class S, class F>
void forEachSetting(S& s, F&& f) {
    f("name", s.name);
    f("operator", s.operatorName);
    f("author", s.author);
    f("uid", s.uid);
    f("date", s.date);
    f("epsg", s.epsg);
    f("work_area_west_m", s.workArea.x0);
    f("work_area_south_m", s.workArea.y0);
    f("work_area_east_m", s.workArea.x1);
    f("work_area_north_m", s.workArea.y1);
    f("terrain_file", s.terrain.file);
    f("terrain_digest", s.terrain.digest);
    f("flat_ground_m", s.terrain.flatM);
    f("demand_file", s.demandRaster.file);
    f("demand_digest", s.demandRaster.digest);
    f("land_cover_file", s.landCover.file);
    f("land_cover_digest", s.landCover.digest);
    f("land_cover_weights", s.landCoverWeights);
    f("active_variant", s.activeVariant);
    field_detail::model(s.model, f);
    field_detail::spread(s.spread, f);
    field_detail::uplink(s.uplink, f);
    field_detail::identities(s.identities, f);
    f("weight_relief", s.weights.relief);
    f("weight_fringe_share", s.weights.fringeShare);
    f("weight_outlook", s.weights.outlook);
    f("weight_isolation", s.weights.isolation);
    f("weight_practicality", s.weights.practicality);
    f("profile", s.profile.name);
    f("calibration_note", s.calibrationNote);
}

} // namespace fw
