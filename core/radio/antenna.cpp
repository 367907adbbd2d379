// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/antenna.h"

#include "base/log_exp.h"
#include "radio/tilted.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace fw {
namespace {

constexpr int kSteps = 3600; // 0.1 deg

double parabola(double offDeg, double beamDeg, double boundDb) {
    const double x = offDeg / beamDeg;
    return std::min(12.0 * x * x, boundDb);
}

// Loss at an angle between the points of a cut, linear in dB, across 360 as well.
double between(const std::vector<CutPoint>& cut, double angleDeg) {
    const auto next = std::upper_bound(cut.begin(), cut.end(), angleDeg,
                                       [](double a, const CutPoint& p) { return a < p.angleDeg; });
    const CutPoint& b = next == cut.end() ? cut.front() : *next;
    const CutPoint& a = next == cut.begin() ? cut.back() : *(next - 1);
    const double span = wrap360(b.angleDeg - a.angleDeg), into = wrap360(angleDeg - a.angleDeg);
    return span > 0 ? a.lossDb + (b.lossDb - a.lossDb) * (into / span) : a.lossDb;
}

std::vector<double> resampled(const std::vector<CutPoint>& cut) {
    std::vector<double> out(kSteps, 0.0);
    if (cut.empty()) return out;
    for (int k = 0; k < kSteps; ++k) out[k] = between(cut, k / 10.0);
    return out;
}

double lookUp(const std::vector<double>& table, double angleDeg) {
    const double at = wrap360(angleDeg) * 10.0;
    const int k = static_cast<int>(at) % kSteps;
    const double t = at - std::floor(at);
    return table[k] + (table[(k + 1) % kSteps] - table[k]) * t;
}

double greatestLoss(const std::vector<CutPoint>& cut) {
    double most = 0;
    for (const CutPoint& p : cut) most = std::max(most, p.lossDb);
    return most;
}

// sign: -1 turns elevations into angles below the horizon.
std::vector<CutPoint> sortedCut(const std::vector<double>& angleDeg, const std::vector<double>& lossDb,
                                int sign) {
    std::vector<CutPoint> out;
    for (std::size_t k = 0; k < std::min(angleDeg.size(), lossDb.size()); ++k)
        out.push_back({wrap360(sign * angleDeg[k]), std::max(0.0, lossDb[k])});
    std::stable_sort(out.begin(), out.end(),
                     [](const CutPoint& a, const CutPoint& b) { return a.angleDeg < b.angleDeg; });
    const auto same = [](const CutPoint& a, const CutPoint& b) { return a.angleDeg == b.angleDeg; };
    out.erase(std::unique(out.begin(), out.end(), same), out.end());
    return out;
}

std::int16_t centi(double lossDb) {
    return static_cast<std::int16_t>(std::min(std::floor(lossDb * 100.0 + 0.5), 32767.0));
}

// Width about the least loss in which a table, index 0.1 deg all round, stays within 3 dB of it.
double widthDeg(const std::vector<double>& table) {
    const auto peak = static_cast<int>(std::min_element(table.begin(), table.end()) - table.begin());
    const double limit = table[peak] + 3.0;
    double width = 0;
    for (const int way : {-1, 1}) {
        int k = 0;
        while (k < kSteps && table[(peak + way * k + 2 * kSteps) % kSteps] < limit) ++k;
        if (k == kSteps) return 360.0;
        const double in = table[(peak + way * (k - 1) + 2 * kSteps) % kSteps];
        const double out = table[(peak + way * k + 2 * kSteps) % kSteps];
        width += (k - 1 + (limit - in) / (out - in)) / 10.0;
    }
    return width;
}

} // namespace

CutTable cutTableOf(const AntennaCut& cut) {
    return {cut.gainDbi, sortedCut(cut.horizontalDeg, cut.horizontalLossDb, 1),
            sortedCut(cut.verticalDeg, cut.verticalLossDb, -1)};
}

