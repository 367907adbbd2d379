// SPDX-License-Identifier: GPL-3.0-or-later
#include "catch.h"
#include "geo/frame.h"
#include "intake/audit_edit.h"
#include "intake/audit_oracle.h"
#include "intake/audit_plan.h"
#include "intake/inventory_audit.h"

#include <algorithm>

using namespace fwtest;
using Catch::Matchers::Contains;

namespace {

Doubts doubtsOf(const std::vector<AuditFinding>& findings) {
    Doubts out;
    for (const AuditFinding& f : findings) out.insert({f.check, f.subjects});
    return out;
}
std::string doubtsText(const Doubts& doubts) {
    std::string text;
    for (const auto& [check, subjects] : doubts) {
        text += check + ":";
        for (const ItemId id : subjects) text += " " + std::to_string(id.v);
        text += "\n";
    }
    return text;
}
std::vector<AuditFinding> of(const Plan& plan, const std::string& check, const AuditEvidence& evidence = {}) {
    std::vector<AuditFinding> out;
    for (AuditFinding& f : auditInventory(plan, evidence))
        if (f.check == check) out.push_back(std::move(f));
    return out;
}
AuditFinding only(const Plan& plan, const std::string& check, const AuditEvidence& evidence = {}) {
    auto found = of(plan, check, evidence);
    REQUIRE(found.size() == 1);
    return found.front();
}
Plan after(Plan plan, const AuditFinding& f) {
    REQUIRE(f.edit);
    INFO(f.text);
    const auto undo = apply(plan, *f.edit);
    if (!undo) FAIL(undo.error().sentence());
    return plan;
}
const Sector& nth(const Plan& plan, std::size_t n) {
    return *std::next(plan.sectors.begin(), static_cast<std::ptrdiff_t>(n));
}
const Cell& nthCell(const Plan& plan, std::size_t n) {
    return *std::next(plan.cells.begin(), static_cast<std::ptrdiff_t>(n));
}

} // namespace

TEST_CASE("a sound network has nothing doubtful", "[audit]") {
    for (const double first : {0.0, 20.0, 119.0, 350.0}) {
        Network n(6, first);
        CHECK(auditInventory(n.plan).empty());
    }
    CHECK(auditInventory(Plan{}).empty());
}

TEST_CASE("the audit finds what a plain count over all pairs finds, no more and no less", "[audit]") {
    for (std::uint64_t seed = 1; seed <= 400; ++seed) {
        Random random(seed);
        Network n(3 + static_cast<int>(random.below(6)), random.between(0, 360));
        for (std::uint32_t k = random.below(6); k > 0; --k) n.plant(random);
        INFO("seed " << seed);
        const Doubts found = doubtsOf(auditInventory(n.plan)), expected = AuditOracle(n.plan).all();
        CHECK(doubtsText(found) == doubtsText(expected));
    }
}

TEST_CASE("every proposed edit applies, alone and one after the other, and undo brings the plan back",
          "[audit]") {
    std::size_t edits = 0;
    for (std::uint64_t seed = 1; seed <= 150; ++seed) {
        Random random(seed);
        Network n(6, random.between(0, 360));
        for (std::uint32_t k = 1 + random.below(5); k > 0; --k) n.plant(random);
        INFO("seed " << seed);
        for (const AuditFinding& f : auditInventory(n.plan)) {
            CHECK_FALSE(f.text.empty());
            CHECK_FALSE(f.proposal.empty());
            CHECK_FALSE(f.source.empty());
            if (!f.edit) continue;
            ++edits;
            Plan plan = n.plan;
            const auto undo = apply(plan, *f.edit);
            INFO(f.text);
            REQUIRE(undo.ok());
            const auto now = doubtsOf(auditInventory(plan));
            CHECK_FALSE(now.contains({f.check, f.subjects}));
            REQUIRE(apply(plan, *undo).ok());
            CHECK(plan == n.plan);
        }
    }
    CHECK(edits > 150);
}

TEST_CASE("equal azimuths: the limit is 5 deg and holds across north", "[audit]") {
    Network n(3, 358);
    const auto turned = [&](double deg) {
        Network m = n;
        m.change(m.plan.sectors, nth(m.plan, 1).id, [&](Sector& s) { s.azimuth = {deg}; });
        return of(m.plan, "equal-azimuths").size();
    };
    CHECK(turned(2.9) == 1);
    CHECK(turned(3.1) == 0);
    CHECK(turned(353.1) == 1);
    CHECK(turned(352.9) == 0);
    // An antenna a band: the same direction on another carrier is no fault.
    n.change(n.plan.cells, nthCell(n.plan, 1).id, [](Cell& c) { c.carrier.channel = 2850; });
    CHECK(turned(0) == 0);
}

