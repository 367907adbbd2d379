// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/shadow_field.h"

#include "base/log_exp.h"
#include "base/random.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr std::size_t kQuantiles = 1024;
constexpr double kBlockM =
    512; // lines are drawn block by block, so that a place has its own wherever one begins

// Middles of equally likely pieces of the normal distribution, brought to a spread of exactly 1.
const std::array<float, kQuantiles>& quantiles() {
    static const std::array<float, kQuantiles> table = [] {
        std::array<double, kQuantiles> z{};
        double squares = 0;
        for (std::size_t k = 0; k < kQuantiles; ++k) {
            const double p = (static_cast<double>(k) + 0.5) / kQuantiles;
            double low = -6, high = 6;
            for (int step = 0; step < 60; ++step) {
                const double middle = (low + high) / 2;
                (normalCdfFixed(middle) < p ? low : high) = middle;
            }
            z[k] = (low + high) / 2;
            squares += z[k] * z[k];
        }
        const double scale = std::sqrt(kQuantiles / squares);
        std::array<float, kQuantiles> out{};
        for (std::size_t k = 0; k < kQuantiles; ++k) out[k] = static_cast<float>(z[k] * scale);
        return out;
    }();
    return table;
}

std::uint64_t stirred(std::uint64_t h) {
    h ^= h >> 32;
    h *= 0x9fb21c651e98df25ull;
    return h ^ (h >> 28);
}

std::uint64_t blockSeed(std::uint64_t seed, std::int64_t block) {
    return mixed(seed, static_cast<std::uint64_t>(block));
}

// Lines of a Poisson process in one block of an axis, as offsets into it, ascending.
std::vector<double> linesIn(std::uint64_t seed, std::int64_t block, double perM) {
    Random random(blockSeed(seed, block));
    std::vector<double> out;
    for (double at = 0;;) {
        at -= lnFixed(1 - random.unit()) / perM;
        if (at >= kBlockM) return out;
        out.push_back(at);
    }
}

// By whole metre from `from` on: a number for the piece between two lines that it lies in. Neighbouring
// blocks share no number, and a block's first piece is the last one of the block before.
std::vector<std::uint16_t> piecesAlong(std::uint64_t seed, double perM, double from, std::size_t count) {
    std::vector<std::uint16_t> out(count);
    const auto first = static_cast<std::int64_t>(std::floor(from / kBlockM));
    const auto numberIn = [&](std::int64_t block, std::size_t line) {
        return static_cast<std::uint16_t>(blockSeed(seed, block) + 40503 * (line + 1));
    };
    // The piece that reaches into the first block: after the last line of the nearest block before that has
    // one.
    std::uint16_t piece = 0;
    for (std::int64_t b = first - 1; b > first - 64; --b)
        if (const auto lines = linesIn(seed, b, perM); !lines.empty()) {
            piece = numberIn(b, lines.size() - 1);
            break;
        }
    std::int64_t block = first;
    std::vector<double> lines = linesIn(seed, block, perM);
    std::size_t next = 0;
    for (std::size_t k = 0; k < count; ++k) {
        const double at = from + static_cast<double>(k);
        for (;;) {
            while (next < lines.size() && static_cast<double>(block) * kBlockM + lines[next] <= at)
                piece = numberIn(block, next++);
            if (at < static_cast<double>(block + 1) * kBlockM) break;
            lines = linesIn(seed, ++block, perM);
            next = 0;
        }
        out[k] = piece;
    }
    return out;
}

} // namespace

std::uint64_t mixed(std::uint64_t a, std::uint64_t b, std::uint64_t c) {
    Random r(a);
    Random s(r.next() ^ (b * 0x9e3779b97f4a7c15ull));
    Random t(s.next() ^ (c * 0xc2b2ae3d27d4eb4full));
    return t.next();
}

double normalOf(std::uint64_t number) {
    const std::uint64_t a = mixed(number);
    // A middle of 1024 pieces has no tail; the sum of four, with their own share each, comes close to one.
    double sum = 0;
    for (int k = 0; k < 4; ++k) sum += static_cast<double>(quantiles()[(a >> (16 * k)) & (kQuantiles - 1)]);
    return sum / 2;
}

ShadowField::ShadowField(std::uint64_t seed, double distanceM, const Box& over) : m_corner{over.x0, over.y0} {
    // The mean over all turns of |cos| + |sin| is 4 / pi: so many lines an axis make the distance right.
    const double perM = 0.78539816339744830962 / std::max(1.0, distanceM);
    for (std::size_t k = 0; k < kGrids; ++k) {
        Grid& g = m_grids[k];
        g.seed = mixed(seed, k);
        Random random(g.seed);
        const SinCos turn = sinCosDegFixed(random.between(0, 90));
        g.cos = static_cast<float>(turn.cos);
        g.sin = static_cast<float>(turn.sin);
        // Turned corners: u = x cos + y sin, v = y cos - x sin.
        const double w = over.width(), h = over.height();
        const double u0 = over.x0 * turn.cos + over.y0 * turn.sin,
                     v0 = over.y0 * turn.cos - over.x1 * turn.sin;
        const double uFrom = std::floor(u0), vFrom = std::floor(v0);
        g.u0 = static_cast<float>(u0 - uFrom);
        g.v0 = static_cast<float>(v0 - vFrom + w * turn.sin);
        const auto uCount = static_cast<std::size_t>(w * turn.cos + h * turn.sin) + 3;
        const auto vCount = static_cast<std::size_t>(h * turn.cos + w * turn.sin) + 3;
        g.u = piecesAlong(mixed(g.seed, 1), perM, uFrom, uCount);
        g.v = piecesAlong(mixed(g.seed, 2), perM, vFrom, vCount);
    }
}

void ShadowField::at(std::span<const float> east, std::span<const float> north, std::span<float> out) const {
    const float* z = quantiles().data();
    std::fill(out.begin(), out.end(), 0.0f);
    for (const Grid& g : m_grids) {
        const auto uLast = static_cast<float>(g.u.size() - 1), vLast = static_cast<float>(g.v.size() - 1);
        for (std::size_t i = 0; i < out.size(); ++i) {
            const float u = std::clamp(g.u0 + east[i] * g.cos + north[i] * g.sin, 0.0f, uLast);
            const float v = std::clamp(g.v0 + north[i] * g.cos - east[i] * g.sin, 0.0f, vLast);
            const std::uint64_t a = g.u[static_cast<std::size_t>(u)], b = g.v[static_cast<std::size_t>(v)];
            out[i] += z[stirred(g.seed + a * 0x9e3779b97f4a7c15ull + b * 0xc2b2ae3d27d4eb4full) >> 54];
        }
    }
    for (float& v : out) v *= 0.5f; // four of spread 1
}

double ShadowField::at(PlanePoint p) const {
    const auto east = static_cast<float>(p.x - m_corner.x), north = static_cast<float>(p.y - m_corner.y);
    float out = 0;
    at({&east, 1}, {&north, 1}, {&out, 1});
    return static_cast<double>(out);
}

} // namespace fw
