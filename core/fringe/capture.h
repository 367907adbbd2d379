// SPDX-License-Identifier: GPL-3.0-or-later
// What small cells take from macros at one receiver, and what it costs on either side.
#pragma once

#include "fringe/load_map.h"
#include "fringe/small_path.h"

#include <array>
#include <span>
#include <vector>

namespace fw {

/// A small cell as the evaluation needs it.
struct SmallSource {
    std::uint16_t index = 0; ///< place among the variant's small cells, ascending by id
    int layer = -1;          ///< macro layer of its channel, or -1: a carrier of its own
    int channel = 0;         ///< place among the small cells' channels
    int baseCenti = 0;       ///< reference power + peak gain
    int biasCenti = 0;
    std::int64_t share = 0; ///< of full power it sends on average as its neighbours reckon, 2^-16
    int azimuth = 0;        ///< grid, 0.1 deg
    const PatternTable* pattern = nullptr;
    const SmallPath* path = nullptr;
};

/// One small cell at one receiver.
struct Candidate {
    std::int16_t margin = -32768; ///< 0.01 dB over the macro (bias counted) or over the own-carrier threshold
    std::int16_t level = -32768;  ///< 0.01 dBm
    std::uint16_t small = 0xffff; ///< SmallSource::index; 0xffff none
    [[nodiscard]] bool any() const { return small != 0xffff; }
};
/// Stronger margin first, then the lower place: a total order.
inline bool before(const Candidate& a, const Candidate& b) {
    return a.margin != b.margin ? a.margin > b.margin : a.small < b.small;
}
struct TopTwo {
    Candidate first, second;
    void add(const Candidate& c) {
        if (before(c, first)) {
            second = first;
            first = c;
        } else if (before(c, second)) {
            second = c;
        }
    }
};

/// All small cells at the receivers of one tile: the two best per layer, and the power each channel carries.
struct TileSmalls {
    std::vector<std::vector<TopTwo>> layers;         ///< by layer (empty as in TileLevels) and receiver
    std::vector<std::vector<std::int64_t>> channels; ///< by channel and receiver; empty where nothing reaches
};

/// Power sums and best two. The order of `smalls` does not matter.
TileSmalls gatherSmalls(const TileReceivers& r, const TileLevels& levels, std::span<const SmallSource> smalls,
                        int channelCount, const ModelTables& t);

/// Levels of a small cell along a row of pixels, dx from `from` to `to`, all inside its square; kNoLevel
/// where there is none.
void smallLevelRow(const SmallSource& s, int dy, int from, int to, std::int16_t* level);
/// Level of a small cell at a pixel of its path square (dx, dy in pixels); -32768 where there is none.
int smallLevel(const SmallSource& s, int dx, int dy);
inline int smallLevelIndoor(const SmallSource& s, const SmallPath::Indoor& in) {
    int a = in.azimuth - s.azimuth;
    if (a < 0) a += 3600;
    return std::max(-32000, s.baseCenti - in.loss - s.pattern->lossWrapped(a, in.elevation));
}
/// Candidate of a small cell for a layer where the macro is at `macroCenti`; none when it would win next to
/// nobody.
Candidate candidateFor(const SmallSource& s, int level, int layer, int macroCenti, const ModelTables& t);

/// What the evaluation needs to know of a receiver and a layer.
struct ReceiverLoad {
    std::int64_t cost = 0;         ///< baseline PRB cost, 2^-32 PRB
    int macroCenti = 0;            ///< level of the serving macro
    int sinr = 0;                  ///< baseline SINR
    std::int64_t interference = 0; ///< at the baseline: no small cells, serving macro left out, noise in
    std::int64_t heard = 0; ///< now, by those that stay: other macros as they now send, small cells, noise
    std::int64_t servingPower = 0; ///< of the serving macro as it now sends on average
};

/// What happens there. Costs in 2^-32 PRB; relief parts never exceed the cost together.
/// Users differ by shadowing: of the macro (five points), and given it of the small cells, correlated as
/// ModelSettings says. A user goes to the small cell with the greatest margin over 0, or stays. Small cells
/// beyond the two best take nobody; where a third is within some 5 dB of them, the two carry its part too.
struct Division {
    std::array<std::int64_t, 2> relief{}; ///< of the macro's PRB, by first and second candidate
    std::array<std::int64_t, 2>
        carried{};         ///< PRB that the small cell spends on the same bits, before carrier ratios
    std::int64_t harm = 0; ///< extra PRB of the macro for those that stay
};

/// @param ownPower  by candidate: all small cells on its channel including itself (only used on own
/// carriers).
/// @param sources   by SmallSource::index.
Division divide(const ReceiverLoad& load, const TopTwo& top, std::array<std::int64_t, 2> ownPower,
                std::span<const SmallSource> sources, const ModelTables& t);

/// Those that stay with the macro at one receiver, at each fixed shadowing of the macro, by divide()'s rules.
struct Stayers {
    std::array<double, kPoints> share{}; ///< of the users at that point, 0 to 1
    std::array<int, kPoints> sinr{};     ///< 0.01 dB, as things now are
};
/// @param counted  by SmallSource::index: share (0 to 1) of what a small cell takes that counts.
Stayers stayers(const ReceiverLoad& load, const TopTwo& top, std::span<const SmallSource> sources,
                std::span<const double> counted, const ModelTables& t);

/// Those that the two candidates take at one receiver, at each fixed shadowing of the macro, by divide()'s
/// rules. Nobody where there is no candidate.
struct Movers {
    std::array<std::array<double, kPoints>, 2> share{}; ///< of the users at that point, 0 to 1
    /// 0.01 dB, at the small cell: two points, half of the users each, stand for the spread.
    std::array<std::array<std::array<int, 2>, kPoints>, 2> sinr{};
};
Movers movers(const ReceiverLoad& load, const TopTwo& top, std::array<std::int64_t, 2> ownPower,
              std::span<const SmallSource> sources, const ModelTables& t);

} // namespace fw
