// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/clear_air_hop.h"

#include "base/log_exp.h"

#include <cmath>
#include <limits>

namespace fw {
namespace {

double power(double base, double exponent) { return exp2Fixed(exponent * log2Fixed(base)); }

} // namespace

double hopClearanceM(double d1M, double d2M, Hertz f) {
    return 0.6 * 17.3 * std::sqrt(d1M * d2M / (1000.0 * (d1M + d2M) * inGigahertz(f)));
}

Db hopObstructionLoss(double heightInF1) { return {10.0 - 20.0 * heightInF1}; }

double geoclimaticFactor(double gradient, double roughnessM) {
    return power(10.0, -4.4 - 0.0027 * gradient) * power(10.0 + roughnessM, -0.46);
}

double multipathFadePercent(const MultipathHop& hop, Hertz f, Db depth) {
    return hop.geoclimatic * power(hop.km, 3.4) * power(1.0 + std::fabs(hop.inclinationMrad), -1.03) *
           power(inGigahertz(f), 0.8) * power(10.0, -0.00076 * hop.lowerAmslM - 0.1 * depth.v);
}

Range multipathRange(double km) { return rangeOf(km, 5, std::numeric_limits<double>::infinity()); }

double longFadesPerYear(double percent) { return 1.0 + 1313.0 * power(percent, 0.945); }

} // namespace fw
