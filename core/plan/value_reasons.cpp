// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "plan/model_words.h"

#include <map>

namespace fw {

const char* reasonOf(std::string_view setting) {
    static const std::map<std::string_view, const char*> reasons = {
        {"macro_sigma_db", CORE_TEXT("Published: 3GPP TR 38.901, table 7.4.1-1, urban macro without sight.")},
        {"small_sigma_db",
         CORE_TEXT("Published: between the 5.1 dB with sight and the 7.6 dB without of Rec. ITU-R P.1411-11, "
                   "table 4.")},
        {"shadow_correlation", CORE_TEXT("Common practice: half of the shadowing is shared between sites.")},
        {"noise_figure_db", CORE_TEXT("Published: of a device, 3GPP TR 36.942, table 12.2.")},
        {"served_from_dbm", CORE_TEXT("Common practice: below it a phone looks for another network.")},
        {"own_carrier_from_dbm",
         CORE_TEXT("Common practice: devices go to a small cell's own carrier from here on.")},
        {"own_carrier_share", CORE_TEXT("Our judgement; your own device statistics say better.")},
        {"indoor_share", CORE_TEXT("Common practice: four bits in five are used indoors.")},
        {"edge_exponent",
         CORE_TEXT("Our judgement: equal bits everywhere (0) would overstate the rim, since bad signals hold "
                   "people back.")},
        {"fixed_use", CORE_TEXT("Our judgement: common channels and paging stay, whoever takes the users.")},
        {"idle_floor_lte_2_ports", CORE_TEXT("Published: share of reference signals, 3GPP TS 36.211.")},
        {"idle_floor_lte_4_ports", CORE_TEXT("Published: share of reference signals, 3GPP TS 36.211.")},
        {"idle_floor_nr", CORE_TEXT("Our judgement: NR sends little while nobody asks.")},
        {"small_use_cap", CORE_TEXT("Common practice: the same load at which a macro counts as full.")},
        {"small_use_planned",
         CORE_TEXT("Our judgement: what neighbours hear of it until loads are settled.")},
        {"bias_ceiling_db",
         CORE_TEXT("Common practice: more needs the cells to coordinate their interference.")},
        {"target_use", CORE_TEXT("Common practice: ten points under the trigger, so that it holds.")},
        {"trigger_use", CORE_TEXT("Common practice: above it delays grow quickly.")},
        {"trigger_days", CORE_TEXT("Common practice: five of the last seven busy hours.")},
        {"trigger_throughput_mbps", CORE_TEXT("Common practice: below it people complain.")},
        {"regrowth",
         CORE_TEXT(
             "Our judgement until a first site was measured; \u201cafter\u201d learns it from counters.")},
        {"growth_per_year", CORE_TEXT("Our judgement; your own forecast says better.")},
        {"small_reach_m", CORE_TEXT("Our judgement: beyond it hardly anybody is won.")},
        {"macro_reach_m",
         CORE_TEXT("Our judgement: macros this far beyond the area of work still disturb its rim.")},
        {"efficient_share",
         CORE_TEXT("Our judgement: seven buildings in ten are traditional, where their kind is unknown.")},
        {"outdoor_density", CORE_TEXT("Our judgement: a square metre of street counts like one of floor.")},
        {"street_speed_kmh",
         CORE_TEXT("Our judgement: the usual limit in a built-up area. How long somebody stays with a small "
                   "cell follows from it, and nothing else.")},
        {"spread_demand_db", CORE_TEXT("Our judgement: how far a map of demand is off on 50 m.")},
        {"spread_build_azimuth_deg", CORE_TEXT("Our judgement: what a crew with a compass keeps to.")},
        {"spread_build_tilt_deg", CORE_TEXT("Our judgement: what a crew with a level keeps to.")},
        {"spread_inventory_azimuth_deg", CORE_TEXT("Our judgement: what audits of inventories find.")},
        {"macro_shadow_m", CORE_TEXT("Published: 3GPP TR 38.901, table 7.5-6, urban macro without sight.")},
        {"small_shadow_m", CORE_TEXT("Published: 3GPP TR 38.901, table 7.5-6, street canyon without sight.")},
        {"uplink_p0_dbm",
         CORE_TEXT("Common practice with a share of 0.8; the cell\u2019s own broadcast value says better.")},
        {"uplink_alpha",
         CORE_TEXT("Common practice: a fifth of the path loss stays with the user, which spares the "
                   "neighbours.")},
        {"uplink_max_power_dbm", CORE_TEXT("Published: power class 3, 3GPP TS 36.101, 6.2.2.")},
        {"uplink_blocks", CORE_TEXT("Our judgement: a user who sends gets a fifth of 20 MHz.")},
        {"uplink_iot_db",
         CORE_TEXT("Our judgement for a busy hour; the base station\u2019s own counter says better.")},
        {"uplink_noise_figure_db", CORE_TEXT("Published: of a base station, 3GPP TR 36.942.")},
        {"uplink_fixed_use", CORE_TEXT("Our judgement: control and access channels stay.")},
        {"uplink_voice_blocks", CORE_TEXT("Our judgement: a voice packet at the edge takes two blocks.")},
        {"uplink_voice_from_sinr_db", CORE_TEXT("Our judgement: below it, at full power, calls break.")},
    };
    const auto it = reasons.find(setting);
    return it == reasons.end() ? "" : it->second;
}

} // namespace fw
