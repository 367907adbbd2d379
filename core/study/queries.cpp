// SPDX-License-Identifier: GPL-3.0-or-later
// What a review, a sheet or a map asks of a study. Everything is a pure function of parts that the study
// holds.
#include "base/log_exp.h"
#include "fringe/path_kernel.h"
#include "study/state.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <set>

namespace fw {
double costPoints(const Baseline& b, const TilePart& t, std::size_t i, int layer) {
    double points = 0;
    for (std::size_t k = 0; k < t.cost->layers.size(); ++k) {
        if (t.cost->layers[k].empty() || (layer >= 0 && layer != static_cast<int>(k))) continue;
        const std::int64_t c = t.cost->layers[k][i];
        if (c > 0)
            points += static_cast<double>(c) / kPrbUnit * 100 /
                      b.cells[rosterOf(t.levels->layers[k].strongest[0][i])].resourceBlocks;
    }
    return points;
}

namespace {

// Calls f(tile index, receiver number, level, azimuth, elevation, clear) for everything in a small cell's
// reach.
template <class F>
void forEachReceiver(const StudyCore& core, const SmallSource& s, F&& f) {
    const SmallPath& p = *s.path;
    for (std::size_t ti = 0; ti < core.base->tiles.size(); ++ti) {
        const TileReceivers& r = *core.base->tiles[ti].receivers;
        const int tx = r.key.x * kTilePixels, ty = r.key.y * kTilePixels;
        const int c0 = std::max(tx, p.pixelX - p.radius),
                  c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
        const int r0 = std::max(ty, p.pixelY - p.radius),
                  r1 = std::min(ty + kTilePixels - 1, p.pixelY + p.radius);
        for (int y = r0; y <= r1; ++y) {
            const std::int16_t* az = smallAzimuthRow(p.parity, y - p.pixelY) + kSmallReach;
            for (int x = c0; x <= c1; ++x) {
                const int dx = x - p.pixelX;
                const int level = smallLevel(s, dx, y - p.pixelY);
                if (level == kNoLevel) continue;
                const std::size_t i = p.index(dx, y - p.pixelY);
                f(ti, static_cast<std::size_t>((y - ty) * kTilePixels + x - tx), level, int{az[dx]},
                  int{p.elevation[i]}, p.clear[i] != 0);
            }
        }
        for (const SmallPath::TileIndoor& t : p.indoor)
            if (t.key == r.key)
                for (const SmallPath::Indoor& in : t.list)
                    f(ti, std::size_t{in.receiver}, smallLevelIndoor(s, in), int{in.azimuth},
                      int{in.elevation}, in.clear != 0);
    }
}

int offBoresight(int azimuth, int boresight) { // 0.1 deg, 0..1800
    int d = std::abs(azimuth - boresight) % 3600;
    return d > 1800 ? 3600 - d : d;
}

// Of the ground inside the beam and reach, the share under buildings.
double builtShareIn(const Baseline& b, const SmallPath& p, int azimuth, int halfBeam) {
    std::int64_t open = 0, all = 0;
    for (int dy = -p.radius; dy <= p.radius; ++dy)
        for (int dx = -p.radius; dx <= p.radius; ++dx) {
            if (dx * dx + dy * dy > p.radius * p.radius) continue;
            if (offBoresight(smallAzimuthRow(p.parity, dy)[dx + kSmallReach], azimuth) > halfBeam) continue;
            const PixelPlace at =
                pixelOf(b, {(p.pixelX + dx + 0.5) * kPixelM, (p.pixelY + dy + 0.5) * kPixelM});
            if (at.tile < 0) continue;
            open += std::popcount(b.tiles[static_cast<std::size_t>(at.tile)].receivers->openCells[at.pixel]);
            all += 4;
        }
    return all ? 1 - static_cast<double>(open) / static_cast<double>(all) : 0;
}

// A building of which any facade is in sight is overlooked with all its floors and users.
Outlook makeOutlook(const StudyCore& core, std::size_t n) {
    const SmallCellPart& part = core.smalls[n];
    const SmallSource s = core.source(n);
    const Baseline& b = *core.base;
    const int halfH = tenths(part.hBeamDeg / 2), upper = tenths(part.vBeamDeg / 2 - part.tiltDeg);
    Outlook out;
    std::set<std::pair<std::size_t, ItemId>> seen;
    forEachReceiver(core, s, [&](std::size_t ti, std::size_t i, int, int az, int, bool clear) {
        if (!clear || offBoresight(az, s.azimuth) > halfH) return;
        const TilePart& t = b.tiles[ti];
        if (i < kTileArea) {
            out.costPoints += costPoints(b, t, i, s.layer);
            return;
        }
        seen.insert({ti, t.receivers->indoor[i - kTileArea].building});
    });
    for (const auto& [ti, building] : seen) {
        const TilePart& t = b.tiles[ti];
        const auto& indoor = t.receivers->indoor; // ascending by building
        auto it = std::lower_bound(indoor.begin(), indoor.end(), building,
                                   [](const IndoorReceiver& r, ItemId id) { return r.building < id; });
        for (; it != indoor.end() && it->building == building; ++it) {
            const double floor = it->weight / 256.0;
            const double rise = it->groundAmsl + it->aboveGroundM - s.path->antennaAmsl;
            out.floorM2 += floor;
            if (tenths(atan2DegFixed(rise, planeDistance(it->at, s.path->centre))) > upper)
                out.floorMissedM2 += floor;
            out.costPoints +=
                costPoints(b, t, kTileArea + static_cast<std::size_t>(it - indoor.begin()), s.layer);
        }
    }
    out.builtShare = builtShareIn(b, *s.path, s.azimuth, halfH);
    return out;
}

// Chance that a small cell captures at a receiver, were nobody else there.
double soloChance(const SmallSource& s, int level, const ModelTables& t) {
    const double p = t.ownCarrier(level - t.ownCarrierFromCenti()).p / double{kChanceOne};
    return s.layer < 0 ? p * t.ownCarrierShare() / double{kChanceOne} : p;
}

// What it would take if macros and other small cells sent nothing on its carrier (2^-32 PRB).
double potentialOf(const StudyCore& core, std::size_t n) {
    const SmallSource s = core.source(n);
    double sum = 0;
    forEachReceiver(core, s, [&](std::size_t ti, std::size_t i, int level, int, int, bool) {
        const TilePart& t = core.base->tiles[ti];
        double cost = 0;
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k)
            if (!t.cost->layers[k].empty() && (s.layer < 0 || s.layer == static_cast<int>(k)))
                cost += static_cast<double>(t.cost->layers[k][i]);
        if (cost > 0) sum += cost * soloChance(s, level, *core.base->tables);
    });
    return sum;
}

double contestedOf(const StudyCore& core, std::size_t n, std::size_t other) {
    const SmallSource a = core.source(n), b = core.source(other);
    double all = 0, contested = 0;
    // Levels of the other cell at indoor receivers, by tile, to be looked up while walking the first one's.
    forEachReceiver(core, a, [&](std::size_t ti, std::size_t i, int level, int, int, bool) {
        const TilePart& t = core.base->tiles[ti];
        const PlanePoint at = t.receivers->placeOf(i);
        int theirs = kNoLevel;
        if (i < kTileArea) {
            theirs = smallLevel(b, static_cast<int>(std::floor(at.x / kPixelM)) - b.path->pixelX,
                                static_cast<int>(std::floor(at.y / kPixelM)) - b.path->pixelY);
        } else {
            for (const SmallPath::TileIndoor& ti2 : b.path->indoor) {
                if (ti2.key != t.receivers->key) continue;
                const auto it = std::lower_bound(
                    ti2.list.begin(), ti2.list.end(), i,
                    [](const SmallPath::Indoor& x, std::size_t v) { return x.receiver < v; });
                if (it != ti2.list.end() && it->receiver == i) theirs = smallLevelIndoor(b, *it);
            }
        }
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k) {
            if (t.cost->layers[k].empty()) continue;
            const LayerLevels& l = t.levels->layers[k];
            if (l.sinr[i] == kNoLevel || t.cost->layers[k][i] <= 0) continue;
            const ModelTables& tables = *core.base->tables;
            const Candidate c =
                candidateFor(a, level, static_cast<int>(k), levelOf(l.strongest[0][i]), tables);
            if (!c.any()) continue;
            const std::int32_t p =
                a.layer >= 0 ? tables.coChannel(c.margin).p : tables.ownCarrier(c.margin).p;
            const double taken = static_cast<double>(t.cost->layers[k][i]) * p;
            all += taken;
            if (theirs != kNoLevel && std::abs(theirs - level) <= 600) contested += taken;
        }
    });
    return all > 0 ? contested / all : 0;
}

