// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/log_exp.h"
#include "bench/ratios.h"
#include "bench/viewshed.h"
#include "fringe/serving_map.h"

#include <algorithm>
#include <cmath>

namespace fw::bench {
namespace {

constexpr double kReachM = 3000;
constexpr int kSites = 20;

/// Twenty sites whose discs lie inside the area, antennas 30 m above ground and clear of the roof below.
std::vector<MacroAntenna> sitesIn(const Study& study, const ViewshedPeer& peer) {
    const Surface& s = study.surface();
    const Box inner = study.plan().settings->workArea.grown(-kReachM - 50);
    std::vector<MacroAntenna> out;
    for (int k = 0; k < kSites; ++k) {
        MacroAntenna a;
        a.at = {inner.x0 + inner.width() * (k % 5 + 0.5) / 5, inner.y0 + inner.height() * (k / 5 + 0.5) / 4};
        a.at = {(std::floor(a.at.x / kPixelM) + 0.5) * kPixelM,
                (std::floor(a.at.y / kPixelM) + 0.5) * kPixelM};
        a.groundAmsl = s.groundAt(a.at);
        a.amsl = std::max(a.groundAmsl + 30, peer.topAt(a.at) + 4);
        a.reachM = kReachM;
        out.push_back(a);
    }
    return out;
}

bool inReach(const MacroAntenna& a, TileKey key) {
    const Box b = key.bounds();
    const double dx = std::max({b.x0 - a.at.x, 0.0, a.at.x - b.x1}),
                 dy = std::max({b.y0 - a.at.y, 0.0, a.at.y - b.y1});
    return dx * dx + dy * dy <= a.reachM * a.reachM;
}

using Tiles = std::vector<std::shared_ptr<const TileReceivers>>;

Tiles receiversOf(const Study& study, const std::vector<MacroAntenna>& sites) {
    const Plan& plan = study.plan();
    const auto keys = tilesOf(plan.settings->workArea);
    std::vector<std::vector<Building>> buildings(keys.size());
    plan.scenery.forEachBuilding([&](const Building& b) {
        const auto at = std::find(keys.begin(), keys.end(), tileOf(centroidOf(b.footprint)));
        if (at != keys.end()) buildings[static_cast<std::size_t>(at - keys.begin())].push_back(b);
    });
    const DemandSources sources = demandSources(plan, study.surface().terrain());
    Tiles out;
    for (std::size_t k = 0; k < keys.size(); ++k)
        if (std::any_of(sites.begin(), sites.end(),
                        [&](const MacroAntenna& a) { return inReach(a, keys[k]); }))
            out.push_back(
                makeReceivers(keys[k], study.surface(), sources, buildings[k], plan.settings->model));
    return out;
}

/// The same tiles without those indoors.
Tiles pixelsOf(const Tiles& tiles) {
    Tiles out;
    for (const auto& t : tiles) {
        auto bare = std::make_shared<TileReceivers>(*t);
        bare->indoor.clear();
        out.push_back(std::move(bare));
    }
    return out;
}

/// Sweeps, path loss, three sectors a site, the strongest by name and total power everywhere.
class City {
public:
    City(const Study& study, const std::vector<MacroAntenna>& sites)
        : m_surface(study.surface()), m_sites(sites),
          m_tables(study.plan().settings->model), m_frequency{study.layers().front().frequency},
          m_entry(m_frequency, study.plan().settings->model.efficientShare),
          m_pattern(patternTable(Pattern(ParabolicCuts{17, 65, 10, 25, 20}), 0, 6)),
          m_shares(sites.size() * 3, 1 << 15) {}

    /// Number of receivers that somebody serves.
    std::size_t compute(const Tiles& tiles) const {
        std::vector<std::vector<CellSource>> cells(tiles.size());
        std::vector<std::shared_ptr<const PathSlice>> keep;
        const EntryTable* entry = &m_entry;
        for (std::size_t a = 0; a < m_sites.size(); ++a) {
            std::vector<const TileReceivers*> reach;
            std::vector<std::size_t> place;
            for (std::size_t t = 0; t < tiles.size(); ++t) {
                if (!inReach(m_sites[a], tiles[t]->key)) continue;
                reach.push_back(tiles[t].get());
                place.push_back(t);
            }
            const auto slices =
                macroSlices(m_surface, m_sites[a], {&m_frequency, 1}, {&entry, 1}, reach, m_scratch);
            keep.insert(keep.end(), slices.begin(), slices.end());
            for (std::size_t k = 0; k < slices.size(); ++k)
                for (int sector = 0; sector < 3; ++sector) {
                    const auto number = static_cast<std::uint16_t>(a * 3 + static_cast<std::size_t>(sector));
                    cells[place[k]].push_back({number, number, 0, 3500, m_shares[number], 1200 * sector,
                                               &m_pattern, slices[k].get()});
                }
        }
        std::size_t served = 0;
        for (std::size_t t = 0; t < tiles.size(); ++t) {
            const TileLevels levels = makeLevels(*tiles[t], cells[t], 1, m_shares, m_tables);
            for (const std::int16_t s : levels.layers[0].sinr) served += s != kNoLevel;
        }
        return served;
    }

private:
    const Surface& m_surface;
    const std::vector<MacroAntenna>& m_sites;
    ModelTables m_tables;
    Hertz m_frequency;
    EntryTable m_entry;
    PatternTable m_pattern;
    mutable MacroScratch m_scratch;
    std::vector<std::int64_t> m_shares;
};

} // namespace

bool baselineRows(const Study& study, std::vector<Row>& rows) {
    const ViewshedPeer viewshed(study.surface(), true);
    if (viewshed.cellM() != kPixelM) return false;
    const auto sites = sitesIn(study, viewshed);
    const auto all = [&](int) {
        for (const MacroAntenna& a : sites) viewshed.run(a.at, a.amsl, kStreetReceiverM, kReachM);
    };
    const double peerMs = medianMs(5, 1, all);
    const Tiles tiles = receiversOf(study, sites), pixels = pixelsOf(tiles);
    const City city(study, sites);
    std::size_t outside = city.compute(pixels), everybody = 0; // builds the shared tables
    const double pixelMs = medianMs(5, 1, [&](int) { outside = city.compute(pixels); });
    const double allMs = medianMs(5, 1, [&](int) { everybody = city.compute(tiles); });
    const std::string peer = "20 GDAL viewsheds alone";
    rows.push_back(
        {"20 sites x 3 sectors, 3 km at 4 m: 3 best, power", peer, peerMs, pixelMs, Row::Goal::atMost, 0.8});
    rows.push_back({"  the same with all receivers indoors", peer, peerMs, allMs, Row::Goal::none, 0});
    return outside > 0 && everybody > outside;
}

} // namespace fw::bench
