// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tint_picture.h"

#include "study/change_rasters.h"
#include "study/fringe_map.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <span>

namespace fw {

namespace {

constexpr int kSide = kRasterPixels;
constexpr double kTopShare = 0.97; // of pixels with an amount: below the last bound
constexpr int kGapPixels = 10;     // serving areas are neighbours across a house
// Of the class colours those that are neither the small cells' own hue nor as grey as houses.
constexpr std::array<int, 6> kServerColors{0, 1, 2, 3, 4, 6};
constexpr int kSmallColor = 5;                         // the small cells' own hue
constexpr double kLowestLevel = -120, kLevelStep = 10; // dBm

std::uint8_t clampValue(double v) { return static_cast<std::uint8_t>(std::clamp(v, 1.0, 255.0)); }

// Doubling bounds: the first step ends at `first`.
std::uint8_t doublingValue(float amount, double first) {
    return amount > 0 ? clampValue((std::log2(amount / first) + 1) * kPerStep) : std::uint8_t{0};
}

} // namespace

std::vector<double> tint_parts::doublingBounds(std::vector<float> amounts) {
    std::vector<double> out;
    if (amounts.empty()) return out;
    const auto at =
        amounts.begin() + static_cast<std::ptrdiff_t>(kTopShare * static_cast<double>(amounts.size() - 1));
    std::nth_element(amounts.begin(), at, amounts.end());
    const double top = std::exp2(std::ceil(std::log2(static_cast<double>(*at))));
    for (int k = 0; k < kTintSteps - 1; ++k) out.push_back(top * std::exp2(k - (kTintSteps - 2)));
    return out;
}

void tint_parts::fillAmounts(TintTile& tile, std::vector<float> amounts, double first) {
    int side = kSide;
    for (auto& values : tile.amount) {
        values.resize(amounts.size());
        for (std::size_t i = 0; i < amounts.size(); ++i) values[i] = doublingValue(amounts[i], first);
        const int half = side / 2;
        std::vector<float> next(static_cast<std::size_t>(half) * half);
        for (int y = 0; y < half; ++y)
            for (int x = 0; x < half; ++x) {
                const std::size_t a = static_cast<std::size_t>(2 * y * side + 2 * x),
                                  b = a + static_cast<std::size_t>(side);
                next[static_cast<std::size_t>(y * half + x)] =
                    (amounts[a] + amounts[a + 1] + amounts[b] + amounts[b + 1]) / 4;
            }
        amounts = std::move(next);
        side = half;
    }
}

void tint_parts::coarsenLevels(TintTile& tile) {
    int side = kSide;
    for (std::size_t d = 1; d < kTintDetails; ++d, side /= 2) {
        const auto& fine = tile.amount[d - 1];
        auto& out = tile.amount[d];
        const int half = side / 2;
        out.assign(static_cast<std::size_t>(half) * half, 0);
        for (int y = 0; y < half; ++y)
            for (int x = 0; x < half; ++x) {
                const std::size_t a = static_cast<std::size_t>(2 * y * side + 2 * x),
                                  b = a + static_cast<std::size_t>(side);
                int sum = 0, n = 0;
                for (const std::size_t i : {a, a + 1, b, b + 1})
                    if (fine[i]) {
                        sum += fine[i];
                        ++n;
                    }
                if (n) out[static_cast<std::size_t>(y * half + x)] = static_cast<std::uint8_t>(sum / n);
            }
    }
}

namespace {

// Of a few servers the one that comes most often, 0 aside; of equals the first.
std::uint16_t mostFrequent(std::span<const std::uint16_t> list) {
    std::uint16_t best = 0;
    std::ptrdiff_t most = 0;
    for (const std::uint16_t s : list)
        if (const auto n = std::count(list.begin(), list.end(), s); s && n > most) {
            best = s;
            most = n;
        }
    return best;
}

// Without single pixels that differ from what is round them: from afar they are noise.
std::vector<std::uint16_t> calmed(const std::vector<std::uint16_t>& in, int side) {
    std::vector<std::uint16_t> out = in;
    for (int y = 1; y + 1 < side; ++y)
        for (int x = 1; x + 1 < side; ++x) {
            const std::size_t at = static_cast<std::size_t>(y * side + x);
            if (!in[at]) continue;
            std::array<std::uint16_t, 9> near{};
            for (int k = 0; k < 9; ++k)
                near[static_cast<std::size_t>(k)] =
                    in[static_cast<std::size_t>((y + k / 3 - 1) * side + x + k % 3 - 1)];
            if (std::count(near.begin(), near.end(), in[at]) < 4) out[at] = mostFrequent(near);
        }
    return out;
}

// The server that most of four pixels have.
void coarsenServers(TintTile& tile) {
    int side = kSide;
    for (std::size_t d = 1; d < kTintDetails; ++d, side /= 2) {
        const auto& fine = tile.server[d - 1];
        const int half = side / 2;
        std::vector<std::uint16_t> out(static_cast<std::size_t>(half) * half);
        for (int y = 0; y < half; ++y)
            for (int x = 0; x < half; ++x) {
                const std::size_t a = static_cast<std::size_t>(2 * y * side + 2 * x),
                                  b = a + static_cast<std::size_t>(side);
                out[static_cast<std::size_t>(y * half + x)] =
                    mostFrequent(std::array{fine[a], fine[a + 1], fine[b], fine[b + 1]});
            }
        tile.server[d] = calmed(calmed(out, half), half);
    }
}

template <class Raster>
void layOut(TintPicture& p, const std::vector<Raster>& rasters) {
    p.tileX0 = rasters.front().key.x;
    p.tileY0 = rasters.front().key.y;
    p.tilesW = rasters.back().key.x - p.tileX0 + 1;
    p.tilesH = rasters.back().key.y - p.tileY0 + 1;
    p.tiles.resize(rasters.size());
}

void makeLevels(TintPicture& p, const std::vector<ServingRaster>& rasters) {
    for (int k = 0; k < kTintSteps - 1; ++k) p.bounds.push_back(kLowestLevel + k * kLevelStep);
    for (std::size_t t = 0; t < rasters.size(); ++t) {
        auto& values = p.tiles[t].amount[0];
        const auto& levels = rasters[t].levelCenti;
        values.resize(levels.size());
        for (std::size_t i = 0; i < levels.size(); ++i)
            values[i] = levels[i] == kNothingHeard
                            ? std::uint8_t{0}
                            : clampValue(((levels[i] / 100.0 - kLowestLevel) / kLevelStep + 1) * kPerStep);
        tint_parts::coarsenLevels(p.tiles[t]);
    }
}

void makeAmounts(TintPicture& p, bool demand) {
    auto amountsOf = [demand](const CostRaster& r) -> const std::vector<float>& {
        return demand ? r.demand : r.pointsPerHa;
    };
    std::vector<float> all;
    for (const CostRaster& r : p.costs)
        std::copy_if(amountsOf(r).begin(), amountsOf(r).end(), std::back_inserter(all),
                     [](float v) { return v > 0; });
    p.bounds = tint_parts::doublingBounds(std::move(all));
    if (p.bounds.empty()) return;
    for (std::size_t t = 0; t < p.costs.size(); ++t)
        tint_parts::fillAmounts(p.tiles[t], amountsOf(p.costs[t]), p.bounds.front());
}

using Borders = std::map<std::pair<std::uint16_t, std::uint16_t>, int>; // pixels' sides, lower number first

// Borders along one line of pixels; a gap as wide as a house does not part neighbours.
void addBorders(Borders& borders, const std::vector<std::uint16_t>& server, std::size_t from,
                std::size_t step) {
    std::uint16_t last = 0;
    int gap = 0;
    for (std::size_t k = 0, i = from; k < kSide; ++k, i += step) {
        const std::uint16_t s = server[i];
        if (!s) {
            if (++gap > kGapPixels) last = 0;
            continue;
        }
        if (last && s != last) ++borders[std::minmax(s, last)];
        last = s;
        gap = 0;
    }
}

// Colours so that neighbours differ: the largest first, each takes the colour with the least border against
// those that have it, and of equals the one used least.
void colorClasses(TintPicture& p, const Borders& borders) {
    std::vector<std::vector<std::pair<std::size_t, int>>> beside(p.classes.size());
    for (const auto& [pair, length] : borders) {
        beside[pair.first - 1u].emplace_back(pair.second - 1u, length);
        beside[pair.second - 1u].emplace_back(pair.first - 1u, length);
    }
    std::array<int, kTintSteps> used{};
    for (std::size_t n = 0; n < p.classes.size(); ++n) {
        std::array<int, kTintSteps> against{};
        for (const auto& [other, length] : beside[n])
            if (other < n) against[static_cast<std::size_t>(p.classes[other].color)] += length;
        const auto cost = [&](int c) {
            return std::pair(against[static_cast<std::size_t>(c)], used[static_cast<std::size_t>(c)]);
        };
        p.classes[n].color = *std::min_element(kServerColors.begin(), kServerColors.end(),
                                               [&](int a, int b) { return cost(a) < cost(b); });
        ++used[static_cast<std::size_t>(p.classes[n].color)];
    }
}

// Macro sectors with ground of their own, the largest first, and their places by macro cell (0: none).
std::vector<std::uint16_t> listSectors(TintPicture& p, const std::vector<std::vector<std::uint32_t>>& tiles) {
    const auto cells = p.study->macroCells();
    std::map<ItemId, double> area;
    for (const auto& servers : tiles)
        for (const std::uint32_t s : servers)
            if (s < kSmallServer) area[cells[s].sector] += kRasterPixelM * kRasterPixelM / 10000;
    for (const auto& [sector, ha] : area) p.classes.push_back({sector, 0, ha});
    std::stable_sort(p.classes.begin(), p.classes.end(),
                     [](const auto& a, const auto& b) { return a.areaHa > b.areaHa; });
    std::map<ItemId, std::uint16_t> place;
    for (std::size_t n = 0; n < p.classes.size(); ++n)
        place[p.classes[n].sector] = static_cast<std::uint16_t>(n + 1);
    std::vector<std::uint16_t> classOf;
    for (const MacroCell& c : cells) {
        const auto at = place.find(c.sector);
        classOf.push_back(at == place.end() ? std::uint16_t{0} : at->second);
    }
    return classOf;
}

// The small cells that serve ground, all in their own colour, behind the sectors.
std::vector<std::uint16_t> listSmalls(TintPicture& p, const std::vector<std::vector<std::uint32_t>>& tiles) {
    const auto smalls = p.study->smallCells();
    std::vector<double> area(smalls.size(), 0);
    for (const auto& servers : tiles)
        for (const std::uint32_t s : servers)
            if (s != kNoServer && s >= kSmallServer)
                area[s & 0xffff] += kRasterPixelM * kRasterPixelM / 10000;
    std::vector<std::uint16_t> classOf(smalls.size(), 0);
    for (std::size_t n = 0; n < smalls.size(); ++n) {
        if (area[n] <= 0 || p.classes.size() >= 65000) continue;
        p.classes.push_back({smalls[n].id, kSmallColor, area[n], true});
        classOf[n] = static_cast<std::uint16_t>(p.classes.size());
    }
    return classOf;
}

std::vector<std::vector<std::uint32_t>> serversOf(const std::vector<ServingRaster>& rasters) {
    std::vector<std::vector<std::uint32_t>> out;
    for (const ServingRaster& r : rasters) {
        auto& servers = out.emplace_back(r.server.size());
        std::transform(r.server.begin(), r.server.end(), servers.begin(),
                       [](std::uint16_t s) { return s == kNoCell ? kNoServer : std::uint32_t{s}; });
    }
    return out;
}

} // namespace

void tint_parts::makeServers(TintPicture& p, const std::vector<std::vector<std::uint32_t>>& before,
                             const std::vector<std::vector<std::uint32_t>>* after) {
    const auto classOf = listSectors(p, before);
    Borders borders;
    const auto fill = [&](const auto& tiles, const std::vector<std::uint16_t>& small) {
        for (std::size_t t = 0; t < tiles.size(); ++t) {
            auto& out = p.tiles[t].server[0];
            out.resize(tiles[t].size());
            std::transform(tiles[t].begin(), tiles[t].end(), out.begin(), [&](std::uint32_t s) {
                return s == kNoServer ? std::uint16_t{0} : s < kSmallServer ? classOf[s] : small[s & 0xffff];
            });
        }
    };
    fill(before, {});
    for (const TintTile& tile : p.tiles)
        for (std::size_t k = 0; k < kSide; ++k) {
            addBorders(borders, tile.server[0], k * kSide, 1);
            addBorders(borders, tile.server[0], k, kSide);
        }
    colorClasses(p, borders);
    if (after) fill(*after, listSmalls(p, *after));
    for (TintTile& tile : p.tiles) coarsenServers(tile);
}

namespace {

// False when stopped.
bool makeFringes(TintPicture& p, const Job& job) {
    for (const MacroCell& c : p.study->macroCells()) {
        if (job.stopped()) return false;
        if (!c.congested || (p.carrier >= 0 && c.layer != p.carrier)) continue;
        FringeMap map = fringeOf(*p.study, c.id);
        TintPicture::Fringe f{c.id, std::move(map.areas), {}};
        for (const Polygon& area : f.areas) f.bounds.add(boundsOf(area));
        if (!f.areas.empty()) p.fringes.push_back(std::move(f));
    }
    return true;
}

} // namespace

std::shared_ptr<const TintPicture> makeTintPicture(const std::shared_ptr<const Study>& study,
                                                   const TintRequest& request, const Job& job) {
    const auto [tint, carrier] = std::pair(request.tint, request.carrier);
    if (!study || tint == GroundTint::none || carrier >= static_cast<int>(study->layers().size()))
        return nullptr;
    const bool macrosAlone =
        tint == GroundTint::prbCost || tint == GroundTint::rsrp || tint == GroundTint::bestServer;
    if (tint != GroundTint::demandFringe && !(macrosAlone && request.moment == TintMoment::before))
        return tint_parts::makeMoment(study, request, job);
    auto p = std::make_shared<TintPicture>();
    p->tint = tint;
    p->carrier = carrier;
    p->study = study;
    if (tint == GroundTint::prbCost || tint == GroundTint::demandFringe) {
        p->costs = costRasters(*study, carrier, job);
        if (p->costs.empty()) return nullptr;
        layOut(*p, p->costs);
        makeAmounts(*p, tint == GroundTint::demandFringe);
        if (tint == GroundTint::demandFringe && !makeFringes(*p, job)) return nullptr;
    } else {
        const auto rasters = servingRasters(*study, carrier, job);
        if (rasters.empty()) return nullptr;
        layOut(*p, rasters);
        if (tint == GroundTint::rsrp)
            makeLevels(*p, rasters);
        else
            tint_parts::makeServers(*p, serversOf(rasters), nullptr);
    }
    return job.stopped() ? nullptr : p;
}

} // namespace fw
