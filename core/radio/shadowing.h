// SPDX-License-Identifier: GPL-3.0-or-later
// How path losses of places spread about the median, and how far places resemble each other.
#pragma once

namespace fw {

enum class UrbanScenario { micro, macro };         ///< UMi street canyon, UMa
enum class UrbanState { sight, noSight, indoors }; ///< LOS, NLOS, outdoor to indoor

struct Shadowing {
    double spreadDb = 0;     ///< standard deviation of the loss, normal in dB
    double correlationM = 0; ///< distance over which the correlation falls to 1/e
};
/// Source: 3GPP TR 38.901, Table 7.4.1-1 and Table 7.5-6 (0.5 to 100 GHz).
Shadowing shadowingOf(UrbanScenario scenario, UrbanState state);

/// Correlation of the shadowing at two places, exp(-distance / correlationM). distanceM >= 0.
/// Source: 3GPP TR 38.901, 7.4.4, eq. (7.4-5).
double shadowingCorrelation(const Shadowing& shadowing, double distanceM);

} // namespace fw
