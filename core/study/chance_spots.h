// SPDX-License-Identifier: GPL-3.0-or-later
// What draws work on: the places where small cells can win users, ready to be weighed again and again.
// Private to core/study.
#pragma once

#include "fringe/shadow_field.h"
#include "study/state.h"

#include <array>
#include <memory>
#include <vector>

namespace fw {

/// Squares on which demand is off together (m).
inline constexpr double kDemandSquareM = 50;
/// Share of a macro cell's relief that is drawn place by place: of a congested one, and of others.
inline constexpr double kRelievedShare = 0.95, kRelievedShareOther = 0.85;
/// So many places of a cell are drawn whatever their share.
inline constexpr std::size_t kLeastSpots = 200;

/// A small cell at a spot.
struct SpotRival {
    std::uint16_t small = 0xffff; ///< place among the small cells
    std::int16_t marginCenti = 0, levelCenti = 0;
    std::int16_t off = 0, elevation = 0; ///< of the spot from its boresight and antenna, 0.1 deg; off 0..3599
    std::int16_t patternCenti = 0;       ///< what its pattern loses there, counted in the level
    std::array<std::uint32_t, kStrongest> pair{}; ///< with each of MacroView::at, among ChanceSpots::pairs
    std::int32_t shadow = 0;                      ///< its mount's shadowing, in ChanceSpots::east
    std::int64_t others =
        0;           ///< what its users hear beside it and beside the serving macro on the same carrier
    double have = 1; ///< share of devices that can use it
    std::int64_t share = 0;         ///< of its full power that it sends, 2^-16
    std::int64_t median = 0;        ///< what it sends here without shadowing
    bool co = false;                ///< on the macro's carrier
    double relief = 0, carried = 0; ///< as the ledger has them, PRB
};

/// A macro at a place that it serves, or would if sectors stood otherwise.
struct MacroAt {
    std::uint16_t macro = 0;
    std::int16_t levelCenti = 0;
    std::int16_t off = 0, elevation = 0; ///< of the place from its sector, 0.1 deg; off 0..3599
    std::int16_t patternCenti = 0;       ///< what its pattern loses there, counted in the level
    /// Bits of the place as this cell's measured use is spread, by those as spread by the one that serves; 0
    /// without a measured use.
    float demand = 0;
};

/// Who may serve a place: the strongest as listed, of the layer.
struct MacroView {
    std::int16_t sinrCenti = 0; ///< of the one that serves, at the baseline
    std::uint8_t count = 0;
    std::array<MacroAt, kStrongest> at; ///< strongest first: the first serves
    std::int64_t rest = 0;              ///< heard there at the baseline beside all of these, with the noise
};

/// Users at one receiver in one layer.
struct Spot {
    std::uint8_t rivals = 0;
    MacroView view;
    std::int32_t square = 0;
    std::int32_t common = 0, site = 0; ///< shadowing that all share, and the macro's, in ChanceSpots::east
    double cost = 0;                   ///< PRB
    double users = 0;                  ///< cost over what a user costs on average, PRB bit/s/Hz
    std::int64_t heard = 0;            ///< by those that stay
    std::int64_t heardBeside = 0;      ///< of it, what none of MacroView::at sends
    bool changed = false;              ///< those that stay hear another interference than at the baseline
    double harm = 0;                   ///< as the ledger has it, PRB
    std::array<SpotRival, 2> rival;
    bool oneChannel = false; ///< both rivals send on one
};

/// Cost and harm of a macro cell in one square.
struct SquareCost {
    std::int32_t square = 0;
    double cost = 0, harm = 0; ///< PRB
    MacroView view;            ///< of its dearest place
    double dearest = 0;
};

/// Relief of a pair in one square, as the ledger has it.
struct SquareRelief {
    std::array<std::uint32_t, kStrongest> pair{}; ///< as SpotRival::pair, by the view of `cost`
    std::int32_t square = 0;
    std::uint32_t cost = 0;         ///< place of the macro's cost there, in the list beside
    double relief = 0, carried = 0; ///< PRB
};

/// Places at which one field of shadowing is asked for: [from, to) of ChanceSpots::east.
struct SpotField {
    std::uint64_t who = 0; ///< id of a site or a mount; 0: the part that all share
    bool small = false;    ///< whose shadowing changes within the small cells' distance
    std::size_t from = 0, to = 0;
    Box over; ///< round its places, whose offsets count from its corner
};

struct ChanceSpots {
    /// Of each macro cell the dearest places, which together make kRelievedShare (kRelievedShareOther) of
    /// what it is relieved by.
    /// Tile by tile, ascending.
    std::vector<Spot> spots;
    /// The same summed, for draws that move no level.
    std::vector<SquareCost> costAtSpots;
    std::vector<SquareRelief> reliefAtSpots;
    /// All other places: they stay as the ledger has them, but for demand.
    std::vector<SquareCost> costElsewhere;
    std::vector<SquareRelief> reliefElsewhere;
    std::vector<std::uint64_t> squares; ///< a number for each, from its place alone
    std::vector<SpotField> fields;
    std::vector<float> east, north;   ///< offsets of the fields' places (m)
    std::vector<std::uint32_t> pairs; ///< small << 16 | macro
    std::vector<SmallSource> sources; ///< by small cell, as the ledger has set them
    std::vector<double> total;        ///< movable cost by macro cell, PRB
    /// Of its full power what a macro cell sends, 2^-16: at the baseline, and as the ledger has it.
    std::vector<std::int64_t> shares, sharesNow;
};

/// @param ledger  whose loads, biases and powers hold. Stopped: whatever is there.
ChanceSpots spotsOf(const StudyCore& core, const Ledger& ledger, const Job& job, unsigned threads);

} // namespace fw
