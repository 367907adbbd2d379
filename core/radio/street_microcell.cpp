// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/street_microcell.h"

#include "base/log_exp.h"
#include "radio/free_space.h"

#include <cmath>

namespace fw {

Db siteGeneralLoss(const SiteGeneral& row, double distance3dM, Hertz f) {
    return {10.0 * row.alpha * log10Fixed(distance3dM) + row.beta +
            10.0 * row.gamma * log10Fixed(inGigahertz(f))};
}

SiteGeneralRange siteGeneralRange(const SiteGeneral& row, double distance3dM, Hertz f) {
    return {rangeOf(distance3dM, row.dMinM, row.dMaxM), rangeOf(inGigahertz(f), row.fMinGHz, row.fMaxGHz)};
}

const SiteGeneral& belowRoofLos() { return p1411v11::belowRoofLos; }
const SiteGeneral& belowRoofNlos() { return p1411v11::belowRoofNlosHighRise; }

StreetCanyon streetCanyonLoss(double distanceM, double h1M, double h2M, Hertz f) {
    const double lambda = wavelengthM(f);
    StreetCanyon out;
    out.breakpointM = 4.0 * h1M * h2M / lambda;
    const double atBreak = std::fabs(20.0 * log10Fixed(lambda * lambda / (8.0 * kPi * h1M * h2M)));
    out.atBreakpoint = {atBreak};
    const double decades = log10Fixed(distanceM / out.breakpointM);
    const bool beyond = distanceM > out.breakpointM;
    out.lower = {atBreak + (beyond ? 40.0 : 20.0) * decades};
    out.upper = {atBreak + 20.0 + (beyond ? 40.0 : 25.0) * decades};
    out.middle = {atBreak + 6.0 + (beyond ? 40.0 : 20.0) * decades};
    return out;
}

} // namespace fw
