// SPDX-License-Identifier: GPL-3.0-or-later
// What small cells do in one tile, summed. Whole numbers, so that sums of tiles are the same in any order and
// a moved cell's part can be taken out and put in again without a trace.
#pragma once

#include "base/flat_map.h"
#include "fringe/capture.h"

namespace fw {

struct PairSum {
    std::int64_t relief = 0;  ///< of the macro cell by the small cell, 2^-32 PRB
    std::int64_t fringe = 0;  ///< of it, in the cell's fringe or a congestion area
    std::int64_t carried = 0; ///< what the small cell spends on it, 2^-32 PRB before carrier ratios
    PairSum& operator-=(const PairSum& o) {
        relief -= o.relief;
        fringe -= o.fringe;
        carried -= o.carried;
        return *this;
    }
    PairSum& operator+=(const PairSum& o) {
        relief += o.relief;
        fringe += o.fringe;
        carried += o.carried;
        return *this;
    }
    [[nodiscard]] bool zero() const { return relief == 0 && fringe == 0 && carried == 0; }
    bool operator==(const PairSum&) const = default;
};

/// Sums by (small cell, macro cell) and by macro cell, both as places in their rosters.
struct TileSums {
    FlatMap<std::uint32_t, PairSum> pairs;     ///< small << 16 | macro; no zero entries
    FlatMap<std::uint16_t, std::int64_t> harm; ///< by macro; no zero entries
    static std::uint32_t keyOf(std::uint16_t small, std::uint16_t macro) {
        return static_cast<std::uint32_t>(small) << 16 | macro;
    }
    static std::uint16_t macroOf(std::uint32_t key) { return static_cast<std::uint16_t>(key & 0xffff); }
    /// The pairs of one small cell, ascending by macro. Small cells are fewer than 65,000.
    [[nodiscard]] auto of(std::size_t small) const {
        const auto n = static_cast<std::uint16_t>(small);
        return pairs.between(keyOf(n, 0), keyOf(static_cast<std::uint16_t>(n + 1), 0));
    }
    void add(const TileSums& o, int sign = 1);
    bool operator==(const TileSums&) const = default;
};

/// Gathers contributions quickly: neighbours mostly belong to the same pair.
class SumBook {
public:
    SumBook(std::size_t smalls, std::size_t macros);
    void pair(std::uint16_t small, std::uint16_t macro, const PairSum& p);
    void harm(std::uint16_t macro, std::int64_t h) {
        if (!h) return;
        if (!m_harm[macro]) m_harmTouched.push_back(macro);
        m_harm[macro] += h;
    }
    /// Everything gathered; the book is empty after.
    TileSums take();

private:
    std::vector<std::int32_t> m_row;          // by small: row of m_sums, or -1
    std::vector<std::vector<PairSum>> m_sums; // by row and macro
    std::vector<std::uint16_t> m_rowSmall;
    std::vector<std::int64_t> m_harm;
    std::vector<std::uint16_t> m_harmTouched;
    std::size_t m_macros;
};

/// All that stays the same while the receivers of one tile are evaluated.
struct TileView {
    const TileReceivers* receivers = nullptr;
    const TileLevels* levels = nullptr;
    const TileCost* cost = nullptr;
    std::span<const std::int64_t> shares;    ///< sending share of macros at the baseline
    std::span<const std::int64_t> sharesNow; ///< the same with loads that changed; empty: as at the baseline
    std::span<const std::uint16_t> fringeFrom; ///< by macro
    std::span<const SmallSource> sources;      ///< by small cell
    const ModelTables* tables = nullptr;
};

/// Signals at one receiver in one layer, with `small` power of small cells on the layer's own carrier. The
/// layer has cost there.
ReceiverLoad loadAt(const TileView& v, std::size_t i, std::size_t layer, std::int64_t small);
/// What happens at one receiver in one layer; nothing where there is no cost.
/// @param channelPower    power of each small-cell channel at the receiver.
/// @param channelOfLayer  small-cell channel that is the layer's own, or -1.
Division divideAt(const TileView& v, std::size_t i, std::size_t layer, const TopTwo& top,
                  std::span<const std::int64_t> channelPower, std::span<const int> channelOfLayer);
/// Whether a receiver lies in the fringe of the macro that serves it in a layer, or in a congestion area.
bool inFringe(const TileView& v, std::size_t i, std::size_t layer);
/// Puts a division into the book. The receiver has cost in the layer.
void record(const TileView& v, std::size_t i, std::size_t layer, const TopTwo& top, const Division& d,
            SumBook& book);
/// A division and the candidates it is between.
struct Divided {
    const TopTwo& top;
    const Division& division;
};
/// Takes one division of a receiver's users out of the book and puts another one in.
void recordChange(std::uint16_t macro, bool inFringe, const Divided& out, const Divided& in, SumBook& book);

/// The whole tile. channelOfLayer: small-cell channel that is the layer's own, or -1.
TileSums evaluateTile(const TileView& v, const TileSmalls& smalls, std::span<const int> channelOfLayer);

} // namespace fw