Digest keyOf(const StudyCore& core, std::size_t n) {
    return Digester{}.add(core.base->digest).add(core.smallRuntime[n].key).done();
}

struct End {
    PathEnd at;
    ItemId own;
};

PairSight geometryOf(const StudyCore& core, const End& a, const End& b, Hertz f) {
    Digester d;
    for (const End* e : {&a, &b}) d.add(e->at.at.x).add(e->at.at.y).add(e->at.amsl).add(e->own.v);
    const SmallPathModel chosen = core.plan.settings->model.smallPath;
    d.add(f.v).add(static_cast<unsigned>(chosen));
    Box under;
    under.add(a.at.at);
    under.add(b.at.at);
    addSurfaceKey(d, *core.base->surface, under.grown(4));
    return core.memos->sight.get(d.done(), [&] {
        const Profile p = profileBetween(*core.base->surface, a.at, b.at, f);
        PairSight s;
        s.distanceM = core.base->frame.groundDistance(a.at.at, b.at.at);
        s.azimuth = gridAzimuth(a.at.at, b.at.at);
        const double run = p.lengthM > 0.01 ? p.lengthM : 0.01;
        s.elevationDeg = atan2DegFixed(b.at.amsl - a.at.amsl, run);
        s.clear = p.clear;
        s.clearanceM = p.clearanceM;
        const LossModel model = smallCellModel(f, chosen);
        PathGeometry g{static_cast<float>(run), static_cast<float>(b.at.amsl - a.at.amsl)};
        if (p.worst) {
            s.cause = p.worst->cause;
            const double d1 = std::clamp(p.worst->alongM, 0.0, run);
            g.bend = edgeBend(g.distanceM, g.riseM,
                              static_cast<float>((p.worst->heightAmsl - a.at.amsl) / std::max(d1, 0.01)),
                              static_cast<float>(d1));
        }
        s.coupledDbm = -lossCenti(model, g) / 100.0;
        s.coupledDbm -= p.foliageDb;
        return s;
    });
}

