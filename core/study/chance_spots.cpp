// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/chance_spots.h"

#include "base/parallel.h"
#include "base/units.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace fw {
namespace {

constexpr int kNeverServesCenti = 2000; // so far below the one that serves, whichever way sectors stand

std::uint64_t squareOf(PlanePoint p) {
    const auto x = static_cast<std::int64_t>(std::floor(p.x / kDemandSquareM));
    const auto y = static_cast<std::int64_t>(std::floor(p.y / kDemandSquareM));
    return static_cast<std::uint64_t>(x + 0x40000000) << 32 | static_cast<std::uint64_t>(y + 0x40000000);
}

// What the ledger says of loads, biases and powers, as the evaluation takes it.
struct Held {
    std::vector<SmallSource> sources;
    std::vector<std::int64_t> sharesNow; // empty: as at the baseline
};

Held heldAt(const StudyCore& core, const Ledger& ledger) {
    Held out;
    out.sources = core.sources();
    if (ledger.kind == Ledger::Kind::live) return out;
    const ModelSettings& m = core.plan.settings->model;
    for (const SmallCellUse& u : ledger.smalls) {
        const int n = core.smallIndex(u.small);
        if (n < 0) continue;
        SmallSource& s = out.sources[static_cast<std::size_t>(n)];
        const SmallCellPart& part = core.smalls[static_cast<std::size_t>(n)];
        const Radio* r = core.plan.radios.find(part.radio);
        s.biasCenti = centiOf(u.biasDb);
        s.baseCenti -= centiOf(u.powerDownDb);
        s.share = sendingShare(u.use, idleFloorOf(m, part.carrier.technology, r ? r->ports : 2));
    }
    out.sharesNow = core.base->shares;
    for (const LedgerLine& line : ledger.cells) {
        const int c = core.cellIndex(line.cell);
        const Cell* cell = core.plan.cells.find(line.cell);
        if (c < 0 || !cell) continue;
        out.sharesNow[static_cast<std::size_t>(c)] =
            sendingShare(line.after, idleFloorOf(m, cell->carrier.technology, cell->ports));
    }
    return out;
}

// A spot with the places and squares it stands at, which get their numbers once all tiles are there.
struct RawSpot {
    Spot spot;
    PlanePoint at;
};
struct TileSpots {
    std::vector<RawSpot> spots;
    std::map<std::pair<std::uint64_t, std::uint16_t>, SquareCost> elsewhere; // by square and macro
};

class TileReader {
public:
    TileReader(const StudyCore& core, const Held& held, std::size_t tile)
        : m_core(core), m_base(*core.base), m_receivers(*m_base.tiles[tile].receivers),
          m_view(core.view(tile, held.sources)) {
        m_view.sharesNow = held.sharesNow;
        const auto near = core.meeting(m_receivers.key, held.sources);
        m_smalls = gatherSmalls(m_receivers, *m_view.levels, near, static_cast<int>(core.channels.size()),
                                *m_base.tables);
        m_power.assign(m_smalls.channels.size(), 0);
    }

