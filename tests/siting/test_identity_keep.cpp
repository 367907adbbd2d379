// SPDX-License-Identifier: GPL-3.0-or-later
// Which numbers an identity plan keeps beside what the review finds of the same plan, and root sequences of
// short preambles beside plain sets of them.
#include "review/review.h"
#include "siting/identity_town.h"

#include <fmt/format.h>

#include <map>
#include <set>

using namespace fwtest;

namespace {

// Cells that a finding is about; of PCIs those that block, of root sequences any.
std::set<ItemId> foundIn(const Study& study, bool roots) {
    std::set<ItemId> out;
    for (const Finding& f : reviewAll(study, {false, {}}).findings) {
        const bool ofRoots = f.rule == "root-sequence-overlap";
        const bool ofPci = f.rule.starts_with("pci-") && f.severity == Severity::block;
        if (roots ? ofRoots : ofPci) out.insert({f.subjects[0], f.subjects[1]});
    }
    return out;
}

// A town with identities, of which a few are spoilt: with a PCI or a root sequence that goes round.
Plan spoilt(Town& town, Random& random) {
    Plan plan = town.plan();
    REQUIRE(apply(plan, identityEdit(plan, town.identified())));
    const std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
    for (SmallCell s : smalls) {
        if (random.chance(0.3)) s.pci = static_cast<std::int32_t>(random.below(4));
        if (random.chance(0.15)) s.pci = static_cast<std::int32_t>(200 + random.below(50));
        if (random.chance(0.2)) s.identity.rootSequence = random.below(6);
        if (random.chance(0.1)) s.identity.rootSequence.reset();
        plan.smallCells.put(s);
    }
    return plan;
}

std::set<int> rootsOf(const CellPlan& c, std::int64_t first) {
    const int count = isShort(c.preamble) ? 138 : 838;
    std::set<int> out;
    for (int k = 0; k < c.roots; ++k) out.insert(static_cast<int>((first + k) % count));
    return out;
}

} // namespace

TEST_CASE("Numbers in order are kept, and only the rest get new ones", "[siting][identity]") {
    int kept = 0, changed = 0, far = 0;
    for (const std::uint64_t seed : {60, 61, 62}) {
        Random random(seed);
        INFO("seed " << seed);
        Town town(seed, 2, seed % 2 == 1);
        const Plan plan = spoilt(town, random);
        town.compute(plan);
        IdentityOptions o = identityOptionsOf(plan);
        o.ranges.pciLte = o.ranges.pciNr = "0-59";
        o.ranges.rootsLte = "0-99";
        const auto result = identify(*town.study, town.ledger, o);
        REQUIRE(result);
        const auto pciFound = foundIn(*town.study, false), rootFound = foundIn(*town.study, true);
        for (const CellPlan& c : result->cells) {
            const SmallCell* s = plan.smallCells.find(c.small);
            INFO(plan.label(c.small) << ": " << whyPci(plan, c) << ' ' << whyRoots(plan, c));
            const bool lte = s->carrier.technology == Technology::lte;
            if (c.pciBefore >= 0 && s->pci <= 59 && !pciFound.count(c.small)) {
                CHECK(c.pci == s->pci);
                CHECK(whyPci(plan, c).find("is kept") != std::string::npos);
                ++kept;
            } else {
                CHECK(c.pciWhy.cause != NumberCause::inOrder);
                CHECK((c.pciBefore < 0 || (s->pci > 59) == (c.pciWhy.cause == NumberCause::outOfRange)));
                changed += c.pci != c.pciBefore;
                far += s->pci > 59;
            }
            CHECK(c.pci <= 59);
            const auto root = s->identity.rootSequence;
            const int last = lte ? 99 : 137;
            const bool within = root && *root + c.roots - 1 <= last;
            if (within && !rootFound.count(c.small)) {
                CHECK(c.firstRoot == root);
                CHECK(whyRoots(plan, c).find("is kept") != std::string::npos);
            } else {
                CHECK(c.rootWhy.cause == (!root     ? NumberCause::notGiven
                                          : !within ? NumberCause::outOfRange
                                                    : NumberCause::conflict));
            }
        }
        for (const char* rule : {"pci-collision", "pci-confusion", "root-sequence-overlap"})
            CHECK(countOfRule(result->after, rule) == 0);
        CHECK(keptSentence(*result).find("Of ") == 0);
    }
    CHECK(kept > 5);
    CHECK(changed > 3);
    CHECK(far > 0);
}

