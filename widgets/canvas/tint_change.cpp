// SPDX-License-Identifier: GPL-3.0-or-later
// Pictures of before, after and change: what small cells have a part in.
#include "canvas/tint_picture.h"
#include "study/change_rasters.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fw {

namespace {

constexpr auto kPixels = static_cast<std::size_t>(kRasterPixels) * kRasterPixels;
constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();
constexpr std::uint8_t kLeast = 1, kMost = 255;

std::vector<double> steps(double first, double by) {
    std::vector<double> out(kTintSteps - 1, first);
    for (std::size_t k = 0; k < out.size(); ++k) out[k] += static_cast<double>(k) * by;
    return out;
}

std::vector<float> floats(std::size_t n) { return std::vector<float>(n, kNothing); }

// Of a radio state, what a tint shows.
std::vector<float> shownOf(const RadioRaster& r, GroundTint tint) {
    std::vector<float> out = floats(kPixels);
    for (std::size_t i = 0; i < kPixels; ++i) {
        if (tint == GroundTint::rate) {
            if (r.rateKbps[i] != kNoRate) out[i] = static_cast<float>(r.rateKbps[i]) / 1000;
            continue;
        }
        const int v = tint == GroundTint::sinr ? r.sinrCenti[i] : r.levelCenti[i];
        if (v != kNothingHeard) out[i] = static_cast<float>(v) / 100;
    }
    return out;
}

// What is made once for all moments of a request, and where its tiles lie.
struct Made {
    std::shared_ptr<TintValues> values = std::make_shared<TintValues>();
    std::vector<TileKey> keys;
    double indoorFromDbm = 0;
};

void addRadio(Made& m, const Study& study, const TintRequest& q, const Job& job) {
    for (const Moment moment : {Moment::before, Moment::after}) {
        const auto rasters = radioRasters(study, q.carrier, moment, 0, job);
        const bool before = moment == Moment::before;
        for (const RadioRaster& r : rasters) {
            if (before) m.keys.push_back(r.key);
            if (q.tint == GroundTint::bestServer)
                (before ? m.values->serverBefore : m.values->serverAfter).push_back(r.server);
            else
                (before ? m.values->before : m.values->after).push_back(shownOf(r, q.tint));
        }
    }
}

void addCosts(Made& m, const Study& study, const TintRequest& q, const Job& job) {
    const auto costs = costRasters(study, q.carrier, job);
    const auto changes = costChanges(study, q.carrier, 0, job);
    for (std::size_t t = 0; t < costs.size() && t < changes.size(); ++t) {
        m.keys.push_back(costs[t].key);
        auto& before = m.values->before.emplace_back(floats(kPixels));
        auto& after = m.values->after.emplace_back(floats(kPixels));
        for (std::size_t i = 0; i < kPixels; ++i) {
            if (costs[t].pointsPerHa[i] <= 0) continue;
            before[i] = costs[t].pointsPerHa[i];
            after[i] = std::max(0.0F, before[i] - changes[t].reliefPerHa[i] + changes[t].harmPerHa[i]);
        }
    }
}

void addIndoor(Made& m, const Study& study, const TintRequest& q, const Job& job) {
    IndoorSpec spec;
    spec.storey = q.storey;
    spec.layer = q.carrier;
    spec.fromDbm = q.indoorFromDbm;
    m.indoorFromDbm = q.indoorFromDbm.value_or(study.plan().settings->model.servedFromDbm);
    auto coverage = std::make_shared<const IndoorCoverage>(indoorCoverage(study, spec, 0, job));
    for (const IndoorCoverage::Tile& tile : coverage->tiles) {
        m.keys.push_back(tile.key);
        auto& before = m.values->before.emplace_back(floats(kPixels));
        auto& after = m.values->after.emplace_back(floats(kPixels));
        for (std::size_t i = 0; i < kPixels; ++i) {
            if (tile.building[i] == kNoBuilding) continue;
            const BuildingCoverage& b = coverage->buildings[tile.building[i]];
            if (!b.samples) continue;
            before[i] = static_cast<float>(100 * b.shareBefore());
            after[i] = static_cast<float>(100 * b.shareAfter());
        }
    }
    m.values->indoor = std::move(coverage);
}

// False when stopped, or when there is nothing to make it of.
bool make(Made& m, const std::shared_ptr<const Study>& study, const TintRequest& q, const Job& job) {
    if (!study || !hasMoments(q.tint) || q.carrier >= static_cast<int>(study->layers().size())) return false;
    if (q.tint == GroundTint::prbCost)
        addCosts(m, *study, q, job);
    else if (q.tint == GroundTint::indoor)
        addIndoor(m, *study, q, job);
    else
        addRadio(m, *study, q, job);
    return !job.stopped() && !m.keys.empty();
}

// Amounts over 0: of both moments for rates, so that the steps are the same; what cost is there is there
// before.
std::vector<double> sharedDoubling(GroundTint tint, const TintValues& v) {
    std::vector<float> all;
    for (const auto* tiles : {&v.before, &v.after}) {
        if (tiles == &v.after && tint == GroundTint::prbCost) break;
        for (const auto& tile : *tiles)
            std::copy_if(tile.begin(), tile.end(), std::back_inserter(all), [](float x) { return x > 0; });
    }
    return tint_parts::doublingBounds(std::move(all));
}

std::vector<double> amountBounds(GroundTint tint, const TintValues& v) {
    switch (tint) {
    case GroundTint::rsrp:
        return steps(-120, 10);
    case GroundTint::sinr:
        return {kSinrBounds.begin(), kSinrBounds.end()};
    case GroundTint::indoor:
        return steps(12.5, 12.5);
    default:
        return sharedDoubling(tint, v);
    }
}

// Steps of a change: as many below zero as above it.
void setChangeBounds(TintPicture& p) {
    const auto mirrored = [&](double a, double b, double c, double least) {
        p.bounds = {-c, -b, -a, 0, a, b, c};
        p.leastChange = least;
    };
    if (p.tint == GroundTint::rsrp || p.tint == GroundTint::sinr) return mirrored(3, 6, 12, 0.5);
    if (p.tint == GroundTint::indoor) return mirrored(25, 50, 75, 0.5);
    std::vector<float> all;
    const TintValues& v = *p.values;
    for (std::size_t t = 0; t < v.before.size(); ++t)
        for (std::size_t i = 0; i < v.before[t].size(); ++i)
            if (const float d = std::abs(v.after[t][i] - v.before[t][i]); d > 0) all.push_back(d);
    const auto bounds = tint_parts::doublingBounds(std::move(all));
    if (bounds.empty()) return;
    const double top = bounds.back();
    mirrored(top / 4, top / 2, top, top / 16);
}

void fillChange(TintPicture& p) {
    setChangeBounds(p);
    const TintValues& v = *p.values;
    for (std::size_t t = 0; t < p.tiles.size(); ++t) {
        auto& out = p.tiles[t].amount[0];
        out.assign(kPixels, 0);
        for (std::size_t i = 0; i < kPixels && !p.bounds.empty(); ++i) {
            const bool was = !std::isnan(v.before[t][i]), is = !std::isnan(v.after[t][i]);
            const double d = static_cast<double>(v.after[t][i]) - static_cast<double>(v.before[t][i]);
            if (was && is)
                out[i] = std::abs(d) < p.leastChange ? std::uint8_t{0} : tintValue(p.bounds, d);
            else if (was || is) // served at all, or no more
                out[i] = is ? kMost : kLeast;
        }
        tint_parts::coarsenLevels(p.tiles[t]);
    }
}

void fillMoment(TintPicture& p) {
    const TintValues& v = *p.values;
    p.bounds = amountBounds(p.tint, v);
    const auto& tiles = p.moment == TintMoment::before ? v.before : v.after;
    if (p.bounds.empty()) return;
    for (std::size_t t = 0; t < p.tiles.size(); ++t) {
        if (p.tint == GroundTint::prbCost) {
            std::vector<float> amounts = tiles[t];
            std::replace_if(
                amounts.begin(), amounts.end(), [](float x) { return std::isnan(x); }, 0.0F);
            tint_parts::fillAmounts(p.tiles[t], std::move(amounts), p.bounds.front());
            continue;
        }
        auto& out = p.tiles[t].amount[0];
        out.assign(kPixels, 0);
        for (std::size_t i = 0; i < kPixels; ++i)
            if (!std::isnan(tiles[t][i])) out[i] = tintValue(p.bounds, static_cast<double>(tiles[t][i]));
        tint_parts::coarsenLevels(p.tiles[t]);
    }
}

// Of the servers after, those that did not serve before.
std::vector<std::vector<std::uint32_t>> newServers(const TintValues& v) {
    auto out = v.serverAfter;
    for (std::size_t t = 0; t < out.size(); ++t)
        for (std::size_t i = 0; i < out[t].size(); ++i)
            if (out[t][i] == v.serverBefore[t][i]) out[t][i] = kNoServer;
    return out;
}

std::shared_ptr<const TintPicture> pictureOf(const std::shared_ptr<const Study>& study, const Made& made,
                                             const TintRequest& q) {
    auto p = std::make_shared<TintPicture>();
    p->tint = q.tint;
    p->carrier = q.carrier;
    p->moment = q.moment;
    p->storey = q.storey;
    p->indoorFromDbm = made.indoorFromDbm;
    p->study = study;
    p->values = made.values;
    p->tileX0 = made.keys.front().x;
    p->tileY0 = made.keys.front().y;
    p->tilesW = made.keys.back().x - p->tileX0 + 1;
    p->tilesH = made.keys.back().y - p->tileY0 + 1;
    p->tiles.resize(made.keys.size());
    if (q.tint == GroundTint::bestServer) {
        const auto changed = q.moment == TintMoment::change ? newServers(*made.values)
                                                            : std::vector<std::vector<std::uint32_t>>{};
        const auto* after = q.moment == TintMoment::before  ? nullptr
                            : q.moment == TintMoment::after ? &made.values->serverAfter
                                                            : &changed;
        tint_parts::makeServers(*p, made.values->serverBefore, after);
    } else if (q.moment == TintMoment::change) {
        fillChange(*p);
    } else {
        fillMoment(*p);
    }
    return p;
}

} // namespace

