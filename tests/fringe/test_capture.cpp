// SPDX-License-Identifier: GPL-3.0-or-later
// Division of one receiver's users against a dense integral over shadowing, without tables.
#include "base/random.h"
#include "catch.h"
#include "fringe/capture.h"

#include <cmath>

using namespace fw;

namespace {

double milliwatts(double dbm) { return std::pow(10, dbm / 10); }
double bits(double sinr) { return std::max(0.15, sinr < 0.1 ? 0 : std::min(4.4, 0.6 * std::log2(1 + sinr))); }

struct Exact {
    double relief[2] = {0, 0}, carried[2] = {0, 0}, harm = 0; // shares of the cost
};
struct Heard {
    double dbm, share, biasDb, belowDbm; // belowDbm: macro's level, or the threshold on a carrier of its own
    bool own;
};

// Midpoint rule over the macro's shadowing and the rests of two small cells, which correlate by rho / (1 +
// rho) once the macro's is fixed; +-4.5 spreads leave 1e-5 outside.
Exact integrate(const ModelSettings& m, double macroDbm, double macroShare, double othersMw,
                const std::vector<Heard>& cells, double noiseMw) {
    const int n = 45;
    const double rho = m.shadowCorrelation, r = rho / (1 + rho),
                 rest = m.smallSigmaDb * std::sqrt(1 - rho * rho);
    auto node = [&](int k) { return -4.5 + 9.0 * (k + 0.5) / n; };
    auto weight = [&](int k) { return std::exp(-node(k) * node(k) / 2) / std::sqrt(2 * M_PI) * 9 / n; };
    Exact e;
    double whole = 0, stay = 0, stayAfter = 0;
    const bool two = cells.size() > 1;
    for (int q = 0; q < n; ++q) {
        const double macro = macroDbm + m.macroSigmaDb * node(q);
        const double before = 1 / bits(milliwatts(macro) / othersMw);
        whole += weight(q) * before;
        for (int a = 0; a < n; ++a)
            for (int b = 0; b < (two ? n : 1); ++b) {
                const double w = weight(q) * weight(a) * (two ? weight(b) : 1);
                const double x[2] = {node(a), r * node(a) + std::sqrt(1 - r * r) * node(b)};
                double level[2] = {0, 0}, layer = othersMw, best = 0;
                int winner = -1;
                for (std::size_t k = 0; k < cells.size(); ++k) {
                    level[k] = cells[k].dbm + rho * m.smallSigmaDb * node(q) + rest * x[k];
                    const double margin =
                        level[k] + cells[k].biasDb - (cells[k].own ? cells[k].belowDbm : macro);
                    if (margin > best) {
                        best = margin;
                        winner = static_cast<int>(k);
                    }
                    if (!cells[k].own) layer += milliwatts(level[k]) * cells[k].share;
                }
                if (winner < 0) {
                    stay += w * before;
                    stayAfter += w / bits(milliwatts(macro) / layer);
                    continue;
                }
                const Heard& c = cells[static_cast<std::size_t>(winner)];
                const double mw = milliwatts(level[winner]);
                const double heard = c.own ? noiseMw : layer + milliwatts(macro) * macroShare - mw * c.share;
                e.relief[winner] += w * before;
                e.carried[winner] += w / bits(mw / heard);
            }
    }
    for (int k = 0; k < 2; ++k) {
        e.relief[k] /= whole;
        e.carried[k] /= whole;
    }
    e.harm = (stayAfter - stay) / whole;
    return e;
}

// A receiver with its small cells in the study's units.
struct Case {
    std::vector<SmallSource> sources;
    ReceiverLoad load;
    TopTwo top;
    double macroShare = 0.5, othersMw = 0;
    std::vector<Heard> cells;
};
constexpr std::int64_t kCost = 1000000000;

Case makeCase(const ModelTables& t, int macroCenti, int othersCenti, std::vector<std::pair<int, bool>> smalls,
              int biasCenti = 0) {
    Case c;
    c.load.cost = kCost;
    c.load.macroCenti = macroCenti;
    c.load.interference = t.power(othersCenti) + t.noise();
    c.load.servingPower = t.power(macroCenti) / 2;
    c.load.heard = c.load.interference;
    c.load.sinr = macroCenti - t.centiOf(c.load.interference);
    c.othersMw = static_cast<double>(c.load.interference) * 1e-15;
    for (std::size_t k = 0; k < smalls.size(); ++k) {
        SmallSource s;
        s.index = static_cast<std::uint16_t>(k);
        s.layer = smalls[k].second ? -1 : 0;
        s.channel = smalls[k].second ? 1 : 0;
        s.share = 36045; // half used, idle floor 0.1
        s.biasCenti = biasCenti;
        c.sources.push_back(s);
        const Candidate x = candidateFor(s, smalls[k].first, 0, macroCenti, t);
        if (x.any()) c.top.add(x);
        if (!smalls[k].second) c.load.heard += (t.power(smalls[k].first) * s.share) >> 16;
        c.cells.push_back({smalls[k].first / 100.0, 0.55, biasCenti / 100.0,
                           smalls[k].second ? t.ownCarrierFromCenti() / 100.0 : macroCenti / 100.0,
                           smalls[k].second});
    }
    return c;
}
Division divided(const Case& c, const ModelTables& t) {
    std::array<std::int64_t, 2> own{};
    for (const auto& [x, k] : {std::pair{&c.top.first, 0u}, std::pair{&c.top.second, 1u}})
        if (x->any() && c.sources[x->small].layer < 0)
            own[k] = (t.power(x->level) * c.sources[x->small].share) >> 16;
    return divide(c.load, c.top, own, c.sources, t);
}

} // namespace

