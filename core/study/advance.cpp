// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/parallel.h"
#include "base/text.h"
#include "study/state.h"

#include <algorithm>

namespace fw {
namespace {

// Which macros serve a tile, so that a tile's sums are keyed by their fringes and no others.
Digest sumKey(const StudyCore& core, std::size_t i, const std::vector<SmallSource>& near) {
    const TilePart& t = core.base->tiles[i];
    Digester d;
    d.add(t.cost->digest)
        .add(t.levels->digest)
        .add(core.plan.settings->model.smallUsePlanned)
        .add(core.plan.settings->model.ownCarrierShare)
        .add(static_cast<std::uint64_t>(core.channels.size()));
    for (const DemandSum& s : *t.demand) d.add(core.base->fringeFrom[s.roster]);
    for (const SmallSource& s : near)
        d.add(s.index).add(core.smallRuntime[s.index].key).add(s.channel).add(s.layer).add(s.share);
    return d.done();
}

void sumTiles(StudyCore& core, const StudyCore* previous) {
    const Baseline& b = *core.base;
    const auto sources = core.sources();
    core.tileSums.assign(b.tiles.size(), nullptr);
    core.tileSumKeys.assign(b.tiles.size(), {});
    parallelFor(b.tiles.size(), core.options.threads, [&](std::size_t i) {
        const TileKey key = b.tiles[i].receivers->key;
        const auto near = core.meeting(key, sources);
        if (near.empty()) return;
        const Digest digest = sumKey(core, i, near);
        core.tileSumKeys[i] = digest;
        if (previous && !previous->tileSums.empty()) {
            const int o = previous->base->tileIndex(key);
            if (o >= 0 && previous->tileSumKeys[static_cast<std::size_t>(o)] == digest) {
                core.tileSums[i] = previous->tileSums[static_cast<std::size_t>(o)];
                if (core.tileSums[i]) return;
            }
        }
        const TilePart& t = b.tiles[i];
        const TileSmalls smalls =
            gatherSmalls(*t.receivers, *t.levels, near, static_cast<int>(core.channels.size()), *b.tables);
        core.tileSums[i] = std::make_shared<const TileSums>(
            evaluateTile(core.view(i, sources), smalls, core.channelOfLayer));
    });
    for (const auto& sums : core.tileSums)
        if (sums) core.totals.add(*sums);
}

} // namespace

Result<std::shared_ptr<const Study>> Study::advance(const std::shared_ptr<const Study>& previous, Plan plan,
                                                    const std::shared_ptr<const Terrain>& terrain,
                                                    const StudyOptions& options, const Job& job) {
    const StudyCore* old = previous ? previous->m_core.get() : nullptr;
    while (old && old->under) old = old->under.get(); // an overlay's parts are its root's
    const Error stopped{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    auto core = std::make_shared<StudyCore>();
    core->plan = std::move(plan);
    core->options = options;
    core->memos = old ? old->memos : std::make_shared<Memos>();
    auto entry = old ? std::make_shared<EntryTables>(*old->entry) : std::make_shared<EntryTables>();
    auto base = makeBaseline(core->plan, terrain, old, options, *entry, job);
    if (!base) return base.error();
    core->base = *base;
    core->entry = std::move(entry);
    job.report(0.8, CORE_TEXT("looking round from the small cells"));
    if (auto s = makeSmalls(*core, old, job); !s) return s.error();
    if (job.stopped()) return stopped;
    job.report(0.9, CORE_TEXT("dividing the load"));
    sumTiles(*core, old);
    if (job.stopped()) return stopped;
    job.report(1, CORE_TEXT("done"));
    return std::make_shared<const Study>(std::shared_ptr<const StudyCore>(std::move(core)));
}

std::shared_ptr<const Study> Study::overlay(const Hypothesis& what, Crew* crew) const {
    auto core = std::make_shared<StudyCore>();
    const StudyCore& old = *m_core;
    core->plan = old.plan;
    if (what.mount) core->plan.mounts.put(*what.mount);
    if (what.radio) core->plan.radios.put(*what.radio);
    for (const Radio& r : what.otherRadios) core->plan.radios.put(r);
    if (what.smallCell) core->plan.smallCells.put(*what.smallCell);
    core->options = old.options;
    core->options.threads = 1; // a frame starts no threads
    core->base = old.base;
    core->entry = old.entry;
    core->memos = old.memos;
    core->under = m_core;
    ItemId mount;
    if (what.mount) mount = what.mount->id;
    if (what.radio) mount = what.radio->mount;
    if (what.smallCell)
        if (const Radio* r = core->plan.radios.find(what.smallCell->radio)) mount = r->mount;
    if (!overlaySmalls(*core, old, mount, crew)) { // another carrier, say: rare and slow, but right
        auto full =
            advance(std::make_shared<const Study>(m_core), core->plan, core->base->terrain, old.options);
        return full ? *full : std::make_shared<const Study>(m_core);
    }
    return std::make_shared<const Study>(std::shared_ptr<const StudyCore>(std::move(core)));
}

void Study::prepare(Crew& crew, std::span<const std::function<void()>> besides) const {
    std::vector<std::function<void()>> work(besides.begin(), besides.end());
    for (const std::uint16_t n : m_core->dragged) work.emplace_back([this, n] { keepQueries(*m_core, n); });
    m_core->prepareSums(crew, work);
}

const Plan& Study::plan() const { return m_core->plan; }
const Frame& Study::frame() const { return m_core->base->frame; }
const std::shared_ptr<const Terrain>& Study::terrain() const { return m_core->base->terrain; }
const Surface& Study::surface() const { return *m_core->base->surface; }
const std::vector<Layer>& Study::layers() const { return m_core->base->layers; }
std::span<const MacroCell> Study::macroCells() const { return m_core->base->cells; }
std::span<const SmallCellPart> Study::smallCells() const { return m_core->smalls; }
const MountPart* Study::mount(ItemId id) const { return m_core->mount(id); }
const MacroCell* Study::macroCell(ItemId id) const {
    const int i = m_core->cellIndex(id);
    return i < 0 ? nullptr : &m_core->base->cells[static_cast<std::size_t>(i)];
}
const SmallCellPart* Study::smallCell(ItemId id) const {
    const int i = m_core->smallIndex(id);
    return i < 0 ? nullptr : &m_core->smalls[static_cast<std::size_t>(i)];
}

} // namespace fw