TEST_CASE("All are given anew where nothing is to be kept", "[siting][identity]") {
    Town town(63, 2);
    Plan plan = town.plan();
    REQUIRE(apply(plan, identityEdit(plan, town.identified())));
    town.compute(plan);
    IdentityOptions o = identityOptionsOf(plan);
    const auto kept = identify(*town.study, town.ledger, o);
    REQUIRE(kept);
    for (const CellPlan& c : kept->cells) {
        CHECK(c.pciWhy.cause == NumberCause::inOrder);
        CHECK(c.rootWhy.cause == NumberCause::inOrder);
    }
    o.keep = false;
    o.ranges.pciLte = "400-450";
    const auto result = identify(*town.study, town.ledger, o);
    REQUIRE(result);
    for (const CellPlan& c : result->cells) {
        CHECK(c.pciWhy.cause == NumberCause::anew);
        CHECK(c.rootWhy.cause == NumberCause::anew);
        CHECK(c.pci >= 400);
    }
}

TEST_CASE("Kept numbers give way where the rest finds no room beside them", "[siting][identity]") {
    // As many PCIs as a town has small cells: whoever may stay must not cost others a conflict.
    Town town(64, 2);
    Plan plan = town.plan();
    std::int32_t n = 100;
    const std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
    for (SmallCell s : smalls) {
        s.pci = n / 2; // pairs collide
        ++n;
        plan.smallCells.put(s);
    }
    town.compute(plan);
    IdentityOptions o = identityOptionsOf(plan), all = o;
    o.ranges.pciLte = all.ranges.pciLte = fmt::format("50-{}", 49 + static_cast<std::int32_t>(smalls.size()));
    all.keep = false;
    const auto result = identify(*town.study, town.ledger, o), anew = identify(*town.study, town.ledger, all);
    REQUIRE(result);
    REQUIRE(anew);
    const auto conflicts = [](const IdentityPlan& p) {
        return countOfRule(p.after, "pci-collision") + countOfRule(p.after, "pci-confusion");
    };
    CHECK(conflicts(*result) <= conflicts(*anew));
}

TEST_CASE("NR cells of time division have roots of short preambles, or of those somebody names",
          "[siting][identity]") {
    const Town town(65, 2, true);
    IdentityOptions o = identityOptionsOf(town.plan());
    for (const bool named : {false, true}) {
        if (named) o.preambles[630000] = PreambleFormat::f0;
        const auto result = identify(*town.study, town.ledger, o);
        REQUIRE(result);
        std::vector<std::set<int>> sets;
        for (const CellPlan& c : result->cells) {
            const bool nr = town.plan().smallCells.find(c.small)->carrier.technology == Technology::nr;
            CHECK(isShort(c.preamble) == (nr && !named));
            if (!nr) continue;
            REQUIRE(c.firstRoot);
            CHECK(*c.firstRoot + c.roots <= (named ? 838 : 138));
            sets.push_back(rootsOf(c, *c.firstRoot));
            if (named) continue;
            // 300 m at 30 kHz: (2.0 + 2.34) us are 18.1 samples, and one of guard; the next shift is 23, six
            // to a root.
            CHECK(c.radiusKm == Approx(0.3));
            CHECK(c.preamble == PreambleFormat::a1);
            CHECK(c.shift == 23);
            CHECK(c.roots == 11);
        }
        REQUIRE(sets.size() > 2);
        // All lie within the reuse distance of 2 km.
        for (std::size_t a = 0; a < sets.size(); ++a)
            for (std::size_t b = a + 1; b < sets.size(); ++b)
                for (const int r : sets[a]) CHECK(sets[b].count(r) == 0);
    }
}

TEST_CASE("What is said of preambles is read, or refused by a sentence", "[siting][identity]") {
    const auto two = preamblesOf(" 630000=A2, 640000=0,");
    REQUIRE(two);
    CHECK(*two ==
          std::map<std::int32_t, PreambleFormat>{{630000, PreambleFormat::a2}, {640000, PreambleFormat::f0}});
    CHECK(preamblesOf("")->empty());
    for (const char* wrong : {"A2", "630000", "630000=A9", "=A1", "x=A1", "99999999999=A1", "-1=A1"}) {
        const auto r = preamblesOf(wrong);
        REQUIRE_FALSE(r);
        CHECK(r.error().text.find("NR-ARFCN=FORMAT") != std::string::npos);
    }
}
