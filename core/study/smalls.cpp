// SPDX-License-Identifier: GPL-3.0-or-later
// Mounts and small cells on a baseline: parts that depend on position, and the numbers that weigh them.
#include "base/log_exp.h"
#include "base/parallel.h"
#include "base/text.h"
#include "base/units.h"
#include "radio/carrier.h"
#include "radio/link_budget.h"
#include "study/small_parts.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace fw {
namespace {

constexpr double kSkylineReachM = 500;
constexpr double kWallReachM = 2.0; // a wall mount stands within this of the wall that carries it

// The building a wall, parapet or roof mount hangs on.
int carrierOf(const Mount& m, const Surface& s) {
    if (m.kind == MountKind::pole) return -1;
    if (const int under = s.prismAt(m.at); under >= 0) return under;
    std::vector<std::uint32_t> near;
    s.prismIndex().query(Box{m.at.x, m.at.y, m.at.x, m.at.y}.grown(kWallReachM), near);
    int best = -1;
    double bestM = kWallReachM;
    for (const std::uint32_t k : near) {
        const double d = nearestOnBoundary(s.prisms()[k].footprint, m.at).distanceM;
        if (d < bestM) {
            bestM = d;
            best = static_cast<int>(k);
        }
    }
    return best;
}

// Lowest ground within 10 m ahead: along the way a wall looks, or all round a pole.
double lowestAhead(const Mount& m, const Frame& frame, const Surface& s) {
    double low = s.groundAt(m.at);
    const bool all = !m.faces;
    const double towards = all ? 0 : frame.toGrid(*m.faces, m.at).deg;
    for (int k = 0; k < (all ? 8 : 1); ++k) {
        const SinCos dir = sinCosDegFixed(towards + 45.0 * k);
        for (const double d : {2.5, 5.0, 7.5, 10.0})
            low = std::min(low, s.groundAt(m.at + PlanePoint{dir.sin, dir.cos} * d));
    }
    return low;
}

// A cell that is only thought of goes by its mount.
std::string nameFor(const Plan& plan, const SmallCell& c, const Mount& mount) {
    return plan.smallCells.find(c.id) ? plan.label(c.id) : mount.name;
}

struct PathJob {
    ItemId mount;
    std::vector<double> frequencies; // ascending
};

Digest pathKey(const MountPart& m, const Baseline& b, const ModelSettings& s,
               std::span<const double> frequencies) {
    Digester d;
    d.add(m.at.x)
        .add(m.at.y)
        .add(m.antennaAmsl)
        .add(s.smallReachM)
        .add(s.efficientShare)
        .add(pathModelKey(s))
        .add(b.surface->cellM());
    d.add(m.ownPrism >= 0 ? b.surface->prisms()[static_cast<std::size_t>(m.ownPrism)].id.v : 0u);
    for (const double f : frequencies) d.add(f);
    const Box reach = Box{m.at.x, m.at.y, m.at.x, m.at.y}.grown(s.smallReachM + 8);
    addSurfaceKey(d, *b.surface, reach);
    return d.add(receiversIn(b, reach)).done();
}

std::vector<const TileReceivers*> tilesIn(const Baseline& b, const Box& box) {
    std::vector<const TileReceivers*> out;
    // Indoor receivers may stand a little outside the tile of their building.
    for (const TileKey k : tilesOf(box.grown(64)))
        if (const int i = b.tileIndex(k); i >= 0)
            out.push_back(b.tiles[static_cast<std::size_t>(i)].receivers.get());
    return out;
}

using PathSet = std::shared_ptr<const std::vector<std::shared_ptr<const SmallPath>>>;

PathSet makePaths(const MountPart& m, const Baseline& b, const ModelSettings& s,
                  std::span<const double> frequencies, const EntryTables& entry, Crew* crew,
                  const std::function<void()>& besides) {
    thread_local SmallScratch scratch;
    std::vector<Hertz> f;
    std::vector<const EntryTable*> e;
    for (const double v : frequencies) {
        f.push_back({v});
        e.push_back(entry.at(v).get());
    }
    const SmallAntenna antenna{m.at, m.antennaAmsl, s.smallReachM, m.ownPrism, s.smallPath};
    const auto tiles = tilesIn(b, Box{m.at.x, m.at.y, m.at.x, m.at.y}.grown(s.smallReachM));
    return std::make_shared<const std::vector<std::shared_ptr<const SmallPath>>>(
        smallPaths(*b.surface, antenna, f, e, tiles, scratch, crew, besides));
}

// Frequencies of all small cells on one mount: one sweep serves them.
std::map<ItemId, PathJob> jobsOf(const std::vector<SmallCellPart>& smalls) {
    std::map<ItemId, std::set<double>> by;
    for (const SmallCellPart& s : smalls) by[s.mount].insert(s.frequency.v);
    std::map<ItemId, PathJob> out;
    for (const auto& [mount, f] : by) out[mount] = {mount, {f.begin(), f.end()}};
    return out;
}

} // namespace

