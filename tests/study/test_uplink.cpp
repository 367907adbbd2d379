// SPDX-License-Identifier: GPL-3.0-or-later
// The uplink's ledger, held against sums over the twin's receivers with the formulas of 3GPP TS 36.213, 5.1.1
// (power control) and TR 36.942, Annex A (what a link carries) typed here once more.
#include "study/uplink.h"

#include "catch.h"
#include "decibels.h"
#include "hand_plan.h"
#include "load_twin.h"
#include "support/random_plan.h"

#include <cmath>
#include <cstring>

using namespace fw;
using namespace fw::testing;

namespace {

// LTE: 15 kHz. -174 dBm/Hz over 180 kHz and a receiver of 5 dB.
const double kNoiseDbm = -174 + db(180e3) + 5;

struct UplinkByHand {
    double power = 0, perEfficiency = 0, voice = 0;
    bool full = false;
};
UplinkByHand uplinkByHand(double path, const UplinkSettings& o) {
    UplinkByHand u;
    u.power = std::min(o.maxPowerDbm, o.p0Dbm + db(o.blocks) + o.alpha * path);
    u.full = u.power == o.maxPowerDbm;
    const double sinr = std::max(-10.0, u.power - db(o.blocks) - path - kNoiseDbm - o.iotDb);
    u.perEfficiency = 1 / std::min(2.0, 0.4 * std::log2(1 + std::pow(10, sinr / 10)));
    u.voice = o.maxPowerDbm - db(o.voiceBlocks) - path - kNoiseDbm - o.iotDb;
    return u;
}

// A macro in the west with a measured uplink, houses before and behind a small cell.
struct Row {
    HandPlan hand;
    ItemId cell, small;
    Row(std::optional<double> downlink = 0.7, std::optional<double> uplink = 0.42) {
        cell = hand.macro(place(-200, 0), 90, downlink, 4);
        for (int k = 0; k < 6; ++k) hand.building(place(-90 + 50.0 * k, k % 2 ? 30 : -34), 16, 3);
        small = hand.small(place(40, 0), 90);
        setUplink(cell, uplink);
    }
    void setUplink(ItemId id, std::optional<double> use) {
        Cell c = *hand.plan.cells.find(id);
        c.load.ulPrbUse = use;
        hand.plan.cells.put(c);
    }
};

// Few users fit under the power limit: half the street is at full power.
UplinkSettings strained() {
    UplinkSettings o;
    o.p0Dbm = -72;
    o.blocks = 30;
    o.voiceFromSinrDb = 14;
    return o;
}

const UplinkLine* lineOf(const UplinkLedger& l, ItemId cell) {
    for (const UplinkLine& line : l.cells)
        if (line.cell == cell) return &line;
    return nullptr;
}

std::string bytesOf(const UplinkLedger& l) {
    std::string s;
    auto put = [&](double v) { s.append(reinterpret_cast<const char*>(&v), sizeof v); };
    for (const UplinkLine& c : l.cells) {
        for (const double v : {double(c.cell.v), c.before, c.fixed, c.after, c.fullPower, c.voiceEdge})
            put(v);
        for (const auto& p : c.relief) {
            put(double(p.small.v));
            put(p.use);
        }
    }
    for (const UplinkSmall& u : l.smalls)
        for (const double v :
             {double(u.small.v), double(u.macro.v), u.boundaryGapDb.value_or(-99), u.noiseRiseDb})
            put(v);
    return s;
}

Plan townOfSixMounts(std::uint64_t seed) {
    Random random(seed);
    RandomPlanSpec spec;
    spec.areaM = 900;
    spec.buildings = 120;
    spec.mounts = 6;
    return randomPlan(random, spec);
}

} // namespace

TEST_CASE("A device's power and what its link carries follow the published formulas", "[study][uplink]") {
    // -90 + 10 log10 20 + 0.8 x 110 = 11.01 dBm; 23 dBm is reached at (113 - 13.01) / 0.8 = 124.99 dB.
    CHECK(uplinkUser(110).powerDbm == Approx(11.0103).margin(1e-4));
    CHECK_FALSE(uplinkUser(124.9).fullPower);
    CHECK(uplinkUser(125.1).fullPower);
    // 11.01 - 13.01 - 110 + 116.45 - 6 = -1.55 dB: 0.4 log2(1 + 0.700) = 0.306.
    CHECK(uplinkUser(110).sinrDb == Approx(-1.553).margin(1e-3));
    CHECK(uplinkUser(110).efficiency == Approx(0.3062).margin(2e-4));
    // Power goes by the subcarrier spacing over 15 kHz (TS 38.213, 7.1.1), and so does the noise of a PRB.
    CHECK(uplinkUser(110, {}, 30).powerDbm == Approx(14.0206).margin(1e-4));
    CHECK(uplinkUser(110, {}, 30).sinrDb == Approx(uplinkUser(110).sinrDb).margin(1e-9));
    for (double path = 40; path < 180; path += 0.37) {
        const UplinkByHand u = uplinkByHand(path, {});
        CHECK(uplinkUser(path).powerDbm == Approx(u.power).margin(1e-9));
        CHECK(1 / uplinkUser(path).efficiency == Approx(u.perEfficiency).epsilon(1e-9));
        CHECK(uplinkUser(path).voiceSinrDb == Approx(u.voice).margin(1e-9));
    }
}

