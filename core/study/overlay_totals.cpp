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
        : m_f(f), m_book(f.over.smalls.size(), f.over.base->cells.size()), m_power(f.over.channels.size(), 0),
          m_powerNow(m_power), m_levels(f.moving.size()), m_rows(f.moving.size()) {}

    void pass(const Stretch& s) {
        const TileView before = m_f.under.view(s.tile, m_f.before), now = m_f.over.view(s.tile, m_f.now);
        if (s.indoor)
            indoor(before, now, *s.others);
        else
            rows(s, before, now);
    }
    TileSums take() { return m_book.take(); }

private:
    void rows(const Stretch& s, const TileView& before, const TileView& now) {
        const TileReceivers& r = *now.receivers;
        const SmallPath& p = *m_f.moving.front().path; // cells of one mount share place and reach
        const int tx = r.key.x * kTilePixels, ty = r.key.y * kTilePixels;
        const int c0 = std::max(tx, p.pixelX - p.radius),
                  c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
        for (int y = s.fromRow; y < s.toRow && c0 <= c1; ++y) {
            for (std::size_t k = 0; k < m_rows.size(); ++k)
                smallLevelRow(m_f.moving[k], y - p.pixelY, c0 - p.pixelX, c1 - p.pixelX, m_rows[k].data());
            for (int x = c0; x <= c1; ++x) {
                const auto i = static_cast<std::size_t>((y - ty) * kTilePixels + x - tx);
                if (r.weight[i] <= 0) continue;
                for (std::size_t k = 0; k < m_rows.size(); ++k)
                    m_levels[k] = m_rows[k][static_cast<std::size_t>(x - c0)];
                receiver(i, before, now, *s.others);
            }
        }
    }

    void indoor(const TileView& before, const TileView& now, PressTile& others) {
        const auto& moving = m_f.moving;
        std::vector<const SmallPath::TileIndoor*> lists(moving.size(), nullptr);
        for (std::size_t k = 0; k < moving.size(); ++k)
            for (const auto& t : moving[k].path->indoor)
                if (t.key == now.receivers->key) lists[k] = &t;
        if (!lists[0]) return;
        for (std::size_t n = 0; n < lists[0]->list.size();
             ++n) { // the same receivers in every list: same place, same reach
            for (std::size_t k = 0; k < moving.size(); ++k)
                m_levels[k] = smallLevelIndoor(moving[k], lists[k]->list[n]);
            receiver(lists[0]->list[n].receiver, before, now, others);
        }
    }

    // The others alone go out, the others with the moved cells come in.
    void receiver(std::size_t i, const TileView& before, const TileView& now, PressTile& pressed) {
        const TileSmalls& others = pressed.smalls;
        for (std::size_t c = 0; c < m_power.size(); ++c)
            m_power[c] = m_powerNow[c] = others.channels[c].empty() ? 0 : others.channels[c][i];
        bool any = false;
        for (std::size_t k = 0; k < m_levels.size(); ++k)
            if (m_levels[k] != kNoLevel) {
                const SmallSource& s = m_f.moving[k];
                m_powerNow[static_cast<std::size_t>(s.channel)] +=
                    (now.tables->power(m_levels[k]) * s.share) >> 16;
                any = true;
            }
        if (!any) return;
        for (std::size_t l = 0; l < now.levels->layers.size(); ++l) {
            const LayerLevels& layer = now.levels->layers[l];
            if (layer.empty() || layer.sinr[i] == kNoLevel || now.cost->layers[l][i] <= 0) continue;
            TopTwo top = others.layers[l].empty() ? TopTwo{} : others.layers[l][i];
            if (!touches(static_cast<int>(l), top)) continue;
            record(before, i, l, top, withoutMoving(before, i, l, top, pressed.layers[l]), -1, m_book);
            for (std::size_t k = 0; k < m_levels.size(); ++k) {
                if (m_levels[k] == kNoLevel) continue;
                const Candidate c = candidateFor(m_f.moving[k], m_levels[k], static_cast<int>(l),
                                                 levelOf(layer.strongest[0][i]), *now.tables);
                if (c.any()) top.add(c);
            }
            record(now, i, l, top, divideAt(now, i, l, top, m_powerNow, m_f.over.channelOfLayer), 1, m_book);
        }
    }

    const Division& withoutMoving(const TileView& before, std::size_t i, std::size_t layer, const TopTwo& top,
                                  PressedLayer& pressed) const {
        std::call_once(pressed.made, [&] {
            pressed.known.assign(before.receivers->size(), 0);
            pressed.divisions.resize(before.receivers->size());
        });
        if (!pressed.known[i]) { // no other thread passes over this receiver
            pressed.divisions[i] = divideAt(before, i, layer, top, m_power, m_f.over.channelOfLayer);
            pressed.known[i] = 1;
        }
        return pressed.divisions[i];
    }

    // Whether the moved cells can change anything in a layer: by sending on its channel, by taking its users,
    // or by disturbing a small cell that takes them.
    [[nodiscard]] bool touches(int layer, const TopTwo& others) const {
        return std::any_of(m_f.moving.begin(), m_f.moving.end(), [&](const SmallSource& s) {
            if (s.layer < 0 || s.layer == layer) return true;
            return (others.first.any() && m_f.now[others.first.small].channel == s.channel) ||
                   (others.second.any() && m_f.now[others.second.small].channel == s.channel);
        });
    }

    const MovedCells& m_f;
    SumBook m_book;
    std::vector<std::int64_t> m_power, m_powerNow; ///< by channel
    std::vector<int> m_levels;                     ///< by moved cell
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
            if (others.layers.empty())
                others.layers = std::vector<PressedLayer>(tiles[i].levels->layers.size());
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
