// SPDX-License-Identifier: GPL-3.0-or-later
#include "surface/bend.h"

#include "base/wide.h"
#include "surface/sight_window.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace fw {
namespace {

constexpr float kFar = 1e9f;

inline float bendOf(float over, float d, float edgeDist) {
    const float d1 = edgeDist, d2 = d - edgeDist;
    const float size = over < 0.0f ? -over : over;
    const float d12 = d1 * d2;
    const float safe = d12 > 0.01f ? d2 : 1.0f;
    const float b = over * size * (d1 * d / safe);
    return d12 > 0.01f ? b : kUnbent;
}

struct RowFrame {
    int n = 0;
    float dx0 = 0, dy = 0, cell = 0, antenna = 0, bulge = 0;
};

FW_WIDE void pastOwnEdges(const RowFrame& frame, const float* z, const float* edgeSlope,
                          const float* edgeDist, float* bend, float* lever) {
    const RowFrame f = frame;
    for (int i = 0; i < f.n; ++i) {
        const float x = f.dx0 + f.cell * static_cast<float>(i);
        const float d2 = x * x + f.dy * f.dy;
        const float d = std::sqrt(d2 > 0.01f ? d2 : 0.01f);
        const float over = edgeSlope[i] - (z[i] - f.antenna - d2 * f.bulge) / d;
        const float e = edgeDist[i];
        bend[i] = bendOf(over, d, e);
        const float gap = d - e, some = gap > 0.01f ? gap : 0.01f;
        lever[i] = e > 0.01f ? d * e / some : kFar;
    }
}

/// Angle of one cell across the ray, squared: along the row for `upright`, else along the column.
FW_WIDE void turnsOf(int n, float dx0, float dy, bool upright, float* turn2) {
    for (int i = 0; i < n; ++i) {
        const float dx = dx0 + static_cast<float>(i);
        const float cells2 = dx * dx + dy * dy;
        const float ahead2 = upright ? dy * dy : dx * dx;
        turn2[i] = ahead2 / (cells2 * cells2);
    }
}

/// What stands `steps` cells to the left (a) and right (b). A way is bent by at least 0 and a thing by at
/// most 0, so that neither does anything on the other side of the line.
FW_WIDE void lookAside(int n, float steps, const float* turn2, const float* lever, const float* ownA,
                       const float* ownB, const float* leverA, const float* leverB, float* best) {
    const float steps2 = steps * steps;
    for (int i = 0; i < n; ++i) {
        const float angle2 = steps2 * turn2[i];
        const float round = angle2 * lever[i]; // in the shadow: round that side of the own edge
        const float a = ownA[i], b = ownB[i];
        const float wayA = a > round ? a : round, wayB = b > round ? b : round;
        const float way = wayA < wayB ? wayA : wayB;
        const float pastA = -(angle2 * leverA[i]), pastB = -(angle2 * leverB[i]); // in sight: past theirs
        const float thingA = a < pastA ? a : pastA, thingB = b < pastB ? b : pastB;
        const float thing = thingA > thingB ? thingA : thingB;
        const float dark = best[i] < way ? best[i] : way;
        best[i] = dark > thing ? dark : thing;
    }
}

/// The same for ways alone.
FW_WIDE void lookFarAside(int n, float steps, const float* turn2, const float* lever, const float* ownA,
                          const float* ownB, float* best) {
    const float steps2 = steps * steps;
    for (int i = 0; i < n; ++i) {
        const float round = steps2 * turn2[i] * lever[i];
        const float a = ownA[i] > round ? ownA[i] : round, b = ownB[i] > round ? ownB[i] : round;
        const float way = a < b ? a : b;
        best[i] = best[i] < way ? best[i] : way;
    }
}

/// A receiver in sight sees past what stands farther to its side than this (cells) without loss, unless that
/// is within a few metres of the antenna.
constexpr int kThingsWithin = 8;

/// Every cell up to there, from there on a quarter farther each time.
void asidesUpTo(double cells, std::vector<int>& out) {
    out.clear();
    for (int t = 1; t <= static_cast<int>(cells); t += t < kThingsWithin ? 1 : t / 4) out.push_back(t);
}

} // namespace

float edgeBend(float d, float rise, float edgeSlope, float edgeDist) {
    return bendOf(edgeSlope - rise / d, d, edgeDist);
}

