// SPDX-License-Identifier: GPL-3.0-or-later
// The part of a study that small cells do not change: surface, receivers, macro levels, PRB cost, fringes.
#include "base/log_exp.h"
#include "base/parallel.h"
#include "base/text.h"
#include "base/units.h"
#include "radio/carrier.h"
#include "radio/link_budget.h"
#include "study/cost_spread.h"
#include "study/macro_levels.h"
#include "study/state.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <tuple>

namespace fw {
namespace {

constexpr double kSurfaceCellM = 2.0;
constexpr double kLargestSideM = 60000;
constexpr double kUnknownUse =
    0.5; // of a cell whose load was not measured, as its neighbours reckon with it [own]

Digest digestOf(const ModelSettings& m) {
    Digester d;
    for (const double v :
         {m.macroSigmaDb, m.smallSigmaDb, m.shadowCorrelation, m.noiseFigureDb, m.servedFromDbm,
          m.ownCarrierFromDbm, m.ownCarrierShare, m.indoorShare, m.edgeExponent, m.fixedUse, m.idleFloorLte2,
          m.idleFloorLte4, m.idleFloorNr, m.smallUseCap, m.smallUsePlanned, m.smallReachM, m.macroReachM,
          m.efficientShare, m.outdoorDensity})
        d.add(v);
    d.add(pathModelKey(m)).add(static_cast<unsigned>(m.efficiency));
    return d.done();
}

class Maker {
public:
    Maker(const Plan& plan, const StudyCore* previous, const StudyOptions& options, EntryTables& entry,
          const Job& job)
        : m_plan(plan), m_settings(*plan.settings), m_previous(previous), m_options(options), m_entry(entry),
          m_job(job) {
        if (previous) {
            m_old = previous->base.get();
            m_diff = diff(previous->plan, plan);
        }
    }
    Result<std::shared_ptr<const Baseline>> make(const std::shared_ptr<const Terrain>& terrain);

private:
    Status frameAndArea(std::shared_ptr<Baseline>& out);
    Status roster(Baseline& b);
    void surface(Baseline& b, const std::shared_ptr<const Terrain>& terrain);
    void receivers(Baseline& b);
    void cost(Baseline& b);
    [[nodiscard]] bool changed(std::initializer_list<Kind> kinds) const {
        return !m_previous || std::any_of(m_diff.items.begin(), m_diff.items.end(), [&](const Difference& d) {
            return std::find(kinds.begin(), kinds.end(), d.kind) != kinds.end();
        });
    }
    [[nodiscard]] const TilePart* oldTile(TileKey k) const {
        if (!m_old) return nullptr;
        const int i = m_old->tileIndex(k);
        return i < 0 ? nullptr : &m_old->tiles[static_cast<std::size_t>(i)];
    }
    const EntryTable& entryFor(Hertz f) {
        auto& e = m_entry[f.v];
        if (!e)
            e = std::make_shared<const EntryTable>(f, m_settings.model.efficientShare,
                                                   m_settings.model.entry);
        return *e;
    }

