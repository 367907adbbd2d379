// SPDX-License-Identifier: GPL-3.0-or-later
#include "load_twin.h"

#include "base/random.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace fw::testing {
namespace {

constexpr double kNobody = -1e9;

// Rate of a resource element over all others: full while busy, the idle floor otherwise.
double sends(double use, double floor) { return floor + (1 - floor) * std::clamp(use, 0.0, 1.0); }

double macroLevel(const Baseline& b, std::size_t cell, std::size_t tile, std::size_t i) {
    const CellRuntime& r = b.runtime[cell];
    const AntennaPart& a = *b.antennas[static_cast<std::size_t>(r.antenna)];
    if (a.slices[tile].empty()) return kNobody;
    const auto f = static_cast<std::size_t>(std::find(a.layers.begin(), a.layers.end(), b.cells[cell].layer) -
                                            a.layers.begin());
    const PathSlice& s = *a.slices[tile][f];
    if (s.loss[i] == kNoPath) return kNobody;
    int azimuth = 0;
    if (i < kTileArea) {
        const int dx = static_cast<int>(i % kTilePixels) - s.pixelX,
                  dy = static_cast<int>(i / kTilePixels) - s.pixelY;
        // Compass bearing from the mast's pixel; the study keeps tenths of a degree.
        azimuth = static_cast<int>(std::lround(std::atan2(dx, dy) * 1800 / M_PI));
    } else {
        azimuth = s.indoor->azimuth[i - kTileArea];
    }
    const int elevation = elevationOf(s, *b.tiles[tile].receivers, i);
    return (r.baseCenti - s.loss[i] - r.pattern->lossCenti(azimuth - r.azimuth, elevation)) / 100.0;
}

void addServing(const StudyCore& core, std::vector<TwinReceiver>& out) {
    const Baseline& b = *core.base;
    const ModelSettings& m = core.plan.settings->model;
    // Noise of a device in 15 kHz: -174 dBm/Hz and its noise figure (TR 36.942, table C.1).
    const double noise = milliwatts(-174 + 10 * std::log10(15000.0) + m.noiseFigureDb);
    for (std::size_t t = 0; t < b.tiles.size(); ++t) {
        const TileReceivers& r = *b.tiles[t].receivers;
        for (std::size_t i = 0; i < r.size(); ++i) {
            if (r.weightOf(i) <= 0) continue;
            for (int layer = 0; layer < static_cast<int>(b.layers.size()); ++layer) {
                TwinReceiver x;
                x.tile = t;
                x.index = i;
                x.layer = layer;
                x.macro = -1;
                double best = kNobody, all = 0;
                for (std::size_t c = 0; c < b.cells.size(); ++c) {
                    if (b.cells[c].layer != layer) continue;
                    const double level = macroLevel(b, c, t, i);
                    if (level <= kNobody) continue;
                    const Cell& cell = *core.plan.cells.find(b.cells[c].id);
                    const double mw =
                        milliwatts(level) * sends(b.cells[c].use.value_or(0.5),
                                                  idleFloorOf(m, cell.carrier.technology, cell.ports));
                    all += mw;
                    if (level > best) {
                        best = level;
                        x.macro = static_cast<int>(c);
                        x.servingMw = mw;
                    }
                }
                if (x.macro < 0 || best < m.servedFromDbm) continue;
                x.indoor = i >= kTileArea;
                x.inArea = r.inAreaOf(i);
                x.weight = r.weightOf(i) / 256.0;
                x.macroDbm = best;
                x.othersMw = all - x.servingMw + noise;
                out.push_back(std::move(x));
            }
        }
    }
}

// Levels of one small cell by tile and receiver.
std::map<std::pair<std::size_t, std::size_t>, double> smallLevels(const StudyCore& core, std::size_t n) {
    std::map<std::pair<std::size_t, std::size_t>, double> out;
    const Baseline& b = *core.base;
    const SmallRuntime& r = core.smallRuntime[n];
    const SmallPath& p = *r.path;
    const int boresight = static_cast<int>(std::lround(core.smalls[n].azimuth.deg * 10));
    for (std::size_t t = 0; t < b.tiles.size(); ++t) {
        const TileKey key = b.tiles[t].receivers->key;
        for (int dy = -p.radius; dy <= p.radius; ++dy)
            for (int dx = -p.radius; dx <= p.radius; ++dx) {
                const int x = p.pixelX + dx - key.x * kTilePixels, y = p.pixelY + dy - key.y * kTilePixels;
                if (x < 0 || y < 0 || x >= kTilePixels || y >= kTilePixels) continue;
                const std::size_t at = p.index(dx, dy);
                if (p.loss[at] == kNoPath) continue;
                const double east = (p.pixelX + dx + 0.5) * kPixelM - p.centre.x,
                             north = (p.pixelY + dy + 0.5) * kPixelM - p.centre.y;
                const int azimuth = static_cast<int>(std::lround(std::atan2(east, north) * 1800 / M_PI));
                out[{t, static_cast<std::size_t>(y * kTilePixels + x)}] =
                    (r.baseCenti - p.loss[at] - r.pattern->lossCenti(azimuth - boresight, p.elevation[at])) /
                    100.0;
            }
        for (const SmallPath::TileIndoor& ti : p.indoor)
            if (ti.key == key)
                for (const SmallPath::Indoor& in : ti.list)
                    out[{t, in.receiver}] =
                        (r.baseCenti - in.loss - r.pattern->lossCenti(in.azimuth - boresight, in.elevation)) /
                        100.0;
    }
    return out;
}

void addSmalls(const StudyCore& core, std::vector<TwinReceiver>& list) {
    for (std::size_t n = 0; n < core.smalls.size(); ++n) {
        if (!core.smalls[n].chosen) continue;
        const auto levels = smallLevels(core, n);
        for (TwinReceiver& x : list)
            if (const auto it = levels.find({x.tile, x.index}); it != levels.end())
                x.smalls.push_back({static_cast<int>(n), it->second});
    }
}

// Ring of a place by what light travels there and back in 16 basic time units of LTE, or as many of 2^-mu of
// NR (TS 36.213, 4.2.3; TS 38.213, 4.2): 0.5208 us at 15 kHz.
std::size_t twinRing(const StudyCore& core, const TwinReceiver& x) {
    const Cell& cell = *core.plan.cells.find(core.base->cells[static_cast<std::size_t>(x.macro)].id);
    const double kHz = cell.carrier.technology == Technology::nr ? cell.carrier.scsKHz : 15;
    const double stepM = 299792458 * 0.52083333333333333e-6 / 2 * 15 / kHz;
    const PlanePoint at = core.plan.macroSites.find(core.plan.sectors.find(cell.sector)->site)->at;
    const double away = planeDistance(core.base->tiles[x.tile].receivers->placeOf(x.index), at);
    return std::min(static_cast<std::size_t>(away / stepM), cell.load.timingAdvance.size() - 1);
}

// One cell's bits to its histogram, receiver by receiver: sides, then rings, and so on. A ring may hold an
// eighth to eightfold of what it held without.
void rake(const StudyCore& core, std::vector<TwinReceiver*>& users, const std::vector<double>& samples,
          double indoorShare) {
    std::vector<std::size_t> ring;
    std::vector<double> want(samples.size(), 0), was(samples.size(), 0);
    std::array<double, 2> sides{0, 0};
    for (const TwinReceiver* x : users) {
        ring.push_back(twinRing(core, *x));
        was[ring.back()] += x->bits;
        sides[x->indoor] += x->bits;
    }
    double reached = 0, sum = 0;
    for (std::size_t k = 0; k < want.size(); ++k) reached += was[k] > 0 ? samples[k] : 0;
    if (reached <= 0) return;
    for (std::size_t k = 0; k < want.size(); ++k)
        if (was[k] > 0) sum += want[k] = std::min(std::max(samples[k] / reached, was[k] / 8), was[k] * 8);
    const bool both = sides[0] > 0 && sides[1] > 0;
    for (int round = 0; round < 40; ++round) {
        std::array<double, 2> side{0, 0};
        for (const TwinReceiver* x : users) side[x->indoor] += x->bits;
        for (TwinReceiver* x : users)
            x->bits *= (!both ? 1 : x->indoor ? indoorShare : 1 - indoorShare) / side[x->indoor];
        std::vector<double> now(want.size(), 0);
        for (std::size_t k = 0; k < users.size(); ++k) now[ring[k]] += users[k]->bits;
        for (std::size_t k = 0; k < users.size(); ++k) users[k]->bits *= want[ring[k]] / sum / now[ring[k]];
    }
}

// Cells whose histogram says where their users are.
void rakeAll(const StudyCore& core, std::vector<TwinReceiver>& list) {
    for (std::size_t c = 0; c < core.base->cells.size(); ++c) {
        const std::vector<double>& samples = core.plan.cells.find(core.base->cells[c].id)->load.timingAdvance;
        double all = 0;
        for (const double n : samples) all += n;
        if (samples.size() < 2 || all < 100 || !core.base->cells[c].use) continue;
        std::vector<TwinReceiver*> users;
        for (TwinReceiver& x : list)
            if (x.macro == static_cast<int>(c)) users.push_back(&x);
        rake(core, users, samples, core.plan.settings->model.indoorShare);
    }
}

// A cell's bits: eight tenths indoors, the rest outdoors, each by weight and by efficiency to the power b.
void addBits(const StudyCore& core, std::vector<TwinReceiver>& list) {
    const ModelSettings& m = core.plan.settings->model;
    std::vector<std::array<double, 2>> sums(core.base->cells.size(), {0, 0});
    for (TwinReceiver& x : list) {
        x.bits = x.weight * std::pow(bitsPerElement(milliwatts(x.macroDbm) / x.othersMw), m.edgeExponent);
        sums[static_cast<std::size_t>(x.macro)][x.indoor] += x.bits;
    }
    for (TwinReceiver& x : list) {
        const auto& s = sums[static_cast<std::size_t>(x.macro)];
        const double share = s[0] <= 0 || s[1] <= 0 ? 1 : x.indoor ? m.indoorShare : 1 - m.indoorShare;
        x.bits *= share / s[x.indoor];
    }
    rakeAll(core, list);
}

// Normal numbers by Box and Muller, made once and read from random places.
class Normals {
public:
    explicit Normals(std::uint64_t seed) : m_random(seed), m_pool(1 << 20) {
        for (std::size_t k = 0; k < m_pool.size(); k += 2) {
            const double u = 1 - m_random.unit(), v = m_random.unit();
            const double r = std::sqrt(-2 * std::log(u));
            m_pool[k] = r * std::cos(2 * M_PI * v);
            m_pool[k + 1] = r * std::sin(2 * M_PI * v);
        }
    }
    void jump() { m_at = m_random.below(static_cast<std::uint32_t>(m_pool.size())); }
    double next() {
        m_at = m_at + 1 < m_pool.size() ? m_at + 1 : 0;
        return m_pool[m_at];
    }
    bool chance(double p) { return m_random.chance(p); }

private:
    Random m_random;
    std::vector<double> m_pool;
    std::size_t m_at = 0;
};

class Drawer {
public:
    Drawer(const StudyCore& core, int draws, std::uint64_t seed)
        : m_core(core), m_model(core.plan.settings->model), m_draws(draws), m_normals(seed) {
        m_out.spread.assign(core.base->cells.size(), 0);
        m_out.use.assign(core.smalls.size(), 0);
        m_noise = milliwatts(-174 + 10 * std::log10(15000.0) + m_model.noiseFigureDb);
        for (const SmallCellPart& s : core.smalls) {
            const Radio& radio = *core.plan.radios.find(s.radio);
            m_smallSends.push_back(
                sends(m_model.smallUsePlanned, idleFloorOf(m_model, s.carrier.technology, radio.ports)));
        }
    }

