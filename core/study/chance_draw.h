// SPDX-License-Identifier: GPL-3.0-or-later
// One draw of the inputs, and the loads it leads to. Private to core/study.
#pragma once

#include "study/chance.h"
#include "study/chance_spots.h"

#include <span>

namespace fw {

/// Who serves a place, and how well.
struct Served {
    std::uint8_t by = 0;                        ///< place in MacroView::at
    std::int16_t levelCenti = 0, sinrCenti = 0; ///< of it; its users' at the loads of the baseline
    std::int64_t others = 0; ///< what the rest of MacroView::at sends there at the loads of the ledger
};

/// What azimuths and tilts do at a spot.
struct SpotShift {
    Served served;
    std::array<std::int16_t, 2> small{}; ///< how far the level moves, 0.01 dB, by rival
};

/// The inputs as one draw has them. An empty list: as entered.
struct Drawn {
    std::vector<double> demand; ///< factor by square
    std::vector<float> shadow;  ///< unit fields at ChanceSpots::east; empty: averaged over, as in the ledger
    std::vector<int> azimuth;   ///< by small cell: built so far clockwise of the plan, 0.1 deg
    std::vector<int> tilt;      ///< likewise down, 0.1 deg
    std::vector<int> listed;    ///< by macro cell: stands so far clockwise of the inventory, 0.1 deg
};

/// Sums of one draw, before a cell's costs are brought to its measured use.
struct DrawSums {
    std::vector<double> relief, carried; ///< by pair, PRB
    std::vector<double> weighed, harm;   ///< by macro cell, PRB: all its cost as drawn; added by interference
};

/// Loads of one draw.
struct DrawLoads {
    std::vector<double> after; ///< by macro cell, share of its PRB; only where it has a measured use
    std::vector<double> small; ///< by small cell, share of its PRB, not clipped
};

class ChanceDraws {
public:
    ChanceDraws(const StudyCore& core, const ChanceSpots& spots, std::uint64_t seed);

    using Which = std::array<bool, kChanceInputs>; ///< by ChanceInput
    void draw(std::size_t n, const Which& which, Drawn& out) const;
    void loads(const Drawn& d, DrawSums& sums, DrawLoads& out) const;
    /// The same with every input drawn, and with one alone as the others were entered, by ChanceInput: in one
    /// pass over the places, which are more than a processor keeps at hand. @param alone  null: not wanted.
    void loadsByInput(const Drawn& d, std::array<DrawSums, kChanceInputs + 1>& sums, DrawLoads& all,
                      const std::array<DrawLoads*, kChanceInputs>& alone) const;

private:
    /// The inputs that count.
    struct Taken {
        std::span<const double> demand;
        std::span<const float> shadow;
        std::span<const int> azimuth, tilt, listed;
        std::span<const Served> elsewhere; ///< who serves ChanceSpots::costElsewhere, where macros turn
    };
    [[nodiscard]] Taken taken(const Drawn& d, const Which& which, const std::vector<Served>& elsewhere) const;

    /// Whether any level moves; else the places' sums by square do.
    [[nodiscard]] static bool moves(const Taken& d) {
        return !d.shadow.empty() || !d.azimuth.empty() || !d.listed.empty();
    }
    void begin(const Taken& d, DrawSums& sums) const;
    void spots(const Taken& d, std::size_t from, std::size_t to, const SpotShift* shifts,
               DrawSums& sums) const;
    void decided(const Taken& d, const Spot& s, const SpotShift* shift, DrawSums& sums) const;
    void averaged(const Taken& d, const Spot& s, const SpotShift* shift, DrawSums& sums) const;
    void squares(const Taken& d, const std::vector<SquareCost>& costs,
                 const std::vector<SquareRelief>& reliefs, std::span<const Served> served,
                 DrawSums& sums) const;
    [[nodiscard]] const SpotShift* shiftsOf(const Taken& d, std::size_t from, std::size_t to,
                                            std::vector<SpotShift>& out) const;
    [[nodiscard]] std::vector<Served> servedElsewhere(const Drawn& d) const;
    [[nodiscard]] Served servedAt(std::span<const int> listed, const MacroView& v) const;
    [[nodiscard]] static Served servedAt(const Taken& d, const Spot& s, const SpotShift* shift);
    [[nodiscard]] double bitsAt(const MacroView& v, const Served& s) const;
    [[nodiscard]] double costAt(const MacroView& v, const Served& s) const;
    [[nodiscard]] int smallShift(const Taken& d, const SpotRival& r) const;
    void finish(const DrawSums& sums, DrawLoads& out) const;

    const StudyCore& m_core;
    const ChanceSpots& m_spots;
    const ModelTables& m_tables;
    std::uint64_t m_seed;
    std::vector<std::uint64_t> m_built; // by small cell: whose draw of a build error it takes
    double m_macroCenti, m_smallCenti, m_common, m_apart; // of shadowing: spreads, parts of the unit fields
};

} // namespace fw