ItemId ownerOf(const StudyCore& core, int prism) {
    return prism >= 0 ? core.base->surface->prisms()[static_cast<std::size_t>(prism)].id : ItemId{};
}

double gainTowards(const StudyCore& core, std::size_t n, GridAzimuth towards, double elevationDeg) {
    const SmallRuntime& r = core.smallRuntime[n];
    return (r.baseCenti + r.scsCenti -
            r.pattern->lossCenti(tenths(towards.deg) - tenths(core.smalls[n].azimuth.deg),
                                 tenths(elevationDeg))) /
           100.0;
}

} // namespace

std::optional<Study::Served> Study::macroAt(int layer, PlanePoint p) const {
    const Baseline& b = *m_core->base;
    const PixelPlace at = pixelOf(b, p);
    if (at.tile < 0) return {};
    const LayerLevels& l =
        b.tiles[static_cast<std::size_t>(at.tile)].levels->layers[static_cast<std::size_t>(layer)];
    if (l.empty() || !l.strongest[0][at.pixel]) return {};
    const ServingKey k = l.strongest[0][at.pixel];
    const std::uint16_t m = rosterOf(k);
    return Served{b.cells[m].id, (levelOf(k) + b.runtime[m].scsCenti) / 100.0};
}

std::optional<Study::Served> Study::macroAt(PlanePoint p) const {
    std::optional<Served> best;
    for (std::size_t k = 0; k < layers().size(); ++k)
        if (const auto s = macroAt(static_cast<int>(k), p); s && (!best || s->levelDbm > best->levelDbm))
            best = s;
    return best;
}

