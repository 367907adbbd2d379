// SPDX-License-Identifier: GPL-3.0-or-later
// How long somebody who passes along a street stays where a small cell leads.
#pragma once

#include "base/working.h"
#include "study/study.h"

#include <string>
#include <vector>

namespace fw {

/// Under it, in seconds, who passes costs more signalling by the handovers than the cell gains [own].
inline constexpr double kShortStayS = 5;

/// A stretch of one street where the small cell leads.
struct StreetChord {
    ItemId street;
    double lengthM = 0;
    double stayS = 0; ///< length / speed
    bool operator==(const StreetChord&) const = default;
};

struct Dwell {
    ItemId small;
    double speedKmh = 0;             ///< ModelSettings::streetSpeedKmh
    std::vector<StreetChord> chords; ///< of a pixel (4 m) or more; by street ascending, then along it
    // 0 without chords:
    double longestM = 0, medianM = 0;
    double longestS = 0, medianS = 0;
    /// Half of the stretches, or all of them, are passed in less than kShortStayS.
    [[nodiscard]] bool mostAreShort() const { return !chords.empty() && medianS < kShortStayS; }
    [[nodiscard]] bool allAreShort() const { return !chords.empty() && longestS < kShortStayS; }
    bool operator==(const Dwell&) const = default;
};

/// Of one small cell, chosen or not; one that is not part of the study has no chords. A chord runs along one
/// street of the plan without a break, over its corners, where the cell as entered is stronger than every
/// macro of its carrier (SmallFootprint::leads). It is measured in pieces of at most a metre; shorter ones
/// than a pixel are taken for the grid's corners and left out. About a millisecond: not for each frame of a
/// drag.
Dwell dwellOf(const Study& study, ItemId small);

/// Of each chosen small cell, ascending by id.
std::vector<Dwell> dwells(const Study& study);

/// What is to be noted of short stays, a sentence for people; empty where stays are long enough.
std::string noteOf(const Dwell& dwell);

/// Chord by chord: street, length, seconds; then the longest and, as the result, the median. @param plan  the
/// study's.
Working workingOf(const Plan& plan, const Dwell& dwell);

} // namespace fw
