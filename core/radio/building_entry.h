// SPDX-License-Identifier: GPL-3.0-or-later
// Loss into buildings.
#pragma once

#include "base/units.h"
#include "radio/range.h"

namespace fw {

/// What a building is made of, as far as radio waves notice: `efficient` has metallised glass or foil-backed
/// panels.
enum class EntryClass { traditional, efficient };

/// Building entry loss not exceeded with the given probability, over the places inside a building and over
/// buildings of the class. It ends at a terminal anywhere inside: add no loss per metre of depth.
/// @param f             0.08 to 100 GHz stated.
/// @param elevationDeg  of the path at the facade, -90 to 90 deg; only its size counts.
/// @param probability   0 < p < 1; values outside are drawn to 1e-9 from the ends.
/// @return loss (dB); may be slightly negative for small p. Error of our inverse normal below 1e-6 dB.
/// Source: Rec. ITU-R P.2109-1, section 3, eq. (1) to (10), Table 1.
Db entryLoss(EntryClass cls, Hertz f, double elevationDeg, double probability);

/// The same with what it is made of.
struct EntryLoss {
    double quantile = 0;                             ///< F^-1(p)
    Db horizontal;                                   ///< L_h
    Db elevation;                                    ///< L_e
    double mu1 = 0, sigma1 = 0, mu2 = 0, sigma2 = 0; ///< (dB)
    double a = 0, b = 0;                             ///< A(p) and B(p) (dB)
    Db total;
};
EntryLoss entryLossSteps(EntryClass cls, Hertz f, double elevationDeg, double probability);
/// Probability that the entry loss stays at or below lossDb: the inverse of entryLoss().
double entryLossProbability(EntryClass cls, Hertz f, double elevationDeg, double lossDb);

/// Median loss for horizontal incidence, L_h. Source: Rec. ITU-R P.2109-1, section 3, eq. (9).
Db entryLossHorizontalMedian(EntryClass cls, Hertz f);

/// Entry loss for a building of unknown class: the median of the mixture, that is the loss which half of all
/// places in a stock with the given share of thermally efficient buildings do not exceed. The distributions
/// are mixed, not the decibels nor the powers of the medians: a mean of the medians' powers (16 dB at 1.8
/// GHz) is ruled by the traditional buildings alone and hides the others; a mean of decibels (20 dB) is no
/// loss either class has.
/// @param efficientShare  0 to 1; the house's default 0.3 is our own judgement.
/// Error below 1e-6 dB. About 200 times dearer (13 microseconds) than a median of one class: keep it per
/// carrier and elevation.
Db entryLossMedianMix(Hertz f, double elevationDeg, double efficientShare = 0.3);

/// The range the source states: 0.08 to 100 GHz.
Range entryRange(Hertz f);

/// Inverse of the standard normal distribution, 1e-9 <= p <= 1 - 1e-9; error below 1e-6.
/// Source of the first guess: Abramowitz and Stegun 26.2.23; then Newton steps on normalCdfFixed().
double normalQuantile(double p);

} // namespace fw
