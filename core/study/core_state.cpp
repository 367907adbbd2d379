// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/state.h"

#include "base/parallel.h"

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

template <class V>
int placeOf(const V& list, ItemId id) {
    const auto it =
        std::lower_bound(list.begin(), list.end(), id, [](const auto& x, ItemId v) { return x.id < v; });
    return it != list.end() && it->id == id ? static_cast<int>(it - list.begin()) : -1;
}

bool meets(const SmallPath& p, TileKey tile) {
    const int tx = tile.x * kTilePixels, ty = tile.y * kTilePixels;
    if (p.pixelX + p.radius >= tx && p.pixelX - p.radius < tx + kTilePixels && p.pixelY + p.radius >= ty &&
        p.pixelY - p.radius < ty + kTilePixels)
        return true;
    return std::any_of(p.indoor.begin(), p.indoor.end(),
                       [&](const SmallPath::TileIndoor& t) { return t.key == tile; });
}

// Totals of an overlay: what lies under it without the dragged cells, and their new part by difference.
class OverlayTotals {
public:
    explicit OverlayTotals(const StudyCore& over) : m_over(over), m_under(*over.under) {}

    TileSums totals() {
        m_press = pressOf();
        TileSums out = m_press->without;
        m_now = m_over.sources();
        m_before = m_under.sources(m_over.dragged);
        for (const std::uint16_t n : m_over.dragged)
            if (m_now[n].path) m_moving.push_back(m_now[n]);
        if (m_moving.empty()) return out;
        std::vector<int> tiles;
        for (std::size_t i = 0; i < m_over.base->tiles.size(); ++i)
            if (std::any_of(m_moving.begin(), m_moving.end(), [&](const SmallSource& s) {
                    return meets(*s.path, m_over.base->tiles[i].receivers->key);
                }))
                tiles.push_back(static_cast<int>(i));
        SumBook book(m_over.smalls.size(), m_over.base->cells.size());
        const std::scoped_lock hold(m_press->lock);
        for (const int i : tiles) tile(i, book);
        out.add(book.take());
        return out;
    }

private:
    std::shared_ptr<Press> pressOf() {
        {
            const std::scoped_lock hold(m_under.lazyLock);
            if (m_under.press && m_under.press->dragged == m_over.dragged) return m_under.press;
        }
        auto press = std::make_shared<Press>();
        press->dragged = m_over.dragged;
        press->without = m_under.sums();
        const auto all = m_under.sources();
        const auto rest = m_under.sources(m_over.dragged);
        for (std::size_t i = 0; i < m_under.base->tiles.size(); ++i) {
            const TileKey key = m_under.base->tiles[i].receivers->key;
            const bool touched =
                std::any_of(m_over.dragged.begin(), m_over.dragged.end(),
                            [&](std::uint16_t n) { return all[n].path && meets(*all[n].path, key); });
            if (!touched) continue;
            TileSmalls smalls = gather(i, rest);
            const TileSums with = evaluateTile(m_under.view(i, all), gather(i, all), m_under.channelOfLayer);
            const TileSums without = evaluateTile(m_under.view(i, rest), smalls, m_under.channelOfLayer);
            press->without.add(with, -1);
            press->without.add(without);
            press->tiles[static_cast<int>(i)].smalls = std::move(smalls);
        }
        const std::scoped_lock hold(m_under.lazyLock);
        m_under.press = press;
        return press;
    }

    TileSmalls gather(std::size_t i, std::span<const SmallSource> sources) const {
        const TilePart& t = m_under.base->tiles[i];
        const auto near = m_under.meeting(t.receivers->key, sources);
        return gatherSmalls(*t.receivers, *t.levels, near, static_cast<int>(m_under.channels.size()),
                            *m_under.base->tables);
    }

    PressTile& othersOf(int i) {
        const auto [at, fresh] = m_press->tiles.try_emplace(i);
        PressTile& t = at->second;
        const TilePart& part = m_under.base->tiles[static_cast<std::size_t>(i)];
        if (fresh) t.smalls = gather(static_cast<std::size_t>(i), m_before);
        if (t.divisions.empty()) {
            t.divisions.resize(part.levels->layers.size());
            t.known.resize(part.levels->layers.size());
        }
        return t;
    }

    const Division& withoutMoving(const TileView& before, std::size_t i, std::size_t layer, const TopTwo& top,
                                  PressTile& others) const {
        auto& known = others.known[layer];
        auto& divisions = others.divisions[layer];
        if (known.empty()) {
            known.assign(before.receivers->size(), 0);
            divisions.resize(before.receivers->size());
        }
        if (!known[i]) {
            divisions[i] = divideAt(before, i, layer, top, m_power, m_over.channelOfLayer);
            known[i] = 1;
        }
        return divisions[i];
    }

