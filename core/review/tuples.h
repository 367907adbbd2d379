// SPDX-License-Identifier: GPL-3.0-or-later
// The usual shapes of tuples, so that a rule only says which it wants.
#pragma once

#include "review/rule.h"

namespace fw {

/// {small cell} for each small cell of the study, and for the changed ones.
std::vector<Subjects> everySmall(const RuleView& view);
std::vector<Subjects> touchedSmalls(const RuleView& view, const ReviewChange& change);
/// As touchedSmalls, with the cells whose relief another radio's change has altered.
std::vector<Subjects> touchedOrRelieved(const RuleView& view, const ReviewChange& change);
/// {radio}, {mount} for those that carry a cell in the active variant.
std::vector<Subjects> everyRadio(const RuleView& view);
std::vector<Subjects> touchedRadios(const RuleView& view, const ReviewChange& change);
std::vector<Subjects> everyMount(const RuleView& view);
std::vector<Subjects> touchedMounts(const RuleView& view, const ReviewChange& change);

/// {a, b}, a < b: chosen small cells of one carrier on two mounts, at most about `withinM` apart.
std::vector<Subjects> everyPair(const RuleView& view, double withinM);
/// Calls visit(a, b) for each of `smalls` as a and each cell it can pair with as b.
void forEachPair(const RuleView& view, const std::vector<ItemId>& smalls, double withinM,
                 const std::function<void(const SmallCellPart&, const SmallCellPart&)>& visit);
/// Pairs that hold one of `smalls`.
std::vector<Subjects> pairsOf(const RuleView& view, const std::vector<ItemId>& smalls, double withinM);

/// Whether two carriers are the same channel.
bool sameCarrier(const Carrier& a, const Carrier& b);
/// The small cell that stands for a radio where its cells differ in frequency alone: the lowest frequency
/// (widest Fresnel zone), then the lowest id. None when the radio carries nothing.
ItemId speakerOf(const RuleView& view, ItemId radio);

/// Nearer than this (m, in the plan) two things stand on one spot, and no bearing leads from one to the
/// other.
inline constexpr double kSamePlaceM = 1;

/// Ends of a chosen pair and the bearings between them.
struct FacingPair {
    SmallCellPart a, b;
    PlanePoint atA, atB;
    double distanceM = 0; ///< on the ground
    bool aSeesB = false;  ///< b within half of a's beamwidth and `marginDeg`
    bool bSeesA = false;
};
/// Empty when an end is missing or both stand on one spot. The sight between them is left to the caller.
std::optional<FacingPair> facingPair(const RuleView& view, const Subjects& pair, double marginDeg);

/// Severity one grade down; empty below a note.
std::optional<Severity> gradeLower(Severity s);

} // namespace fw