    TwinTotals run(const std::vector<TwinReceiver>& list) {
        for (const TwinReceiver& x : list) {
            m_normals.jump();
            std::vector<TwinSmall> near;
            for (const TwinSmall& s : x.smalls) // those that nobody within six sigma ever hears stay out
                if (s.dbm > x.macroDbm - 45 || m_core.smalls[static_cast<std::size_t>(s.small)].layer < 0)
                    near.push_back(s);
            // Few indoor receivers carry most of the bits.
            const int n = (x.indoor ? 8 : 1) * (near.empty() ? std::max(8, m_draws / 4) : m_draws);
            for (int d = 0; d < n; ++d) user(x, near, x.bits / n);
        }
        finish();
        return std::move(m_out);
    }

private:
    void user(const TwinReceiver& x, const std::vector<TwinSmall>& near, double bits) {
        const double rho = m_model.shadowCorrelation, common = std::sqrt(rho) * m_normals.next();
        const double own = std::sqrt(1 - rho);
        const double macroDbm = x.macroDbm + m_model.macroSigmaDb * (common + own * m_normals.next());
        const double macroMw = milliwatts(macroDbm);
        const double before = bits / bitsPerElement(macroMw / x.othersMw);
        m_out.spread[static_cast<std::size_t>(x.macro)] += before;
        const bool band = m_normals.chance(m_model.ownCarrierShare);
        int winner = -1;
        double winnerMargin = 0, winnerDbm = 0, layerMw = 0;
        m_dbm.clear();
        for (const TwinSmall& s : near) {
            const SmallCellPart& part = m_core.smalls[static_cast<std::size_t>(s.small)];
            const double dbm = s.dbm + m_model.smallSigmaDb * (common + own * m_normals.next());
            m_dbm.push_back(dbm);
            if (part.layer == x.layer)
                layerMw += milliwatts(dbm) * m_smallSends[static_cast<std::size_t>(s.small)];
            if (part.layer >= 0 ? part.layer != x.layer : !band) continue;
            const double margin =
                dbm + part.biasDb - (part.layer >= 0 ? macroDbm : m_model.ownCarrierFromDbm);
            if (margin > winnerMargin) {
                winner = s.small;
                winnerMargin = margin;
                winnerDbm = dbm;
            }
        }
        if (winner < 0) {
            m_out.harm[x.macro] += bits / bitsPerElement(macroMw / (x.othersMw + layerMw)) - before;
            return;
        }
        const SmallCellPart& part = m_core.smalls[static_cast<std::size_t>(winner)];
        double heard = m_noise;
        if (part.layer >= 0) heard = x.othersMw + macroMw * x.servingMw / milliwatts(x.macroDbm);
        for (std::size_t k = 0; k < near.size(); ++k) {
            const SmallCellPart& other = m_core.smalls[static_cast<std::size_t>(near[k].small)];
            if (near[k].small != winner && other.carrier.technology == part.carrier.technology &&
                other.carrier.channel == part.carrier.channel)
                heard += milliwatts(m_dbm[k]) * m_smallSends[static_cast<std::size_t>(near[k].small)];
        }
        TwinPair& p = m_out.pairs[{winner, x.macro}];
        p.relief += before;
        p.carried += bits / bitsPerElement(milliwatts(winnerDbm) / heard);
    }

