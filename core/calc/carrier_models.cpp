// SPDX-License-Identifier: GPL-3.0-or-later
#include "calc/models.h"
#include "radio/carrier.h"

namespace fw::calc {
namespace {

constexpr double kMostChannel = 4e6;

Status frequencyStep(const Result<Hertz>& f, const char* what, const char* formula, Working& out) {
    if (!f) return f.error();
    step(out, what, formula, inMegahertz(*f), "MHz");
    return Done{};
}

// The LTE band a channel lies in, or null.
const Band* lteBandOf(int channel, bool uplink) {
    for (const Band& b : bands(Technology::lte)) {
        const int first = uplink ? b.uplinkFirst : b.downlinkFirst;
        if (channel >= first && channel - first <= b.downlinkLast - b.downlinkFirst) return &b;
    }
    return nullptr;
}

// What the formula calls F_low and N_Offs; nothing for a channel that is refused anyway.
void bandSteps(Working& out, int channel, bool uplink, bool uplinkLow) {
    const Band* band = lteBandOf(channel, uplink);
    if (!band) return;
    step(out, uplinkLow ? "F_UL_low" : "F_DL_low", "table",
         uplinkLow ? band->uplinkLowMHz : band->downlinkLowMHz, "MHz");
    step(out, uplink ? "N_Offs_UL" : "N_Offs_DL", "table", uplink ? band->uplinkFirst : band->downlinkFirst,
         "N");
}

Status earfcnDown(const Given& in, Working& out) {
    const int n = in.whole("N_DL");
    bandSteps(out, n, false, false);
    auto done = frequencyStep(downlinkFrequency(Technology::lte, n), "downlink centre",
                              "F_DL_low + 0.1 (N_DL - N_Offs_DL)", out);
    if (done) out.remarks.push_back("Band " + bandName(Technology::lte, n) + ".");
    return done;
}

Status earfcnUp(const Given& in, Working& out) {
    bandSteps(out, in.whole("N_UL"), true, true);
    return frequencyStep(lteUplinkChannelFrequency(in.whole("N_UL")), "uplink centre",
                         "F_UL_low + 0.1 (N_UL - N_Offs_UL)", out);
}

Status earfcnPair(const Given& in, Working& out) {
    bandSteps(out, in.whole("N_DL"), false, true);
    return frequencyStep(uplinkFrequency(Technology::lte, in.whole("N_DL")),
                         "uplink centre of this downlink channel", "F_UL_low + 0.1 (N_DL - N_Offs_DL)", out);
}

Status nrRaster(const Given& in, Working& out) {
    const int n = in.whole("N_REF");
    if (const auto khz = nrRasterStepKHz(n)) step(out, "raster step", "table", *khz, "kHz");
    auto done = frequencyStep(nrRasterFrequency(n), "frequency",
                              n < 600000    ? "0.005 N_REF"
                              : n < 2016667 ? "3000 + 0.015 (N_REF - 600000)"
                                            : "24250.08 + 0.06 (N_REF - 2016667)",
                              out);
    if (done) out.remarks.push_back("Downlink band: " + bandName(Technology::nr, n) + ".");
    return done;
}

Status nrStep(const Given& in, Working& out) {
    const auto khz = nrRasterStepKHz(in.whole("N_REF"));
    if (!khz) return khz.error();
    step(out, "raster step", "table", *khz, "kHz");
    return Done{};
}

Status nrBand(const Given& in, Working& out) {
    for (const Band& b : bands(Technology::nr))
        if (b.number == in.whole("band")) {
            step(out, "channel", "table", in.choice("end") == "first" ? b.downlinkFirst : b.downlinkLast,
                 "N_REF");
            return Done{};
        }
    return Error{ErrorCode::badInput, "this NR band is not known here."};
}

Status edges(const Given& in, Working& out) {
    const auto e = lteEdgeChannels(in.number("channel_bw_MHz"));
    if (!e) return e.error();
    step(out, "channels", "table", in.choice("end") == "lower" ? e->lower : e->upper, "channels");
    return Done{};
}

Status blocks(Technology tech, double mhz, int scs, Working& out) {
    const auto n = resourceBlocks(tech, mhz, scs);
    if (!n) return n.error();
    step(out, "resource blocks", "table", *n, "PRB");
    return Done{};
}
Status lteBlocks(const Given& in, Working& out) {
    return blocks(Technology::lte, in.number("channel_bw_MHz"), 15, out);
}
Status nrBlocks(const Given& in, Working& out) {
    return blocks(Technology::nr, in.number("channel_bw_MHz"), in.whole("scs_kHz"), out);
}

Status occupied(const Given& in, Working& out) {
    if (auto n = lteBlocks(in, out); !n) return n;
    step(out, "occupied bandwidth", "0.18 N_RB",
         occupiedBandwidthMHz(static_cast<int>(out.steps.back().value), 15), "MHz");
    return Done{};
}

Status cellId(const Given& in, Working& out) {
    const auto tech = in.choice("technology") == "lte" ? Technology::lte : Technology::nr;
    const auto id = physicalCellId(tech, in.whole("N1"), in.whole("N2"));
    if (!id) return id.error();
    step(out, "physical cell identity", "3 N1 + N2", *id, "1");
    return Done{};
}

} // namespace

std::vector<Model> carrierModels() {
    constexpr const char* kRaster = "3GPP TS 38.104, 5.4.2.1, Table 5.4.2.1-1";
    const InputInfo down = wholeNumber("N_DL", "downlink EARFCN", 0, kMostChannel);
    const InputInfo ref = wholeNumber("N_REF", "NR-ARFCN", 0, kMostChannel);
    const InputInfo width = positive("channel_bw_MHz", "channel bandwidth", "MHz");
    return {
        {{"earfcn_downlink",
          "Downlink frequency of an EARFCN",
          {down},
          "frequency",
          "MHz",
          "3GPP TS 36.104, 5.7.3, Table 5.7.3-1"},
         earfcnDown},
        {{"earfcn_uplink",
          "Uplink frequency of an uplink EARFCN",
          {wholeNumber("N_UL", "uplink EARFCN", 0, kMostChannel)},
          "frequency",
          "MHz",
          "3GPP TS 36.104, 5.7.3, Table 5.7.3-1"},
         earfcnUp},
        {{"earfcn_pair",
          "Uplink frequency that belongs to a downlink EARFCN",
          {down},
          "frequency",
          "MHz",
          "3GPP TS 36.104, 5.7.3, Table 5.7.3-1"},
         earfcnPair},
        {{"nr_arfcn", "Frequency of an NR-ARFCN", {ref}, "frequency", "MHz", kRaster}, nrRaster},
        {{"nr_raster_step", "Step of the NR raster", {ref}, "step", "kHz", kRaster}, nrStep},
        {{"nr_band",
          "First and last downlink NR-ARFCN of a band",
          {wholeNumber("band", "number of the band", 1, 1024), oneOf("end", "which end", {"first", "last"})},
          "channel",
          "N_REF",
          "3GPP TS 38.104, Table 5.4.2.3-1"},
         nrBand},
        {{"lte_edge_channels",
          "EARFCNs a carrier cannot use at a band's end",
          {width, oneOf("end", "which end", {"lower", "upper"})},
          "channels",
          "channels",
          "3GPP TS 36.104, Table 5.7.3-1, NOTE 1"},
         edges},
        {{"lte_resource_blocks",
          "Resource blocks of an LTE carrier",
          {width},
          "blocks",
          "PRB",
          "3GPP TS 36.104, Table 5.6-1"},
         lteBlocks},
        {{"nr_resource_blocks",
          "Resource blocks of an NR carrier",
          {width, withDefault(wholeNumber("scs_kHz", "subcarrier spacing", 1, 1000), "30")},
          "blocks",
          "PRB",
          "3GPP TS 38.104, Table 5.3.2-1"},
         nrBlocks},
        {{"lte_occupied_bandwidth",
          "Bandwidth an LTE carrier fills",
          {width},
          "bandwidth",
          "MHz",
          "3GPP TS 36.104, 5.6"},
         occupied},
        {{"physical_cell_id",
          "Physical cell identity",
          {wholeNumber("N1", "group", 0, 335), wholeNumber("N2", "sector in the group", 0, 2),
           oneOf("technology", "lte or nr", {"lte", "nr"})},
          "identity",
          "1",
          "3GPP TS 36.211, 6.11; NR: TS 38.211, 7.4.2.1 (second-hand)"},
         cellId},
    };
}

} // namespace fw::calc