    // One receiver: the others alone go out, the others with the moved cells come in.
    void receiver(std::size_t i, std::span<const int> levels, const TileView& before, const TileView& now,
                  PressTile& pressed, SumBook& book) {
        const TileSmalls& others = pressed.smalls;
        const std::size_t channels = others.channels.size();
        for (std::size_t c = 0; c < channels; ++c)
            m_power[c] = m_powerNow[c] = others.channels[c].empty() ? 0 : others.channels[c][i];
        bool any = false;
        for (std::size_t k = 0; k < m_moving.size(); ++k)
            if (levels[k] != kNoLevel) {
                const auto c = static_cast<std::size_t>(m_moving[k].channel);
                m_powerNow[c] += (now.tables->power(levels[k]) * m_moving[k].share) >> 16;
                any = true;
            }
        if (!any) return;
        for (std::size_t l = 0; l < now.levels->layers.size(); ++l) {
            const LayerLevels& layer = now.levels->layers[l];
            if (layer.empty() || layer.sinr[i] == kNoLevel || now.cost->layers[l][i] <= 0) continue;
            TopTwo top = others.layers[l].empty() ? TopTwo{} : others.layers[l][i];
            if (!touches(static_cast<int>(l), top)) continue;
            record(before, i, l, top, withoutMoving(before, i, l, top, pressed), -1, book);
            for (std::size_t k = 0; k < m_moving.size(); ++k) {
                if (levels[k] == kNoLevel) continue;
                const Candidate c = candidateFor(m_moving[k], levels[k], static_cast<int>(l),
                                                 levelOf(layer.strongest[0][i]), *now.tables);
                if (c.any()) top.add(c);
            }
            record(now, i, l, top, divideAt(now, i, l, top, m_powerNow, m_over.channelOfLayer), 1, book);
        }
    }

    // Whether the moved cells can change anything in a layer: by sending on its channel, by taking its users,
    // or by disturbing a small cell that takes them.
    [[nodiscard]] bool touches(int layer, const TopTwo& others) const {
        return std::any_of(m_moving.begin(), m_moving.end(), [&](const SmallSource& s) {
            if (s.layer < 0 || s.layer == layer) return true;
            return (others.first.any() && m_now[others.first.small].channel == s.channel) ||
                   (others.second.any() && m_now[others.second.small].channel == s.channel);
        });
    }

    void tile(int index, SumBook& book) {
        const auto ti = static_cast<std::size_t>(index);
        PressTile& others = othersOf(index);
        const TileView before = m_under.view(ti, m_before), now = m_over.view(ti, m_now);
        const TileReceivers& r = *now.receivers;
        m_power.assign(m_over.channels.size(), 0);
        m_powerNow.assign(m_over.channels.size(), 0);
        std::vector<int> levels(m_moving.size());
        const SmallPath& p = *m_moving.front().path; // cells of one mount share place and reach
        const int tx = r.key.x * kTilePixels, ty = r.key.y * kTilePixels;
        const int c0 = std::max(tx, p.pixelX - p.radius),
                  c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
        const int r0 = std::max(ty, p.pixelY - p.radius),
                  r1 = std::min(ty + kTilePixels - 1, p.pixelY + p.radius);
        std::vector<std::array<std::int16_t, kTilePixels>> rows(m_moving.size());
        for (int y = r0; y <= r1 && c0 <= c1; ++y) {
            for (std::size_t k = 0; k < m_moving.size(); ++k)
                smallLevelRow(m_moving[k], y - p.pixelY, c0 - p.pixelX, c1 - p.pixelX, rows[k].data());
            for (int x = c0; x <= c1; ++x) {
                const auto i = static_cast<std::size_t>((y - ty) * kTilePixels + x - tx);
                if (r.weight[i] <= 0) continue;
                for (std::size_t k = 0; k < m_moving.size(); ++k)
                    levels[k] = rows[k][static_cast<std::size_t>(x - c0)];
                receiver(i, levels, before, now, others, book);
            }
        }
        indoor(r, before, now, others, book, levels);
    }

    void indoor(const TileReceivers& r, const TileView& before, const TileView& now, PressTile& others,
                SumBook& book, std::vector<int>& levels) {
        std::vector<const SmallPath::TileIndoor*> lists(m_moving.size(), nullptr);
        for (std::size_t k = 0; k < m_moving.size(); ++k)
            for (const auto& t : m_moving[k].path->indoor)
                if (t.key == r.key) lists[k] = &t;
        if (!lists[0]) return;
        for (std::size_t n = 0; n < lists[0]->list.size();
             ++n) { // the same receivers in every list: same place, same reach
            for (std::size_t k = 0; k < m_moving.size(); ++k)
                levels[k] = smallLevelIndoor(m_moving[k], lists[k]->list[n]);
            receiver(lists[0]->list[n].receiver, levels, before, now, others, book);
        }
    }