    // From shares of a cell's bits to PRB: what all users cost together is what was measured.
    void finish() {
        const Baseline& b = *m_core.base;
        std::vector<double> scale(b.cells.size(), 0);
        for (std::size_t c = 0; c < scale.size(); ++c) {
            const double use = b.cells[c].use.value_or(0);
            const double movable = (use - std::min(use, m_model.fixedUse)) * b.cells[c].resourceBlocks;
            if (m_out.spread[c] > 0) scale[c] = movable / m_out.spread[c];
            m_out.spread[c] *= scale[c];
        }
        for (auto& [macro, h] : m_out.harm) h *= scale[static_cast<std::size_t>(macro)];
        for (auto& [key, p] : m_out.pairs) {
            p.relief *= scale[static_cast<std::size_t>(key.second)];
            p.carried *= scale[static_cast<std::size_t>(key.second)];
            const SmallCellPart& s = m_core.smalls[static_cast<std::size_t>(key.first)];
            const MacroCell& m = b.cells[static_cast<std::size_t>(key.second)];
            // All carriers of these towns have blocks of 180 kHz; a carrier that shares its time needs more.
            p.carried *= m.downlinkShare / s.carrier.downlinkShare;
            m_out.use[static_cast<std::size_t>(key.first)] += p.carried / s.resourceBlocks;
        }
    }

    const StudyCore& m_core;
    const ModelSettings& m_model;
    int m_draws;
    Normals m_normals;
    TwinTotals m_out;
    double m_noise = 0;
    std::vector<double> m_smallSends, m_dbm;
};

} // namespace

double milliwatts(double dbm) { return std::exp(dbm * 0.230258509299404568); }

double bitsPerElement(double sinr) {
    const double carried = sinr < 0.1 ? 0 : std::min(4.4, 0.6 * std::log2(1 + sinr));
    return std::max(0.15, carried);
}

std::vector<TwinReceiver> twinReceivers(const StudyCore& core) {
    std::vector<TwinReceiver> out;
    addServing(core, out);
    addSmalls(core, out);
    addBits(core, out);
    return out;
}

TwinTotals drawUsers(const StudyCore& core, const std::vector<TwinReceiver>& receivers, int draws,
                     std::uint64_t seed) {
    return Drawer(core, draws, seed).run(receivers);
}

} // namespace fw::testing
