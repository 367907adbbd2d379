// SPDX-License-Identifier: GPL-3.0-or-later
// The rules about identities beside a checker of plain loops over random plans. Of the program it takes how
// much cells overlap (study/overlap.h, which has a test of its own) and nothing of what follows of it.
#include "review/identity_mend.h"
#include "small_plan.h"
#include "study/overlap.h"
#include "support/random_plan.h"

#include <charconv>
#include <map>
#include <set>

using namespace fwtest;
using fw::testing::EditKind;
using fw::testing::randomEdit;
using fw::testing::randomPlan;
using fw::testing::RandomPlanSpec;

namespace {

const std::set<std::string> kRules{"pci-collision", "pci-confusion", "pci-modulo", "root-sequence-overlap"};

std::shared_ptr<const Study> studiedOnNewLand(const std::shared_ptr<const Study>& before, const Plan& plan) {
    auto s = Study::advance(before, plan, SmallPlan::dryLand(), {1});
    if (!s.ok()) FAIL(s.error().sentence());
    return *s;
}

// A town where few numbers go round, so that many meet; some cells have none.
Plan crowdedTown(Random& random) {
    RandomPlanSpec spec;
    spec.areaM = 600;
    spec.buildings = 60;
    spec.sites = 2;
    spec.mounts = 10;
    spec.macroReachM = 1500;
    Plan plan = randomPlan(random, spec);
    const auto give = [&](auto& c, std::uint32_t pcis) {
        c.pci = static_cast<std::int32_t>(random.below(pcis));
        // Some of NR lie above 137 and are of no short preamble.
        if (random.chance(0.8)) c.identity.rootSequence = (830 + random.below(60)) % 838;
        if (random.chance(0.5) && c.carrier.technology == Technology::nr)
            c.identity.rootSequence = (130 + random.below(12)) % 140;
    };
    const std::vector<Cell> cells(plan.cells.begin(), plan.cells.end());
    for (Cell c : cells) {
        give(c, 12);
        plan.cells.put(c);
    }
    const std::vector<SmallCell> smalls(plan.smallCells.begin(), plan.smallCells.end());
    for (SmallCell s : smalls) {
        if (random.chance(0.2)) s.carrier = {Technology::nr, 630000, 20, Duplex::tdd, 0.74, 30};
        give(s, 9);
        plan.smallCells.put(s);
    }
    PlanSettings settings = *plan.settings;
    if (random.chance(0.5)) {
        settings.profile.limits["pci-collision.margin"] = 3;
        settings.profile.limits["pci-collision.share"] = 5;
        settings.profile.limits["pci-confusion.neighbours"] = 5;
        settings.profile.limits["pci-modulo.share"] = 20;
        settings.profile.limits["root-sequence-overlap.reuse"] = 250;
    }
    plan.settings = std::make_shared<const PlanSettings>(settings);
    return plan;
}

struct Seen {
    std::tuple<Technology, std::int32_t> carrier;
    std::optional<std::int32_t> pci;
    std::set<int> roots;
    PlanePoint at;
    bool small = false;
};

// TS 38.211, table 6.3.3.1-7, at 30 kHz: a sample is 1000 / 30 / 139 us; spread 144 of 61440 parts of a ms,
// and 1 sample. First ones above 137 do not exist.
std::set<int> shortRootsOf(std::int64_t first, double radiusM) {
    std::set<int> out;
    if (first > 137) return out;
    const double samples = (2 * radiusM / 299.792458 + 144 / 61.44) * 139 * 30 / 1000 + 1;
    int shift = 139;
    for (const int n : {69, 46, 34, 27, 23, 19, 17, 15, 13, 12, 10, 8, 6, 4, 2})
        if (n >= samples) shift = n;
    for (int made = 0, k = 0; made < 64; made += 139 / shift, ++k)
        out.insert(static_cast<int>((first + k) % 138));
    return out;
}

// TS 36.211, table 5.7.2-2, as far as radii here need: up to 1.5 km with a spread of 5.2 us and 2 samples.
std::set<int> rootsOf(const std::optional<std::int64_t>& first, double radiusM, const Carrier& carrier) {
    std::set<int> out;
    if (!first) return out;
    if (carrier.technology == Technology::nr && carrier.duplex == Duplex::tdd && carrier.scsKHz >= 30)
        return shortRootsOf(*first, radiusM);
    const double samples = (2 * radiusM / 299.792458 + 5.2083) * 839 / 800 + 2;
    const int shift = samples <= 13 ? 13 : samples <= 15 ? 15 : 18;
    REQUIRE(samples <= 18);
    for (int made = 0, k = 0; made < 64; made += 839 / shift, ++k)
        out.insert(static_cast<int>((*first + k) % 838));
    return out;
}

std::map<ItemId, Seen> cellsOf(const Plan& plan) {
    std::map<ItemId, Seen> out;
    std::map<Technology, std::set<std::int32_t>> macroPcis;
    std::map<Technology, int> macros;
    for (const Cell& c : plan.cells) {
        macroPcis[c.carrier.technology].insert(c.pci);
        ++macros[c.carrier.technology];
    }
    for (const Cell& c : plan.cells) {
        Seen s{{c.carrier.technology, c.carrier.channel}, c.pci, {}, {}, false};
        if (macros[c.carrier.technology] > 1 && macroPcis[c.carrier.technology].size() == 1) s.pci.reset();
        s.roots = rootsOf(c.identity.rootSequence, plan.settings->model.macroReachM, c.carrier);
        s.at = plan.macroSites.find(plan.sectors.find(c.sector)->site)->at;
        out[c.id] = s;
    }
    for (const SmallCell& c : plan.smallCells) {
        if (!c.chosen || c.variant != plan.settings->activeVariant) continue;
        Seen s{{c.carrier.technology, c.carrier.channel}, c.pci, {}, {}, true};
        if (c.pci == 0 && !c.identity.rootSequence && !c.identity.trackingArea && !c.identity.cell)
            s.pci.reset();
        s.roots = rootsOf(c.identity.rootSequence, plan.settings->model.smallReachM, c.carrier);
        s.at = plan.mounts.find(plan.radios.find(c.radio)->mount)->at;
        out[c.id] = s;
    }
    return out;
}

using Pair = std::pair<ItemId, ItemId>;
using Key = std::pair<std::string, std::set<ItemId>>;

// Strongest first, while neither cell has its full number.
std::vector<std::pair<Pair, double>> neighboursOf(const Study& study, const Limits& limits) {
    std::map<Pair, double> strength;
    for (const CellOverlap& o : overlapsOf(study, limits["pci-collision.margin"]).pairs) {
        double& s = strength[std::minmax(o.cell, o.other)];
        s = std::max(s, o.share);
    }
    std::vector<std::pair<Pair, double>> out;
    std::map<ItemId, int> count;
    while (!strength.empty()) {
        auto best = strength.begin();
        for (auto it = strength.begin(); it != strength.end(); ++it)
            if (it->second > best->second) best = it;
        const auto [pair, s] = *best;
        strength.erase(best);
        const int most = static_cast<int>(limits["pci-confusion.neighbours"]);
        if (s < limits["pci-collision.share"] / 100 || count[pair.first] >= most ||
            count[pair.second] >= most)
            continue;
        ++count[pair.first], ++count[pair.second];
        out.emplace_back(pair, s);
    }
    return out;
}

std::map<Key, Severity> wanted(const Study& study) {
    const Limits limits(study.plan().settings->profile);
    const auto cells = cellsOf(study.plan());
    const auto near = neighboursOf(study, limits);
    std::map<Pair, double> strength(near.begin(), near.end());
    const auto neighbours = [&](ItemId a, ItemId b) { return strength.count(std::minmax(a, b)) > 0; };
    std::map<Key, Severity> out;
    for (const auto& [a, x] : cells)
        for (const auto& [b, y] : cells) {
            if (!(a < b) || x.carrier != y.carrier) continue;
            const bool close = planeDistance(x.at, y.at) < limits["root-sequence-overlap.reuse"];
            const bool meet =
                std::any_of(x.roots.begin(), x.roots.end(), [&](int r) { return y.roots.count(r); });
            if (meet && (x.small || y.small) && (close || neighbours(a, b)))
                out[{"root-sequence-overlap", {a, b}}] = Severity::warn;
            if (!x.pci || x.pci != y.pci) continue;
            if (neighbours(a, b) && (x.small || y.small)) out[{"pci-collision", {a, b}}] = Severity::block;
            for (const bool smallOnly : {true, false}) { // of two macro cells rather a small one between
                const auto by = std::find_if(cells.begin(), cells.end(), [&](const auto& c) {
                    return c.first != a && c.first != b && neighbours(a, c.first) && neighbours(b, c.first) &&
                           (c.second.small || !smallOnly);
                });
                if (x.small || y.small ? smallOnly : !smallOnly) continue;
                if (by != cells.end()) out[{"pci-confusion", {a, b, by->first}}] = Severity::block;
            }
        }
    for (const auto& [a, x] : cells) {
        if (!x.small || !x.pci) continue;
        for (const auto& [pair, s] : near) {
            if (pair.first != a && pair.second != a) continue;
            const ItemId b = pair.first == a ? pair.second : pair.first;
            const Seen& y = cells.at(b);
            if (y.carrier != x.carrier || !y.pci) continue;
            if (*x.pci % 3 == *y.pci % 3 && s >= limits["pci-modulo.share"] / 100)
                out[{"pci-modulo", {a, b}}] = Severity::note;
            break;
        }
    }
    return out;
}

std::map<Key, Severity> found(const Review& review) {
    std::map<Key, Severity> out;
    for (const Finding& f : review.findings)
        if (kRules.count(f.rule))
            REQUIRE(out.emplace(Key{f.rule, {f.subjects.begin(), f.subjects.end()}}, f.severity).second);
    return out;
}

} // namespace