std::optional<double> Study::smallAt(ItemId small, PlanePoint p) const {
    const int n = m_core->smallIndex(small);
    if (n < 0) return {};
    const SmallSource s = m_core->source(static_cast<std::size_t>(n));
    const int level = smallLevel(s, static_cast<int>(std::floor(p.x / kPixelM)) - s.path->pixelX,
                                 static_cast<int>(std::floor(p.y / kPixelM)) - s.path->pixelY);
    if (level == kNoLevel) return {};
    return (level + m_core->smallRuntime[static_cast<std::size_t>(n)].scsCenti) / 100.0;
}

PairSight Study::sightToSector(ItemId small, ItemId sector) const {
    const int n = m_core->smallIndex(small);
    const Sector* s = plan().sectors.find(sector);
    const MacroSite* site = s ? plan().macroSites.find(s->site) : nullptr;
    if (n < 0 || !site) return {};
    const SmallCellPart& part = m_core->smalls[static_cast<std::size_t>(n)];
    const MountPart& m = *mount(part.mount);
    const End a{{m.at, m.antennaAmsl, m.ownPrism}, ownerOf(*m_core, m.ownPrism)};
    const int roof = surface().prismAt(site->at);
    const End b{{site->at, surface().groundAt(site->at) + s->height.m, roof}, ownerOf(*m_core, roof)};
    PairSight p = geometryOf(*m_core, a, b, part.frequency);
    p.coupledDbm += gainTowards(*m_core, static_cast<std::size_t>(n), p.azimuth, p.elevationDeg);
    for (const CellRuntime& r : m_core->base->runtime) { // gain of the sector towards the small cell
        const auto at = static_cast<std::size_t>(&r - m_core->base->runtime.data());
        if (m_core->base->cells[at].sector != sector) continue;
        p.coupledDbm +=
            (r.pattern->gainCenti - r.pattern->lossCenti(tenths(wrap360(p.azimuth.deg + 180)) - r.azimuth,
                                                         tenths(-p.elevationDeg))) /
            100.0;
        break;
    }
    return p;
}

PairSight Study::sightToSmall(ItemId small, ItemId other) const {
    const int n = m_core->smallIndex(small), o = m_core->smallIndex(other);
    if (n < 0 || o < 0) return {};
    const auto at = static_cast<std::size_t>(n), ot = static_cast<std::size_t>(o);
    const MountPart &ma = *mount(m_core->smalls[at].mount), &mb = *mount(m_core->smalls[ot].mount);
    const End a{{ma.at, ma.antennaAmsl, ma.ownPrism}, ownerOf(*m_core, ma.ownPrism)};
    const End b{{mb.at, mb.antennaAmsl, mb.ownPrism}, ownerOf(*m_core, mb.ownPrism)};
    PairSight p = geometryOf(*m_core, a, b, m_core->smalls[at].frequency);
    const SmallRuntime& r = m_core->smallRuntime[ot];
    p.coupledDbm +=
        gainTowards(*m_core, at, p.azimuth, p.elevationDeg) + r.pattern->gainCenti / 100.0 -
        r.pattern->lossCenti(tenths(wrap360(p.azimuth.deg + 180)) - tenths(m_core->smalls[ot].azimuth.deg),
                             tenths(-p.elevationDeg)) /
            100.0;
    return p;
}