    TileSpots read() {
        for (std::size_t i = 0; i < m_receivers.size(); ++i) {
            if (m_receivers.weightOf(i) <= 0) continue;
            for (std::size_t c = 0; c < m_power.size(); ++c)
                m_power[c] = m_smalls.channels[c].empty() ? 0 : m_smalls.channels[c][i];
            for (std::size_t k = 0; k < m_view.levels->layers.size(); ++k)
                if (!m_view.levels->layers[k].empty() && m_view.cost->layers[k][i] > 0) one(i, k);
        }
        return std::move(m_out);
    }

private:
    void one(std::size_t i, std::size_t layer) {
        const TopTwo nobody;
        const TopTwo& top = m_smalls.layers[layer].empty() ? nobody : m_smalls.layers[layer][i];
        const Division d = divideAt(m_view, i, layer, top, m_power, m_core.channelOfLayer);
        const std::uint16_t macro = rosterOf(m_view.levels->layers[layer].strongest[0][i]);
        const PlanePoint at = m_receivers.placeOf(i);
        const MacroView view = viewOf(i, layer);
        const double cost = static_cast<double>(m_view.cost->layers[layer][i]) / kPrbUnit;
        const double harm = static_cast<double>(d.harm) / kPrbUnit;
        if (!top.first.any()) {
            SquareCost& s = m_out.elsewhere[{squareOf(at), macro}];
            s.cost += cost;
            s.harm += harm;
            if (cost > s.dearest) {
                s.dearest = cost;
                s.view = view;
            }
            return;
        }
        const int own = m_core.channelOfLayer[layer];
        const ReceiverLoad load =
            loadAt(m_view, i, layer, own >= 0 ? m_power[static_cast<std::size_t>(own)] : 0);
        Spot s;
        s.view = view;
        s.cost = cost;
        s.users = cost / m_base.tables->meanPerEfficiency(load.sinr);
        s.heard = s.heardBeside = load.heard;
        const auto sharesNow = m_view.sharesNow.empty() ? m_view.shares : m_view.sharesNow;
        for (std::size_t k = 1; k < view.count; ++k) s.heardBeside -= sent(view.at[k], sharesNow);
        s.changed = load.heard != load.interference;
        s.harm = harm;
        for (const auto& [c, n] : {std::pair{&top.first, 0u}, std::pair{&top.second, 1u}})
            if (c->any()) s.rival[s.rivals++] = rivalOf(*c, i, load, d.relief[n], d.carried[n]);
        s.oneChannel = s.rivals == 2 &&
                       m_view.sources[s.rival[0].small].channel == m_view.sources[s.rival[1].small].channel;
        m_out.spots.push_back({s, at});
    }

    std::int64_t sent(const MacroAt& m, std::span<const std::int64_t> shares) const {
        return (m_base.tables->power(m.levelCenti) * shares[m.macro]) >> 16;
    }

    MacroView viewOf(std::size_t i, std::size_t layer) const {
        const LayerLevels& l = m_view.levels->layers[layer];
        MacroView v;
        v.sinrCenti = l.sinr[i];
        v.rest = interferenceOf(l, i, m_view.shares, *m_base.tables);
        const double own = bitsAt(rosterOf(l.strongest[0][i]), i);
        for (std::size_t k = 0; k < l.strongest.size() && l.strongest[k][i] != 0; ++k) {
            if (levelOf(l.strongest[0][i]) - levelOf(l.strongest[k][i]) > kNeverServesCenti) break;
            MacroAt& m = v.at[v.count++];
            m.macro = rosterOf(l.strongest[k][i]);
            m.levelCenti = static_cast<std::int16_t>(levelOf(l.strongest[k][i]));
            m.demand = own > 0 ? static_cast<float>(bitsAt(m.macro, i) / own) : 0;
            if (k > 0) v.rest -= sent(m, m_view.shares);
            const CellRuntime& cell = m_base.runtime[m.macro];
            const auto to = directionTo(m_base.antennas[static_cast<std::size_t>(cell.antenna)]->antenna,
                                        *m_view.receivers, i);
            if (!to) continue; // right under the mast all ways are one
            m.off = static_cast<std::int16_t>(((to->azimuth - cell.azimuth) % 3600 + 3600) % 3600);
            m.elevation = static_cast<std::int16_t>(to->elevation);
            m.patternCenti = static_cast<std::int16_t>(cell.pattern->lossWrapped(m.off, m.elevation));
        }
        return v;
    }

    // What a unit of demand at a receiver costs, as the cell's use is spread; 0 without a measured use.
    double bitsAt(std::uint16_t macro, std::size_t i) const {
        if (m_base.runtime[macro].movable <= 0) return 0;
        const CellScales& s = m_base.scales[macro];
        const std::size_t ring = s.rings.count > 0 ? ringOf(s.rings, m_receivers.placeOf(i)) : 0;
        return i < kTileArea ? s.byRing[ring].outdoor : s.byRing[ring].indoor;
    }