std::shared_ptr<const SmallPath> makeSmallPath(const MountPart& m, const Baseline& b, const ModelSettings& s,
                                               Hertz frequency, const EntryTables& entry) {
    const std::array<double, 1> one{frequency.v};
    return makePaths(m, b, s, one, entry, nullptr, {})->front();
}

Status fillSmallPart(const Plan& plan, const Baseline& b, const SmallOnMount& what, Memos& memos,
                     SmallCellPart& p, SmallRuntime& r) {
    const Radio& radio = what.radio;
    const Mount& mount = what.mount;
    const SmallCell& c = what.cell;
    const ModelSettings& m = plan.settings->model;
    const auto f = downlinkFrequency(c.carrier.technology, c.carrier.channel);
    if (!f) return Error{f.error().code, f.error().text, nameFor(plan, c, mount)};
    const auto blocks = resourceBlocks(c.carrier.technology, c.carrier.bandwidthMHz, c.carrier.scsKHz);
    if (!blocks) return Error{blocks.error().code, blocks.error().text, nameFor(plan, c, mount)};
    p.id = c.id;
    p.radio = radio.id;
    p.mount = mount.id;
    p.azimuth = b.frame.toGrid(radio.azimuth, mount.at);
    p.tiltDeg = radio.tiltDeg;
    p.carrier = c.carrier;
    p.frequency = *f;
    p.resourceBlocks = *blocks;
    p.biasDb = std::min(c.biasDb, m.biasCeilingDb);
    p.chosen = c.chosen;
    p.referencePowerDbm = referenceSignalPerPort({radio.totalPowerDbm}, *blocks, std::max(1, radio.ports)).v;
    const AntennaCut* cut = radio.antenna ? plan.antennaCuts.find(radio.antenna) : nullptr;
    Digester d;
    d.add(radio.gainDbi).add(radio.hBeamDeg).add(radio.vBeamDeg).add(radio.tiltDeg).add(cut != nullptr);
    if (cut) {
        d.add(cut->gainDbi);
        for (const auto* list :
             {&cut->horizontalDeg, &cut->horizontalLossDb, &cut->verticalDeg, &cut->verticalLossDb}) {
            d.add(static_cast<std::uint64_t>(list->size()));
            for (const double v : *list) d.add(v);
        }
    }
    const PatternPart pattern = memos.pattern.get(d.done(), [&] {
        return makePattern(cut, ParabolicCuts{radio.gainDbi, radio.hBeamDeg, radio.vBeamDeg, 25, 20},
                           radio.tiltDeg, 0);
    });
    p.hBeamDeg = pattern.beam.horizontalDeg;
    p.vBeamDeg = pattern.beam.verticalDeg;
    r.pattern = pattern.table;
    r.patternDigest = pattern.digest;
    for (std::size_t k = 0; k < b.layers.size(); ++k)
        if (b.layers[k].technology == c.carrier.technology && b.layers[k].channel == c.carrier.channel)
            p.layer = static_cast<int>(k);
    r.scsCenti = centiOf(decibels(std::max(15, c.carrier.scsKHz) / 15.0));
    r.baseCenti = centiOf(p.referencePowerDbm) + r.pattern->gainCenti - r.scsCenti;
    // PRB of a layer and of the small cell differ in width and in the time they may use for the downlink.
    for (std::size_t k = 0; k < b.layers.size(); ++k) {
        double share = 1, scs = 15;
        for (const MacroCell& cell : b.cells)
            if (cell.layer == static_cast<int>(k)) {
                share = cell.downlinkShare;
                if (const Cell* pc = plan.cells.find(cell.id)) scs = pc->carrier.scsKHz;
                break;
            }
        const double own = std::max(0.05, c.carrier.downlinkShare) * std::max(15, c.carrier.scsKHz);
        r.carrierRatio.push_back(share * scs / own);
    }
    return Done{};
}

Digest receiversIn(const Baseline& b, const Box& box) {
    Digester d;
    for (const TileKey k : tilesOf(box.grown(64)))
        if (const int i = b.tileIndex(k); i >= 0)
            d.add(b.tiles[static_cast<std::size_t>(i)].receivers->digest);
    return d.done();
}