std::uint8_t tintValue(const std::vector<double>& bounds, double value) {
    const auto k =
        static_cast<std::size_t>(std::upper_bound(bounds.begin(), bounds.end(), value) - bounds.begin());
    double part = 0.5; // in the middle of the open steps at both ends
    if (k > 0 && k < bounds.size()) part = (value - bounds[k - 1]) / (bounds[k] - bounds[k - 1]);
    const double v = (static_cast<double>(k) + part) * kPerStep;
    // Not into the next step by rounding, and never 0, which is nothing.
    return static_cast<std::uint8_t>(std::clamp(v, std::max(1.0, static_cast<double>(k) * kPerStep),
                                                static_cast<double>(k + 1) * kPerStep - 1));
}

std::shared_ptr<const TintPicture> tint_parts::makeMoment(const std::shared_ptr<const Study>& study,
                                                          const TintRequest& request, const Job& job) {
    Made made;
    if (!make(made, study, request, job)) return nullptr;
    return pictureOf(study, made, request);
}

TintPair makeTintPair(const std::shared_ptr<const Study>& study, const TintRequest& request, const Job& job) {
    Made made;
    if (!make(made, study, request, job)) return {};
    TintRequest before = request, after = request;
    before.moment = TintMoment::before;
    after.moment = TintMoment::after;
    return {pictureOf(study, made, before), pictureOf(study, made, after)};
}

} // namespace fw