    SpotRival rivalOf(const Candidate& c, std::size_t i, const ReceiverLoad& load, std::int64_t relief,
                      std::int64_t carried) const {
        const ModelTables& t = *m_base.tables;
        const SmallSource& source = m_view.sources[c.small];
        SpotRival r;
        r.small = c.small;
        r.marginCenti = c.margin;
        r.levelCenti = c.level;
        r.co = source.layer >= 0;
        r.share = source.share;
        if (!r.co) r.have = static_cast<double>(t.ownCarrierShare()) / kChanceOne;
        r.median = (t.power(c.level) * source.share) >> 16;
        r.others =
            (r.co ? load.heard : t.noise() + m_power[static_cast<std::size_t>(source.channel)]) - r.median;
        r.relief = static_cast<double>(relief) / kPrbUnit;
        r.carried = static_cast<double>(carried) / kPrbUnit;
        towardsSmall(source, i, r);
        return r;
    }

    void towardsSmall(const SmallSource& s, std::size_t i, SpotRival& r) const {
        const SmallPath& p = *s.path;
        int azimuth = 0;
        if (i < kTileArea) {
            const int dx = m_receivers.key.x * kTilePixels + static_cast<int>(i % kTilePixels) - p.pixelX,
                      dy = m_receivers.key.y * kTilePixels + static_cast<int>(i / kTilePixels) - p.pixelY;
            azimuth = smallAzimuthRow(p.parity, dy)[dx + kSmallReach];
            r.elevation = p.elevation[p.index(dx, dy)];
        } else {
            const auto tile = std::find_if(p.indoor.begin(), p.indoor.end(),
                                           [&](const auto& each) { return each.key == m_receivers.key; });
            if (tile == p.indoor.end()) return;
            const auto in =
                std::lower_bound(tile->list.begin(), tile->list.end(), i,
                                 [](const auto& each, std::size_t n) { return each.receiver < n; });
            if (in == tile->list.end() || in->receiver != i) return;
            azimuth = in->azimuth;
            r.elevation = in->elevation;
        }
        r.off = static_cast<std::int16_t>(((azimuth - s.azimuth) % 3600 + 3600) % 3600);
        r.patternCenti = static_cast<std::int16_t>(s.pattern->lossWrapped(r.off, r.elevation));
    }

    const StudyCore& m_core;
    const Baseline& m_base;
    const TileReceivers& m_receivers;
    TileView m_view;
    TileSmalls m_smalls;
    std::vector<std::int64_t> m_power;
    TileSpots m_out;
};

// Gives places, squares and pairs their numbers.
class Numbering {
public:
    explicit Numbering(const StudyCore& core) : m_core(core) { m_fields.push_back({0, false, {}}); }

    /// A place that is drawn.
    void keep(const RawSpot& raw, ChanceSpots& out) {
        Spot s = raw.spot;
        s.square = square(squareOf(raw.at), out);
        s.common = place(0, raw.at);
        // Shadowing goes with the listed site, whoever serves: as good a draw as any other.
        FieldsOf of{field(m_core.base->cells[s.view.at[0].macro].site, false), {}};
        s.site = place(of.site, raw.at);
        for (std::size_t k = 0; k < s.rivals; ++k) {
            SpotRival& r = s.rival[k];
            of.mount[k] = field(m_core.smalls[r.small].mount, true);
            r.shadow = place(of.mount[k], raw.at);
            number(r, s.view, out);
        }
        sum(s, m_kept);
        out.spots.push_back(s);
        m_of.push_back(of);
    }
    /// One that stays as the ledger has it.
    void leave(const RawSpot& raw, ChanceSpots& out) {
        Spot s = raw.spot;
        s.square = square(squareOf(raw.at), out);
        for (std::size_t k = 0; k < s.rivals; ++k) number(s.rival[k], s.view, out);
        sum(s, m_left);
    }
    void leave(const SquareCost& cost, std::uint64_t at, ChanceSpots& out) {
        add(cost, square(at, out), m_left);
    }

