// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/sector_pattern.h"

#include "base/log_exp.h"
#include "radio/tilted.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

// Level the lobes begin at, and so that of the back.
double offsetDb(const SectorPattern& p) { return p.lobes == SideLobes::peak ? -12.0 : -15.0; }
double backDb(const SectorPattern& p) {
    return offsetDb(p) + decibels(1.0 + 8.0 * p.k) - 15.0 * log10Fixed(180.0 / p.theta3Deg);
}

double inAzimuth(const SectorPattern& p, double x) {
    const double shift = 3.0 * (1.0 - powerFixed(0.5, -p.kh));
    const double gain = x <= 0.5 ? -12.0 * x * x : -12.0 * powerFixed(x, 2.0 - p.kh) - shift;
    return std::max(gain, backDb(p));
}

SectorGain::Branch branchOf(const SectorPattern& p, double x) {
    const bool peak = p.lobes == SideLobes::peak;
    const double edge = std::sqrt(peak ? 1.0 - 0.36 * p.kv : 1.33 - 0.33 * p.kv);
    if (x < edge) return SectorGain::Branch::mainLobe;
    if (x >= 90.0 / p.theta3Deg) return SectorGain::Branch::behind;
    return x < 4.0 ? SectorGain::Branch::nearLobes : SectorGain::Branch::farLobes;
}

double inElevation(const SectorPattern& p, double x) {
    switch (branchOf(p, x)) {
    case SectorGain::Branch::mainLobe:
        return -12.0 * x * x;
    case SectorGain::Branch::behind:
        return backDb(p);
    case SectorGain::Branch::nearLobes:
        return offsetDb(p) + decibels(powerFixed(x, -1.5) + p.kv);
    case SectorGain::Branch::farLobes:
        break;
    }
    // 4^-1.5 is an eighth. The slope joins the lobes at 4 half-power widths to the level at 90 deg.
    const double at4 = 0.125 + p.kv;
    const double slope = decibels(powerFixed(180.0 / p.theta3Deg, 1.5) * at4 / (1.0 + 8.0 * p.k)) /
                         log10Fixed(22.5 / p.theta3Deg);
    return offsetDb(p) + decibels(at4) + slope * log10Fixed(4.0 / x);
}

} // namespace

SectorGain sectorGainSteps(const SectorPattern& p, double azimuthDeg, double elevationDeg,
                           double mechanicalTiltDeg, double electricalTiltDeg) {
    const SeenDirection seen = seenFromTilted(azimuthDeg, elevationDeg, mechanicalTiltDeg);
    const double b = electricalTiltDeg, above = seen.elevationDeg + b;
    SectorGain out;
    out.azimuthDeg = seen.azimuthDeg;
    out.elevationDeg = b == 0 ? above : 90.0 * above / (above >= 0 ? 90.0 + b : 90.0 - b);
    out.horizontal = {inAzimuth(p, std::fabs(wrap180(out.azimuthDeg)) / p.phi3Deg)};
    out.behind = {inAzimuth(p, 180.0 / p.phi3Deg)};
    const double h = out.horizontal.v, back = out.behind.v, front = inAzimuth(p, 0.0);
    // How much of the cut in elevation holds at this azimuth: all ahead, nothing behind.
    out.share = front > back ? (h - back) / (front - back) : 1.0;
    const double x = std::fabs(out.elevationDeg) / p.theta3Deg;
    out.floor = {backDb(p)};
    out.branch = branchOf(p, x);
    out.vertical = {inElevation(p, x)};
    out.gain = {p.gainDbi + h + out.share * out.vertical.v};
    return out;
}

Db sectorGain(const SectorPattern& p, double azimuthDeg, double elevationDeg) {
    return sectorGainSteps(p, azimuthDeg, elevationDeg, 0, 0).gain;
}

Db sectorGainTilted(const SectorPattern& p, double azimuthDeg, double elevationDeg, double mechanicalTiltDeg,
                    double electricalTiltDeg) {
    return sectorGainSteps(p, azimuthDeg, elevationDeg, mechanicalTiltDeg, electricalTiltDeg).gain;
}

double sectorBeamwidthDeg(double gainDbi, double phi3Deg) { return 31000.0 * powerRatio(-gainDbi) / phi3Deg; }

Range sectorPatternRange(Hertz f) { return rangeOf(inGigahertz(f), 0.4, 6); }

} // namespace fw