AntennaCut antennaCutOf(const CutTable& cuts, ItemId id, std::string name) {
    AntennaCut out{id, std::move(name), cuts.gainDbi, {}, {}, {}, {}};
    for (const CutPoint& p : cuts.horizontal) {
        out.horizontalDeg.push_back(p.angleDeg);
        out.horizontalLossDb.push_back(p.lossDb);
    }
    for (const CutPoint& p : cuts.vertical) {
        out.verticalDeg.push_back(wrap180(-p.angleDeg));
        out.verticalLossDb.push_back(p.lossDb);
    }
    return out;
}

Pattern::Pattern(const ParabolicCuts& cuts)
    : m_gainDbi(cuts.gainDbi), m_maxLossDb(cuts.frontBackDb), m_parabolic(cuts) {}

Pattern::Pattern(const CutTable& cuts)
    : m_gainDbi(cuts.gainDbi),
      m_maxLossDb(std::max(greatestLoss(cuts.horizontal), greatestLoss(cuts.vertical))),
      m_horizontal(resampled(cuts.horizontal)), m_vertical(resampled(cuts.vertical)) {}

double Pattern::horizontalLoss(double azimuthDeg) const {
    if (!m_parabolic) return lookUp(m_horizontal, azimuthDeg);
    if (m_parabolic->hBeamDeg >= 360.0) return 0;
    return parabola(wrap180(azimuthDeg), m_parabolic->hBeamDeg, m_parabolic->frontBackDb);
}

double Pattern::verticalLoss(double belowBoresightDeg) const {
    if (!m_parabolic) return lookUp(m_vertical, belowBoresightDeg);
    return parabola(belowBoresightDeg, m_parabolic->vBeamDeg, m_parabolic->sideLobeDb);
}

Db Pattern::gain(double azimuthOffBoresightDeg, double elevationDeg, double mechanicalTiltDeg,
                 double electricalTiltDeg) const {
    const SeenDirection seen = seenFromTilted(azimuthOffBoresightDeg, elevationDeg, mechanicalTiltDeg);
    const double loss =
        horizontalLoss(seen.azimuthDeg) + verticalLoss(-seen.elevationDeg - electricalTiltDeg);
    return {m_gainDbi - std::min(loss, m_maxLossDb)};
}

Beamwidths Pattern::halfPowerBeamwidths() const {
    if (!m_parabolic) {
        // Only the front half of the vertical cut belongs to the beam: the other half is seen at azimuth 180.
        std::vector<double> front = m_vertical;
        for (int k = 901; k < 2700; ++k) front[k] = m_maxLossDb + 100.0;
        return {widthDeg(m_horizontal), std::min(180.0, widthDeg(front))};
    }
    const double h = m_parabolic->hBeamDeg, v = m_parabolic->vBeamDeg;
    const bool roundH = h >= 360.0 || m_parabolic->frontBackDb < 3.0;
    const bool roundV = v >= 180.0 || m_parabolic->sideLobeDb < 3.0;
    return {roundH ? 360.0 : h, roundV ? 180.0 : v};
}

std::vector<std::int16_t> Pattern::horizontalTable() const {
    std::vector<std::int16_t> out(kSteps);
    for (int k = 0; k < kSteps; ++k) out[k] = centi(horizontalLoss(k / 10.0));
    return out;
}

std::vector<std::int16_t> Pattern::verticalTable(double tiltDeg) const {
    std::vector<std::int16_t> out(1801);
    for (int k = 0; k <= 1800; ++k) out[k] = centi(verticalLoss(-(k - 900) / 10.0 - tiltDeg));
    return out;
}

int Pattern::maxAttenuationCentiDb() const { return centi(m_maxLossDb); }

double effectiveTiltDeg(double azimuthOffBoresightDeg, double mechanicalTiltDeg, double electricalTiltDeg) {
    return electricalTiltDeg + mechanicalTiltDeg * sinCosDegFixed(azimuthOffBoresightDeg).cos;
}

double depressionDeg(double distanceM, double dropM) { return atan2DegFixed(dropM, distanceM); }

std::optional<double> rayReachM(double hM, double targetM, double downDeg) {
    const SinCos t = sinCosDegFixed(downDeg);
    const double drop = hM - targetM;
    if (drop == 0) return 0.0;
    const double reach = drop * t.cos / t.sin;
    if (!std::isfinite(reach) || reach < 0 || t.cos <= 0) return std::nullopt;
    return reach;
}

} // namespace fw
