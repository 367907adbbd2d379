// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/azimuth_footprints.h"

#include "base/parallel.h"
#include "base/text.h"
#include "base/units.h"
#include "study/small_parts.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <map>

namespace fw {
namespace {

constexpr std::uint32_t kNowhere = 0xffffffff;
using Run = AzimuthFootprints::Run;

// Numbers of places by tile, layer and receiver; empty where no cell asked for has load.
struct PlaceNumbers {
    std::vector<std::vector<std::vector<std::uint32_t>>> of;
    std::vector<std::int64_t> worth;
    std::vector<std::uint32_t> macro;
};

// Load in units of worth.
std::int64_t worthOf(std::int64_t cost, int resourceBlocks) {
    return static_cast<std::int64_t>(static_cast<double>(cost) / kPrbUnit * 100 / resourceBlocks *
                                     kWorthUnit);
}

void numberLayer(const Baseline& b, const TilePart& t, std::size_t layer,
                 const std::vector<std::uint32_t>& askedOf, PlaceNumbers& out,
                 std::vector<std::uint32_t>& numbers) {
    const auto& cost = t.cost->layers[layer];
    const auto& serving = t.levels->layers[layer].strongest[0];
    for (std::size_t i = 0; i < cost.size(); ++i) {
        if (cost[i] <= 0) continue;
        const std::uint16_t roster = rosterOf(serving[i]);
        if (askedOf[roster] == kNowhere) continue;
        const std::int64_t worth = worthOf(cost[i], b.cells[roster].resourceBlocks);
        if (worth <= 0) continue;
        if (numbers.empty()) numbers.assign(cost.size(), kNowhere);
        numbers[i] = static_cast<std::uint32_t>(out.worth.size());
        out.worth.push_back(worth);
        out.macro.push_back(askedOf[roster]);
    }
}

PlaceNumbers numberPlaces(const Baseline& b, const std::vector<std::uint32_t>& askedOf) {
    PlaceNumbers out;
    out.of.resize(b.tiles.size());
    for (std::size_t ti = 0; ti < b.tiles.size(); ++ti) {
        const TilePart& t = b.tiles[ti];
        out.of[ti].resize(t.cost->layers.size());
        for (std::size_t k = 0; k < t.cost->layers.size(); ++k)
            if (!t.cost->layers[k].empty()) numberLayer(b, t, k, askedOf, out, out.of[ti][k]);
    }
    return out;
}

// A pattern turned for all steps at once: a receiver off the first step by 100 j + f tenths of a degree is
// off step s by 100 (j - s) + f, so that one row for each f will do, its answers turned by j.
class StepLosses {
public:
    explicit StepLosses(const PatternTable& p) : m_pattern(p) {
        for (int f = 0; f < kStep; ++f)
            for (int s = 0; s < kFootprintSteps; ++s)
                m_side[static_cast<std::size_t>(f * kFootprintSteps + s)] =
                    p.side[static_cast<std::size_t>((kFootprintSteps - s) % kFootprintSteps * kStep + f)];
    }
    /// Bits of the steps at which the pattern takes `room` (0.01 dB) at most; `off` 0..3599.
    [[nodiscard]] std::uint64_t within(int off, int elevation, int room) const {
        if (room >= m_pattern.most) return kAll;
        const int j = off / kStep;
        const std::int32_t* side = &m_side[static_cast<std::size_t>((off - j * kStep) * kFootprintSteps)];
        const std::int32_t* upright = &m_pattern.upright[static_cast<std::size_t>(kUpright + elevation)];
        std::uint64_t m = 0;
        for (int s = 0; s < kFootprintSteps; ++s) {
            const int loss = (side[s] >> 16) + upright[static_cast<std::int16_t>(side[s] & 0xffff)];
            m |= std::uint64_t{loss <= room} << s;
        }
        return (m << j | m >> (kFootprintSteps - j)) & kAll;
    }

private:
    static constexpr int kStep = 3600 / kFootprintSteps, kUpright = PatternTable::kUpright;
    static constexpr std::uint64_t kAll = (std::uint64_t{1} << kFootprintSteps) - 1;
    const PatternTable& m_pattern;
    std::array<std::int32_t, 3600> m_side;
};

// One small cell over all azimuths.
class Footprint {
public:
    Footprint(const Baseline& b, const PlaceNumbers& places, const SmallCellPart& part, const SmallRuntime& r,
              const SmallPath& path, const StepLosses& losses, bool oneAzimuth)
        : m_base(b), m_places(places), m_part(part), m_pattern(*r.pattern), m_path(path), m_losses(losses),
          m_own(part.layer < 0), m_strongest(r.baseCenti + centiOf(part.biasDb)),
          m_steps(oneAzimuth ? 1 : kFootprintSteps), m_first(tenths(part.azimuth.deg)) {}