namespace {

Outlook outlookOf(const StudyCore& core, std::size_t n) {
    return core.memos->outlook.get(keyOf(core, n), [&] { return makeOutlook(core, n); });
}

double keptPotential(const StudyCore& core, std::size_t n) {
    return core.memos->potential.get(keyOf(core, n), [&] { return potentialOf(core, n); });
}

} // namespace

void keepQueries(const StudyCore& core, std::size_t n) {
    if (!core.smallRuntime[n].path) return;
    (void)outlookOf(core, n);
    (void)keptPotential(core, n);
}

Outlook Study::outlook(ItemId small) const {
    const int n = m_core->smallIndex(small);
    return n < 0 ? Outlook{} : outlookOf(*m_core, static_cast<std::size_t>(n));
}

double Study::contestedShare(ItemId small, ItemId other) const {
    const int n = m_core->smallIndex(small), o = m_core->smallIndex(other);
    if (n < 0 || o < 0) return 0;
    const auto at = static_cast<std::size_t>(n), ot = static_cast<std::size_t>(o);
    const Digest key = Digester{}.add(keyOf(*m_core, at)).add(m_core->smallRuntime[ot].key).done();
    return m_core->memos->contested.get(key, [&] { return contestedOf(*m_core, at, ot); });
}

double Study::captureLost(ItemId small) const {
    const int n = m_core->smallIndex(small);
    if (n < 0) return 0;
    const double potential = keptPotential(*m_core, static_cast<std::size_t>(n));
    if (potential <= 0) return 0;
    double taken = 0;
    const auto kept = m_core->sumsIfChosen(static_cast<std::size_t>(n));
    for (const auto& [key, sum] : kept->of(static_cast<std::size_t>(n)))
        taken += static_cast<double>(sum.relief);
    return std::clamp(1 - taken / potential, 0.0, 1.0);
}

double Study::reliefPoints(ItemId small) const {
    const int n = m_core->smallIndex(small);
    if (n < 0) return 0;
    const auto kept = m_core->sumsIfChosen(static_cast<std::size_t>(n));
    double points = 0;
    for (const auto& [key, sum] : kept->of(static_cast<std::size_t>(n)))
        points += static_cast<double>(sum.relief) / kPrbUnit * 100 /
                  m_core->base->cells[TileSums::macroOf(key)].resourceBlocks;
    return points;
}

double Study::fringeShare(ItemId small) const {
    const int n = m_core->smallIndex(small);
    if (n < 0) return 0;
    const auto kept = m_core->sumsIfChosen(static_cast<std::size_t>(n));
    double relief = 0, fringe = 0;
    for (const auto& [key, sum] : kept->of(static_cast<std::size_t>(n))) {
        relief += static_cast<double>(sum.relief);
        fringe += static_cast<double>(sum.fringe);
    }
    return relief > 0 ? fringe / relief : 0;
}

double Study::leadAlongBoresightM(ItemId small) const {
    const int n = m_core->smallIndex(small);
    if (n < 0) return 0;
    const SmallCellPart& part = m_core->smalls[static_cast<std::size_t>(n)];
    return m_core->memos->lead.get(keyOf(*m_core, static_cast<std::size_t>(n)), [&] {
        const MountPart& m = *mount(part.mount);
        const SinCos dir = sinCosDegFixed(part.azimuth.deg);
        const double reach = plan().settings->model.smallReachM;
        for (double d = kPixelM * 1.5; d < reach;
             d += kPixelM) { // the foot's own pixel says nothing about the beam
            const PlanePoint p = m.at + PlanePoint{dir.sin, dir.cos} * d;
            const auto own = smallAt(small, p);
            const auto macro = part.layer >= 0 ? macroAt(part.layer, p) : macroAt(p);
            if (own && macro && macro->levelDbm >= *own) return d;
        }
        return reach;
    });
}

} // namespace fw
