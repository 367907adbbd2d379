// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/indoor_coverage.h"

#include "base/parallel.h"
#include "base/units.h"
#include "radio/building_entry.h"
#include "study/roof_map.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace fw {
namespace {

// Whether each receiver indoors of one tile is covered, before and after.
struct TileCovered {
    std::vector<char> before, after;
};

class IndoorMaker {
public:
    IndoorMaker(const StudyCore& core, const IndoorSpec& spec)
        : m_core(core), m_base(*core.base), m_spec(spec), m_sources(core.sources()) {
        const ModelSettings& m = core.plan.settings->model;
        const double z = normalQuantile(std::clamp(spec.locations, 0.01, 0.99));
        const double from = spec.fromDbm.value_or(m.servedFromDbm);
        m_macroFrom = centiOf(from + z * m.macroSigmaDb);
        m_smallFrom = centiOf(from + z * m.smallSigmaDb);
    }

    [[nodiscard]] TileCovered tile(std::size_t t) const {
        const TilePart& part = m_base.tiles[t];
        const std::size_t n = part.receivers->indoor.size();
        TileCovered out;
        out.before.assign(n, 0);
        for (std::size_t k = 0; k < part.levels->layers.size(); ++k) {
            const LayerLevels& l = part.levels->layers[k];
            if ((m_spec.layer >= 0 && m_spec.layer != static_cast<int>(k)) || l.empty()) continue;
            for (std::size_t i = 0; i < n; ++i)
                if (const ServingKey key = l.strongest[0][kTileArea + i])
                    out.before[i] |= levelOf(key) + m_base.runtime[rosterOf(key)].scsCenti >= m_macroFrom;
        }
        out.after = out.before;
        for (const SmallSource& s : m_core.meeting(part.receivers->key, m_sources))
            if (m_spec.layer < 0 || s.layer == m_spec.layer) addSmall(out, s, part.receivers->key);
        return out;
    }

    // Counts one building's samples on the storeys asked for.
    [[nodiscard]] BuildingCoverage count(const RoofMap::Building& b, const TileCovered& covered) const {
        const auto& indoor = m_base.tiles[b.tile].receivers->indoor;
        std::set<double> storeys;
        for (std::size_t n = b.first; n < b.first + b.receivers; ++n) storeys.insert(indoor[n].aboveGroundM);
        BuildingCoverage out;
        out.building = b.id;
        for (std::size_t n = b.first; n < b.first + b.receivers; ++n) {
            if (!asked(indoor[n].aboveGroundM, storeys)) continue;
            ++out.samples;
            out.before += covered.before[n];
            out.after += covered.after[n];
        }
        return out;
    }

private:
    void addSmall(TileCovered& out, const SmallSource& s, TileKey key) const {
        const int scs = m_core.smallRuntime[s.index].scsCenti;
        for (const SmallPath::TileIndoor& t : s.path->indoor) {
            if (t.key != key) continue;
            for (const SmallPath::Indoor& in : t.list)
                out.after[in.receiver - kTileArea] |= smallLevelIndoor(s, in) + scs >= m_smallFrom;
        }
    }

    [[nodiscard]] bool asked(double aboveGroundM, const std::set<double>& storeys) const {
        switch (m_spec.storey) {
        case Storey::lowest:
            return aboveGroundM == *storeys.begin();
        case Storey::top:
            return aboveGroundM == *storeys.rbegin();
        case Storey::middle:
            return aboveGroundM != *storeys.begin() && aboveGroundM != *storeys.rbegin();
        case Storey::all:
            break;
        }
        return true;
    }

    const StudyCore& m_core;
    const Baseline& m_base;
    IndoorSpec m_spec;
    std::vector<SmallSource> m_sources;
    int m_macroFrom = 0, m_smallFrom = 0;
};

std::vector<std::uint32_t> ownersOf(const std::vector<RoofMap::Patch>& patches) {
    std::vector<std::uint32_t> out(static_cast<std::size_t>(kTileArea), kNoBuilding);
    std::vector<RoofMap::Patch> sorted = patches;
    std::sort(sorted.begin(), sorted.end(), [](const RoofMap::Patch& a, const RoofMap::Patch& b) {
        return a.pixel != b.pixel ? a.pixel < b.pixel : a.building < b.building;
    });
    std::uint32_t most = 0;
    for (std::size_t i = 0; i < sorted.size();) {
        const std::size_t from = i;
        std::uint32_t cells = 0;
        for (; i < sorted.size() && sorted[i].pixel == sorted[from].pixel &&
               sorted[i].building == sorted[from].building;
             ++i)
            cells += sorted[i].cells;
        if (from == 0 || sorted[from - 1].pixel != sorted[from].pixel) most = 0;
        if (cells <= most) continue;
        most = cells;
        out[sorted[from].pixel] = sorted[from].building;
    }
    return out;
}

} // namespace

IndoorCoverage indoorCoverage(const Study& study, const IndoorSpec& spec, unsigned threads, const Job& job) {
    const Baseline& b = *study.core().base;
    IndoorCoverage out;
    if (b.layers.empty() || spec.layer >= static_cast<int>(b.layers.size())) return out;
    const IndoorMaker maker(study.core(), spec);
    const RoofMap roofs(b);
    std::vector<TileCovered> covered(b.tiles.size());
    out.tiles.resize(b.tiles.size());
    parallelFor(b.tiles.size(), threads, [&](std::size_t t) {
        if (job.stopped()) return;
        covered[t] = maker.tile(t);
        out.tiles[t] = {b.tiles[t].receivers->key, ownersOf(roofs.patches(t))};
    });
    if (job.stopped()) return {};
    for (const RoofMap::Building& building : roofs.buildings())
        out.buildings.push_back(maker.count(building, covered[building.tile]));
    return out;
}

} // namespace fw
