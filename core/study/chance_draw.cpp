// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/chance_draw.h"

#include "base/log_exp.h"
#include "study/ledger.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace fw {
namespace {

// Streams of draws that share nothing.
constexpr std::uint64_t kDemand = 1, kShadow = 2, kAzimuth = 3, kTilt = 4, kListed = 5;

// Nearest whole number of something below 1e6, without the C library's floor.
int whole(double v) {
    constexpr double kUp = 1 << 20;
    return static_cast<int>(v + (kUp + 0.5)) - static_cast<int>(kUp);
}

// Cosine of 0.1 deg steps: how much of a bracket's tilt shows at that angle off the boresight.
const std::array<float, 3600>& cosines() {
    static const std::array<float, 3600> table = [] {
        std::array<float, 3600> out{};
        for (std::size_t k = 0; k < out.size(); ++k)
            out[k] = static_cast<float>(sinCosDegFixed(static_cast<double>(k) / 10).cos);
        return out;
    }();
    return table;
}

// The crew's error belongs to a bracket: the n-th radio of a mount, counted among those that carry cells of
// the variant. A variant's radios are items of their own, so that by id copies of one radio would differ.
std::vector<std::uint64_t> brackets(const StudyCore& core) {
    std::map<ItemId, std::set<ItemId>> onMount;
    for (const SmallCellPart& p : core.smalls) onMount[p.mount].insert(p.radio);
    std::vector<std::uint64_t> out;
    for (const SmallCellPart& p : core.smalls) {
        const std::set<ItemId>& radios = onMount[p.mount];
        const auto n = std::distance(radios.begin(), radios.find(p.radio));
        out.push_back(mixed(p.mount.v, static_cast<std::uint64_t>(n)));
    }
    return out;
}

int turned(int off, int by) {
    const int a = (off - by) % 3600;
    return a < 0 ? a + 3600 : a;
}

} // namespace

ChanceDraws::ChanceDraws(const StudyCore& core, const ChanceSpots& spots, std::uint64_t seed)
    : m_core(core), m_spots(spots), m_tables(*core.base->tables), m_seed(seed) {
    const ModelSettings& m = core.plan.settings->model;
    const double rho = std::clamp(m.shadowCorrelation, 0.0, 1.0);
    m_macroCenti = 100 * m.macroSigmaDb;
    m_smallCenti = 100 * m.smallSigmaDb;
    m_common = std::sqrt(rho);
    m_apart = std::sqrt(1 - rho);
    m_built = brackets(core);
}

void ChanceDraws::draw(std::size_t n, const std::array<bool, kChanceInputs>& which, Drawn& out) const {
    const SpreadSettings& s = m_core.plan.settings->spread;
    const auto drawn = [&](ChanceInput i) { return which[static_cast<std::size_t>(i)]; };
    const std::uint64_t seed = mixed(m_seed, n);
    out = {};
    if (drawn(ChanceInput::demand))
        for (const std::uint64_t square : m_spots.squares)
            out.demand.push_back(powerRatio(s.demandDb * normalOf(mixed(seed, kDemand, square))));
    if (drawn(ChanceInput::build))
        for (const std::uint64_t bracket : m_built) {
            out.azimuth.push_back(whole(10 * s.buildAzimuthDeg * normalOf(mixed(seed, kAzimuth, bracket))));
            out.tilt.push_back(whole(10 * s.buildTiltDeg * normalOf(mixed(seed, kTilt, bracket))));
        }
    if (drawn(ChanceInput::inventory))
        for (const MacroCell& c : m_core.base->cells)
            out.listed.push_back(
                whole(10 * s.inventoryAzimuthDeg * normalOf(mixed(seed, kListed, c.sector.v))));
    out.shifts = shiftsOf(out);
    if (!drawn(ChanceInput::shadowing)) return;
    out.shadow.resize(m_spots.east.size());
    for (const SpotField& f : m_spots.fields) {
        const std::size_t count = f.to - f.from;
        if (!count) continue;
        const ShadowField field(mixed(seed, kShadow, f.who), f.small ? s.smallShadowM : s.macroShadowM,
                                f.over);
        field.at({&m_spots.east[f.from], count}, {&m_spots.north[f.from], count},
                 {&out.shadow[f.from], count});
    }
}

std::vector<SpotShift> ChanceDraws::shiftsOf(const Drawn& d) const {
    std::vector<SpotShift> out;
    if (d.listed.empty() && d.azimuth.empty()) return out;
    out.resize(m_spots.spots.size());
    for (std::size_t i = 0; i < out.size(); ++i) {
        const Spot& s = m_spots.spots[i];
        out[i].macro = static_cast<std::int16_t>(macroShift(d, s.macro, s.view));
        for (std::size_t k = 0; k < s.rivals; ++k)
            out[i].small[k] = static_cast<std::int16_t>(smallShift(d, s.rival[k]));
    }
    return out;
}

