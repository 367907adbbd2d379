// SPDX-License-Identifier: GPL-3.0-or-later
// The identity plan of seeded towns beside a checker that works on the printed result alone.
#include "review/review.h"
#include "siting/identity_town.h"

#include <algorithm>
#include <map>
#include <set>

using namespace fwtest;

namespace {

// Carrier and PCI of every cell as the result has them.
struct Air {
    std::tuple<Technology, std::int32_t> carrier;
    std::int32_t pci = 0;
    auto operator<=>(const Air&) const = default;
};
std::map<ItemId, Air> airOf(const Plan& plan, const IdentityPlan& result) {
    std::map<ItemId, Air> out;
    for (const Cell& c : plan.cells) out[c.id] = {{c.carrier.technology, c.carrier.channel}, c.pci};
    for (const CellPlan& c : result.cells) {
        const SmallCell* s = plan.smallCells.find(c.small);
        out[c.small] = {{s->carrier.technology, s->carrier.channel}, c.pci};
    }
    return out;
}

} // namespace

TEST_CASE("No cell meets its PCI again at a neighbour, nor two neighbours with one", "[siting][identity]") {
    for (const bool nr : {false, true}) {
        const Town town(nr ? 41 : 40, 2, nr);
        const IdentityPlan result = town.identified();
        const auto air = airOf(town.plan(), result);
        REQUIRE(result.cells.size() >= 8);
        std::map<ItemId, std::set<ItemId>> near;
        for (const IdentityNeighbour& n : result.neighbours) near[n.cell].insert(n.neighbour);
        std::size_t pairs = 0;
        for (const auto& [cell, list] : near) {
            std::map<Air, ItemId> seen;
            for (const ItemId other : list) {
                CHECK(near[other].count(cell) == 1); // both ways
                CHECK(air.at(other) != air.at(cell));
                const bool fresh = seen.emplace(air.at(other), other).second;
                // Two macro cells may have been alike before.
                const bool macros =
                    town.study->macroCell(other) && town.study->macroCell(seen.at(air.at(other)));
                CHECK((fresh || macros));
                ++pairs;
            }
            CHECK(list.size() <= 32);
        }
        CHECK(pairs == result.neighbours.size());
        CHECK(pairs > 20);
        CHECK(countOfRule(result.after, "pci-collision") == 0);
        CHECK(countOfRule(result.after, "pci-confusion") == 0);
        CHECK(countOfRule(result.after, "root-sequence-overlap") == 0);
        CHECK(countOfRule(result.before, "pci-collision") + countOfRule(result.before, "pci-confusion") > 0);
    }
}

TEST_CASE("Numbers are unique, within their ranges, and add up to the cell identity", "[siting][identity]") {
    const Town town(42, 2, true);
    const IdentityPlan result = town.identified();
    std::map<std::pair<bool, std::int64_t>, ItemId> mountOf;
    std::set<std::pair<bool, std::int64_t>> identities;
    for (const CellPlan& c : result.cells) {
        const bool lte = town.plan().smallCells.find(c.small)->carrier.technology == Technology::lte;
        REQUIRE(c.cellIdentity);
        // TS 36.413, 9.2.1.38: 20 + 8 bits. TS 38.413, 9.3.1.7: here 24 + 12 bits.
        CHECK(*c.cellIdentity == *c.node * (lte ? 256 : 4096) + *c.cellNumber);
        CHECK(*c.node >= (lte ? 5000 : 70000));
        CHECK(*c.node <= (lte ? 5099 : 70099));
        CHECK(*c.cellNumber <= 255);
        CHECK(identities.insert({lte, *c.cellIdentity}).second);
        const auto [it, fresh] = mountOf.try_emplace({lte, *c.node}, c.mount);
        CHECK(it->second == c.mount); // a base station a mount
        if (lte) {
            REQUIRE(c.host);
            CHECK(c.trackingArea == town.plan().cells.find(c.host)->identity.trackingArea);
            double most = 0;
            ItemId host;
            for (const LedgerLine& line : town.ledger.cells)
                for (const LedgerLine::Part& p : line.relief)
                    if (p.small == c.small && p.use > most) {
                        most = p.use;
                        host = line.cell;
                    }
            if (host) CHECK(c.host == host);
        }
    }
    CHECK(mountOf.size() >= 8);
}

