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

// Who takes the users of a receiver at one fixed shadowing of the macro, 2^-15, and how much shadowing helps
// them: mean and spread, 0.01 dB. With the macro that sums to one.
struct PointShares {
    std::int64_t taken[2] = {0, 0};
    int helped[2] = {0, 0}, spread[2] = {0, 0};
    int otherCenti[2] = {0, 0}; ///< mean shadowing of the one that loses
};

// Up to two small cells at one receiver.
struct Contest {
    int count = 0;
    const Candidate* c[2] = {nullptr, nullptr};
    const SmallSource* s[2] = {nullptr, nullptr};
    const CaptureStep* step[2] = {nullptr, nullptr};
    std::int64_t have[2] = {kChanceOne, kChanceOne}; ///< share of devices that can use it
    std::int64_t power[2] = {0, 0};                  ///< heard at the median
    bool sameDevices = false; ///< both on carriers of their own: who lacks one's band lacks the other's
    bool sameChannel = false;

    Contest(const TopTwo& top, std::span<const SmallSource> sources, const ModelTables& t) {
        for (const Candidate* each : {&top.first, &top.second}) {
            if (!each->any()) break;
            const auto k = static_cast<std::size_t>(count++);
            c[k] = each;
            s[k] = &sources[each->small];
            step[k] = &stepFor(*s[k], each->margin, t);
            if (s[k]->layer < 0) have[k] = t.ownCarrierShare();
            power[k] = (t.power(each->level) * s[k]->share) >> 16;
        }
        if (count < 2) return;
        sameDevices = s[0]->layer < 0 && s[1]->layer < 0;
        sameChannel = s[0]->channel == s[1]->channel;
    }

    // Those that stay do so because the small cells reach them weakly: what they hear less than the median.
    [[nodiscard]] std::int64_t weaker(std::size_t q, const ModelTables& t) const {
        std::int64_t sum = 0;
        for (int k = 0; k < count; ++k)
            if (s[k]->layer >= 0)
                sum += ((t.power(c[k]->level + step[k]->stayCenti[q]) * s[k]->share) >> 16) - power[k];
        return sum;
    }

    [[nodiscard]] PointShares at(std::size_t q, const ModelTables& t) const {
        return count == 1 ? at<1>(q, t) : at<2>(q, t);
    }
    template <std::size_t Count>
    [[nodiscard]] PointShares at(std::size_t q, const ModelTables& t) const {
        PointShares out;
        if constexpr (Count == 1) {
            out.taken[0] = (step[0]->given[q] * have[0]) >> 15;
            out.helped[0] = step[0]->smallCenti[q];
            out.spread[0] = step[0]->spreadCenti[q];
            return out;
        }
        for (std::size_t k = 0; k < Count; ++k) {
            const std::size_t o = 1 - k;
            const Duel& d = t.duel(step[k]->step[q], step[o]->step[q]);
            // Devices without the other one's band are fought for with the macro alone.
            const std::int64_t both = sameDevices ? kChanceOne : have[o];
            out.taken[k] = (((d.win * both + step[k]->given[q] * (kChanceOne - both)) >> 15) * have[k]) >> 15;
            out.helped[k] = t.sharedCenti(q) + d.centi;
            out.spread[k] = d.spreadCenti;
            out.otherCenti[k] = t.sharedCenti(q) + d.otherCenti;
        }
        return out;
    }

    // Power of the one that loses to candidate k there, less its median.
    [[nodiscard]] std::int64_t loser(std::size_t k, const PointShares& shares, const ModelTables& t) const {
        if (!sameChannel) return 0;
        const std::size_t o = 1 - k;
        return ((t.power(c[o]->level + shares.otherCenti[k]) * s[o]->share) >> 16) - power[o];
    }
};

// What a captured user hears beside the serving macro, by candidate.
std::array<std::int64_t, 2> othersHeard(const Contest& contest, const ReceiverLoad& load,
                                        std::array<std::int64_t, 2> ownPower, const ModelTables& t) {
    std::array<std::int64_t, 2> out{};
    for (std::size_t k = 0; k < static_cast<std::size_t>(contest.count); ++k) {
        const bool shared = contest.s[k]->layer >= 0;
        out[k] = (shared ? load.heard : t.noise() + ownPower[k]) - contest.power[k];
    }
    return out;
}

