// SPDX-License-Identifier: GPL-3.0-or-later
#include "fringe/tile_sums.h"

#include <algorithm>

namespace fw {

void TileSums::add(const TileSums& o, int sign) {
    pairs.mergeWith(
        o.pairs,
        [sign](PairSum& mine, const PairSum& p) {
            mine += {sign * p.relief, sign * p.fringe, sign * p.carried};
        },
        [](const PairSum& p) { return p.zero(); });
    harm.mergeWith(
        o.harm, [sign](std::int64_t& mine, std::int64_t h) { mine += sign * h; },
        [](std::int64_t h) { return h == 0; });
}

SumBook::SumBook(std::size_t smalls, std::size_t macros)
    : m_row(smalls, -1), m_harm(macros, 0), m_macros(macros) {}

void SumBook::pair(std::uint16_t small, std::uint16_t macro, const PairSum& p) {
    if (p.zero()) return;
    std::int32_t& row = m_row[small];
    if (row < 0) {
        row = static_cast<std::int32_t>(m_sums.size());
        m_sums.emplace_back(m_macros);
        m_rowSmall.push_back(small);
    }
    m_sums[static_cast<std::size_t>(row)][macro] += p;
}

TileSums SumBook::take() {
    TileSums out;
    std::vector<std::uint16_t> smalls = m_rowSmall;
    std::sort(smalls.begin(), smalls.end());
    for (const std::uint16_t small : smalls) {
        const auto& row = m_sums[static_cast<std::size_t>(m_row[small])];
        for (std::size_t m = 0; m < m_macros; ++m)
            if (!row[m].zero())
                out.pairs.append(TileSums::keyOf(small, static_cast<std::uint16_t>(m)), row[m]);
        m_row[small] = -1;
    }
    m_sums.clear();
    m_rowSmall.clear();
    // A sum that was back at nothing in between is listed twice.
    std::sort(m_harmTouched.begin(), m_harmTouched.end());
    for (const std::uint16_t m : m_harmTouched) {
        if (m_harm[m]) out.harm.append(m, m_harm[m]);
        m_harm[m] = 0;
    }
    m_harmTouched.clear();
    return out;
}

ReceiverLoad loadAt(const TileView& v, std::size_t i, std::size_t layer, std::int64_t small) {
    const LayerLevels& l = v.levels->layers[layer];
    const ModelTables& t = *v.tables;
    const ServingKey k = l.strongest[0][i];
    const std::uint16_t macro = rosterOf(k);
    ReceiverLoad load;
    load.cost = v.cost->layers[layer][i];
    load.macroCenti = levelOf(k);
    load.sinr = l.sinr[i];
    const std::int64_t full = t.power(levelOf(k));
    load.servingPower = (full * v.shares[macro]) >> 16;
    load.interference = l.power[i] - load.servingPower + t.noise();
    load.heard = load.interference + small;
    if (!v.sharesNow.empty()) {
        load.servingPower = (full * v.sharesNow[macro]) >> 16;
        for (std::size_t n = 1; n < kStrongest; ++n) { // the neighbours that matter, as they send now
            const ServingKey o = l.strongest[n][i];
            if (!o) continue;
            const std::int64_t p = t.power(levelOf(o));
            load.heard += ((p * v.sharesNow[rosterOf(o)]) >> 16) - ((p * v.shares[rosterOf(o)]) >> 16);
        }
    }
    return load;
}

Division divideAt(const TileView& v, std::size_t i, std::size_t layer, const TopTwo& top,
                  std::span<const std::int64_t> channelPower, std::span<const int> channelOfLayer) {
    if (v.cost->layers[layer][i] <= 0) return {};
    const int own = channelOfLayer[layer];
    const std::int64_t small = own >= 0 ? channelPower[static_cast<std::size_t>(own)] : 0;
    if (!top.first.any() && small == 0 && v.sharesNow.empty()) return {};
    const ReceiverLoad load = loadAt(v, i, layer, small);
    std::array<std::int64_t, 2> channel{};
    for (const auto& [c, n] : {std::pair{&top.first, 0u}, std::pair{&top.second, 1u}})
        if (c->any()) channel[n] = channelPower[static_cast<std::size_t>(v.sources[c->small].channel)];
    return divide(load, top, channel, v.sources, *v.tables);
}

namespace {

// A candidate's part in the book. A cell that relieves nothing carries nothing.
PairSum partOf(const Division& d, std::size_t n, bool inFringe) {
    if (!d.relief[n]) return {};
    return {d.relief[n], inFringe ? d.relief[n] : 0, d.carried[n]};
}

} // namespace

bool inFringe(const TileView& v, std::size_t i, std::size_t layer) {
    const std::uint16_t macro = rosterOf(v.levels->layers[layer].strongest[0][i]);
    return v.receivers->inAreaOf(i) || v.cost->density[layer][i] >= v.fringeFrom[macro];
}

void record(const TileView& v, std::size_t i, std::size_t layer, const TopTwo& top, const Division& d,
            SumBook& book) {
    static const TopTwo nobody;
    static const Division nothing;
    const bool fringe = top.first.any() && inFringe(v, i, layer);
    recordChange(rosterOf(v.levels->layers[layer].strongest[0][i]), fringe, {nobody, nothing}, {top, d},
                 book);
}

void recordChange(std::uint16_t macro, bool inFringe, const Divided& out, const Divided& in, SumBook& book) {
    book.harm(macro, in.division.harm - out.division.harm);
    for (const std::size_t n : {std::size_t{0}, std::size_t{1}}) {
        const Candidate& gone = n == 0 ? out.top.first : out.top.second;
        const Candidate& come = n == 0 ? in.top.first : in.top.second;
        PairSum less = partOf(out.division, n, inFringe), more = partOf(in.division, n, inFringe);
        if (gone.small == come.small) {
            more -= less;
            if (come.any()) book.pair(come.small, macro, more);
            continue;
        }
        PairSum taken;
        taken -= less;
        if (gone.any()) book.pair(gone.small, macro, taken);
        if (come.any()) book.pair(come.small, macro, more);
    }
}

TileSums evaluateTile(const TileView& v, const TileSmalls& smalls, std::span<const int> channelOfLayer) {
    SumBook book(v.sources.size(), v.shares.size());
    const TopTwo nobody;
    std::vector<std::int64_t> power(smalls.channels.size(), 0);
    for (std::size_t i = 0; i < v.receivers->size(); ++i) {
        if (v.receivers->weightOf(i) <= 0) continue;
        for (std::size_t c = 0; c < power.size(); ++c)
            power[c] = smalls.channels[c].empty() ? 0 : smalls.channels[c][i];
        for (std::size_t k = 0; k < v.levels->layers.size(); ++k) {
            if (v.levels->layers[k].empty()) continue;
            const TopTwo& top = smalls.layers[k].empty() ? nobody : smalls.layers[k][i];
            if (v.cost->layers[k][i] > 0)
                record(v, i, k, top, divideAt(v, i, k, top, power, channelOfLayer), book);
        }
    }
    return book.take();
}

} // namespace fw