// What separates the two: five points of the macro's shadowing against 45, mean and spread of the small
// cell's against all of it, the mean power of the small cells over those that stay.
TEST_CASE("Users of one receiver divide as a dense integral over shadowing says") {
    ModelSettings s;
    s.ownCarrierShare = 1;
    const ModelTables t{s};
    Random r(5);
    const double noise = static_cast<double>(t.noise()) * 1e-15;
    double relief[2] = {0, 0}, carried[2] = {0, 0}, harm[2] = {0, 0};
    for (int k = 0; k < 60; ++k) {
        const int macro = -10500 + static_cast<int>(r.below(3500)),
                  others = macro - static_cast<int>(r.below(1500));
        std::vector<std::pair<int, bool>> smalls;
        const bool own = k % 5 == 0;
        smalls.emplace_back(own ? -11500 + static_cast<int>(r.below(2500))
                                : macro - 1200 + static_cast<int>(r.below(2400)),
                            own);
        if (k % 2 && !own)
            smalls.emplace_back(smalls[0].first - 900 + static_cast<int>(r.below(1800)), false);
        const Case c = makeCase(t, macro, others, smalls, k % 3 ? 0 : 300);
        const Division d = divided(c, t);
        const Exact e = integrate(s, macro / 100.0, 0.5, c.othersMw, c.cells, noise);
        std::int64_t all = 0;
        for (const auto& [x, n] : {std::pair{&c.top.first, 0u}, std::pair{&c.top.second, 1u}}) {
            if (!x->any()) continue;
            CAPTURE(k, n, macro, others, x->level, x->margin, e.relief[x->small], e.carried[x->small]);
            const double ours = static_cast<double>(d.relief[n]) / kCost,
                         spent = static_cast<double>(d.carried[n]) / kCost;
            CHECK(std::fabs(ours - e.relief[x->small]) <= 0.04);
            CHECK(std::fabs(spent - e.carried[x->small]) <= 0.02 + 0.25 * e.carried[x->small]);
            all += d.relief[n];
            relief[0] += ours;
            relief[1] += e.relief[x->small];
            carried[0] += spent;
            carried[1] += e.carried[x->small];
        }
        CHECK(all <= c.load.cost);
        harm[0] += static_cast<double>(d.harm) / kCost;
        harm[1] += e.harm;
    }
    // Over many receivers the errors even out: that is what a ledger adds up.
    CHECK(relief[0] == Approx(relief[1]).epsilon(0.01));
    CHECK(carried[0] == Approx(carried[1]).epsilon(0.05));
    CHECK(harm[0] == Approx(harm[1]).epsilon(0.1));
}

TEST_CASE("Relief grows with level and bias, and never exceeds the cost") {
    const ModelTables t{ModelSettings{}};
    std::int64_t before = -1;
    for (int level = -13000; level <= -3000; level += 50) {
        const Division d = divided(makeCase(t, -9000, -9700, {{level, false}}), t);
        CHECK(d.relief[0] >= before);
        CHECK(d.relief[0] <= kCost);
        before = d.relief[0];
    }
    CHECK(before > kCost * 99 / 100); // 60 dB over the macro takes all
    before = -1;
    for (int bias = -600; bias <= 600; bias += 50) {
        const Division d = divided(makeCase(t, -9000, -9700, {{-9100, false}}, bias), t);
        CHECK(d.relief[0] >= before);
        before = d.relief[0];
    }
}

TEST_CASE("A strong carrier of its own takes the devices that have the band, and harms nobody") {
    ModelSettings s;
    const ModelTables t{s};
    // 40 dB over the threshold: every device with the band moves, whatever it hears of the macro. 90 %.
    const Division d = divided(makeCase(t, -9000, -9700, {{-7000, true}}), t);
    CHECK(static_cast<double>(d.relief[0]) / kCost == Approx(0.9).margin(1e-3)); // whole 2^-15 steps
    CHECK(d.harm == 0);
}

TEST_CASE("Those that stay pay for a small cell they hear, and gain when neighbours fall silent") {
    const ModelTables t{ModelSettings{}};
    Case c = makeCase(t, -9000, -9700, {});
    CHECK(divided(c, t).harm == 0); // nothing changed
    c.load.heard = c.load.interference + t.power(-10500);
    CHECK(divided(c, t).harm > 0);
    c.load.heard = c.load.interference - t.power(-10500);
    CHECK(divided(c, t).harm < 0);
    CHECK(divided(makeCase(t, -9000, -9700, {{-9300, false}}), t).harm > 0);
}

TEST_CASE("The two best small cells stay the same whatever order they come in") {
    Random r(3);
    for (int k = 0; k < 500; ++k) {
        std::vector<Candidate> list;
        for (std::uint16_t n = 0; n < 6; ++n) // few margins, so that ties are common
            list.push_back(
                {static_cast<std::int16_t>(r.below(4) * 100), static_cast<std::int16_t>(-9000), n});
        TopTwo one;
        for (const Candidate& x : list) one.add(x);
        for (std::size_t n = list.size() - 1; n > 0; --n)
            std::swap(list[n], list[r.below(static_cast<std::uint32_t>(n + 1))]);
        TopTwo other;
        for (const Candidate& x : list) other.add(x);
        std::sort(list.begin(), list.end(), [](const Candidate& a, const Candidate& b) {
            return a.margin != b.margin ? a.margin > b.margin : a.small < b.small;
        });
        REQUIRE(one.first.small == list[0].small);
        REQUIRE(one.second.small == list[1].small);
        REQUIRE(other.first.small == list[0].small);
        REQUIRE(other.second.small == list[1].small);
    }
}