TEST_CASE("Findings about identities are those of a checker that tries every pair", "[review][identity]") {
    std::map<std::string, int> hits;
    std::size_t pairs = 0;
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        Random random(seed);
        Plan plan = crowdedTown(random);
        if (seed == 8) { // macros that were never given any
            const std::vector<Cell> cells(plan.cells.begin(), plan.cells.end());
            for (Cell c : cells) {
                c.pci = 4;
                plan.cells.put(c);
            }
        }
        const auto study = studiedOnNewLand(nullptr, plan);
        INFO("seed " << seed);
        const auto want = wanted(*study);
        CHECK(found(reviewAll(*study, {false, {}})) == want);
        for (const auto& [key, severity] : want) ++hits[key.first];
        pairs += cellsOf(plan).size() * (cellsOf(plan).size() - 1) / 2;
    }
    for (const std::string& rule : kRules) {
        INFO(rule << ": " << hits[rule] << " of " << pairs << " pairs");
        CHECK(hits[rule] >= 5);
        CHECK(static_cast<std::size_t>(hits[rule]) * 2 < pairs);
    }
}

TEST_CASE("Identities are reviewed anew after an edit, and passed on within a drag", "[review][identity]") {
    const std::vector<EditKind> kinds{EditKind::mount, EditKind::radio, EditKind::smallCell, EditKind::macro};
    Random random(31);
    Plan plan = crowdedTown(random);
    auto study = studiedOnNewLand(nullptr, plan);
    Review review = reviewAll(*study, {false, {}});
    int changed = 0;
    for (int k = 0; k < 12; ++k) {
        const Edit edit = randomEdit(plan, random, kinds[static_cast<std::size_t>(k) % kinds.size()]);
        INFO("edit " << k << ": " << edit.text);
        REQUIRE(apply(plan, edit).ok());
        const auto next = studiedOnNewLand(study, plan);
        const auto before = found(review);
        Review after = reviewAfter(*next, review, *study, {false, {}});
        CHECK(after == reviewAll(*studiedOnNewLand(nullptr, plan), {false, {}}));
        changed += found(after) != before;
        study = next;
        review = std::move(after);
    }
    CHECK(changed > 2);

    // A frame: as found at rest, while the rest of the review follows.
    ReviewOptions frame{false, {}};
    frame.identities = false;
    const Radio radio = *plan.radios.begin();
    Hypothesis h;
    h.mount = *plan.mounts.find(radio.mount);
    h.mount->at = h.mount->at + PlanePoint{60, 25};
    const auto over = study->overlay(h);
    const Review dragged = reviewAfter(*over, review, *study, frame);
    CHECK(found(dragged) == found(review));
    CHECK(found(reviewAll(*over, frame)).empty());
    const auto others = [](const Review& r) {
        std::vector<Finding> out;
        for (const Finding& f : r.findings)
            if (!kRules.count(f.rule)) out.push_back(f);
        return out;
    };
    Plan moved = plan;
    moved.mounts.put(*h.mount);
    const Review cold = reviewAll(*studiedOnNewLand(nullptr, moved), {false, {}});
    CHECK(others(dragged) == others(cold));
    CHECK(dragged.blockedItems == cold.blockedItems); // a number makes no mount unfit
    CHECK(reviewAfter(*over, dragged, *over, {false, {}}) == cold);
}