TEST_CASE("A longer path never carries more, and with alpha 1 all are received alike up to full power",
          "[study][uplink]") {
    UplinkSettings whole;
    whole.alpha = 1;
    int limited = 0;
    for (double path = 50; path < 160; path += 0.25) {
        CHECK(uplinkUser(path + 0.25).efficiency <= uplinkUser(path).efficiency);
        CHECK(uplinkUser(path + 0.25).powerDbm >= uplinkUser(path).powerDbm);
        const UplinkUser u = uplinkUser(path, whole);
        const double received = u.powerDbm - db(whole.blocks) - path;
        limited += u.fullPower;
        if (u.fullPower)
            CHECK(received <= whole.p0Dbm + 1e-9);
        else
            CHECK(received == Approx(whole.p0Dbm).margin(1e-9));
    }
    CHECK(limited > 100);
    CHECK(limited < 340);
}

TEST_CASE("Uplink cost, relief and noise rise of a street are what its receivers add up to",
          "[study][uplink]") {
    Row street;
    street.hand.noShadowing(); // who moves is a matter of levels
    street.hand.set.model.smallUseCap = 1;
    const auto study = compute(street.hand.done());
    REQUIRE(study);
    for (const UplinkSettings& o : {UplinkSettings{}, strained()}) {
        const UplinkLedger ledger = uplinkLedger(**study, o, 1);
        const UplinkLine* line = lineOf(ledger, street.cell);
        REQUIRE(line);
        double all = 0, bits = 0, full = 0, edge = 0, moved = 0, unclear = 0, heard = 0;
        for (const TwinReceiver& r : twinReceivers((*study)->core())) {
            const double path = 15 - r.macroDbm; // 15 dBm a resource element
            const UplinkByHand u = uplinkByHand(path, o);
            const double cost = r.bits * u.perEfficiency;
            bits += r.bits;
            all += cost;
            if (u.full) full += r.bits;
            if (u.voice < o.voiceFromSinrDb) edge += r.bits;
            const double margin = r.smalls.empty() ? -99 : r.smalls[0].dbm - r.macroDbm; // no bias
            if (margin > 0) moved += cost;
            if (std::fabs(margin) < 0.5) unclear += cost; // the model's least spread
            if (margin <= 0 && u.full && !r.smalls.empty()) {
                const double reference = (*study)->smallCell(street.small)->referencePowerDbm;
                heard +=
                    cost * std::pow(10, (o.maxPowerDbm - db(o.blocks) - (reference - r.smalls[0].dbm)) / 10);
            }
        }
        CHECK(line->before == 0.42);
        CHECK(line->fixed == Approx(0.05).margin(1e-6));
        CHECK(line->fullPower == Approx(full / bits).margin(2e-3));
        CHECK(line->voiceEdge == Approx(edge / bits).margin(2e-3));
        const double perCost = 0.37 / all; // 0.42 less 5 points that stay
        REQUIRE(line->relief.size() == 1);
        CHECK(moved > 0.05 * all);
        CHECK(line->relief[0].use == Approx(moved * perCost).margin(unclear * perCost + 1e-4));
        CHECK(line->after == Approx(0.42 - line->relief[0].use).margin(1e-12));
        REQUIRE(ledger.smalls.size() == 1);
        const double rise = db(1 + heard * perCost / std::pow(10, kNoiseDbm / 10));
        CHECK(ledger.smalls[0].noiseRiseDb == Approx(rise).margin(0.02 + 0.05 * rise));
        CHECK(ledger.smalls[0].macro == street.cell);
    }
    const UplinkLedger hard = uplinkLedger(**study, strained(), 1);
    CHECK(lineOf(hard, street.cell)->fullPower > 0.1); // or the second case would say nothing
    CHECK(lineOf(hard, street.cell)->voiceEdge > 0.05);
    CHECK(hard.smalls[0].noiseRiseDb > 1);
}