TEST_CASE("a site whose coordinates were exchanged or lost is told apart", "[audit]") {
    Network n(6);
    const ItemId site = n.plan.macroSites.begin()->id;
    const PlanePoint right = n.plan.macroSites.find(site)->at;
    const auto moved = [&](PlanePoint to) {
        Network m = n;
        m.change(m.plan.macroSites, site, [&](MacroSite& s) { s.at = to; });
        return m.plan;
    };
    const Plan exchanged = moved({right.y, right.x});
    AuditFinding f = only(exchanged, "far-off-site");
    CHECK_THAT(f.proposal, Contains("east and north exchanged"));
    CHECK(planeDistance(after(exchanged, f).macroSites.find(site)->at, right) < 0.001);
    const Plan lost = moved({0, 0});
    f = only(lost, "far-off-site");
    CHECK_THAT(f.text, Contains("0, 0"));
    CHECK_FALSE(f.edit);
}

TEST_CASE("a longitude without its sign is proposed back", "[audit]") {
    // UTM zone 31N, 2.3 E: west of Greenwich its sign matters, and the wrong place is still in the system.
    const Frame frame = Frame::fromEpsg(32631).value();
    const PlanePoint right = frame.toPlane({48.5, 2.3}).value(), wrong = frame.toPlane({48.5, -2.3}).value();
    Network n(5);
    PlanSettings s = *n.plan.settings;
    const PlanePoint by = right - n.plan.macroSites.begin()->at;
    s.epsg = 32631;
    s.workArea = {s.workArea.x0 + by.x, s.workArea.y0 + by.y, s.workArea.x1 + by.x, s.workArea.y1 + by.y};
    n.plan.settings = std::make_shared<const PlanSettings>(s);
    const std::vector<MacroSite> sites(n.plan.macroSites.begin(), n.plan.macroSites.end());
    for (const MacroSite& site : sites)
        n.change(n.plan.macroSites, site.id, [&](MacroSite& x) { x.at = x.at + by; });
    CHECK(auditInventory(n.plan).empty());
    n.change(n.plan.macroSites, sites.front().id, [&](MacroSite& x) { x.at = wrong; });
    const AuditFinding f = only(n.plan, "far-off-site");
    CHECK_THAT(f.proposal, Contains("sign of the longitude"));
    // A centimetre: the projection far off its middle.
    CHECK(planeDistance(after(n.plan, f).macroSites.find(sites.front().id)->at, right) < 0.01);
}

TEST_CASE("two sites at one place are joined with their sectors and what stands because of them", "[audit]") {
    Network n(3);
    const ItemId twice = n.site(n.plan.macroSites.begin()->at + PlanePoint{1, 1}, 80);
    Waiver w;
    w.id = n.id();
    w.rule = "faces-macro";
    w.subjects = {twice};
    w.reason = "agreed";
    w.when = "2026-06-01";
    n.plan.waivers.put(w);
    const Plan joined = after(n.plan, only(n.plan, "sites-at-one-place"));
    CHECK(joined.macroSites.size() == 3);
    CHECK(joined.sectors.size() == 12);
    for (const Sector& s : joined.sectors) CHECK(s.site != twice);
    CHECK(joined.waivers.empty());
}

TEST_CASE("heights in feet are told as a whole and turned into metres", "[audit]") {
    Network n(3);
    for (std::size_t k = 0; k < n.plan.sectors.size(); ++k)
        n.change(n.plan.sectors, nth(n.plan, k).id,
                 [&](Sector& s) { s.height = {60.0 + 5 * static_cast<double>(k)}; });
    const AuditFinding f = only(n.plan, "heights-in-feet");
    CHECK(of(n.plan, "height").empty());
    // 1 ft = 0.3048 m exactly (international foot, 1959); heights are kept to the decimetre.
    CHECK(nth(after(n.plan, f), 8).height.m == Approx(100 * 0.3048).margin(0.05));
    n.change(n.plan.sectors, nth(n.plan, 0).id, [](Sector& s) { s.height = {59}; });
    CHECK(of(n.plan, "heights-in-feet").empty());
}

