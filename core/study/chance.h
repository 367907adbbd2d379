// SPDX-License-Identifier: GPL-3.0-or-later
// How sure a verdict is: the ledger drawn many times over with its inputs as they may really be.
#pragma once

#include "base/working.h"
#include "study/study.h"

#include <array>

namespace fw {

/// What is drawn. How far each may be off stands in SpreadSettings and ModelSettings.
enum class ChanceInput : std::uint8_t {
    shadowing, ///< of macros and small cells, one field over the ground each, correlated between sites
    demand,    ///< by squares of 50 m; a cell's measured use stays what it is
    build,     ///< azimuth and tilt of the radios as the crew fixes them
    inventory, ///< azimuth of the macro sectors as they really stand
};
inline constexpr std::size_t kChanceInputs = 4;
/// In words, as people read it.
const char* nameOf(ChanceInput input);

struct ChanceOptions {
    int draws = 500;
    std::uint64_t seed = 1;
    unsigned threads = 0; ///< 0: one per core; the result is the same for any number
    double share = 0.9;   ///< of the draws, for CellChance::atShare; 0..1
};

/// 10, 50 and 90 of a hundred draws are no larger.
struct Quantiles {
    double p10 = 0, p50 = 0, p90 = 0;
    [[nodiscard]] double span() const { return p90 - p10; }
    bool operator==(const Quantiles&) const = default;
};

struct CellChance {
    ItemId cell;
    double before = 0, target = 0; ///< as in the ledger
    bool congested = false;
    double ledger = 0;  ///< use after, as the ledger has it
    Quantiles after;    ///< use after over all draws
    double mean = 0;    ///< likewise
    double reaches = 0; ///< share of draws in which its use is at or below the target
    double atShare = 0; ///< use after that ChanceOptions::share of the draws do not exceed
    /// Use after with this input alone drawn and the others as entered. Shadowing as entered is shadowing
    /// averaged over, as in the ledger. Of the first 250 draws.
    std::array<Quantiles, kChanceInputs> alone;
    ChanceInput widest = ChanceInput::shadowing; ///< whose `alone` spans most: what the verdict hangs on
    bool operator==(const CellChance&) const = default;
};

struct SmallChance {
    ItemId small;
    Quantiles use;      ///< of its own PRB, not clipped
    double overCap = 0; ///< share of draws
    bool operator==(const SmallChance&) const = default;
};

struct Chance {
    std::vector<CellChance> cells;   ///< those with a measured use that small cells change or that are
                                     ///< congested, ascending by id
    std::vector<SmallChance> smalls; ///< chosen ones, ascending by id
    double allReach = 0;             ///< share of draws in which every congested cell reaches its target
    int draws = 0;
    std::uint64_t seed = 0;
    std::vector<std::string> remarks;
    bool operator==(const Chance&) const = default;
};

/// What the use after hangs on, in words: the input that spans most alone, two that span about as much, or
/// nothing where none moves it by a tenth of a point.
std::string hangsOn(const CellChance& cell);

/// Draws in a hundred as people read them: 0 and 100 only where it is none and all.
int inHundred(double share);

/// @param ledger  of the same study: live(), or settle(). Loads, biases and powers are held at what it says;
///                the draws move round it.
/// Equal bytes for equal study, ledger, draws and seed; a mount's, a site's and a square's draws do not
/// depend on what else stands in the plan, so that variants can be compared draw by draw. Macros that stand
/// off their listed azimuths part the ground anew among the three strongest of a place; shadowing moves
/// levels and not who serves. Small cells over their cap are counted by cap over use. Radios on one mount
/// share their shadowing, which the ledger takes as correlated like that of different mounts. Cancelled:
/// Error cancelled. No draws (less than 1, or more than 100,000): Error badInput.
Result<Chance> chanceOf(const Study& study, const Ledger& ledger, const ChanceOptions& options = {},
                        const Job& job = {});

/// The steps behind one cell's figures.
Working workingOf(const Study& study, const Chance& chance, const CellChance& cell);

} // namespace fw
