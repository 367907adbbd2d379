// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/overlay_totals.h"

#include <algorithm>
#include <atomic>

namespace fw {
namespace {

constexpr int kRowsAtOnce = 12; // of pixels: some tens of microseconds

TileSmalls gather(const StudyCore& core, std::size_t tile, std::span<const SmallSource> sources) {
    const TilePart& t = core.base->tiles[tile];
    const auto near = core.meeting(t.receivers->key, sources);
    return gatherSmalls(*t.receivers, *t.levels, near, static_cast<int>(core.channels.size()),
                        *core.base->tables);
}

// Rows of pixels of one tile under the moved cells, or its indoor receivers.
struct Stretch {
    std::size_t tile = 0;
    PressTile* others = nullptr;
    int fromRow = 0, toRow = 0; ///< rows of the plan; `toRow` not counted
    bool indoor = false;
};

// What all threads of one frame read.
struct MovedCells {
    const StudyCore& under;
    const StudyCore& over;
    std::vector<SmallSource> before, now; ///< by small cell; without and with the dragged ones
    std::vector<SmallSource> moving;      ///< of `now`, those dragged; never empty while receivers are passed
};

// One thread's way over some stretches.
class Lane {
public:
    explicit Lane(const MovedCells& f)
        : m_f(f), m_book(f.over.smalls.size(), f.over.base->cells.size()), m_more(f.over.channels.size(), 0),
          m_levels(f.moving.size()), m_rows(f.moving.size()) {}

    void pass(const Stretch& s) {
        const TileView view = m_f.under.view(s.tile, m_f.before);
        if (s.indoor)
            indoor(view, *s.others);
        else
            rows(s, view);
    }
    TileSums take() { return m_book.take(); }

private:
    using Rest = std::span<Standing>; // what is still to be passed

    void rows(const Stretch& s, const TileView& view) {
        const TileKey key = view.receivers->key;
        const SmallPath& p = *m_f.moving.front().path; // cells of one mount share place and reach
        const int tx = key.x * kTilePixels, ty = key.y * kTilePixels;
        const int c0 = std::max(tx, p.pixelX - p.radius),
                  c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
        for (int y = s.fromRow; y < s.toRow && c0 <= c1; ++y) {
            const auto row = static_cast<std::size_t>(y - ty), begin = row * kTilePixels;
            const std::size_t from = begin + static_cast<std::size_t>(c0 - tx),
                              to = begin + static_cast<std::size_t>(c1 - tx) + 1;
            Rest rest = standing(s.others->rows[row], begin, begin + kTilePixels, view, *s.others);
            for (std::size_t k = 0; k < m_rows.size(); ++k)
                smallLevelRow(m_f.moving[k], y - p.pixelY, c0 - p.pixelX, c1 - p.pixelX, m_rows[k].data());
            rest = beyond(rest, from);
            while (!rest.empty() && rest.front().receiver < to) {
                for (std::size_t k = 0; k < m_rows.size(); ++k)
                    m_levels[k] = m_rows[k][rest.front().receiver - from];
                rest = receiver(rest, view, s.others->smalls);
            }
        }
    }

    void indoor(const TileView& view, PressTile& others) {
        const auto& moving = m_f.moving;
        std::vector<const SmallPath::TileIndoor*> lists(moving.size(), nullptr);
        for (std::size_t k = 0; k < moving.size(); ++k)
            for (const auto& t : moving[k].path->indoor)
                if (t.key == view.receivers->key) lists[k] = &t;
        if (!lists[0]) return;
        Rest rest = standing(others.indoor, kTileArea, view.receivers->size(), view, others);
        for (std::size_t n = 0; n < lists[0]->list.size(); ++n) {
            // The same receivers in every list: same place, same reach.
            const std::uint32_t i = lists[0]->list[n].receiver;
            rest = beyond(rest, i);
            if (rest.empty()) return;
            if (rest.front().receiver != i) continue;
            for (std::size_t k = 0; k < moving.size(); ++k)
                m_levels[k] = smallLevelIndoor(moving[k], lists[k]->list[n]);
            rest = receiver(rest, view, others.smalls);
        }
    }

    static Rest beyond(Rest rest, std::size_t receiver) {
        std::size_t n = 0;
        while (n < rest.size() && rest[n].receiver < receiver) ++n;
        return rest.subspan(n);
    }

