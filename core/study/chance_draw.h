// SPDX-License-Identifier: GPL-3.0-or-later
// One draw of the inputs, and the loads it leads to. Private to core/study.
#pragma once

#include "study/chance.h"
#include "study/chance_spots.h"

namespace fw {

/// How far levels at a spot move by azimuths and tilts, 0.01 dB.
struct SpotShift {
    std::int16_t macro = 0;
    std::array<std::int16_t, 2> small{}; ///< by rival
};

/// The inputs as one draw has them. An empty list: as entered.
struct Drawn {
    std::vector<double> demand; ///< factor by square
    std::vector<float> shadow;  ///< unit fields at ChanceSpots::east; empty: averaged over, as in the ledger
    std::vector<int> azimuth;   ///< by small cell: built so far clockwise of the plan, 0.1 deg
    std::vector<int> tilt;      ///< likewise down, 0.1 deg
    std::vector<int> listed;    ///< by macro cell: stands so far clockwise of the inventory, 0.1 deg
    /// What azimuths and tilts do at each spot; empty: not worked out yet. ChanceDraws::draw() does it, so
    /// that draws of one input alone can take it over.
    std::vector<SpotShift> shifts;
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

    /// @param which  inputs to draw, by ChanceInput.
    void draw(std::size_t n, const std::array<bool, kChanceInputs>& which, Drawn& out) const;
    void loads(const Drawn& d, DrawSums& sums, DrawLoads& out) const;

private:
    void decided(const Drawn& d, const SpotShift* shifts, DrawSums& sums) const; // all of a place go one way
    void averaged(const Drawn& d, const SpotShift* shifts,
                  DrawSums& sums) const; // or divide, as in the ledger
    void squares(const Drawn& d, const std::vector<SquareCost>& costs,
                 const std::vector<SquareRelief>& reliefs, DrawSums& sums) const;
    [[nodiscard]] std::vector<SpotShift> shiftsOf(const Drawn& d) const;
    [[nodiscard]] int macroShift(const Drawn& d, std::uint16_t macro, const MacroView& v) const;
    [[nodiscard]] int smallShift(const Drawn& d, const SpotRival& r) const;
    void finish(const DrawSums& sums, DrawLoads& out) const;

    const StudyCore& m_core;
    const ChanceSpots& m_spots;
    const ModelTables& m_tables;
    std::uint64_t m_seed;
    std::vector<std::uint64_t> m_built; // by small cell: whose draw of a build error it takes
    double m_macroCenti, m_smallCenti, m_common, m_apart; // of shadowing: spreads, parts of the unit fields
};

} // namespace fw