    std::vector<Run> runs() {
        for (std::size_t ti = 0; ti < m_base.tiles.size(); ++ti) tile(ti);
        std::stable_sort(m_runs.begin(), m_runs.end(),
                         [](const Run& a, const Run& c) { return a.place < c.place; });
        return std::move(m_runs);
    }

private:
    void tile(std::size_t ti) {
        const auto& layers = m_places.of[ti];
        const TilePart& t = m_base.tiles[ti];
        const TileKey key = t.receivers->key;
        for (std::size_t k = 0; k < layers.size(); ++k) {
            if (layers[k].empty() || (!m_own && static_cast<int>(k) != m_part.layer)) continue;
            m_numbers = layers[k].data();
            m_serving = t.levels->layers[k].strongest[0].data();
            pixels(key);
            for (const SmallPath::TileIndoor& in : m_path.indoor)
                if (in.key == key)
                    for (const SmallPath::Indoor& i : in.list)
                        look(i.receiver, i.loss, i.azimuth, i.elevation);
        }
    }
    void pixels(TileKey key) {
        const SmallPath& p = m_path;
        const int tx = key.x * kTilePixels, ty = key.y * kTilePixels;
        const int c0 = std::max(tx, p.pixelX - p.radius),
                  c1 = std::min(tx + kTilePixels - 1, p.pixelX + p.radius);
        const int r0 = std::max(ty, p.pixelY - p.radius),
                  r1 = std::min(ty + kTilePixels - 1, p.pixelY + p.radius);
        for (int y = r0; y <= r1; ++y) {
            const std::int16_t* az = smallAzimuthRow(p.parity, y - p.pixelY) + kSmallReach;
            for (int x = c0; x <= c1; ++x) {
                const std::size_t i = p.index(x - p.pixelX, y - p.pixelY);
                if (p.loss[i] == kNoPath) continue;
                look(static_cast<std::size_t>((y - ty) * kTilePixels + x - tx), p.loss[i], az[x - p.pixelX],
                     p.elevation[i]);
            }
        }
    }
    void look(std::size_t receiver, int loss, int azimuth, int elevation) {
        const std::uint32_t place = m_numbers[receiver];
        if (place == kNowhere) return;
        const int from = m_own ? m_base.tables->ownCarrierFromCenti() : levelOf(m_serving[receiver]);
        const int room = m_strongest - loss - from; // that the pattern may take
        if (room < 0) return;
        std::uint64_t served = 0;
        int off = (azimuth - m_first) % 3600;
        if (off < 0) off += 3600;
        if (m_steps == kFootprintSteps) {
            add(place, m_losses.within(off, elevation, room));
            return;
        }
        for (std::uint16_t s = 0; s < m_steps; ++s) {
            served |= std::uint64_t{m_pattern.lossWrapped(off, elevation) <= room} << s;
            off -= kStepTenths;
            if (off < 0) off += 3600;
        }
        add(place, served);
    }
    void add(std::uint32_t place, std::uint64_t served) {
        const std::uint64_t all = (std::uint64_t{1} << m_steps) - 1;
        if (served == 0) return;
        if (served == all) {
            m_runs.push_back({place, 0, kFootprintSteps});
            return;
        }
        const auto at = [&](int s) { return (served >> ((s + m_steps) % m_steps) & 1) != 0; };
        for (int s = 0; s < m_steps; ++s) {
            if (!at(s) || at(s - 1)) continue;
            int n = 1;
            while (at(s + n)) ++n;
            m_runs.push_back({place, static_cast<std::uint16_t>(s), static_cast<std::uint16_t>(n)});
        }
    }