    // No other thread passes over the same row in one frame.
    Rest standing(StandingRow& row, std::size_t from, std::size_t to, const TileView& v,
                  const PressTile& others) const {
        if (row.made) return row.list;
        const auto spends = [&](std::size_t i, std::size_t l) {
            const LayerLevels& layer = v.levels->layers[l];
            return !layer.empty() && layer.sinr[i] != kNoLevel && v.cost->layers[l][i] > 0;
        };
        const auto each = [&](const auto& body) {
            for (std::size_t i = from; i < to; ++i) {
                if (v.receivers->weightOf(i) <= 0) continue;
                for (std::size_t l = 0; l < v.levels->layers.size(); ++l)
                    if (spends(i, l)) body(i, l);
            }
        };
        std::size_t n = 0;
        each([&](std::size_t, std::size_t) { ++n; });
        row.list.reserve(n); // thousands of rows: what growing leaves behind would be as much again
        each([&](std::size_t i, std::size_t l) {
            const int own = m_f.under.channelOfLayer[l];
            Standing s;
            s.receiver = static_cast<std::uint32_t>(i);
            s.layer = static_cast<std::uint16_t>(l);
            s.macro = rosterOf(v.levels->layers[l].strongest[0][i]);
            s.load = loadAt(v, i, l, own < 0 ? 0 : powerOn(static_cast<std::size_t>(own), others.smalls, i));
            if (!others.smalls.layers[l].empty()) s.top = others.smalls.layers[l][i];
            s.inFringe = inFringe(v, i, l);
            row.list.push_back(s);
        });
        row.made = true;
        return row.list;
    }

    // The first receiver of `rest` in all its layers; returns what comes after it.
    Rest receiver(Rest rest, const TileView& v, const TileSmalls& others) {
        const bool any = hear(*v.tables);
        const std::uint32_t i = rest.front().receiver;
        std::size_t n = 0;
        for (; n < rest.size() && rest[n].receiver == i; ++n)
            if (any && touches(rest[n])) change(rest[n], v, others);
        return rest.subspan(n);
    }

    // What the moved cells add to each channel; whether anything of them arrives.
    bool hear(const ModelTables& t) {
        std::fill(m_more.begin(), m_more.end(), 0);
        bool any = false;
        for (std::size_t k = 0; k < m_levels.size(); ++k) {
            if (m_levels[k] == kNoLevel) continue;
            const SmallSource& s = m_f.moving[k];
            m_more[static_cast<std::size_t>(s.channel)] += (t.power(m_levels[k]) * s.share) >> 16;
            any = true;
        }
        return any;
    }

    // The others alone go out, the others with the moved cells come in.
    void change(Standing& s, const TileView& v, const TileSmalls& others) {
        if (!s.known) {
            s.without =
                divide(s.load, s.top, channelPower(s.top, others, s.receiver, false), m_f.before, *v.tables);
            s.known = true;
        }
        TopTwo top = s.top;
        for (std::size_t k = 0; k < m_levels.size(); ++k) {
            if (m_levels[k] == kNoLevel) continue;
            const Candidate c =
                candidateFor(m_f.moving[k], m_levels[k], s.layer, s.load.macroCenti, *v.tables);
            if (c.any()) top.add(c);
        }
        ReceiverLoad load = s.load;
        if (const int own = m_f.under.channelOfLayer[s.layer]; own >= 0)
            load.heard += m_more[static_cast<std::size_t>(own)];
        const Division now =
            divide(load, top, channelPower(top, others, s.receiver, true), m_f.now, *v.tables);
        recordChange(s.macro, s.inFringe, {s.top, s.without}, {top, now}, m_book);
    }

    static std::int64_t powerOn(std::size_t channel, const TileSmalls& others, std::size_t i) {
        return others.channels[channel].empty() ? 0 : others.channels[channel][i];
    }

    // By candidate, as divide() asks for it: on own carriers only.
    [[nodiscard]] std::array<std::int64_t, 2> channelPower(const TopTwo& top, const TileSmalls& others,
                                                           std::size_t i, bool withMoved) const {
        std::array<std::int64_t, 2> out{};
        for (const std::size_t n : {std::size_t{0}, std::size_t{1}}) {
            const Candidate& c = n == 0 ? top.first : top.second;
            if (!c.any() || m_f.now[c.small].layer >= 0) continue;
            const auto channel = static_cast<std::size_t>(m_f.now[c.small].channel);
            out[n] = powerOn(channel, others, i) + (withMoved ? m_more[channel] : 0);
        }
        return out;
    }

    // Whether the moved cells can change anything: by sending on the layer's channel, by taking its users, or
    // by disturbing a small cell that takes them.
    [[nodiscard]] bool touches(const Standing& there) const {
        const TopTwo& others = there.top;
        return std::any_of(m_f.moving.begin(), m_f.moving.end(), [&](const SmallSource& s) {
            if (s.layer < 0 || s.layer == there.layer) return true;
            return (others.first.any() && m_f.now[others.first.small].channel == s.channel) ||
                   (others.second.any() && m_f.now[others.second.small].channel == s.channel);
        });
    }