TEST_CASE("Boundaries lie apart by the difference of reference powers and the bias", "[study][uplink]") {
    Row street;
    const ItemId own = street.hand.small(place(80, 20), 0, bandForty());
    SmallCell c = *street.hand.plan.smallCells.find(street.small);
    c.biasDb = 4;
    street.hand.plan.smallCells.put(c);
    const auto study = compute(street.hand.done());
    REQUIRE(study);
    const UplinkLedger ledger = uplinkLedger(**study, {});
    REQUIRE(ledger.smalls.size() == 1); // on a carrier of its own there is no such boundary
    CHECK(ledger.smalls[0].small == street.small);
    // 37 dBm over 1200 subcarriers and two ports: 37 - 30.79 - 3.01 = 3.20 dBm against 15, less the bias
    // of 4.
    REQUIRE(ledger.smalls[0].boundaryGapDb);
    CHECK(*ledger.smalls[0].boundaryGapDb == Approx(15 - (37 - db(1200) - db(2)) - 4).margin(1e-9));
    CHECK(workingOfSmall(**study, ledger, street.small).steps.back().value == ledger.smalls[0].noiseRiseDb);
    CHECK(workingOfSmall(**study, ledger, own).steps.empty());
    CHECK(workingOfBoundary(**study, ledger, street.small).steps.back().value ==
          *ledger.smalls[0].boundaryGapDb);
    CHECK(workingOfBoundary(**study, ledger, own).steps.empty());
}

TEST_CASE("Every uplink line adds up, and its working ends at the use after", "[study][uplink]") {
    const auto study = compute(townOfSixMounts(20261128));
    REQUIRE(study);
    const UplinkLedger ledger = uplinkLedger(**study, {}, 1);
    int relieved = 0;
    std::size_t measured = 0;
    for (const Cell& c : (*study)->plan().cells) measured += c.load.ulPrbUse.has_value();
    CHECK(ledger.cells.size() == measured);
    for (const UplinkLine& line : ledger.cells) {
        CHECK(line.before == *(*study)->plan().cells.find(line.cell)->load.ulPrbUse);
        double taken = 0;
        for (const auto& p : line.relief) {
            CHECK(p.use > 0);
            taken += p.use;
        }
        relieved += taken > 0;
        CHECK(line.after == Approx(line.before - taken).margin(1e-12));
        // Half a million receivers rounded down by 2^-32 PRB are under a ten-thousandth of a PRB.
        const double still = std::min(0.05, line.before);
        const bool spread = line.fixed < line.before - 1e-9;
        CHECK(line.fixed >= still - 1e-9);
        if (spread) CHECK(line.fixed <= still + 1e-4);
        CHECK(line.after >= line.fixed - 1e-9);
        CHECK(line.voiceEdge <= 1);
        const Working voice = workingOfVoice(**study, ledger, line.cell);
        CHECK(voice.steps.back().value == line.voiceEdge * 100);
        // The path loss told is the one from which uplinkUser() has voice at the edge.
        const double farthest = voice.steps[1].value;
        CHECK(uplinkUser(farthest - 0.01, ledger.settings).voiceSinrDb >= ledger.settings.voiceFromSinrDb);
        CHECK(uplinkUser(farthest + 0.01, ledger.settings).voiceSinrDb < ledger.settings.voiceFromSinrDb);
        CHECK(workingOf(**study, ledger, line.cell).steps.back().value ==
              Approx(line.after * 100).margin(1e-9));
    }
    CHECK(relieved >= 1);
}

TEST_CASE("A cell has an uplink line for its uplink alone", "[study][uplink]") {
    Row mute(0.7, std::nullopt);
    const auto none = compute(mute.hand.done());
    REQUIRE(none);
    const UplinkLedger nothing = uplinkLedger(**none, {});
    CHECK(nothing.cells.empty());
    CHECK(nothing.remarks.size() == 1);
    CHECK(workingOf(**none, nothing, mute.cell).steps.empty());
    CHECK(workingOf(**none, nothing, mute.cell).remarks.size() == 1);

    Row quiet(std::nullopt, 0.42); // nobody measured the downlink
    const auto study = compute(quiet.hand.done());
    REQUIRE(study);
    const UplinkLedger ledger = uplinkLedger(**study, {});
    const UplinkLine* line = lineOf(ledger, quiet.cell);
    REQUIRE(line);
    CHECK(line->fixed == Approx(0.05).margin(1e-6));
    REQUIRE(line->relief.size() == 1);
    CHECK(line->relief[0].use > 0.01);

    Row little(0.7, 0.03); // less than what cannot move
    const auto low = compute(little.hand.done());
    REQUIRE(low);
    const UplinkLedger still = uplinkLedger(**low, {});
    REQUIRE(lineOf(still, little.cell));
    CHECK(lineOf(still, little.cell)->relief.empty());
    CHECK(lineOf(still, little.cell)->fixed == Approx(0.03).margin(1e-9));
}

TEST_CASE("The uplink's ledger has the same bytes for any number of threads", "[study][uplink][threads]") {
    const auto study = compute(townOfSixMounts(7));
    REQUIRE(study);
    const std::string one = bytesOf(uplinkLedger(**study, strained(), 1));
    REQUIRE(!one.empty());
    CHECK(bytesOf(uplinkLedger(**study, strained(), 2)) == one);
    CHECK(bytesOf(uplinkLedger(**study, strained(), 5)) == one);
}