// Mean SINR of those that candidate k takes at one shadowing of the macro.
int takenSinr(const Contest& contest, std::size_t k, std::size_t q, const PointShares& shares,
              std::int64_t others, const ReceiverLoad& load, const ModelTables& t) {
    std::int64_t heard = others + contest.loser(k, shares, t);
    if (contest.s[k]->layer >= 0)
        heard += static_cast<std::int64_t>(
            std::min(1e18, static_cast<double>(load.servingPower) * t.macroGain(q)));
    return contest.c[k]->level - t.centiOf(heard) + shares.helped[k];
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

namespace {

// Division among one small cell or two: the count is known when it is compiled, so that everything summed
// stays in registers. What nobody takes is computed all the same and counts nothing; to ask would cost more.
template <std::size_t Count>
Division divideAmong(const Contest& contest, const ReceiverLoad& load, std::array<std::int64_t, 2> others,
                     bool changed, const ModelTables& t) {
    std::array<double, Count> part{}, spent{};
    double stay = 0, stayAfter = 0;
    for (std::size_t q = 0; q < kPoints; ++q) {
        const PointShares shares = contest.at<Count>(q, t);
        const double weight = ModelTables::kPointWeight[q] * (1.0 / kChanceOne / kChanceOne);
        const double before = t.perEfficiency(load.sinr + t.macroCenti(q));
        std::int64_t left = kChanceOne;
        for (std::size_t k = 0; k < Count; ++k) {
            left -= shares.taken[k];
            const double taken = weight * static_cast<double>(shares.taken[k]);
            part[k] += taken * before;
            // Two points stand for the spread: a user's cost bends upwards towards bad signals.
            const int sinr = takenSinr(contest, k, q, shares, others[k], load, t);
            spent[k] += taken * 0.5 *
                        (t.perEfficiency(sinr - shares.spread[k]) + t.perEfficiency(sinr + shares.spread[k]));
        }
        const double stays = weight * static_cast<double>(left);
        stay += stays * before;
        if (changed) {
            const int sinr = load.macroCenti - t.centiOf(load.heard + contest.weaker(q, t));
            stayAfter += stays * t.perEfficiency(sinr + t.macroCenti(q));
        }
    }
    const auto cost = static_cast<double>(load.cost);
    const double whole = t.meanPerEfficiency(load.sinr);
    Division d;
    std::int64_t left = load.cost;
    for (std::size_t k = 0; k < Count; ++k) {
        d.relief[k] = std::min(left, static_cast<std::int64_t>(cost * (part[k] / whole)));
        left -= d.relief[k];
        d.carried[k] = static_cast<std::int64_t>(cost * (spent[k] / whole));
    }
    if (changed) d.harm = static_cast<std::int64_t>(cost * ((stayAfter - stay) / whole));
    return d;
}

} // namespace

Division divide(const ReceiverLoad& load, const TopTwo& top, std::array<std::int64_t, 2> ownPower,
                std::span<const SmallSource> sources, const ModelTables& t) {
    // With small cells sending those that stay hear more; with neighbours relieved, less.
    const bool changed = load.heard != load.interference;
    if (!top.first.any()) {
        Division d;
        if (!changed) return d;
        const int after = load.macroCenti - t.centiOf(load.heard);
        const double more = t.meanPerEfficiency(after) / t.meanPerEfficiency(load.sinr) - 1;
        d.harm = static_cast<std::int64_t>(static_cast<double>(load.cost) * more);
        return d;
    }
    const Contest contest(top, sources, t);
    const auto others = othersHeard(contest, load, ownPower, t);
    return contest.count == 1 ? divideAmong<1>(contest, load, others, changed, t)
                              : divideAmong<2>(contest, load, others, changed, t);
}

Stayers stayers(const ReceiverLoad& load, const TopTwo& top, std::span<const SmallSource> sources,
                std::span<const double> counted, const ModelTables& t) {
    Stayers out;
    const bool changed = load.heard != load.interference;
    const Contest contest(top, sources, t);
    for (std::size_t q = 0; q < kPoints; ++q) {
        const PointShares shares = contest.count > 0 ? contest.at(q, t) : PointShares{};
        out.share[q] = 1;
        for (int k = 0; k < contest.count; ++k)
            out.share[q] -= static_cast<double>(shares.taken[k]) / kChanceOne * counted[contest.c[k]->small];
        out.share[q] = std::max(0.0, out.share[q]);
        const int sinr = changed ? load.macroCenti - t.centiOf(load.heard + contest.weaker(q, t)) : load.sinr;
        out.sinr[q] = sinr + t.macroCenti(q);
    }
    return out;
}

Movers movers(const ReceiverLoad& load, const TopTwo& top, std::array<std::int64_t, 2> ownPower,
              std::span<const SmallSource> sources, const ModelTables& t) {
    Movers out;
    if (!top.first.any()) return out;
    const Contest contest(top, sources, t);
    const auto others = othersHeard(contest, load, ownPower, t);
    for (std::size_t q = 0; q < kPoints; ++q) {
        const PointShares shares = contest.at(q, t);
        for (std::size_t k = 0; k < static_cast<std::size_t>(contest.count); ++k) {
            out.share[k][q] = static_cast<double>(shares.taken[k]) / kChanceOne;
            const int sinr = takenSinr(contest, k, q, shares, others[k], load, t);
            out.sinr[k][q] = {sinr - shares.spread[k], sinr + shares.spread[k]};
        }
    }
    return out;
}

} // namespace fw