    const MovedCells& m_f;
    SumBook m_book;
    std::vector<std::int64_t> m_more; ///< by channel
    std::vector<int> m_levels;        ///< by moved cell
    std::vector<std::array<std::int16_t, kTilePixels>> m_rows;
};

class OverlayTotals {
public:
    OverlayTotals(const StudyCore& over, Crew* crew)
        : m_f{*over.under, over, over.under->sources(over.dragged), over.sources(), {}}, m_crew(crew) {
        for (const std::uint16_t n : over.dragged)
            if (m_f.now[n].path) m_f.moving.push_back(m_f.now[n]);
    }

    TileSums totals(std::span<const std::function<void()>> besides) {
        m_press = pressOf();
        TileSums out = m_press->without;
        const std::scoped_lock hold(m_press->lock);
        const std::vector<Stretch> stretches = m_f.moving.empty() ? std::vector<Stretch>{} : underMoving();
        std::atomic<std::size_t> next{0};
        std::vector<TileSums> parts(m_crew ? m_crew->threads() : 1);
        forEach(m_crew, besides.size() + parts.size(), [&](std::size_t k) {
            if (k < besides.size()) {
                besides[k]();
                return;
            }
            std::size_t i = next++;
            if (i >= stretches.size()) return;
            Lane lane(m_f);
            for (; i < stretches.size(); i = next++) lane.pass(stretches[i]);
            parts[k - besides.size()] = lane.take();
        });
        for (const TileSums& p : parts) out.add(p);
        return out;
    }

private:
    std::shared_ptr<Press> pressOf() {
        const StudyCore& under = m_f.under;
        const auto& dragged = m_f.over.dragged;
        {
            const std::scoped_lock hold(under.lazyLock);
            if (under.press && under.press->dragged == dragged) return under.press;
        }
        auto press = std::make_shared<Press>();
        press->dragged = dragged;
        press->without = under.sums();
        const auto all = under.sources();
        std::vector<std::size_t> tiles;
        for (std::size_t i = 0; i < under.base->tiles.size(); ++i)
            if (std::any_of(dragged.begin(), dragged.end(), [&](std::uint16_t n) {
                    return all[n].path && meets(*all[n].path, under.base->tiles[i].receivers->key);
                }))
                tiles.push_back(i);
        std::vector<TileSums> with(tiles.size()), without(tiles.size());
        for (const std::size_t i : tiles) press->tiles[static_cast<int>(i)];
        forEach(m_crew, tiles.size(), [&](std::size_t k) {
            const std::size_t i = tiles[k];
            TileSmalls& smalls = press->tiles.find(static_cast<int>(i))->second.smalls;
            smalls = gather(under, i, m_f.before);
            with[k] = evaluateTile(under.view(i, all), gather(under, i, all), under.channelOfLayer);
            without[k] = evaluateTile(under.view(i, m_f.before), smalls, under.channelOfLayer);
        });
        for (std::size_t k = 0; k < tiles.size(); ++k) {
            press->without.add(with[k], -1);
            press->without.add(without[k]);
        }
        const std::scoped_lock hold(under.lazyLock);
        under.press = press;
        return press;
    }

    // The ground under the moved cells in pieces, the others' part of its tiles made where it is not there.
    std::vector<Stretch> underMoving() {
        const auto& tiles = m_f.over.base->tiles;
        std::vector<Stretch> out;
        std::vector<std::pair<std::size_t, TileSmalls*>> fresh;
        const SmallPath& p = *m_f.moving.front().path;
        for (std::size_t i = 0; i < tiles.size(); ++i) {
            const TileKey key = tiles[i].receivers->key;
            if (std::none_of(m_f.moving.begin(), m_f.moving.end(),
                             [&](const SmallSource& s) { return meets(*s.path, key); }))
                continue;
            const auto [at, isFresh] = m_press->tiles.try_emplace(static_cast<int>(i));
            PressTile& others = at->second;
            if (isFresh) fresh.emplace_back(i, &others.smalls);
            const int from = std::max(key.y * kTilePixels, p.pixelY - p.radius),
                      to = std::min((key.y + 1) * kTilePixels, p.pixelY + p.radius + 1);
            out.push_back({i, &others, 0, 0, true});
            for (int y = from; y < to; y += kRowsAtOnce)
                out.push_back({i, &others, y, std::min(y + kRowsAtOnce, to), false});
        }
        forEach(m_crew, fresh.size(),
                [&](std::size_t k) { *fresh[k].second = gather(m_f.under, fresh[k].first, m_f.before); });
        return out;
    }

    MovedCells m_f;
    Crew* m_crew;
    std::shared_ptr<Press> m_press;
};

} // namespace

TileSums overlayTotals(const StudyCore& over, Crew* crew, std::span<const std::function<void()>> besides) {
    return OverlayTotals(over, crew).totals(besides);
}

} // namespace fw
