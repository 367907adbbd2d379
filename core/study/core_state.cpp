// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/overlay_totals.h"

#include "base/units.h"

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

} // namespace

bool meets(const SmallPath& p, TileKey tile) {
    const int tx = tile.x * kTilePixels, ty = tile.y * kTilePixels;
    if (p.pixelX + p.radius >= tx && p.pixelX - p.radius < tx + kTilePixels && p.pixelY + p.radius >= ty &&
        p.pixelY - p.radius < ty + kTilePixels)
        return true;
    return std::any_of(p.indoor.begin(), p.indoor.end(),
                       [&](const SmallPath::TileIndoor& t) { return t.key == tile; });
}

unsigned pathModelKey(const ModelSettings& m) {
    return static_cast<unsigned>(m.macroPath) << 16 | static_cast<unsigned>(m.smallPath) << 8 |
           static_cast<unsigned>(m.entry);
}

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
    s.biasCenti = centiOf(p.biasDb);
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
    auto made = std::make_shared<const TileSums>(overlayTotals(*this, nullptr, {}));
    const std::scoped_lock hold(lazyLock);
    if (!lazyTotals) lazyTotals = std::move(made);
    return *lazyTotals;
}

void StudyCore::prepareSums(Crew& crew, std::span<const std::function<void()>> besides) const {
    bool known = !under;
    if (!known) {
        const std::scoped_lock hold(lazyLock);
        known = lazyTotals != nullptr;
    }
    if (known) {
        crew.forEach(besides.size(), [&](std::size_t i) { besides[i](); });
        return;
    }
    auto made = std::make_shared<const TileSums>(overlayTotals(*this, &crew, besides));
    const std::scoped_lock hold(lazyLock);
    if (!lazyTotals) lazyTotals = std::move(made);
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
