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

constexpr std::size_t kSpotsAtHand = 512; // some 150 kB

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

void ChanceDraws::draw(std::size_t n, const Which& which, Drawn& out) const {
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

const SpotShift* ChanceDraws::shiftsOf(const Taken& d, std::size_t from, std::size_t to,
                                       std::vector<SpotShift>& out) const {
    if (d.listed.empty() && d.azimuth.empty()) return nullptr;
    out.resize(to - from);
    for (std::size_t i = from; i < to; ++i) {
        const Spot& s = m_spots.spots[i];
        SpotShift& shift = out[i - from];
        if (!d.listed.empty()) shift.served = servedAt(d.listed, s.view);
        for (std::size_t k = 0; k < s.rivals; ++k)
            shift.small[k] = static_cast<std::int16_t>(smallShift(d, s.rival[k]));
    }
    return out.data();
}

// Turned sectors part the ground among themselves anew: the strongest serves, the others disturb.
Served ChanceDraws::servedAt(std::span<const int> listed, const MacroView& v) const {
    Served out;
    if (v.count == 1) { // nobody else comes near: what is heard beside it stays
        const MacroAt& m = v.at[0];
        const int moved = m.patternCenti - m_core.base->runtime[m.macro].pattern->lossWrapped(
                                               turned(m.off, listed[m.macro]), m.elevation);
        out.levelCenti = static_cast<std::int16_t>(m.levelCenti + moved);
        out.sinrCenti = static_cast<std::int16_t>(v.sinrCenti + moved);
        return out;
    }
    std::array<int, kStrongest> level{};
    for (std::size_t k = 0; k < v.count; ++k) {
        const MacroAt& m = v.at[k];
        level[k] = m.levelCenti;
        if (listed[m.macro])
            level[k] += m.patternCenti - m_core.base->runtime[m.macro].pattern->lossWrapped(
                                             turned(m.off, listed[m.macro]), m.elevation);
        if (servingKey(level[k], m.macro) > servingKey(level[out.by], v.at[out.by].macro))
            out.by = static_cast<std::uint8_t>(k);
    }
    std::int64_t before = v.rest;
    for (std::size_t k = 0; k < v.count; ++k) {
        if (k == out.by) continue;
        const std::int64_t power = m_tables.power(level[k]);
        before += (power * m_spots.shares[v.at[k].macro]) >> 16;
        out.others += (power * m_spots.sharesNow[v.at[k].macro]) >> 16;
    }
    out.levelCenti = static_cast<std::int16_t>(level[out.by]);
    out.sinrCenti = static_cast<std::int16_t>(level[out.by] - m_tables.centiOf(before));
    return out;
}

std::vector<Served> ChanceDraws::servedElsewhere(const Drawn& d) const {
    std::vector<Served> out;
    if (d.listed.empty()) return out;
    out.reserve(m_spots.costElsewhere.size());
    for (const SquareCost& s : m_spots.costElsewhere) out.push_back(servedAt(d.listed, s.view));
    return out;
}

Served ChanceDraws::servedAt(const Taken& d, const Spot& s, const SpotShift* shift) {
    if (shift && !d.listed.empty()) return shift->served;
    return {0, s.view.at[0].levelCenti, s.view.sinrCenti, s.heard - s.heardBeside};
}

int ChanceDraws::smallShift(const Taken& d, const SpotRival& r) const {
    if (d.azimuth.empty()) return 0;
    const PatternTable& p = *m_spots.sources[r.small].pattern;
    const int off = turned(r.off, d.azimuth[r.small]);
    const int tilt = whole(d.tilt[r.small] * static_cast<double>(cosines()[static_cast<std::size_t>(off)]));
    return r.patternCenti - p.lossWrapped(off, r.elevation + tilt);
}

// Shadowing is known at every place, so that everybody there falls to the side with the greatest margin.
void ChanceDraws::decided(const Taken& d, const Spot& s, const SpotShift* shift, DrawSums& sums) const {
    const ModelTables& t = m_tables;
    const float* z = d.shadow.data();
    const Served served = servedAt(d, s, shift);
    const MacroAt& server = s.view.at[served.by];
    const double shared = m_common * static_cast<double>(z[s.common]);
    const int macro = whole(m_macroCenti * (shared + m_apart * static_cast<double>(z[s.site])));
    const double g = d.demand.empty() ? 1 : d.demand[static_cast<std::size_t>(s.square)];
    const double users = s.users * g * bitsAt(s.view, served);
    const double before = t.perEfficiency(served.sinrCenti + macro);
    sums.weighed[server.macro] += users * before;
    int level[2] = {0, 0}, margin[2] = {-1, -1};
    std::int64_t power[2] = {0, 0};
    for (std::size_t k = 0; k < s.rivals; ++k) {
        const SpotRival& r = s.rival[k];
        const int up = whole(m_smallCenti * (shared + m_apart * static_cast<double>(z[r.shadow]))) +
                       (d.azimuth.empty() || !shift ? 0 : shift->small[k]);
        level[k] = r.levelCenti + up;
        margin[k] = r.marginCenti + up - (r.co ? macro + served.levelCenti - s.view.at[0].levelCenti : 0);
        power[k] = (t.power(level[k]) * r.share) >> 16;
    }
    double left = 1;
    const std::size_t first = margin[1] > margin[0] ? 1 : 0;
    const std::int64_t moved = s.heardBeside + served.others - s.heard;
    std::int64_t heard = s.heard + moved;
    for (std::size_t n = 0; n < s.rivals; ++n) {
        const std::size_t k = s.rivals == 1 ? 0 : (n == 0 ? first : 1 - first), other = 1 - k;
        const SpotRival& r = s.rival[k];
        if (r.co) heard += power[k] - r.median;
        if (margin[k] <= 0) continue;
        // Without the band of the one, a device has not that of another own carrier either.
        const bool nobodyElse = n == 1 && !r.co && left < 1 && !s.rival[other].co;
        const double taken = nobodyElse ? 0 : left * r.have;
        if (taken <= 0) continue;
        left -= taken;
        sums.relief[r.pair[served.by]] += users * taken * before;
        std::int64_t beside = r.others;
        if (r.co)
            beside += moved + ((t.power(served.levelCenti + macro) * m_spots.sharesNow[server.macro]) >> 16);
        if (s.oneChannel) beside += power[other] - s.rival[other].median;
        sums.carried[r.pair[served.by]] += users * taken * t.perEfficiency(level[k] - t.centiOf(beside));
    }
    if (s.changed && left > 0)
        sums.harm[server.macro] +=
            users * left * (t.perEfficiency(served.levelCenti + macro - t.centiOf(heard)) - before);
}

// Bits of a place by those as listed: another cell may serve it, and users ask for more where it is better.
double ChanceDraws::bitsAt(const MacroView& v, const Served& s) const {
    if (s.by == 0 && s.sinrCenti == v.sinrCenti) return 1;
    return static_cast<double>(v.at[s.by].demand) * m_tables.demandFactor(s.sinrCenti) /
           m_tables.demandFactor(v.sinrCenti);
}
// Likewise of its cost.
double ChanceDraws::costAt(const MacroView& v, const Served& s) const {
    if (s.by == 0 && s.sinrCenti == v.sinrCenti) return 1;
    return static_cast<double>(v.at[s.by].demand) * m_tables.costFactor(s.sinrCenti) /
           m_tables.costFactor(v.sinrCenti);
}

// How much of the ledger's figures is left when levels move, shadowing averaged over.
void ChanceDraws::averaged(const Taken& d, const Spot& s, const SpotShift* shift, DrawSums& sums) const {
    const ModelTables& t = m_tables;
    const Served served = servedAt(d, s, shift);
    const std::uint16_t server = s.view.at[served.by].macro;
    const double g = d.demand.empty() ? 1 : d.demand[static_cast<std::size_t>(s.square)];
    const double users = g * costAt(s.view, served);
    sums.weighed[server] += s.cost * users;
    sums.harm[server] += s.harm * users;
    double part[2] = {1, 1}, taken = 0;
    for (std::size_t k = 0; k < s.rivals; ++k) {
        const SpotRival& r = s.rival[k];
        const int moved = (d.azimuth.empty() || !shift ? 0 : shift->small[k]) -
                          (r.co ? served.levelCenti - s.view.at[0].levelCenti : 0);
        if (moved) {
            const int margin = r.marginCenti;
            const auto p = [&](int m) { return (r.co ? t.coChannel(m) : t.ownCarrier(m)).p; };
            part[k] = static_cast<double>(p(margin + moved)) / std::max(1, p(margin));
        }
        taken += r.relief * part[k];
    }
    const double held = taken > s.cost ? s.cost / taken : 1; // nobody takes more than there is
    for (std::size_t k = 0; k < s.rivals; ++k) {
        const SpotRival& r = s.rival[k];
        sums.relief[r.pair[served.by]] += r.relief * part[k] * held * users;
        sums.carried[r.pair[served.by]] += r.carried * part[k] * held * users;
    }
}

// Places that stay as the ledger has them, but for demand, and for who serves them when macros turn.
void ChanceDraws::squares(const Taken& d, const std::vector<SquareCost>& costs,
                          const std::vector<SquareRelief>& reliefs, std::span<const Served> served,
                          DrawSums& sums) const {
    for (std::size_t i = 0; i < costs.size(); ++i) {
        const SquareCost& s = costs[i];
        double g = d.demand.empty() ? 1 : d.demand[static_cast<std::size_t>(s.square)];
        std::uint16_t server = s.view.at[0].macro;
        if (!served.empty()) {
            server = s.view.at[served[i].by].macro;
            g *= costAt(s.view, served[i]);
        }
        sums.weighed[server] += s.cost * g;
        sums.harm[server] += s.harm * g;
    }
    for (const SquareRelief& r : reliefs) {
        double g = d.demand.empty() ? 1 : d.demand[static_cast<std::size_t>(r.square)];
        std::uint32_t pair = r.pair[0];
        if (!served.empty()) {
            const Served& now = served[r.cost];
            pair = r.pair[now.by];
            g *= costAt(costs[r.cost].view, now);
        }
        sums.relief[pair] += r.relief * g;
        sums.carried[pair] += r.carried * g;
    }
}

ChanceDraws::Taken ChanceDraws::taken(const Drawn& d, const Which& which,
                                      const std::vector<Served>& elsewhere) const {
    const auto has = [&](ChanceInput i) { return which[static_cast<std::size_t>(i)]; };
    Taken out;
    if (has(ChanceInput::demand)) out.demand = d.demand;
    if (has(ChanceInput::shadowing)) out.shadow = d.shadow;
    if (has(ChanceInput::build)) {
        out.azimuth = d.azimuth;
        out.tilt = d.tilt;
    }
    if (has(ChanceInput::inventory)) {
        out.listed = d.listed;
        out.elsewhere = elsewhere;
    }
    return out;
}

void ChanceDraws::begin(const Taken& d, DrawSums& sums) const {
    const std::size_t macros = m_core.base->cells.size();
    sums.relief.assign(m_spots.pairs.size(), 0);
    sums.carried.assign(m_spots.pairs.size(), 0);
    sums.weighed.assign(macros, 0);
    sums.harm.assign(macros, 0);
    squares(d, m_spots.costElsewhere, m_spots.reliefElsewhere, d.elsewhere, sums);
    if (!moves(d)) squares(d, m_spots.costAtSpots, m_spots.reliefAtSpots, {}, sums);
}

void ChanceDraws::spots(const Taken& d, std::size_t from, std::size_t to, const SpotShift* shifts,
                        DrawSums& sums) const {
    if (!moves(d)) return;
    for (std::size_t i = from; i < to; ++i) {
        const SpotShift* shift = shifts ? shifts + (i - from) : nullptr;
        if (d.shadow.empty())
            averaged(d, m_spots.spots[i], shift, sums);
        else
            decided(d, m_spots.spots[i], shift, sums);
    }
}

void ChanceDraws::loads(const Drawn& d, DrawSums& sums, DrawLoads& out) const {
    const std::vector<Served> elsewhere = servedElsewhere(d);
    const Taken all = taken(d, Which{true, true, true, true}, elsewhere);
    begin(all, sums);
    std::vector<SpotShift> shifts;
    spots(all, 0, m_spots.spots.size(), shiftsOf(all, 0, m_spots.spots.size(), shifts), sums);
    finish(sums, out);
}

void ChanceDraws::loadsByInput(const Drawn& d, std::array<DrawSums, kChanceInputs + 1>& sums, DrawLoads& all,
                               const std::array<DrawLoads*, kChanceInputs>& alone) const {
    const std::vector<Served> elsewhere = servedElsewhere(d);
    std::array<DrawLoads*, kChanceInputs + 1> wanted{};
    std::copy(alone.begin(), alone.end(), wanted.begin());
    wanted.back() = &all;
    std::array<Taken, kChanceInputs + 1> what;
    for (std::size_t i = 0; i < what.size(); ++i) {
        if (!wanted[i]) continue;
        Which which{};
        if (i == kChanceInputs)
            which.fill(true);
        else
            which[i] = true;
        what[i] = taken(d, which, elsewhere);
        begin(what[i], sums[i]);
    }
    std::vector<SpotShift> room;
    for (std::size_t from = 0; from < m_spots.spots.size(); from += kSpotsAtHand) {
        const std::size_t to = std::min(from + kSpotsAtHand, m_spots.spots.size());
        const SpotShift* shifts = shiftsOf(what.back(), from, to, room);
        for (std::size_t i = 0; i < what.size(); ++i)
            if (wanted[i]) spots(what[i], from, to, shifts, sums[i]);
    }
    for (std::size_t i = 0; i < what.size(); ++i)
        if (wanted[i]) finish(sums[i], *wanted[i]);
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