    // Puts the fields' places into one list and points the spots at it.
    void close(ChanceSpots& out) {
        list(m_kept, out.costAtSpots, out.reliefAtSpots, out);
        list(m_left, out.costElsewhere, out.reliefElsewhere, out);
        std::vector<std::int32_t> from;
        for (const Field& f : m_fields) {
            from.push_back(static_cast<std::int32_t>(out.east.size()));
            Box over;
            for (const PlanePoint& p : f.places) over.add(p);
            for (const PlanePoint& p : f.places) {
                out.east.push_back(static_cast<float>(p.x - over.x0));
                out.north.push_back(static_cast<float>(p.y - over.y0));
            }
            out.fields.push_back(
                {f.who, f.small, static_cast<std::size_t>(from.back()), out.east.size(), over});
        }
        for (std::size_t i = 0; i < out.spots.size(); ++i) {
            Spot& s = out.spots[i];
            s.site += from[m_of[i].site];
            for (std::size_t k = 0; k < s.rivals; ++k) s.rival[k].shadow += from[m_of[i].mount[k]];
        }
    }

private:
    struct Field {
        std::uint64_t who;
        bool small;
        std::vector<PlanePoint> places;
    };
    struct FieldsOf {
        std::size_t site = 0;
        std::array<std::size_t, 2> mount{};
    };
    using ByPlace = std::pair<std::int32_t, std::uint32_t>; // square; macro or pair
    struct Sums {
        std::map<ByPlace, SquareCost> cost;
        std::map<ByPlace, SquareRelief> relief;
    };

    void list(const Sums& sums, std::vector<SquareCost>& costs, std::vector<SquareRelief>& reliefs,
              ChanceSpots& out) {
        std::map<ByPlace, std::uint32_t> where;
        for (const auto& [at, c] : sums.cost) {
            where[at] = static_cast<std::uint32_t>(costs.size());
            costs.push_back(c);
        }
        for (const auto& [at, r] : sums.relief) {
            SquareRelief one = r;
            const std::uint32_t key = out.pairs[at.second];
            one.cost = where.at({at.first, key & 0xffff});
            const MacroView& v = costs[one.cost].view;
            for (std::size_t k = 0; k < v.count; ++k)
                one.pair[k] = pair(static_cast<std::uint16_t>(key >> 16), v.at[k].macro, out);
            reliefs.push_back(one);
        }
    }

    static void add(const SquareCost& c, std::int32_t square, Sums& sums) {
        SquareCost& s = sums.cost[{square, c.view.at[0].macro}];
        s.square = square;
        s.cost += c.cost;
        s.harm += c.harm;
        if (c.dearest > s.dearest) {
            s.dearest = c.dearest;
            s.view = c.view;
        }
    }
    static void sum(const Spot& s, Sums& sums) {
        add({s.square, s.cost, s.harm, s.view, s.cost}, s.square, sums);
        for (std::size_t k = 0; k < s.rivals; ++k) {
            const SpotRival& r = s.rival[k];
            SquareRelief& sum = sums.relief[{s.square, r.pair[0]}];
            sum.square = s.square;
            sum.relief += r.relief;
            sum.carried += r.carried;
        }
    }
    void number(SpotRival& r, const MacroView& v, ChanceSpots& out) {
        for (std::size_t k = 0; k < v.count; ++k) r.pair[k] = pair(r.small, v.at[k].macro, out);
    }
    std::uint32_t pair(std::uint16_t small, std::uint16_t macro, ChanceSpots& out) {
        const std::uint32_t key = TileSums::keyOf(small, macro);
        const auto [it, added] = m_pairs.try_emplace(key, static_cast<std::uint32_t>(out.pairs.size()));
        if (added) out.pairs.push_back(key);
        return it->second;
    }