namespace {

// All of a mount but its skyline.
MountPart placed(const Mount& m, const Baseline& b) {
    MountPart p;
    p.id = m.id;
    p.at = m.at;
    p.groundAmsl = lowestAhead(m, b.frame, *b.surface);
    p.antennaAmsl = p.groundAmsl + m.height.m;
    p.ownPrism = carrierOf(m, *b.surface);
    return p;
}

void lookRound(MountPart& p, const Baseline& b, Memos& memos) {
    Digester d;
    d.add(p.at.x).add(p.at.y).add(p.antennaAmsl);
    d.add(p.ownPrism >= 0 ? b.surface->prisms()[static_cast<std::size_t>(p.ownPrism)].id.v : 0u);
    addSurfaceKey(d, *b.surface, Box{p.at.x, p.at.y, p.at.x, p.at.y}.grown(kSkylineReachM));
    p.skyline = memos.skyline.get(d.done(), [&] {
        return std::make_shared<const Skyline>(
            skylineAt(*b.surface, SkylineSpec{p.at, p.antennaAmsl, kSkylineReachM, p.ownPrism, true}));
    });
}

} // namespace

MountPart makeMountPart(const Mount& m, const Baseline& b, Memos& memos) {
    MountPart p = placed(m, b);
    lookRound(p, b, memos);
    return p;
}

namespace {

// Names of carriers and which macro layer each shares.
void listChannels(StudyCore& core) {
    std::set<std::pair<Technology, std::int32_t>> channels;
    for (const SmallCellPart& s : core.smalls) channels.insert({s.carrier.technology, s.carrier.channel});
    core.channels.assign(channels.begin(), channels.end());
    const Baseline& b = *core.base;
    core.channelOfLayer.assign(b.layers.size(), -1);
    for (std::size_t c = 0; c < core.channels.size(); ++c)
        for (std::size_t k = 0; k < b.layers.size(); ++k)
            if (b.layers[k].technology == core.channels[c].first &&
                b.layers[k].channel == core.channels[c].second)
                core.channelOfLayer[k] = static_cast<int>(c);
}

void addEntryTables(StudyCore& core) {
    auto entry = std::make_shared<EntryTables>(*core.entry);
    const ModelSettings& model = core.plan.settings->model;
    for (const SmallCellPart& s : core.smalls) {
        auto& e = (*entry)[s.frequency.v];
        if (!e) e = std::make_shared<const EntryTable>(s.frequency, model.efficientShare, model.entry);
    }
    core.entry = std::move(entry);
}

// The path of one small cell out of its mount's set, and the key of all that weighs it.
void attachPath(const StudyCore& core, std::size_t n, const PathJob& job, const Digest& key,
                const PathSet& paths, SmallRuntime& r) {
    const SmallCellPart& p = core.smalls[n];
    const auto& f = job.frequencies;
    const auto at = static_cast<std::size_t>(std::lower_bound(f.begin(), f.end(), p.frequency.v) - f.begin());
    r.path = (*paths)[at];
    r.pathKey = Digester{}.add(key).add(p.frequency.v).done();
    for (std::size_t c = 0; c < core.channels.size(); ++c)
        if (core.channels[c] == std::pair{p.carrier.technology, p.carrier.channel})
            r.channel = static_cast<int>(c);
    const Radio& radio = *core.plan.radios.find(p.radio);
    Digester d;
    d.add(r.pathKey)
        .add(p.azimuth.deg)
        .add(p.tiltDeg)
        .add(r.baseCenti)
        .add(p.biasDb)
        .add(p.layer)
        .add(radio.ports);
    d.add(r.patternDigest);
    r.key = d.done();
}

// The set of a mount as another study already has it, or null.
PathSet pathsIn(const StudyCore* other, const Digest& key, std::span<const double> frequencies) {
    if (!other) return nullptr;
    auto set = std::make_shared<std::vector<std::shared_ptr<const SmallPath>>>();
    for (const double f : frequencies) {
        const Digest want = Digester{}.add(key).add(f).done();
        const auto it = std::find_if(other->smallRuntime.begin(), other->smallRuntime.end(),
                                     [&](const SmallRuntime& r) { return r.pathKey == want; });
        if (it == other->smallRuntime.end()) return nullptr;
        set->push_back(it->path);
    }
    return set;
}

// `besides` is done where paths have to be made, or not at all.
PathSet pathsFor(const StudyCore& core, const StudyCore* previous, const MountPart& m, const PathJob& job,
                 const Digest& key, Crew* crew, const std::function<void()>& besides) {
    if (auto known = pathsIn(previous, key, job.frequencies)) return known;
    return core.memos->path.get(key, [&] {
        return makePaths(m, *core.base, core.plan.settings->model, job.frequencies, *core.entry, crew,
                         besides);
    });
}

} // namespace

