// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/clear_air_hop.h"

#include "base/log_exp.h"

#include <cmath>
#include <limits>

namespace fw {
double hopClearanceM(double d1M, double d2M, Hertz f) {
    return 0.6 * 17.3 * std::sqrt(d1M * d2M / (1000.0 * (d1M + d2M) * inGigahertz(f)));
}

Db hopObstructionLoss(double heightInF1) { return {10.0 - 20.0 * heightInF1}; }

double geoclimaticFactor(double gradient, double roughnessM) {
    return powerFixed(10.0, -4.4 - 0.0027 * gradient) * powerFixed(10.0 + roughnessM, -0.46);
}

double multipathFadePercent(const MultipathHop& hop, Hertz f, Db depth) {
    return hop.geoclimatic * powerFixed(hop.km, 3.4) *
           powerFixed(1.0 + std::fabs(hop.inclinationMrad), -1.03) * powerFixed(inGigahertz(f), 0.8) *
           powerFixed(10.0, -0.00076 * hop.lowerAmslM - 0.1 * depth.v);
}

Range multipathRange(double km) { return rangeOf(km, 5, std::numeric_limits<double>::infinity()); }

double longFadesPerYear(double percent) { return 1.0 + 1313.0 * powerFixed(percent, 0.945); }

} // namespace fw