    std::size_t field(ItemId who, bool small) {
        const auto [it, added] = m_byId.try_emplace(who, m_fields.size());
        if (added) m_fields.push_back({who.v, small, {}});
        return it->second;
    }
    // Layers and storeys of one place follow one another.
    std::int32_t place(std::size_t field, PlanePoint at) {
        auto& list = m_fields[field].places;
        if (list.empty() || !(list.back() == at)) list.push_back(at);
        return static_cast<std::int32_t>(list.size() - 1);
    }
    std::int32_t square(std::uint64_t at, ChanceSpots& out) {
        const auto [it, added] = m_squares.try_emplace(at, static_cast<std::int32_t>(out.squares.size()));
        if (added) out.squares.push_back(at);
        return it->second;
    }

    const StudyCore& m_core;
    std::vector<Field> m_fields;
    std::map<ItemId, std::size_t> m_byId;
    std::map<std::uint64_t, std::int32_t> m_squares;
    std::map<std::uint32_t, std::uint32_t> m_pairs;
    std::vector<FieldsOf> m_of;
    Sums m_kept, m_left;
};

double reliefAt(const Spot& s) { return s.rival[0].relief + s.rival[1].relief; }

// Which of all spots are drawn: of each macro cell those that relieve it most, up to the share wanted.
std::vector<bool> dearest(const std::vector<TileSpots>& tiles, const std::vector<MacroCell>& macros) {
    std::vector<std::vector<std::pair<double, std::size_t>>> by(macros.size());
    std::size_t count = 0;
    for (const TileSpots& t : tiles)
        for (const RawSpot& s : t.spots) by[s.spot.view.at[0].macro].emplace_back(-reliefAt(s.spot), count++);
    std::vector<bool> keep(count, false);
    for (std::size_t c = 0; c < by.size(); ++c) {
        auto& list = by[c];
        const double share = macros[c].congested ? kRelievedShare : kRelievedShareOther;
        double all = 0, so = 0;
        for (const auto& [relief, at] : list) all -= relief;
        std::sort(list.begin(), list.end());
        std::size_t kept = 0;
        for (const auto& [relief, at] : list) {
            if (so >= share * all && kept >= kLeastSpots) break;
            keep[at] = true;
            so -= relief;
            ++kept;
        }
    }
    return keep;
}

} // namespace

ChanceSpots spotsOf(const StudyCore& core, const Ledger& ledger, const Job& job, unsigned threads) {
    Held held = heldAt(core, ledger);
    std::vector<TileSpots> tiles(core.base->tiles.size());
    parallelFor(tiles.size(), threads, [&](std::size_t i) {
        if (!job.stopped()) tiles[i] = TileReader(core, held, i).read();
    });
    ChanceSpots out;
    out.total.assign(core.base->cells.size(), 0);
    Numbering numbers(core);
    const std::vector<bool> drawn = dearest(tiles, core.base->cells);
    std::size_t at = 0;
    for (const TileSpots& t : tiles) {
        for (const RawSpot& s : t.spots) {
            if (drawn[at++])
                numbers.keep(s, out);
            else
                numbers.leave(s, out);
            out.total[s.spot.view.at[0].macro] += s.spot.cost;
        }
        for (const auto& [place, cost] : t.elsewhere) {
            numbers.leave(cost, place.first, out);
            out.total[cost.view.at[0].macro] += cost.cost;
        }
    }
    numbers.close(out);
    out.sources = std::move(held.sources);
    out.shares = core.base->shares;
    out.sharesNow = held.sharesNow.empty() ? out.shares : std::move(held.sharesNow);
    return out;
}

} // namespace fw