    static constexpr int kStepTenths = 3600 / kFootprintSteps;
    const Baseline& m_base;
    const PlaceNumbers& m_places;
    const SmallCellPart& m_part;
    const PatternTable& m_pattern;
    const SmallPath& m_path;
    const StepLosses& m_losses;
    bool m_own;
    int m_strongest;
    std::uint16_t m_steps;
    int m_first; // azimuth of step 0, grid, 0.1 deg
    const std::uint32_t* m_numbers = nullptr;
    const ServingKey* m_serving = nullptr;
    std::vector<Run> m_runs;
};

// Places that nobody serves are left out.
void compact(const PlaceNumbers& places, AzimuthFootprints& out) {
    std::vector<std::uint32_t> number(places.worth.size(), kNowhere);
    for (const auto& runs : out.runs)
        for (const Run& r : runs) number[r.place] = 0;
    for (std::size_t i = 0; i < number.size(); ++i) {
        if (number[i] == kNowhere) continue;
        number[i] = static_cast<std::uint32_t>(out.worth.size());
        out.worth.push_back(places.worth[i]);
        out.macro.push_back(places.macro[i]);
    }
    for (auto& runs : out.runs)
        for (Run& r : runs) r.place = number[r.place];
}

struct Made {
    SmallCellPart part;
    SmallRuntime runtime;
};

// Numbers of every cell asked for, and entry tables of their frequencies.
Result<std::vector<Made>> makeParts(const StudyCore& core, const std::vector<FootprintAsk>& asks,
                                    EntryTables& entry) {
    std::vector<Made> out(asks.size());
    for (std::size_t k = 0; k < asks.size(); ++k) {
        Radio radio = asks[k].radio;
        if (!asks[k].oneAzimuth) radio.azimuth = TrueAzimuth{}; // step 0
        const SmallOnMount what{asks[k].mount, radio, asks[k].cell};
        if (auto s = fillSmallPart(core.plan, *core.base, what, *core.memos, out[k].part, out[k].runtime); !s)
            return s.error();
        out[k].part.mount = asks[k].mount.id;
        auto& e = entry[out[k].part.frequency.v];
        if (!e)
            e = std::make_shared<const EntryTable>(out[k].part.frequency,
                                                   core.plan.settings->model.efficientShare);
    }
    return out;
}

} // namespace

Result<AzimuthFootprints> azimuthFootprints(const Study& study, const std::vector<FootprintAsk>& asks,
                                            const std::vector<ItemId>& cells, unsigned threads,
                                            const Job& job) {
    const StudyCore& core = study.core();
    const Baseline& b = *core.base;
    std::vector<std::uint32_t> askedOf(b.cells.size(), kNowhere);
    for (std::uint32_t k = 0; k < cells.size(); ++k)
        if (const int c = core.cellIndex(cells[k]); c >= 0) askedOf[static_cast<std::size_t>(c)] = k;
    EntryTables entry = *core.entry;
    auto made = makeParts(core, asks, entry);
    if (!made) return made.error();
    const PlaceNumbers places = numberPlaces(b, askedOf);
    AzimuthFootprints out;
    out.runs.resize(asks.size());
    std::map<const PatternTable*, StepLosses> losses;
    for (const Made& m : *made) losses.try_emplace(m.runtime.pattern.get(), *m.runtime.pattern);
    smallAzimuthRow(0, 0); // builds the shared table before the threads start
    std::atomic<std::size_t> done{0};
    parallelFor(asks.size(), threads, [&](std::size_t k) {
        const MountPart* mount = core.mount(asks[k].mount.id);
        if (job.stopped() || !mount) return;
        const Made& m = (*made)[k];
        const auto path = makeSmallPath(*mount, b, core.plan.settings->model, m.part.frequency, entry);
        const StepLosses& own = losses.at(m.runtime.pattern.get());
        out.runs[k] = Footprint(b, places, m.part, m.runtime, *path, own, asks[k].oneAzimuth).runs();
        job.report(static_cast<double>(++done) / static_cast<double>(asks.size()), CORE_TEXT("footprints"));
    });
    if (job.stopped()) return Error{ErrorCode::cancelled, CORE_TEXT("stopped"), ""};
    for (const Made& m : *made) out.parts.push_back(m.part);
    compact(places, out);
    return out;
}

} // namespace fw
