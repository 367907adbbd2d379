// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/capture.h"

#include <algorithm>

namespace fw {
namespace {

constexpr std::int32_t kHardlyAnybody =
    16; // chance 2^-15 steps (0.05 %): not worth a place among the two best

const CaptureStep& stepFor(const SmallSource& s, int margin, const ModelTables& t) {
    return s.layer >= 0 ? t.coChannel(margin) : t.ownCarrier(margin);
}

void addPower(std::vector<std::int64_t>& channel, std::size_t n, std::size_t i, int level,
              const SmallSource& s, const ModelTables& t) {
    if (channel.empty()) channel.assign(n, 0);
    channel[i] += (t.power(level) * s.share) >> 16;
}

void addCandidate(TileSmalls& out, const TileLevels& levels, std::size_t i, int level, const SmallSource& s,
                  const ModelTables& t) {
    for (std::size_t k = 0; k < out.layers.size(); ++k) {
        if (out.layers[k].empty() || (s.layer >= 0 && s.layer != static_cast<int>(k))) continue;
        const LayerLevels& l = levels.layers[k];
        if (l.sinr[i] == kNoLevel) continue;
        const Candidate c = candidateFor(s, level, static_cast<int>(k), levelOf(l.strongest[0][i]), t);
        if (c.any()) out.layers[k][i].add(c);
    }
}

struct Sides {
    std::int32_t captured[2] = {0, 0}; // chance that the user ends on the candidate, 2^-15
    std::int32_t stay = kChanceOne;
};

// Shares that sum to one: at each fixed shadowing of the macro the two small cells win or lose on their own.
Sides sidesOf(const TopTwo& top, const CaptureStep* a, const CaptureStep* b, std::int32_t shareA,
              std::int32_t shareB, const ModelTables& t) {
    Sides s;
    if (!b) {
        s.captured[0] = static_cast<std::int32_t>((std::int64_t{a->p} * shareA) >> 15);
        s.stay = kChanceOne - s.captured[0];
        return s;
    }
    const std::int64_t firstOfBoth = t.between(top.first.margin - top.second.margin);
    std::int64_t sumA = 0, sumB = 0;
    for (std::size_t q = 0; q < 5; ++q) {
        const std::int64_t pa = (std::int64_t{a->given[q]} * shareA) >> 15,
                           pb = (std::int64_t{b->given[q]} * shareB) >> 15;
        const std::int64_t both = (pa * pb) >> 15, toA = (both * firstOfBoth) >> 15;
        sumA += ModelTables::kPointWeight[q] * (pa - both + toA);
        sumB += ModelTables::kPointWeight[q] * (pb - toA);
    }
    s.captured[0] = static_cast<std::int32_t>(sumA >> 15);
    s.captured[1] = static_cast<std::int32_t>(sumB >> 15);
    s.stay = std::max(0, kChanceOne - s.captured[0] - s.captured[1]);
    return s;
}

} // namespace

int smallLevel(const SmallSource& s, int dx, int dy) {
    const SmallPath& p = *s.path;
    if (dx < -p.radius || dx > p.radius || dy < -p.radius || dy > p.radius) return kNoLevel;
    const std::size_t i = p.index(dx, dy);
    if (p.loss[i] == kNoPath) return kNoLevel;
    int a = smallAzimuthRow(p.parity, dy)[dx + kSmallReach] - s.azimuth;
    if (a < 0) a += 3600;
    return std::max(-32000, s.baseCenti - p.loss[i] - s.pattern->lossWrapped(a, p.elevation[i]));
}

void smallLevelRow(const SmallSource& s, int dy, int from, int to, std::int16_t* level) {
    const SmallPath& p = *s.path;
    const PatternTable& pattern = *s.pattern;
    const std::int16_t* az = smallAzimuthRow(p.parity, dy) + kSmallReach;
    const std::size_t row = p.index(0, dy);
    for (int dx = from; dx <= to; ++dx) {
        const std::size_t i = row + static_cast<std::size_t>(dx);
        if (p.loss[i] == kNoPath) {
            level[dx - from] = static_cast<std::int16_t>(kNoLevel);
            continue;
        }
        int a = az[dx] - s.azimuth;
        if (a < 0) a += 3600;
        level[dx - from] = static_cast<std::int16_t>(
            std::max(-32000, s.baseCenti - p.loss[i] - pattern.lossWrapped(a, p.elevation[i])));
    }
}

Candidate candidateFor(const SmallSource& s, int level, int layer, int macroCenti, const ModelTables& t) {
    if (s.layer >= 0 && s.layer != layer) return {};
    const int margin =
        s.layer >= 0 ? level + s.biasCenti - macroCenti : level - t.ownCarrierFromCenti() + s.biasCenti;
    const int held = std::clamp(margin, -32000, 32000);
    if (stepFor(s, held, t).p < kHardlyAnybody) return {};
    return {static_cast<std::int16_t>(held), static_cast<std::int16_t>(level), s.index};
}

TileSmalls gatherSmalls(const TileReceivers& r, const TileLevels& tileLevels,
                        std::span<const SmallSource> smalls, int channelCount, const ModelTables& t) {
    TileSmalls out;
    out.layers.resize(tileLevels.layers.size());
    out.channels.resize(static_cast<std::size_t>(channelCount));
    const std::size_t n = r.size();
    for (std::size_t k = 0; k < out.layers.size(); ++k)
        if (!tileLevels.layers[k].empty() && !smalls.empty()) out.layers[k].resize(n);
    const int tx = r.key.x * kTilePixels, ty = r.key.y * kTilePixels;
    for (const SmallSource& s : smalls) {
        const SmallPath& p = *s.path;
        auto& channel = out.channels[static_cast<std::size_t>(s.channel)];
        const int c0 = std::max(tx, p.pixelX - p.radius),
                  c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
        const int r0 = std::max(ty, p.pixelY - p.radius),
                  r1 = std::min(ty + kTilePixels - 1, p.pixelY + p.radius);
        std::array<std::int16_t, kTilePixels> levels{};
        for (int y = r0; y <= r1 && c0 <= c1; ++y) {
            smallLevelRow(s, y - p.pixelY, c0 - p.pixelX, c1 - p.pixelX, levels.data());
            for (int x = c0; x <= c1; ++x) {
                const int level = levels[static_cast<std::size_t>(x - c0)];
                const auto i = static_cast<std::size_t>((y - ty) * kTilePixels + x - tx);
                if (level == kNoLevel || r.weight[i] <= 0) continue; // nobody there
                addPower(channel, n, i, level, s, t);
                addCandidate(out, tileLevels, i, level, s, t);
            }
        }
        for (const SmallPath::TileIndoor& ti : p.indoor) {
            if (ti.key != r.key) continue;
            for (const SmallPath::Indoor& in : ti.list) {
                const int level = smallLevelIndoor(s, in);
                addPower(channel, n, in.receiver, level, s, t);
                addCandidate(out, tileLevels, in.receiver, level, s, t);
            }
        }
    }
    return out;
}

Division divide(const ReceiverLoad& load, const TopTwo& top, std::array<std::int64_t, 2> ownPower,
                std::span<const SmallSource> sources, const ModelTables& t) {
    Division d;
    // With small cells sending those that stay hear more; with neighbours relieved, less.
    const bool changed = load.heard != load.interference;
    const int after = changed ? load.macroCenti - t.centiOf(load.heard) : load.sinr;
    if (!top.first.any()) {
        if (changed) {
            const double extra = t.perEfficiency(after) * t.efficiency(load.sinr) - 1;
            d.harm = static_cast<std::int64_t>(static_cast<double>(load.cost) * extra);
        }
        return d;
    }
    const Candidate* c[2] = {&top.first, top.second.any() ? &top.second : nullptr};
    const SmallSource* s[2] = {&sources[top.first.small], c[1] ? &sources[top.second.small] : nullptr};
    const CaptureStep* step[2] = {&stepFor(*s[0], c[0]->margin, t),
                                  c[1] ? &stepFor(*s[1], c[1]->margin, t) : nullptr};
    const std::int32_t have[2] = {s[0]->layer >= 0 ? kChanceOne : t.ownCarrierShare(),
                                  s[1] && s[1]->layer < 0 ? t.ownCarrierShare() : kChanceOne};
    const Sides side = sidesOf(top, step[0], step[1], have[0], have[1], t);
    // The captured are those for whom the macro is worse than the median, those that stay hear it better.
    const int staySinr = load.sinr + step[0]->macroStayCenti;
    const double stayPart = side.stay * t.perEfficiency(staySinr);
    double part[2] = {0, 0}, whole = stayPart;
    int macroSinr[2] = {0, 0};
    for (int k = 0; k < 2 && c[k]; ++k) {
        macroSinr[k] = load.sinr + step[k]->macroCapturedCenti;
        part[k] = side.captured[k] * t.perEfficiency(macroSinr[k]);
        whole += part[k];
    }
    if (whole <= 0) return d;
    std::int64_t left = load.cost;
    for (std::size_t k = 0; k < 2 && c[k]; ++k) {
        d.relief[k] =
            std::min(left, static_cast<std::int64_t>(static_cast<double>(load.cost) * (part[k] / whole)));
        left -= d.relief[k];
        const std::int64_t own = (t.power(c[k]->level) * s[k]->share) >> 16;
        const std::int64_t heard =
            s[k]->layer >= 0 ? load.heard + load.servingPower - own : t.noise() + ownPower[k] - own;
        const int sinr = c[k]->level - t.centiOf(heard) + step[k]->smallCenti;
        d.carried[k] = static_cast<std::int64_t>(static_cast<double>(d.relief[k]) *
                                                 (t.efficiency(macroSinr[k]) * t.perEfficiency(sinr)));
    }
    if (changed) {
        const int stayAfter = after + step[0]->macroStayCenti;
        const double extra = t.perEfficiency(stayAfter) * t.efficiency(staySinr) - 1;
        d.harm = static_cast<std::int64_t>(static_cast<double>(left) * extra);
    }
    return d;
}

} // namespace fw