TEST_CASE("The review finds what the identity plan says, before it is applied and after",
          "[siting][identity]") {
    for (const bool nr : {false, true}) {
        Town town(nr ? 49 : 48, 2, nr);
        // By severity first; the identity plan goes by rule.
        const auto reviewed = [](const Study& study) {
            std::vector<Finding> out;
            for (Finding& f : reviewAll(study, {false, {}}).findings)
                if (f.rule.starts_with("pci-") || f.rule == "root-sequence-overlap")
                    out.push_back(std::move(f));
            std::stable_sort(out.begin(), out.end(), [](const Finding& a, const Finding& b) {
                const auto place = [](const Finding& f) {
                    return std::find_if(rules().begin(), rules().end(),
                                        [&](const Rule& r) { return r.id == f.rule; }) -
                           rules().begin();
                };
                return std::pair(place(a), a.subjects) < std::pair(place(b), b.subjects);
            });
            return out;
        };
        const IdentityPlan result = town.identified();
        CHECK(result.before.size() > 3);
        CHECK(reviewed(*town.study) == result.before);
        Plan plan = town.plan();
        REQUIRE(apply(plan, identityEdit(plan, result)));
        town.compute(plan);
        const auto after = reviewed(*town.study);
        CHECK(after == result.after);
        CHECK(countOfRule(after, "pci-collision") + countOfRule(after, "pci-confusion") == 0);

        // Without numbers there is nothing to find: a plan need not have identities yet.
        std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
        for (SmallCell& s : smalls) {
            s.pci = 0;
            s.identity = {};
            plan.smallCells.put(s);
        }
        town.compute(plan);
        CHECK(reviewed(*town.study).empty());
    }
}

TEST_CASE("What is applied is found as it is, and nothing changes a second time", "[siting][identity]") {
    Town town(43, 2);
    const IdentityPlan first = town.identified();
    Plan plan = town.plan();
    const Edit edit = identityEdit(plan, first);
    CHECK(edit.changes.size() >= first.cells.size());
    const auto undo = apply(plan, edit);
    REQUIRE(undo);
    for (const CellPlan& c : first.cells) {
        const SmallCell* s = plan.smallCells.find(c.small);
        CHECK(s->pci == c.pci);
        CHECK(s->identity.rootSequence == c.firstRoot);
        CHECK(s->identity.cell == c.cellIdentity);
        CHECK(s->identity.trackingArea == c.trackingArea);
    }
    town.compute(plan);
    const IdentityPlan second = town.identified();
    CHECK(second.before == first.after);
    CHECK(identityEdit(plan, second).changes.empty());
    REQUIRE(apply(plan, *undo));
    CHECK(plan.smallCells.begin()->identity == CellIdentity{});
}

TEST_CASE("The plan is the same for any number of threads, and keeps what the ledger settles",
          "[siting][identity]") {
    const Town town(44, 2);
    IdentityOptions one = identityOptionsOf(town.plan()), three = one;
    one.threads = 1;
    three.threads = 3;
    const auto a = identify(*town.study, town.ledger, one), b = identify(*town.study, town.ledger, three);
    REQUIRE(a);
    REQUIRE(b);
    CHECK(a->cells == b->cells);
    CHECK(a->neighbours == b->neighbours);
    for (const CellPlan& c : a->cells)
        for (const SmallCellUse& u : town.ledger.smalls)
            if (u.small == c.small) {
                CHECK(c.biasDb == u.biasDb);
                CHECK(c.powerDownDb == u.powerDownDb);
                const SmallCell* s = town.plan().smallCells.find(c.small);
                CHECK(c.powerDbm ==
                      Approx(town.plan().radios.find(s->radio)->totalPowerDbm - u.powerDownDb).margin(1e-9));
            }
}

