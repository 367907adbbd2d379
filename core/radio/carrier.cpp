// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/carrier.h"

#include <array>
#include <cmath>
#include <fmt/format.h>

namespace fw {
namespace {

// number, downlink low (MHz), uplink low, first and last downlink channel, first uplink channel, time
// division. Confirmed by the reference cases: lower ends of bands 1, 3, 5, 8, 40 and 41. Everything else from
// memory.
constexpr std::array kLteBands{
    Band{1, 2110, 1920, 0, 599, 18000, false},       Band{2, 1930, 1850, 600, 1199, 18600, false},
    Band{3, 1805, 1710, 1200, 1949, 19200, false},   Band{4, 2110, 1710, 1950, 2399, 19950, false},
    Band{5, 869, 824, 2400, 2649, 20400, false},     Band{7, 2620, 2500, 2750, 3449, 20750, false},
    Band{8, 925, 880, 3450, 3799, 21450, false},     Band{12, 729, 699, 5010, 5179, 23010, false},
    Band{13, 746, 777, 5180, 5279, 23180, false},    Band{20, 791, 832, 6150, 6449, 24150, false},
    Band{28, 758, 703, 9210, 9659, 27210, false},    Band{38, 2570, 2570, 37750, 38249, 37750, true},
    Band{39, 1880, 1880, 38250, 38649, 38250, true}, Band{40, 2300, 2300, 38650, 39649, 38650, true},
    Band{41, 2496, 2496, 39650, 41589, 39650, true}, Band{42, 3400, 3400, 41590, 43589, 41590, true},
    Band{43, 3600, 3600, 43590, 45589, 43590, true}};

// Confirmed by the reference cases: n1, n8 and the end of n41. Everything else from memory.
constexpr std::array kNrBands{Band{1, 2110, 1920, 422000, 434000, 384000, false},
                              Band{2, 1930, 1850, 386000, 398000, 370000, false},
                              Band{3, 1805, 1710, 361000, 376000, 342000, false},
                              Band{5, 869, 824, 173800, 178800, 164800, false},
                              Band{7, 2620, 2500, 524000, 538000, 500000, false},
                              Band{8, 925, 880, 185000, 192000, 176000, false},
                              Band{12, 729, 699, 145800, 149200, 139800, false},
                              Band{20, 791, 832, 158200, 164200, 166400, false},
                              Band{28, 758, 703, 151600, 160600, 140600, false},
                              Band{38, 2570, 2570, 514000, 524000, 514000, true},
                              Band{40, 2300, 2300, 460000, 480000, 460000, true},
                              Band{41, 2496, 2496, 499200, 537999, 499200, true},
                              Band{77, 3300, 3300, 620000, 680000, 620000, true},
                              Band{78, 3300, 3300, 620000, 653333, 620000, true},
                              Band{258, 24250.08, 24250.08, 2016667, 2070832, 2016667, true}};

struct Width {
    double mhz;
    int blocks;
};
// 3GPP TS 36.104, Table 5.6-1.
constexpr std::array<Width, 6> kLteWidths{{{1.4, 6}, {3, 15}, {5, 25}, {10, 50}, {15, 75}, {20, 100}}};
// 3GPP TS 38.104, Table 5.3.2-1. Confirmed by the reference cases at 15 kHz: 10 and 30 MHz; at 30 kHz: 10, 50
// and 100 MHz. 5, 15, 20, 25, 40, 50 at 15 kHz and 20, 40, 80 at 30 kHz as quoted with them; the rest from
// memory.
constexpr std::array<Width, 8> kNr15Widths{
    {{5, 25}, {10, 52}, {15, 79}, {20, 106}, {25, 133}, {30, 160}, {40, 216}, {50, 270}}};
constexpr std::array<Width, 13> kNr30Widths{{{5, 11},
                                             {10, 24},
                                             {15, 38},
                                             {20, 51},
                                             {25, 65},
                                             {30, 78},
                                             {40, 106},
                                             {50, 133},
                                             {60, 162},
                                             {70, 189},
                                             {80, 217},
                                             {90, 245},
                                             {100, 273}}};
// NOTE 1 of 3GPP TS 36.104, Table 5.7.3-1, in the order of kLteWidths.
constexpr std::array<EdgeChannels, 6> kLteEdges{{{7, 6}, {15, 14}, {25, 24}, {50, 49}, {75, 74}, {100, 99}}};

const char* channelWord(Technology tech) { return tech == Technology::lte ? "EARFCN" : "NR-ARFCN"; }
std::string nameOf(Technology tech, const Band& b) {
    return fmt::format("{}{}", tech == Technology::lte ? 'B' : 'n', b.number);
}

// The bands a downlink channel lies in, narrowest first.
std::vector<const Band*> bandsOf(Technology tech, int channel) {
    std::vector<const Band*> out;
    for (const Band& b : bands(tech)) {
        if (channel < b.downlinkFirst || channel > b.downlinkLast) continue;
        auto at = out.begin();
        while (at != out.end() &&
               (*at)->downlinkLast - (*at)->downlinkFirst <= b.downlinkLast - b.downlinkFirst)
            ++at;
        out.insert(at, &b);
    }
    return out;
}

Error outside(Technology tech, int channel) {
    return {ErrorCode::badInput,
            fmt::format("{} {} lies in no downlink band known here; check the number and whether it "
                        "is an uplink channel.",
                        channelWord(tech), channel)};
}

double rasterMHz(int nRef) {
    if (nRef < 600000) return 0.005 * nRef;
    if (nRef < 2016667) return 3000.0 + 0.015 * (nRef - 600000);
    return 24250.08 + 0.06 * (nRef - 2016667);
}

double downlinkMHz(Technology tech, const Band& b, int channel) {
    return tech == Technology::lte ? b.downlinkLowMHz + 0.1 * (channel - b.downlinkFirst)
                                   : rasterMHz(channel);
}
double uplinkMHz(Technology tech, const Band& b, int channel) {
    return b.uplinkLowMHz - b.downlinkLowMHz + downlinkMHz(tech, b, channel);
}

std::span<const Width> widths(Technology tech, int scsKHz) {
    if (tech == Technology::lte)
        return scsKHz == 15 ? std::span<const Width>(kLteWidths) : std::span<const Width>();
    if (scsKHz == 15) return kNr15Widths;
    return scsKHz == 30 ? std::span<const Width>(kNr30Widths) : std::span<const Width>();
}

} // namespace

std::span<const Band> bands(Technology tech) {
    return tech == Technology::lte ? std::span<const Band>(kLteBands) : std::span<const Band>(kNrBands);
}

Result<Hertz> downlinkFrequency(Technology tech, int channel) {
    const auto in = bandsOf(tech, channel);
    if (in.empty()) return outside(tech, channel);
    return megahertz(downlinkMHz(tech, *in.front(), channel));
}

Result<Hertz> uplinkFrequency(Technology tech, int channel, int band) {
    const auto in = bandsOf(tech, channel);
    if (in.empty()) return outside(tech, channel);
    for (const Band* b : in)
        if (b->number == band) return megahertz(uplinkMHz(tech, *b, channel));
    if (band != 0)
        return Error{ErrorCode::badInput,
                     fmt::format("{} {} does not lie in band {} but in {}.", channelWord(tech), channel, band,
                                 bandName(tech, channel))};
    const double mhz = uplinkMHz(tech, *in.front(), channel);
    for (const Band* b : in)
        if (uplinkMHz(tech, *b, channel) != mhz)
            return Error{ErrorCode::badInput,
                         fmt::format("{} {} lies in {}, whose uplinks differ; name the band.",
                                     channelWord(tech), channel, bandName(tech, channel))};
    return megahertz(mhz);
}

Result<Hertz> lteUplinkChannelFrequency(int uplinkChannel) {
    for (const Band& b : kLteBands) {
        const int offset = uplinkChannel - b.uplinkFirst;
        if (offset >= 0 && offset <= b.downlinkLast - b.downlinkFirst)
            return megahertz(b.uplinkLowMHz + 0.1 * offset);
    }
    return Error{ErrorCode::badInput,
                 fmt::format("EARFCN {} lies in no uplink band known here; check the number and whether "
                             "it is a downlink channel.",
                             uplinkChannel)};
}

std::string bandName(Technology tech, int channel) {
    std::string out;
    for (const Band* b : bandsOf(tech, channel)) out += (out.empty() ? "" : " or ") + nameOf(tech, *b);
    return out.empty() ? "outside known bands" : out;
}

Result<bool> isTimeDivision(Technology tech, int channel) {
    const auto in = bandsOf(tech, channel);
    if (in.empty()) return outside(tech, channel);
    for (const Band* b : in)
        if (b->timeDivision != in.front()->timeDivision)
            return Error{ErrorCode::badInput,
                         fmt::format("{} {} lies in {}, whose duplex differs; name the band.",
                                     channelWord(tech), channel, bandName(tech, channel))};
    return in.front()->timeDivision;
}

Result<Hertz> nrRasterFrequency(int nRef) {
    if (nRef < 0 || nRef > 3279165)
        return Error{ErrorCode::badInput, fmt::format("NR-ARFCN {} is outside 0 to 3279165.", nRef)};
    return megahertz(rasterMHz(nRef));
}

Result<double> nrRasterStepKHz(int nRef) {
    if (const auto f = nrRasterFrequency(nRef); !f) return f.error();
    return nRef < 600000 ? 5.0 : nRef < 2016667 ? 15.0 : 60.0;
}

Result<EdgeChannels> lteEdgeChannels(double bandwidthMHz) {
    for (std::size_t k = 0; k < kLteWidths.size(); ++k)
        if (std::fabs(kLteWidths[k].mhz - bandwidthMHz) < 1e-6) return kLteEdges[k];
    return resourceBlocks(Technology::lte, bandwidthMHz, 15).error();
}

Status carrierFits(Technology tech, int channel, double bandwidthMHz) {
    const auto in = bandsOf(tech, channel);
    if (in.empty()) return outside(tech, channel);
    EdgeChannels edge;
    if (tech == Technology::lte) {
        const auto lte = lteEdgeChannels(bandwidthMHz);
        if (!lte) return lte.error();
        edge = *lte;
    }
    for (const Band* b : in) {
        if (tech == Technology::lte) {
            if (channel >= b->downlinkFirst + edge.lower && channel <= b->downlinkLast - edge.upper)
                return Done{};
            continue;
        }
        const double f = rasterMHz(channel), half = bandwidthMHz / 2.0;
        if (f - half >= rasterMHz(b->downlinkFirst) - 0.03 && f + half <= rasterMHz(b->downlinkLast) + 0.03)
            return Done{};
    }
    return Error{ErrorCode::badInput,
                 fmt::format("a carrier of {:g} MHz at {} {} reaches out of {}; move it inwards.",
                             bandwidthMHz, channelWord(tech), channel, bandName(tech, channel))};
}

Result<int> resourceBlocks(Technology tech, double bandwidthMHz, int scsKHz) {
    const auto known = widths(tech, scsKHz);
    const char* name = tech == Technology::lte ? "LTE" : "NR";
    if (known.empty())
        return Error{ErrorCode::badInput,
                     fmt::format("{} has no carrier with {} kHz subcarriers here; use {}.", name, scsKHz,
                                 tech == Technology::lte ? "15" : "15 or 30")};
    std::string list;
    for (const Width& w : known) {
        if (std::fabs(w.mhz - bandwidthMHz) < 1e-6) return w.blocks;
        list += fmt::format("{}{:g}", list.empty() ? "" : ", ", w.mhz);
    }
    return Error{ErrorCode::badInput,
                 fmt::format("{} has no carrier of {:g} MHz with {} kHz subcarriers; there are {} MHz.", name,
                             bandwidthMHz, scsKHz, list)};
}

Result<int> physicalCellId(Technology tech, int group, int sector) {
    const int last = tech == Technology::lte ? 167 : 335;
    if (group < 0 || group > last || sector < 0 || sector > 2)
        return Error{ErrorCode::badInput,
                     fmt::format("group {} and sector {} give no cell identity; group is 0 to {}, "
                                 "sector 0 to 2.",
                                 group, sector, last)};
    return 3 * group + sector;
}

} // namespace fw