Status makeSmalls(StudyCore& core, const StudyCore* previous, const Job& job) {
    const Plan& plan = core.plan;
    const Baseline& b = *core.base;
    const ModelSettings& model = plan.settings->model;
    const bool sameBase =
        previous && previous->base->surface == b.surface && previous->base->terrain == b.terrain;

    std::vector<const Mount*> mounts;
    for (const Mount& m : plan.mounts) mounts.push_back(&m);
    core.mounts.resize(mounts.size());
    parallelFor(mounts.size(), core.options.threads, [&](std::size_t i) {
        if (job.stopped()) return;
        const Mount* before = sameBase ? previous->plan.mounts.find(mounts[i]->id) : nullptr;
        const MountPart* part = before && *before == *mounts[i] ? previous->mount(mounts[i]->id) : nullptr;
        core.mounts[i] = part ? *part : makeMountPart(*mounts[i], b, *core.memos);
    });
    for (const SmallCell& c : plan.smallCells) {
        if (c.variant != plan.settings->activeVariant) continue;
        const Radio* radio = plan.radios.find(c.radio);
        if (!radio || !plan.mounts.find(radio->mount)) continue;
        if (core.smalls.size() >= 65000)
            return Error{ErrorCode::badInput, CORE_TEXT("more than 65,000 small cells in a variant"), "plan"};
        SmallCellPart p;
        SmallRuntime r;
        const SmallOnMount what{*plan.mounts.find(radio->mount), *radio, c};
        if (auto s = fillSmallPart(plan, b, what, *core.memos, p, r); !s) return s;
        core.smalls.push_back(p);
        core.smallRuntime.push_back(std::move(r));
    }
    listChannels(core);
    addEntryTables(core);
    smallAzimuthRow(0, 0); // build the shared table before the threads start

    const auto jobs = jobsOf(core.smalls);
    std::vector<const PathJob*> list;
    std::map<ItemId, std::size_t> place;
    for (const auto& [mount, j] : jobs) {
        place[mount] = list.size();
        list.push_back(&j);
    }
    std::vector<PathSet> paths(list.size());
    std::vector<Digest> keys(list.size());
    parallelFor(list.size(), core.options.threads, [&](std::size_t i) {
        if (job.stopped()) return;
        const MountPart& m = *core.mount(list[i]->mount);
        keys[i] = pathKey(m, b, model, list[i]->frequencies);
        paths[i] = pathsFor(core, previous, m, *list[i], keys[i], nullptr, {});
    });
    if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    for (std::size_t n = 0; n < core.smalls.size(); ++n) {
        const std::size_t i = place[core.smalls[n].mount];
        attachPath(core, n, *list[i], keys[i], paths[i], core.smallRuntime[n]);
    }
    return Done{};
}

bool overlaySmalls(StudyCore& core, const StudyCore& old, ItemId mount, Crew* crew) {
    core.mounts = old.mounts;
    core.smalls = old.smalls;
    core.smallRuntime = old.smallRuntime;
    core.channels = old.channels;
    core.channelOfLayer = old.channelOfLayer;
    const Mount* m = core.plan.mounts.find(mount);
    if (!m) return false;
    const auto at = std::lower_bound(core.mounts.begin(), core.mounts.end(), mount,
                                     [](const MountPart& p, ItemId id) { return p.id < id; });
    const Mount* before = old.plan.mounts.find(mount);
    const bool moved = !before || !(*before == *m);
    if (moved) *at = placed(*m, *core.base);
    const auto look = [&] {
        if (!at->skyline) lookRound(*at, *core.base, *core.memos);
    };
    std::vector<SmallCellPart> mine;
    for (std::size_t n = 0; n < core.smalls.size(); ++n) {
        const Radio* radio = core.plan.radios.find(core.smalls[n].radio);
        const SmallCell* cell = core.plan.smallCells.find(core.smalls[n].id);
        if (!radio || !cell || radio->mount != mount) continue;
        SmallCellPart p;
        SmallRuntime r;
        if (!fillSmallPart(core.plan, *core.base, {*m, *radio, *cell}, *core.memos, p, r)) return false;
        core.smalls[n] = p;
        core.smallRuntime[n] = std::move(r);
        core.dragged.push_back(static_cast<std::uint16_t>(n));
        mine.push_back(p);
    }
    if (mine.empty()) {
        look();
        return true;
    }
    listChannels(core);
    if (core.channels != old.channels) return false; // another carrier is an edit, not a drag
    addEntryTables(core);
    const auto jobs = jobsOf(mine);
    const PathJob& job = jobs.begin()->second;
    const Digest key = pathKey(*at, *core.base, core.plan.settings->model, job.frequencies);
    const PathSet paths = pathsFor(core, &old, *at, job, key, crew, look);
    look();
    for (const std::uint16_t n : core.dragged) attachPath(core, n, job, key, paths, core.smallRuntime[n]);
    return true;
}

} // namespace fw