TEST_CASE("channels: what lies in no band blocks, and the usual slips are proposed", "[audit]") {
    Network n(3);
    const ItemId cell = n.plan.cells.begin()->id;
    const auto with = [&](Technology t, std::int32_t channel, double mhz = 20, std::int32_t scs = 15) {
        Network m = n;
        m.change(m.plan.cells, cell, [&](Cell& c) {
            c.carrier.technology = t;
            c.carrier.channel = channel;
            c.carrier.bandwidthMHz = mhz;
            c.carrier.scsKHz = scs;
        });
        return m.plan;
    };
    // 3GPP TS 36.104, table 5.7.3-1: band 3 is EARFCN 1200-1949 down, 19200-19949 up.
    const Plan uplink = with(Technology::lte, 19300);
    AuditFinding f = only(uplink, "channel-outside-band");
    CHECK(f.severity == Severity::block);
    CHECK(after(uplink, f).cells.find(cell)->carrier.channel == 1300);
    // 3GPP TS 38.104, table 5.4.2.3-1: n78 is NR-ARFCN 620000-653333; no LTE channel is that high, and 262143
    // is the most a plan takes. n28 (151600-160600) is within reach.
    const Plan other = with(Technology::lte, 155000);
    f = only(other, "channel-outside-band");
    CHECK(after(other, f).cells.find(cell)->carrier.technology == Technology::nr);
    CHECK(of(with(Technology::lte, 1200 + 100), "channel-outside-band").empty());
    // A 20 MHz carrier needs 100 channels below its centre (NOTE 1 of the table).
    f = only(with(Technology::lte, 1200 + 99), "channel-outside-band");
    CHECK(f.severity == Severity::warn);
    CHECK(only(with(Technology::lte, 7000), "channel-outside-band").edit == std::nullopt);
    // 3GPP TS 36.104, table 5.6-1: 1.4, 3, 5, 10, 15, 20 MHz.
    for (const double mhz : {1.4, 3.0, 5.0, 10.0, 15.0, 20.0})
        CHECK(of(with(Technology::lte, 1500, mhz), "bandwidth-impossible").empty());
    const Plan odd = with(Technology::lte, 1500, 12);
    f = only(odd, "bandwidth-impossible");
    CHECK(f.severity == Severity::block);
    CHECK(after(odd, f).cells.find(cell)->carrier.bandwidthMHz == 10);
}

TEST_CASE("power in watts is read as such, and an odd reference power is left to the total", "[audit]") {
    Network n(3);
    const ItemId cell = n.plan.cells.begin()->id;
    n.change(n.plan.cells, cell, [](Cell& c) { c.totalPowerDbm = 20; });
    // 20 W are 43.0 dBm.
    CHECK(after(n.plan, only(n.plan, "power")).cells.find(cell)->totalPowerDbm == 43.0);
    n.change(n.plan.cells, cell, [](Cell& c) {
        c.totalPowerDbm = 46;
        c.referencePowerDbm = 30;
    });
    const Cell mended = *after(n.plan, only(n.plan, "power")).cells.find(cell);
    CHECK_FALSE(mended.referencePowerDbm);
    CHECK(mended.totalPowerDbm == 46.0);
}

TEST_CASE("one PCI for all cells is one finding; proposed PCIs are free and differ from each other",
          "[audit]") {
    Network n(6);
    for (std::size_t k = 0; k < n.plan.cells.size(); ++k)
        n.change(n.plan.cells, nthCell(n.plan, k).id, [](Cell& c) { c.pci = 0; });
    CHECK(only(n.plan, "pci-unset").subjects.size() == 18);
    CHECK(of(n.plan, "pci-equal").empty());
    n.change(n.plan.cells, nthCell(n.plan, 0).id, [](Cell& c) { c.pci = 7; });
    const auto found = of(n.plan, "pci-equal");
    REQUIRE(found.size() == 16);
    Plan plan = n.plan;
    for (const AuditFinding& f : found) plan = after(plan, f);
    CHECK(of(plan, "pci-equal").empty());
    // The place in the group of three decides where reference signals lie (3GPP TS 36.211, 6.10.1.2).
    for (const Cell& c : plan.cells)
        if (c.id != plan.cells.begin()->id) CHECK(c.pci % 3 == 0);
}

