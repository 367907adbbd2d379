// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/sanitized.h"
#include "catch.h"
#include "oracle.h"
#include "oracle_plan.h"
#include "review/review.h"

#include <algorithm>
#include <iostream>
#include <set>

using namespace fw;
using namespace fwtest;
using Says = Verdict::Says;

namespace {

struct Tally {
    int hits = 0, nearMisses = 0, overNorth = 0, south = 0, otherLimits = 0, undecided = 0;
};

std::string toText(const TupleKey& k, std::uint64_t seed) {
    std::string s = "seed " + std::to_string(seed) + ", " + k.first;
    for (const ItemId id : k.second) s += ' ' + std::to_string(id.v);
    return s;
}

std::map<TupleKey, const Finding*> byTuple(const Review& review, const std::set<std::string>& rules) {
    std::map<TupleKey, const Finding*> out;
    for (const Finding& f : review.findings) {
        if (!rules.count(f.rule)) continue;
        TupleKey k{f.rule, f.subjects};
        std::sort(k.second.begin(), k.second.end());
        out[k] = &f;
    }
    return out;
}

// True when the finding (or its absence) is what the oracle says.
bool agrees(const Verdict& v, const Finding* f) {
    switch (v.says) {
    case Says::nothing:
        return !f;
    case Says::finding:
        return f && static_cast<int>(f->severity) == v.severity;
    case Says::atLeast:
        return f && static_cast<int>(f->severity) >= v.severity;
    case Says::mayBe:
    case Says::tooClose:
        return true;
    }
    return false;
}

} // namespace

// Where every access is checked a plan takes twenty times as long; the counts are asked for where all plans
// run.
#if defined(FW_SANITIZED)
constexpr std::uint64_t kPlans = 40;
#else
constexpr std::uint64_t kPlans = 1000;
#endif

// No miss, no false alarm outside 0.1 deg or 0.1 m of a limit; enough of each kind for the claim to mean
// something: at least a hundred hits and near misses a rule, beams over north, both hemispheres, other
// limits.
TEST_CASE("Orientation rules agree with an oracle of its own geometry on a thousand plans",
          "[review][oracle]") {
    const std::set<std::string> asked{"faces-macro",       "mutual-facing", "one-way-facing",
                                      "same-mount-spread", "height-window", "line-clearance"};
    std::map<std::string, Tally> tally;
    Terrain ground;
    ground.flatM = 12; // above the sea
    const auto flat = std::make_shared<const Terrain>(ground);
    for (std::uint64_t seed = 1; seed <= kPlans; ++seed) {
        const OraclePlan p = OraclePlanMaker(seed).make();
        const Limits limits(p.plan.settings->profile);
        const auto study = Study::advance(nullptr, p.plan, flat, {1});
        REQUIRE(study.ok());
        const Review review = reviewAll(**study, {false, {}});
        const auto found = byTuple(review, asked);
        const auto want = oracle(p.plan, p.frame, [&](const char* name) { return limits[name]; });
        const bool south = p.frame.toGeo(p.plan.settings->workArea.centre()).value().latDeg < 0;
        for (const auto& [key, v] : want) {
            const auto it = found.find(key);
            const Finding* f = it == found.end() ? nullptr : it->second;
            INFO(toText(key, seed) << ": " << (f ? f->text : "no finding") << "; oracle says "
                                   << static_cast<int>(v.says) << ", severity " << v.severity);
            REQUIRE(agrees(v, f));
            Tally& t = tally[key.first];
            const bool hit = v.says == Says::finding || v.says == Says::atLeast;
            t.hits += hit;
            t.nearMisses += v.nearMiss;
            t.overNorth += hit && v.overNorth;
            t.south += hit && south;
            t.otherLimits += hit && p.plan.settings->profile.name == "other";
            t.undecided += v.says == Says::tooClose;
        }
        for (const auto& [key, f] : found) {
            INFO(toText(key, seed) << ": " << f->text);
            REQUIRE(want.count(key) == 1);
        }
    }
    for (const std::string& rule : asked) {
        if (kPlans < 1000) break;
        const Tally& t = tally[rule];
        INFO(rule << ": " << t.hits << " hits, " << t.nearMisses << " near misses, " << t.overNorth
                  << " over north, " << t.south << " south, " << t.otherLimits << " with other limits, "
                  << t.undecided << " too close to a limit");
        CHECK(t.hits >= 100);
        CHECK(t.nearMisses >= 100);
        CHECK(t.south >= 30);
        CHECK(t.hits - t.south >= 30);
        CHECK(t.otherLimits >= 30);
        const bool hasAzimuth = rule != "height-window" && rule != "line-clearance";
        if (hasAzimuth) CHECK(t.overNorth >= 30);
        CHECK(t.undecided * 10 < t.hits + t.nearMisses); // few escape the comparison
    }
}