int ChanceDraws::macroShift(const Drawn& d, std::uint16_t macro, const MacroView& v) const {
    if (d.listed.empty() || !d.listed[macro]) return 0;
    const PatternTable& p = *m_core.base->runtime[macro].pattern;
    return v.patternCenti - p.lossWrapped(turned(v.off, d.listed[macro]), v.elevation);
}

int ChanceDraws::smallShift(const Drawn& d, const SpotRival& r) const {
    if (d.azimuth.empty()) return 0;
    const PatternTable& p = *m_spots.sources[r.small].pattern;
    const int off = turned(r.off, d.azimuth[r.small]);
    const int tilt = whole(d.tilt[r.small] * static_cast<double>(cosines()[static_cast<std::size_t>(off)]));
    return r.patternCenti - p.lossWrapped(off, r.elevation + tilt);
}

// Shadowing is known at every place, so that everybody there falls to the side with the greatest margin.
void ChanceDraws::decided(const Drawn& d, const SpotShift* shifts, DrawSums& sums) const {
    const ModelTables& t = m_tables;
    const float* z = d.shadow.data();
    constexpr SpotShift kNone;
    for (std::size_t i = 0; i < m_spots.spots.size(); ++i) {
        const Spot& s = m_spots.spots[i];
        const SpotShift& shift = shifts ? shifts[i] : kNone;
        const double shared = m_common * static_cast<double>(z[s.common]);
        const int macro = whole(m_macroCenti * (shared + m_apart * static_cast<double>(z[s.site]))) +
                          (d.listed.empty() ? 0 : shift.macro);
        const double g = d.demand.empty() ? 1 : d.demand[static_cast<std::size_t>(s.square)];
        const double users = s.users * g;
        const double before = t.perEfficiency(s.view.sinrCenti + macro);
        sums.weighed[s.macro] += users * before;
        int level[2] = {0, 0}, margin[2] = {-1, -1};
        std::int64_t power[2] = {0, 0}, median[2] = {0, 0};
        for (std::size_t k = 0; k < s.rivals; ++k) {
            const SpotRival& r = s.rival[k];
            const SmallSource& source = m_spots.sources[r.small];
            const int up = whole(m_smallCenti * (shared + m_apart * static_cast<double>(z[r.shadow]))) +
                           (d.azimuth.empty() ? 0 : shift.small[k]);
            level[k] = r.levelCenti + up;
            margin[k] = r.marginCenti + up - (source.layer >= 0 ? macro : 0);
            power[k] = (t.power(level[k]) * source.share) >> 16;
            median[k] = (t.power(r.levelCenti) * source.share) >> 16;
        }
        double left = 1;
        const std::size_t first = margin[1] > margin[0] ? 1 : 0;
        std::int64_t heard = s.heard;
        for (std::size_t n = 0; n < s.rivals; ++n) {
            const std::size_t k = s.rivals == 1 ? 0 : (n == 0 ? first : 1 - first), other = 1 - k;
            const SpotRival& r = s.rival[k];
            const SmallSource& source = m_spots.sources[r.small];
            const bool co = source.layer >= 0;
            if (co) heard += power[k] - median[k];
            if (margin[k] <= 0) continue;
            // Without the band of the one, a device has not that of another own carrier either.
            const bool nobodyElse =
                n == 1 && !co && left < 1 && m_spots.sources[s.rival[other].small].layer < 0;
            const double taken = nobodyElse ? 0 : left * r.have;
            if (taken <= 0) continue;
            left -= taken;
            sums.relief[r.pair] += users * taken * before;
            std::int64_t beside = r.others;
            if (co) beside += (t.power(s.macroCenti + macro) * s.share) >> 16;
            if (s.rivals == 2 && m_spots.sources[s.rival[other].small].channel == source.channel)
                beside += power[other] - median[other];
            sums.carried[r.pair] += users * taken * t.perEfficiency(level[k] - t.centiOf(beside));
        }
        if (s.changed && left > 0)
            sums.harm[s.macro] +=
                users * left * (t.perEfficiency(s.macroCenti + macro - t.centiOf(heard)) - before);
    }
}