TEST_CASE("What cannot be given is said by a sentence", "[siting][identity]") {
    Town town(45, 2);
    IdentityOptions options = identityOptionsOf(town.plan());
    options.ranges.enb = "5000-5002";
    const auto few = identify(*town.study, town.ledger, options);
    REQUIRE(few);
    std::set<std::int64_t> nodes;
    std::size_t without = 0;
    for (const CellPlan& c : few->cells)
        if (c.node)
            nodes.insert(*c.node);
        else
            ++without;
    CHECK(nodes == std::set<std::int64_t>{5000, 5001, 5002});
    CHECK(without > 0);
    const auto says = [](const IdentityPlan& p, const char* what) {
        return std::any_of(p.remarks.begin(), p.remarks.end(),
                           [&](const std::string& r) { return r.find(what) != std::string::npos; });
    };
    CHECK(says(*few, "used up"));

    options.ranges.enb = "";
    CHECK(says(*identify(*town.study, town.ledger, options), "No range of eNB numbers"));
    options.ranges.enb = "what";
    const auto refused = identify(*town.study, town.ledger, options);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().text.find("eNB numbers") != std::string::npos);

    // Macros that were never given a PCI are not kept clear of; neither is one that is not known.
    Plan plan = town.plan();
    std::vector<Cell> cells(plan.cells.begin(), plan.cells.end());
    for (Cell& c : cells) {
        c.pci = 0;
        c.identity = {};
        plan.cells.put(c);
    }
    town.compute(plan);
    const IdentityPlan unset = town.identified();
    CHECK(says(unset, "count as not known"));
    CHECK(says(unset, "tracking area"));
    CHECK(says(unset, "root sequences of"));

    std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
    for (SmallCell& s : smalls) {
        s.chosen = false;
        plan.smallCells.put(s);
    }
    town.compute(plan);
    const auto nobody = identify(*town.study, town.ledger, options);
    REQUIRE_FALSE(nobody);
}

TEST_CASE("A range of PCIs that is too small leaves conflicts, each a finding", "[siting][identity]") {
    const Town town(46, 2);
    IdentityOptions options = identityOptionsOf(town.plan());
    options.ranges.pciLte = "300";
    const auto result = identify(*town.study, town.ledger, options);
    REQUIRE(result);
    // All small cells of a carrier that are neighbours collide, all others with a cell between are confused.
    const auto air = airOf(town.plan(), *result);
    std::set<std::pair<ItemId, ItemId>> collide;
    for (const IdentityNeighbour& n : result->neighbours)
        if (n.cell < n.neighbour && air.at(n.cell) == air.at(n.neighbour))
            collide.emplace(n.cell, n.neighbour);
    CHECK(collide.size() > 2);
    CHECK(countOfRule(result->after, "pci-collision") == collide.size());
    for (const Finding& f : result->after)
        if (f.rule == "pci-collision") {
            CHECK(f.severity == Severity::block);
            CHECK(collide.count(std::minmax(f.subjects[0], f.subjects[1])) == 1);
        }
    CHECK(countOfRule(result->after, "pci-confusion") > 0);
}

TEST_CASE("The working of a small cell ends in its identity, with the standard's numbers",
          "[siting][identity]") {
    const Town town(47, 1);
    const IdentityPlan result = town.identified();
    const Working w = workingOf(*town.study, result, result.cells.front());
    REQUIRE_FALSE(w.steps.empty());
    CHECK(w.steps.back().value == static_cast<double>(*result.cells.front().cellIdentity));
    CHECK_FALSE(w.source.empty());
    for (const WorkingStep& s : w.steps)
        if (s.what == "N_CS, the next in the table") CHECK(s.value == 13); // 300 m: configuration 1
}