TEST_CASE("The PCI that a remedy names clears the finding and makes no new one", "[review][identity]") {
    int asked = 0;
    for (const std::uint64_t seed : {41u, 42u}) {
        Random random(seed);
        const Plan plan = crowdedTown(random);
        const auto study = studiedOnNewLand(nullptr, plan);
        const Review before = reviewAll(*study, {false, {}});
        const auto was = found(before);
        const Limits limits(plan.settings->profile);
        const Neighbours near(*study);
        const RuleView view(*study, limits, near);
        for (const Finding& f : before.findings) {
            if (f.severity != Severity::block || !kRules.count(f.rule) || asked >= 12) continue;
            const auto remedy = otherPci(view, f);
            REQUIRE(remedy);
            const SmallCell* small = plan.smallCells.find(f.subjects[0]);
            if (!small) {
                CHECK(remedy->text.find("macro cells") != std::string::npos);
                continue;
            }
            const std::size_t at = remedy->text.find(" PCI ");
            INFO(f.text << " " << remedy->text);
            REQUIRE(at != std::string::npos);
            SmallCell other = *small;
            std::from_chars(remedy->text.data() + at + 5, remedy->text.data() + remedy->text.size(),
                            other.pci);
            Plan mended = plan;
            mended.smallCells.put(other);
            const auto now = found(reviewAll(*studiedOnNewLand(nullptr, mended), {false, {}}));
            CHECK(now.count({f.rule, {f.subjects.begin(), f.subjects.end()}}) == 0);
            for (const auto& [key, severity] : now)
                if (severity == Severity::block) CHECK(was.count(key) == 1);
            ++asked;
        }
    }
    CHECK(asked > 4);
}
