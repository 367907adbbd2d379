// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

namespace fw {

/// Where a value lies against the range a published model states for itself. Outside it a model still
/// answers, and whoever shows the figure says that it is an extrapolation.
enum class Range { inside, below, above };

/// Both ends belong to the range. NaN counts as below: it never passes for inside.
constexpr Range rangeOf(double value, double low, double high) {
    if (value > high) return Range::above;
    return value >= low ? Range::inside : Range::below;
}

} // namespace fw