    const Plan& m_plan;
    const PlanSettings& m_settings;
    const StudyCore* m_previous;
    const StudyOptions& m_options;
    EntryTables& m_entry;
    const Job& m_job;
    const Baseline* m_old = nullptr;
    PlanDiff m_diff;
};

Status Maker::frameAndArea(std::shared_ptr<Baseline>& out) {
    if (m_old && m_old->frame.epsg() == m_settings.epsg) {
        out = std::make_shared<Baseline>(m_old->frame);
    } else {
        auto frame = Frame::fromEpsg(m_settings.epsg);
        if (!frame) return frame.error();
        out = std::make_shared<Baseline>(*frame);
    }
    const Box& a = m_settings.workArea;
    if (a.empty() || a.width() <= 0 || a.height() <= 0)
        return Error{ErrorCode::badInput, CORE_TEXT("the plan has no area of work; set one before computing"),
                     "plan"};
    if (a.width() > kLargestSideM || a.height() > kLargestSideM)
        return Error{ErrorCode::badInput,
                     CORE_TEXT("the area of work is more than 60 km wide or high; choose a smaller one"),
                     "plan"};
    return Done{};
}

Status Maker::roster(Baseline& b) {
    const ModelSettings& m = m_settings.model;
    std::set<std::pair<Technology, std::int32_t>> carriers;
    for (const Cell& c : m_plan.cells) carriers.insert({c.carrier.technology, c.carrier.channel});
    for (const auto& [tech, channel] : carriers) {
        const auto f = downlinkFrequency(tech, channel);
        if (!f) return f.error();
        b.layers.push_back({tech, channel, *f});
    }
    std::map<ItemId, int> sectorNumber;
    std::map<std::pair<ItemId, double>, int> antennaNumber; // site and height
    std::vector<std::shared_ptr<AntennaPart>> antennas;
    // By antenna, gain, beam widths and tilts: most sectors of a network look alike, and a table is 100 kB.
    std::map<std::tuple<ItemId, double, double, double, double, double>, PatternPart> patterns;
    for (const Cell& c : m_plan.cells) {
        const Sector* s = m_plan.sectors.find(c.sector);
        const MacroSite* site = s ? m_plan.macroSites.find(s->site) : nullptr;
        if (!site) continue; // validate() keeps such plans out; a study does not fall over one
        if (b.cells.size() >= 65000)
            return Error{ErrorCode::badInput, CORE_TEXT("more than 65,000 macro cells; split the plan"),
                         "plan"};
        const auto blocks = resourceBlocks(c.carrier.technology, c.carrier.bandwidthMHz, c.carrier.scsKHz);
        if (!blocks) return Error{blocks.error().code, blocks.error().text, m_plan.label(c.id)};
        MacroCell v;
        v.id = c.id;
        v.sector = s->id;
        v.site = site->id;
        v.layer = static_cast<int>(
            std::distance(carriers.begin(), carriers.find({c.carrier.technology, c.carrier.channel})));
        v.resourceBlocks = *blocks;
        const double ground = b.terrain->at(site->at);
        v.antennaAmsl = ground + s->height.m;
        v.referencePowerDbm =
            c.referencePowerDbm
                ? *c.referencePowerDbm
                : referenceSignalPerPort({c.totalPowerDbm.value_or(46)}, *blocks, std::max(1, c.ports)).v;
        v.use = c.load.dlPrbUse;
        v.congested = overTrigger(c.load, m);
        v.downlinkShare = c.carrier.downlinkShare;

        CellRuntime r;
        const auto [an, fresh] =
            antennaNumber.try_emplace({site->id, s->height.m}, static_cast<int>(antennas.size()));
        if (fresh) {
            antennas.push_back(std::make_shared<AntennaPart>());
            antennas.back()->antenna = {site->at, ground, v.antennaAmsl, m.macroReachM};
        }
        r.antenna = an->second;
        auto& layers = antennas[static_cast<std::size_t>(r.antenna)]->layers;
        if (std::find(layers.begin(), layers.end(), v.layer) == layers.end())
            layers.insert(std::upper_bound(layers.begin(), layers.end(), v.layer), v.layer);
        r.sector = sectorNumber.try_emplace(s->id, static_cast<int>(sectorNumber.size())).first->second;
        auto& pattern = patterns[{s->antenna, s->gainDbi, s->hBeamDeg, s->vBeamDeg, s->mechanicalTiltDeg,
                                  s->electricalTiltDeg}];
        if (!pattern.table)
            pattern = makePattern(s->antenna ? m_plan.antennaCuts.find(s->antenna) : nullptr,
                                  ParabolicCuts{s->gainDbi, s->hBeamDeg, s->vBeamDeg, 25, 20},
                                  s->mechanicalTiltDeg, s->electricalTiltDeg);
        r.pattern = pattern.table;
        r.patternDigest = pattern.digest;
        // Levels are kept per 15 kHz, so that one noise floor serves all subcarrier spacings.
        r.scsCenti = centiOf(decibels(std::max(15, c.carrier.scsKHz) / 15.0));
        r.baseCenti = centiOf(v.referencePowerDbm + c.offsetDb) + r.pattern->gainCenti - r.scsCenti;
        r.azimuth = tenths(b.frame.toGrid(s->azimuth, site->at).deg) % 3600;
        if (v.use) {
            r.total = static_cast<std::int64_t>(*v.use * v.resourceBlocks * kPrbUnit);
            r.fixed = static_cast<std::int64_t>(std::min(*v.use, m.fixedUse) * v.resourceBlocks * kPrbUnit);
            r.movable = r.total - r.fixed;
        }
        b.rings.push_back(ringsOf(c, site->at, m));
        b.shares.push_back(
            sendingShare(v.use.value_or(kUnknownUse), idleFloorOf(m, c.carrier.technology, c.ports)));
        b.cells.push_back(v);
        b.runtime.push_back(std::move(r));
    }
    for (auto& a : antennas) b.antennas.push_back(std::move(a));
    return Done{};
}

std::vector<Prism> prismsOf(const Plan& plan) {
    std::vector<Prism> out;
    out.reserve(plan.scenery.buildingCount());
    plan.scenery.forEachBuilding([&](const Building& b) {
        out.push_back({b.id, b.footprint, b.heightM, b.parapetM});
    });
    return out;
}

std::vector<Crown> crownsOf(const Plan& plan) {
    std::vector<Crown> out;
    for (const Tree& t : plan.scenery.trees)
        out.push_back({t.id, t.at, t.crownRadiusM, t.topM, t.crownBottomM});
    return out;
}

Box surfaceArea(const PlanSettings& s, const Baseline& b) {
    const Box reach = s.workArea.grown(s.model.macroReachM);
    Box area = s.workArea.grown(s.model.smallReachM);
    for (const auto& a : b.antennas)
        if (reach.contains(a->antenna.at))
            area.add(Box{a->antenna.at.x, a->antenna.at.y, a->antenna.at.x, a->antenna.at.y}.grown(16));
    return area;
}

void Maker::surface(Baseline& b, const std::shared_ptr<const Terrain>& terrain) {
    const Box area = surfaceArea(m_settings, b);
    const bool sameTerrain = m_old && m_old->terrain == terrain;
    const bool sameTiles = m_old && m_old->surface->tilesAre(area);
    const bool scenery = changed({Kind::building, Kind::tree});
    if (sameTerrain && sameTiles && !scenery) {
        b.surface = m_old->surface;
        return;
    }
    m_job.report(0.05, CORE_TEXT("building the surface"));
    if (!sameTerrain || !sameTiles) {
        b.surface = std::make_shared<const Surface>(SurfaceBuilder::build(
            area, kSurfaceCellM, terrain, prismsOf(m_plan), crownsOf(m_plan), m_options.threads));
        return;
    }
    std::vector<Box> boxes;
    for (const Difference& d : m_diff.items) {
        if (d.kind == Kind::building)
            for (const Plan* p : {&m_previous->plan, &m_plan})
                if (const auto building = p->scenery.building(d.id))
                    boxes.push_back(boundsOf(building->footprint));
        if (d.kind == Kind::tree)
            for (const Plan* p : {&m_previous->plan, &m_plan})
                if (const Tree* t = p->scenery.trees.find(d.id))
                    boxes.push_back(Box{t->at.x, t->at.y, t->at.x, t->at.y}.grown(t->crownRadiusM));
    }
    b.surface = std::make_shared<const Surface>(SurfaceBuilder::rebuild(
        *m_old->surface, area, terrain, prismsOf(m_plan), crownsOf(m_plan), boxes, m_options.threads));
}

void Maker::receivers(Baseline& b) {
    const auto keys = tilesOf(m_settings.workArea);
    b.tileX0 = keys.front().x;
    b.tileY0 = keys.front().y;
    b.tilesW = keys.back().x - keys.front().x + 1;
    b.tilesH = keys.back().y - keys.front().y + 1;
    b.tiles.resize(keys.size());
    const bool same = m_old && m_old->surface == b.surface && m_old->modelDigest == b.modelDigest &&
                      m_previous->plan.settings->landCoverWeights == m_settings.landCoverWeights &&
                      !changed({Kind::building, Kind::street, Kind::congestionArea});
    if (same && std::all_of(keys.begin(), keys.end(), [&](TileKey k) { return oldTile(k); })) {
        for (std::size_t i = 0; i < keys.size(); ++i) b.tiles[i].receivers = oldTile(keys[i])->receivers;
        return;
    }
    std::vector<std::vector<Building>> inTile(keys.size());
    if (!same)
        m_plan.scenery.forEachBuilding([&](const Building& building) {
            const int i = b.tileIndex(tileOf(centroidOf(building.footprint)));
            if (i >= 0) inTile[static_cast<std::size_t>(i)].push_back(building);
        });
    const DemandSources sources = demandSources(m_plan, *b.terrain);
    parallelFor(keys.size(), m_options.threads, [&](std::size_t i) {
        if (m_job.stopped()) return;
        const TilePart* old = oldTile(keys[i]);
        if (same && old) {
            b.tiles[i].receivers = old->receivers;
            return;
        }
        std::vector<Building> found; // a tile new to the area still needs its buildings
        if (same)
            m_plan.scenery.forEachBuilding([&](const Building& building) {
                if (tileOf(centroidOf(building.footprint)) == keys[i]) found.push_back(building);
            });
        const auto& buildings = same ? found : inTile[i];
        if (old && old->receivers->digest ==
                       receiversDigest(keys[i], *b.surface, sources, buildings, m_settings.model)) {
            b.tiles[i].receivers = old->receivers;
            return;
        }
        b.tiles[i].receivers = makeReceivers(keys[i], *b.surface, sources, buildings, m_settings.model);
    });
}

void Maker::cost(Baseline& b) {
    makeScales(b, m_plan);
    parallelFor(b.tiles.size(), m_options.threads, [&](std::size_t i) {
        if (m_job.stopped()) return;
        TilePart& tile = b.tiles[i];
        Digester d;
        d.add(tile.demandKey);
        for (const DemandSum& s : *tile.demand) {
            const CostScale& scale = b.scales[s.roster].byRing[s.ring];
            d.add(scale.indoor).add(scale.outdoor);
        }
        const Digest digest = d.done();
        const TilePart* old = oldTile(tile.receivers->key);
        if (old && old->cost->digest == digest) {
            tile.cost = old->cost;
            return;
        }
        TileCost made = spreadCost(*tile.receivers, *tile.levels, b.scales, *b.tables);
        made.digest = digest;
        tile.cost = std::make_shared<const TileCost>(std::move(made));
    });
}

Result<std::shared_ptr<const Baseline>> Maker::make(const std::shared_ptr<const Terrain>& terrain) {
    const Error stopped{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    std::shared_ptr<Baseline> b;
    if (auto s = frameAndArea(b); !s) return s.error();
    b->terrain = terrain;
    b->modelDigest = digestOf(m_settings.model);
    b->tables = m_old && m_old->modelDigest == b->modelDigest
                    ? m_old->tables
                    : std::make_shared<const ModelTables>(m_settings.model);
    if (m_old && m_old->modelDigest != b->modelDigest) m_entry.clear();
    if (auto s = roster(*b); !s) return s.error();
    surface(*b, terrain);
    if (m_job.stopped()) return stopped;
    m_job.report(0.15, CORE_TEXT("placing receivers"));
    receivers(*b);
    if (m_job.stopped()) return stopped;
    m_job.report(0.25, CORE_TEXT("looking round from the macros"));
    for (const Layer& l : b->layers) entryFor(l.frequency);
    mapMacroLevels(*b, m_old, m_settings.model, m_options, m_entry, m_job);
    if (m_job.stopped()) return stopped;
    cost(*b);
    if (m_job.stopped()) return stopped;
    findFringes(*b);
    return std::shared_ptr<const Baseline>(std::move(b));
}

} // namespace

bool overTrigger(const CellLoad& load, const ModelSettings& m) {
    bool full = false;
    if (!load.dailyDlPrbUse.empty()) {
        // The rule speaks of seven days: of weeks the latest seven, and with fewer on file the same share.
        const std::size_t counted = std::min<std::size_t>(load.dailyDlPrbUse.size(), 7);
        const auto days =
            std::count_if(load.dailyDlPrbUse.end() - static_cast<std::ptrdiff_t>(counted),
                          load.dailyDlPrbUse.end(), [&](double u) { return u >= m.triggerUse; });
        const double need =
            std::min<double>(m.triggerDays, m.triggerDays * static_cast<double>(counted) / 7.0);
        full = static_cast<double>(days) >= need;
    } else {
        full = load.dlPrbUse && *load.dlPrbUse >= m.triggerUse;
    }
    return full && (!load.userThroughputMbps || *load.userThroughputMbps < m.triggerThroughputMbps);
}

Result<std::shared_ptr<const Baseline>> makeBaseline(const Plan& plan,
                                                     const std::shared_ptr<const Terrain>& terrain,
                                                     const StudyCore* previous, const StudyOptions& options,
                                                     EntryTables& entry, const Job& job) {
    return Maker(plan, previous, options, entry, job).make(terrain);
}

} // namespace fw