// How much of the ledger's figures is left when levels move, shadowing averaged over.
void ChanceDraws::averaged(const Drawn& d, const SpotShift* shifts, DrawSums& sums) const {
    const ModelTables& t = m_tables;
    constexpr SpotShift kNone;
    for (std::size_t i = 0; i < m_spots.spots.size(); ++i) {
        const Spot& s = m_spots.spots[i];
        const SpotShift& shift = shifts ? shifts[i] : kNone;
        const int macro = (d.listed.empty() ? 0 : shift.macro);
        double users = d.demand.empty() ? 1 : d.demand[static_cast<std::size_t>(s.square)];
        if (macro)
            users *= t.meanPerEfficiency(s.view.sinrCenti + macro) / t.meanPerEfficiency(s.view.sinrCenti);
        sums.weighed[s.macro] += s.cost * users;
        sums.harm[s.macro] += s.harm * users;
        double part[2] = {1, 1}, taken = 0;
        for (std::size_t k = 0; k < s.rivals; ++k) {
            const SpotRival& r = s.rival[k];
            const bool co = m_spots.sources[r.small].layer >= 0;
            const int moved = (d.azimuth.empty() ? 0 : shift.small[k]) - (co ? macro : 0);
            if (moved) {
                const int margin = r.marginCenti;
                const auto p = [&](int m) { return (co ? t.coChannel(m) : t.ownCarrier(m)).p; };
                part[k] = static_cast<double>(p(margin + moved)) / std::max(1, p(margin));
            }
            taken += r.relief * part[k];
        }
        const double held = taken > s.cost ? s.cost / taken : 1; // nobody takes more than there is
        for (std::size_t k = 0; k < s.rivals; ++k) {
            const SpotRival& r = s.rival[k];
            sums.relief[r.pair] += r.relief * part[k] * held * users;
            sums.carried[r.pair] += r.carried * part[k] * held * users;
        }
    }
}

// Places that stay as the ledger has them, but for demand and how dear a turned macro makes them.
void ChanceDraws::squares(const Drawn& d, const std::vector<SquareCost>& costs,
                          const std::vector<SquareRelief>& reliefs, DrawSums& sums) const {
    for (const SquareCost& s : costs) {
        double g = d.demand.empty() ? 1 : d.demand[static_cast<std::size_t>(s.square)];
        if (const int macro = macroShift(d, s.macro, s.view))
            g *= m_tables.meanPerEfficiency(s.view.sinrCenti + macro) /
                 m_tables.meanPerEfficiency(s.view.sinrCenti);
        sums.weighed[s.macro] += s.cost * g;
        sums.harm[s.macro] += s.harm * g;
    }
    for (const SquareRelief& r : reliefs) {
        const double g = d.demand.empty() ? 1 : d.demand[static_cast<std::size_t>(r.square)];
        sums.relief[r.pair] += r.relief * g;
        sums.carried[r.pair] += r.carried * g;
    }
}

void ChanceDraws::loads(const Drawn& d, DrawSums& sums, DrawLoads& out) const {
    const std::size_t macros = m_core.base->cells.size();
    sums.relief.assign(m_spots.pairs.size(), 0);
    sums.carried.assign(m_spots.pairs.size(), 0);
    sums.weighed.assign(macros, 0);
    sums.harm.assign(macros, 0);
    squares(d, m_spots.costElsewhere, m_spots.reliefElsewhere, sums);
    const std::vector<SpotShift> own = d.shifts.empty() ? shiftsOf(d) : std::vector<SpotShift>{};
    const std::vector<SpotShift>& shifts = d.shifts.empty() ? own : d.shifts;
    const SpotShift* at = shifts.empty() ? nullptr : shifts.data();
    if (!d.shadow.empty())
        decided(d, at, sums);
    else if (d.azimuth.empty() && d.listed.empty())
        squares(d, m_spots.costAtSpots, m_spots.reliefAtSpots, sums);
    else
        averaged(d, at, sums);
    finish(sums, out);
}

// A cell's cost adds up to its measured use in every draw; small cells over their cap count by cap over use.
void ChanceDraws::finish(const DrawSums& sums, DrawLoads& out) const {
    const Baseline& b = *m_core.base;
    const double cap = m_core.plan.settings->model.smallUseCap;
    std::vector<double> scale(b.cells.size(), 1);
    for (std::size_t c = 0; c < scale.size(); ++c)
        if (sums.weighed[c] > 0) scale[c] = m_spots.total[c] / sums.weighed[c];
    out.small.assign(m_core.smalls.size(), 0);
    for (std::size_t k = 0; k < m_spots.pairs.size(); ++k) {
        const std::size_t n = m_spots.pairs[k] >> 16, c = m_spots.pairs[k] & 0xffff;
        const auto layer = static_cast<std::size_t>(b.cells[c].layer);
        out.small[n] += sums.carried[k] * scale[c] * m_core.smallRuntime[n].carrierRatio[layer] /
                        m_core.smalls[n].resourceBlocks;
    }
    out.after.assign(b.cells.size(), 0);
    for (std::size_t c = 0; c < scale.size(); ++c)
        out.after[c] = b.cells[c].use.value_or(0) + sums.harm[c] * scale[c] / b.cells[c].resourceBlocks;
    for (std::size_t k = 0; k < m_spots.pairs.size(); ++k) {
        const std::size_t n = m_spots.pairs[k] >> 16, c = m_spots.pairs[k] & 0xffff;
        const double held = out.small[n] > cap + kUseStep ? cap / out.small[n] : 1;
        out.after[c] -= sums.relief[k] * scale[c] * held / b.cells[c].resourceBlocks;
    }
}

} // namespace fw