    const StudyCore& m_over;
    const StudyCore& m_under;
    std::shared_ptr<Press> m_press;
    std::vector<SmallSource> m_now, m_before, m_moving;
    std::vector<std::int64_t> m_power, m_powerNow;
};

} // namespace

double idleFloorOf(const ModelSettings& m, Technology tech, int ports) {
    if (tech == Technology::nr) return m.idleFloorNr;
    return ports >= 4 ? m.idleFloorLte4 : m.idleFloorLte2;
}

PatternPart makePattern(const AntennaCut* cut, const ParabolicCuts& cuts, double mechanicalTiltDeg,
                        double electricalTiltDeg) {
    const Pattern p = cut ? Pattern(cutTableOf(*cut)) : Pattern(cuts);
    PatternPart out;
    out.table = std::make_shared<const PatternTable>(patternTable(p, mechanicalTiltDeg, electricalTiltDeg));
    out.beam = p.halfPowerBeamwidths();
    const PatternTable& t = *out.table;
    Digester d;
    d.bytes(t.horizontal.data(), sizeof t.horizontal).bytes(t.vertical.data(), sizeof t.vertical);
    d.bytes(t.tilt.data(), sizeof t.tilt);
    out.digest = d.add(t.most).add(t.gainCenti).done();
    return out;
}

int StudyCore::smallIndex(ItemId id) const { return placeOf(smalls, id); }
int StudyCore::cellIndex(ItemId id) const { return placeOf(base->cells, id); }
const MountPart* StudyCore::mount(ItemId id) const {
    const int i = placeOf(mounts, id);
    return i < 0 ? nullptr : &mounts[static_cast<std::size_t>(i)];
}

SmallSource StudyCore::source(std::size_t n) const {
    const SmallCellPart& p = smalls[n];
    const SmallRuntime& r = smallRuntime[n];
    const ModelSettings& m = plan.settings->model;
    SmallSource s;
    s.index = static_cast<std::uint16_t>(n);
    s.layer = p.layer;
    s.channel = r.channel;
    s.baseCenti = r.baseCenti;
    s.biasCenti = static_cast<int>(std::floor(p.biasDb * 100 + 0.5));
    const Radio* radio = plan.radios.find(p.radio);
    const double floor = idleFloorOf(m, p.carrier.technology, radio ? radio->ports : 2);
    s.share = sendingShare(m.smallUsePlanned, floor);
    s.azimuth = tenths(p.azimuth.deg) % 3600;
    s.pattern = r.pattern.get();
    s.path = r.path.get();
    return s;
}

std::vector<SmallSource> StudyCore::sources(std::span<const std::uint16_t> except) const {
    std::vector<SmallSource> out(smalls.size());
    for (std::size_t n = 0; n < smalls.size(); ++n) {
        out[n] = source(n);
        if (!smalls[n].chosen ||
            std::binary_search(except.begin(), except.end(), static_cast<std::uint16_t>(n)))
            out[n].path = nullptr;
    }
    return out;
}

std::vector<SmallSource> StudyCore::meeting(TileKey tile, std::span<const SmallSource> sources) const {
    std::vector<SmallSource> out;
    for (const SmallSource& s : sources)
        if (s.path && meets(*s.path, tile)) out.push_back(s);
    return out;
}

TileView StudyCore::view(std::size_t tile, std::span<const SmallSource> sources) const {
    const TilePart& t = base->tiles[tile];
    TileView v;
    v.receivers = t.receivers.get();
    v.levels = t.levels.get();
    v.cost = t.cost.get();
    v.shares = base->shares;
    v.fringeFrom = base->fringeFrom;
    v.sources = sources;
    v.tables = base->tables.get();
    return v;
}

const TileSums& StudyCore::sums() const {
    if (!under) return totals;
    {
        const std::scoped_lock hold(lazyLock);
        if (lazyTotals) return *lazyTotals;
    }
    auto made = std::make_shared<const TileSums>(OverlayTotals(*this).totals());
    const std::scoped_lock hold(lazyLock);
    if (!lazyTotals) lazyTotals = std::move(made);
    return *lazyTotals;
}

std::shared_ptr<const TileSums> StudyCore::sumsIfChosen(std::size_t n) const {
    if (smalls[n].chosen) return {shared_from_this(), &sums()};
    {
        const std::scoped_lock hold(lazyLock);
        if (const auto it = candidateSums.find(n); it != candidateSums.end()) return it->second;
    }
    SmallCell chosen = *plan.smallCells.find(smalls[n].id);
    chosen.chosen = true;
    Hypothesis h;
    h.smallCell = chosen;
    // Only the sums are kept: an overlay holds on to what lies under it.
    auto made = std::make_shared<const TileSums>(Study(shared_from_this()).overlay(h)->core().sums());
    const std::scoped_lock hold(lazyLock);
    return candidateSums.try_emplace(n, std::move(made)).first->second;
}

} // namespace fw