void PathBend::follow(const SightScan& scan, const std::vector<float>& receiverAmsl, double sideM) {
    m_scan = &scan;
    const int R = scan.radius;
    asidesUpTo(sideM / scan.cellM, m_asides);
    const int margin = m_asides.empty() ? 0 : m_asides.back();
    if (m_radius != R || m_half != R + margin) {
        m_radius = R;
        m_half = R + margin;
        m_stride = 2 * m_half + 1;
        const auto cells = static_cast<std::size_t>(m_stride) * static_cast<std::size_t>(m_stride);
        m_own.assign(cells, kFar);
        m_lever.assign(cells, kFar);
    }
    sweep::halfWidths(R, m_halfWidth);
    m_turn2.resize(static_cast<std::size_t>(m_stride));
    m_plane.assign(scan.top.size(), kUnbent);
    // The rows that a row looks at are made just before it, and are still near in memory.
    int made = -R;
    for (int dy = -R; dy <= R; ++dy) {
        for (; made <= std::min(R, dy + margin); ++made) ownEdges(receiverAmsl, made);
        const int w = m_halfWidth[static_cast<std::size_t>(std::abs(dy))], mid = std::min(std::abs(dy), w);
        const float* own = &m_own[static_cast<std::size_t>(place(-w, dy))];
        std::copy(own, own + 2 * w + 1, &m_plane[scan.index(-w, dy)]);
        sides(dy, -mid, mid, 1); // northern and southern sector: to the side is along the row
        sides(dy, -w, -mid - 1, m_stride);
        sides(dy, mid + 1, w, m_stride);
    }
    m_plane[scan.index(0, 0)] = kUnbent;
}

void PathBend::ownEdges(const std::vector<float>& receiverAmsl, int dy) {
    const SightScan& scan = *m_scan;
    const int R = scan.radius, w = m_halfWidth[static_cast<std::size_t>(std::abs(dy))];
    RowFrame f;
    f.n = 2 * w + 1;
    f.cell = static_cast<float>(scan.cellM);
    f.dx0 = static_cast<float>(-w) * f.cell;
    f.dy = static_cast<float>(dy) * f.cell;
    f.antenna = static_cast<float>(scan.antennaAmsl);
    f.bulge = static_cast<float>(scan.bulgePerM);
    const std::size_t k = scan.index(-w, dy), to = static_cast<std::size_t>(place(-R, dy));
    const std::ptrdiff_t left = R - w, right = R + w + 1, end = 2 * R + 1;
    float *own = &m_own[to], *lever = &m_lever[to];
    pastOwnEdges(f, &receiverAmsl[k], &scan.edgeSlope[k], &scan.edgeDistM[k], own + left, lever + left);
    // What is outside the disc is neither a way nor a thing.
    for (float* p : {own, lever}) {
        std::fill(p, p + left, kFar);
        std::fill(p + right, p + end, kFar);
    }
}

void PathBend::sides(int dy, int dx0, int dx1, std::ptrdiff_t aside) {
    const int n = dx1 - dx0 + 1;
    if (n <= 0) return;
    turnsOf(n, static_cast<float>(dx0), static_cast<float>(dy), aside == 1, m_turn2.data());
    const float *own = m_own.data() + place(dx0, dy), *lever = m_lever.data() + place(dx0, dy);
    float* best = &m_plane[m_scan->index(dx0, dy)];
    for (const int t : m_asides) {
        const std::ptrdiff_t off = aside * t;
        const float steps = static_cast<float>(t) - 0.5f; // a side lies half-way between two cells
        if (t <= kThingsWithin)
            lookAside(n, steps, m_turn2.data(), lever, own - off, own + off, lever - off, lever + off, best);
        else
            lookFarAside(n, steps, m_turn2.data(), lever, own - off, own + off, best);
    }
}

float PathBend::at(int dx, int dy, double distanceM, double amsl) const {
    const SightScan& s = *m_scan;
    const auto d = static_cast<float>(distanceM);
    const auto antenna = static_cast<float>(s.antennaAmsl), bulge = static_cast<float>(s.bulgePerM);
    const float line = (static_cast<float>(amsl) - antenna - d * d * bulge) / d;
    const std::size_t here = s.index(dx, dy);
    const float own = bendOf(s.edgeSlope[here] - line, d, s.edgeDistM[here]);
    if (dx == 0 && dy == 0) return own;
    const bool upright = std::abs(dx) <= std::abs(dy);
    const auto cells2 = static_cast<float>(dx * dx + dy * dy);
    const auto ahead = static_cast<float>(upright ? dy : dx);
    const float turn2 = ahead * ahead / (cells2 * cells2);
    const float lever = m_lever[static_cast<std::size_t>(place(dx, dy))];
    float best = own;
    for (const int way : {-1, 1})
        for (const int t : m_asides) {
            const int x = upright ? dx + way * t : dx, y = upright ? dy : dy + way * t;
            if (!s.covers(x, y)) break;
            const float steps = static_cast<float>(t) - 0.5f, angle2 = steps * steps * turn2;
            const float round = angle2 * lever;
            if (own > 0 ? round >= best : t > kThingsWithin) break; // nothing farther can do better
            const float over = s.edgeSlope[s.index(x, y)] - line;
            const float theirs = m_lever[static_cast<std::size_t>(place(x, y))];
            const float u = over * std::fabs(over) * theirs;
            if (own > 0)
                best = std::min(best, std::max(u, round));
            else
                best = std::max(best, std::min(u, -(angle2 * theirs)));
            if ((own > 0) != (u > 0)) break; // the nearest side decides
        }
    return best;
}

} // namespace fw
