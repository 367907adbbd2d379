// SPDX-License-Identifier: GPL-3.0-or-later
// Least squares that gross outliers do not pull along.
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

namespace fw {

/// Tuning constants that keep 95 % of the efficiency of least squares where errors are normal.
/// Source: P. J. Huber, E. M. Ronchetti, Robust Statistics, 2nd ed. (2009), 4.5 (Huber's k); A. E. Beaton,
/// J. W. Tukey, Technometrics 16 (1974) 147-185 (biweight).
inline constexpr double kHuberTuning = 1.345, kBiweightTuning = 4.685;
/// A median absolute deviation times this is a standard deviation, where errors are normal: 1 / Phi^-1(3/4).
inline constexpr double kMadToSigma = 1.482602218505602;

inline constexpr std::size_t kMostTerms = 3;
using FitRow = std::array<double, kMostTerms>; ///< what the coefficients are multiplied by; unused ones 0

struct RobustFit {
    bool ok = false; ///< false: too few rows, or rows that do not tell the coefficients apart
    std::array<double, kMostTerms> value{};
    /// Standard errors, with errors taken as alike within a cluster and independent between them (sandwich
    /// form, G / (G - 1) for G clusters). Infinite with fewer than two.
    std::array<double, kMostTerms> error{};
    double scale = 0;            ///< spread of what is left, by its median absolute deviation
    std::vector<double> weights; ///< of the rows, 0..1
};

/// y = sum of value[k] rows[k]: an M-estimate, first Huber's with a scale that follows, then Tukey's biweight
/// with the scale held, which leaves gross outliers out altogether. A fixed number of rounds in a fixed
/// order: the same input gives the same bits everywhere.
/// @param leastScale  the scale is held at this at least: values that repeat, or were rounded, would bring it
/// to
///                    nothing.
/// @param terms     columns of `rows` in use, 1 to kMostTerms.
/// @param clusters  by row, what may err together (a street square); any numbers.
RobustFit robustFit(std::span<const FitRow> rows, std::span<const double> y,
                    std::span<const std::uint32_t> clusters, std::size_t terms, double leastScale = 1e-6);

/// The middle value; of an even number the mean of the middle two. Not empty.
double medianValue(std::vector<double> values);

} // namespace fw
