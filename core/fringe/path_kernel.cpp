// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/path_kernel.h"

#include "base/log_exp.h"
#include "base/wide.h"
#include "radio/knife_edge.h"
#include "radio/street_microcell.h"
#include "radio/urban_macro.h"
#include "radio/urban_micro.h"

#include <bit>
#include <cmath>

namespace fw {
namespace {

constexpr double kLightMps = 299792458.0;

// log2 in single precision, error below 1e-6: half an atanh series over a mantissa centred on 1.
inline float log2Single(float x) {
    const auto bits = std::bit_cast<std::uint32_t>(x) + (0x3f800000u - 0x3f3504f3u);
    const auto e = static_cast<std::int32_t>(bits >> 23) - 127;
    const float m = std::bit_cast<float>((bits & 0x007fffffu) + 0x3f3504f3u);
    const float t = (m - 1.0f) / (m + 1.0f), t2 = t * t;
    const float p = ((t2 * (1.0f / 7.0f) + 1.0f / 5.0f) * t2 + 1.0f / 3.0f) * t2 + 1.0f;
    return static_cast<float>(e) + t * p * 2.8853900817779268f;
}

inline float lossDb(const LossModel& m, float d, float rise, float bend) {
    const float dd = d > m.nearestM ? d : m.nearestM;
    const float l = 0.5f * log2Single(dd * dd + rise * rise);
    const float near = m.losA + m.losB * l, far = m.farA + m.farB * l;
    const float los = dd < m.breakM ? near : far;
    const float nlos = m.nlosA + m.nlosB * l;
    const float size = std::sqrt(m.fresnel * std::fabs(bend));
    const float nu = bend < 0.0f ? -size : size;
    const float v = nu - 0.1f;
    const float arg = std::sqrt(v * v + 1.0f) + v;
    const float held = arg > 0.3f ? arg : 0.3f;
    const float raw = 6.9f + 6.0205999f * log2Single(held);
    // An edge well below the line (nu <= -0.78), or none: nothing. One choice after the other, since joined
    // conditions keep the compiler from taking eight receivers at once.
    const float over = raw > 0.0f ? raw : 0.0f;
    const float j = nu > -0.78f ? over : 0.0f;
    const float bent = los + j < nlos ? los + j : nlos;
    return bent > los ? bent : los;
}

inline float arcTangentDeg(float t) {
    const float a = std::fabs(t);
    const float r = a > 1.0f ? 1.0f / a : a, r2 = r * r;
    // Odd polynomial of degree 9 for atan over [0, 1] (Abramowitz and Stegun 4.4.49, error 1e-5 rad).
    float p = 0.0208351f;
    p = p * r2 - 0.0851330f;
    p = p * r2 + 0.1801410f;
    p = p * r2 - 0.3302995f;
    p = p * r2 + 0.9998660f;
    const float deg = r * p * 57.29577951f;
    const float whole = a > 1.0f ? 90.0f - deg : deg;
    return t < 0.0f ? -whole : whole;
}

// A model that is a straight line over the logarithm of distance, read off at two distances.
template <class F>
void line(F loss, double d1, double d2, double rise, float& a, float& b) {
    const double l1 = 0.5 * log2Fixed(d1 * d1 + rise * rise), l2 = 0.5 * log2Fixed(d2 * d2 + rise * rise);
    const double y1 = loss(d1), y2 = loss(d2), slope = (y2 - y1) / (l2 - l1);
    b = static_cast<float>(slope);
    a = static_cast<float>(y1 - slope * l1);
}

// TR 38.901 states UMi for this height alone.
constexpr double kMicroHeightM = 10;

LossModel microModel(Hertz f, double hUtM) {
    LossModel m;
    const double rise = kMicroHeightM - hUtM, split = breakpointM(kMicroHeightM, hUtM, f);
    line([&](double d) { return umiLos(d, kMicroHeightM, hUtM, f).v; }, split * 0.5, split * 0.9, rise,
         m.losA, m.losB);
    line([&](double d) { return umiLos(d, kMicroHeightM, hUtM, f).v; }, split * 2, split * 20, rise, m.farA,
         m.farB);
    // Here the bound without sight is the formula itself and not its floor, the loss with sight.
    line([&](double d) { return umiNlos(d, kMicroHeightM, hUtM, f).v; }, 50, 150, rise, m.nlosA, m.nlosB);
    m.breakM = static_cast<float>(split);
    m.nearestM = 10;
    m.fresnel = static_cast<float>(2 * f.v / kLightMps);
    return m;
}

} // namespace

LossModel smallCellModel(Hertz f, SmallPathModel model, double hUtM) {
    if (model == SmallPathModel::urbanMicro) return microModel(f, hUtM);
    LossModel m;
    line([&](double d) { return siteGeneralLoss(belowRoofLos(), d, f).v; }, 10, 100, 0, m.losA, m.losB);
    line([&](double d) { return siteGeneralLoss(belowRoofNlos(), d, f).v; }, 10, 100, 0, m.nlosA, m.nlosB);
    m.farA = m.losA;
    m.farB = m.losB;
    m.nearestM = static_cast<float>(belowRoofLos().dMinM);
    m.fresnel = static_cast<float>(2 * f.v / kLightMps);
    return m;
}

LossModel macroModel(Hertz f, double hBsM, double hUtM, MacroPathModel model) {
    LossModel m;
    const double rise = hBsM - hUtM, bp = breakpointM(hBsM, hUtM, f);
    const double split = bp > 0 ? bp : 1e8;
    // Low masts have their breakpoint within metres; below one metre the formula holds the distance.
    line([&](double d) { return umaLos(d, hBsM, hUtM, f).v; }, split * 0.5, split * 0.9, rise, m.losA,
         m.losB);
    line([&](double d) { return umaLos(d, hBsM, hUtM, f).v; }, split * 2, split * 20, rise, m.farA, m.farB);
    // Far enough out the bound without sight is the formula itself and not its floor, the loss with sight.
    const auto hidden = model == MacroPathModel::urbanMacroOptional ? &umaNlosOptional : &umaNlos;
    line([&](double d) { return hidden(d, hBsM, hUtM, f).v; }, 500, 1500, rise, m.nlosA, m.nlosB);
    m.breakM = static_cast<float>(split);
    m.nearestM = 10; // the formula's own shortest distance
    m.fresnel = static_cast<float>(2 * f.v / kLightMps);
    return m;
}

int lossCenti(const LossModel& m, const PathGeometry& g) {
    const float centi = lossDb(m, g.distanceM, g.riseM, g.bend) * 100.0f + 0.5f;
    return centi > 32766.0f ? 32766 : static_cast<int>(centi);
}

double lossReferenceDb(const LossModel& m, const PathGeometry& g) {
    const double d = g.distanceM > m.nearestM ? g.distanceM : m.nearestM;
    const double l = 0.5 * log2Fixed(d * d + double{g.riseM} * g.riseM);
    const double los = d < m.breakM ? m.losA + m.losB * l : m.farA + m.farB * l, nlos = m.nlosA + m.nlosB * l;
    const double nu = std::copysign(std::sqrt(m.fresnel * std::fabs(double{g.bend})), g.bend);
    const double j = knifeEdgeLoss(nu).v;
    return std::fmax(los, std::fmin(los + j, nlos));
}

FW_WIDE void lossRow(const LossModel& model, int n, float dx0M, float stepM, float dyM, float antennaAmsl,
                     float bulge, const float* z, const float* bend, std::int16_t* loss) {
    const LossModel m = model;
    for (int i = 0; i < n; ++i) {
        const float dx = dx0M + stepM * static_cast<float>(i);
        const float d2 = dx * dx + dyM * dyM;
        const float d = std::sqrt(d2);
        const float rise = z[i] - antennaAmsl - d2 * bulge;
        const float centi = lossDb(m, d, rise, bend[i]) * 100.0f + 0.5f;
        loss[i] = static_cast<std::int16_t>(static_cast<std::int32_t>(centi < 32766.0f ? centi : 32766.0f));
    }
}

FW_WIDE void elevationRow(int n, float dx0M, float stepM, float dyM, float antennaAmsl, const float* z,
                          std::int16_t* elevation) {
    for (int i = 0; i < n; ++i) {
        const float dx = dx0M + stepM * static_cast<float>(i);
        const float d2 = dx * dx + dyM * dyM;
        const float d = std::sqrt(d2 > 0.01f ? d2 : 0.01f);
        const float deg = arcTangentDeg((z[i] - antennaAmsl) / d);
        elevation[i] = static_cast<std::int16_t>(static_cast<std::int32_t>(deg * 10.0f + 900.5f) - 900);
    }
}

} // namespace fw