TEST_CASE("counters of cells that the plan does not have are named", "[audit]") {
    Network n(3);
    const std::vector<std::string> counted{"M-1/1-L18", "X-9", "X-10", "X-9"};
    AuditEvidence evidence;
    evidence.countedCells = counted;
    const AuditFinding f = only(n.plan, "load-without-cell", evidence);
    CHECK(f.measured.value == 2);
    CHECK_THAT(f.text, Contains("\"X-9\"") && Contains("\"X-10\"") && !Contains("M-1"));
}

TEST_CASE("proposals of different checks on one sector go together without writing over each other",
          "[audit]") {
    Network n;
    const ItemId id = nth(n.plan, 4).id;
    n.change(n.plan.sectors, id, [](Sector& s) {
        s.height = {0};
        s.mechanicalTiltDeg = s.electricalTiltDeg = 0;
    });
    const Sector& other = nth(n.plan, 0); // like all the rest
    const auto findings = auditInventory(n.plan);
    REQUIRE(findings.size() == 2);
    const auto both = auditEdit(n.plan, {}, findings, {1, 0, 1});
    REQUIRE(both.ok());
    CHECK(both->applied == std::vector<std::size_t>{0, 1});
    CHECK(both->left.empty());
    Plan plan = n.plan;
    const auto undo = apply(plan, both->edit);
    REQUIRE(undo.ok());
    CHECK(plan.sectors.find(id)->height.m == 27.5); // as its neighbours
    CHECK(plan.sectors.find(id)->electricalTiltDeg == other.mechanicalTiltDeg + other.electricalTiltDeg);
    CHECK(auditInventory(plan).empty());
    REQUIRE(apply(plan, *undo).ok());
    CHECK(plan == n.plan);
}

TEST_CASE("what cannot be applied is refused in a sentence", "[audit]") {
    Network n;
    n.change(n.plan.cells, nthCell(n.plan, 0).id, [&](Cell& c) { c.name = nthCell(n.plan, 1).name; });
    n.change(n.plan.sectors, nth(n.plan, 0).id, [](Sector& s) { s.height = {0}; });
    const auto findings = auditInventory(n.plan);
    REQUIRE(findings.size() == 2);
    const std::size_t names = findings[0].edit ? 1 : 0;
    for (const std::vector<std::size_t>& chosen : {std::vector<std::size_t>{}, {names}, {0, 1}, {2}}) {
        const auto edit = auditEdit(n.plan, {}, findings, chosen);
        REQUIRE_FALSE(edit.ok());
        CHECK(edit.error().code == ErrorCode::badInput);
    }
    CHECK_THAT(auditEdit(n.plan, {}, findings, {names}).error().text,
               Contains("Find out whether they are one"));
}

TEST_CASE("of random faults any choice of proposals is one edit, and what was applied is not found again",
          "[audit]") {
    Random random(2026);
    std::size_t applied = 0, left = 0;
    for (int round = 0; round < 150; ++round) {
        Network n;
        for (std::uint32_t k = 0; k < 2 + random.below(9); ++k) n.plant(random);
        const auto findings = auditInventory(n.plan);
        std::vector<std::size_t> chosen;
        for (std::size_t k = 0; k < findings.size(); ++k)
            if (findings[k].edit && random.chance(0.7)) chosen.push_back(k);
        if (chosen.empty()) continue;
        INFO("round " << round);
        const auto edit = auditEdit(n.plan, {}, findings, chosen);
        if (!edit) FAIL(edit.error().sentence());
        std::vector<std::size_t> all = edit->applied;
        all.insert(all.end(), edit->left.begin(), edit->left.end());
        std::sort(all.begin(), all.end());
        CHECK(all == chosen);
        Plan plan = n.plan;
        const auto undo = apply(plan, edit->edit);
        REQUIRE(undo.ok());
        const Doubts now = doubtsOf(auditInventory(plan));
        for (const std::size_t k : edit->applied) {
            INFO(findings[k].check << ": " << findings[k].text);
            CHECK_FALSE(now.contains({findings[k].check, findings[k].subjects}));
        }
        applied += edit->applied.size();
        left += edit->left.size();
        REQUIRE(apply(plan, *undo).ok());
        CHECK(plan == n.plan);
    }
    CHECK(applied > 200);
    CHECK(left < applied / 4);
}
