// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_file.h"

#include "catch.h"
#include "store/folder.h"
#include "store/other_program.h"
#include "support/random_plan.h"

#include <chrono>
#include <limits>
#include <set>

using namespace fw;
using namespace fw::testing;

namespace {

// Any bit pattern that is a number in [low, high]: long fractions, subnormals, the ends.
double anyNumber(Random& random, double low, double high) {
    switch (random.below(6)) {
    case 0:
        return low;
    case 1:
        return high;
    case 2:
        return std::clamp(std::numeric_limits<double>::denorm_min(), low, high);
    case 3:
        return std::clamp(0.1 + 0.2, low, high);
    default:
        return random.between(low, high);
    }
}

std::string anyText(Random& random) {
    static const std::vector<std::string> texts{"",       "W-17",       "Ørsted's \"quay\"", "نقطة",
                                                "港の角", "two\nlines", "100 % ; -- 'x'",    "  blanks  "};
    return texts[random.below(static_cast<std::uint32_t>(texts.size()))];
}

// Plans whose every field holds something else than its default, within what validate() takes.
Plan plainlyOddPlan(Random& random) {
    Plan plan = randomPlan(random);
    Edit edit{"Odd", {}};
    for (Sector s : plan.sectors) {
        s.name = anyText(random);
        s.height = {anyNumber(random, 0, 500)};
        s.azimuth = {anyNumber(random, 0, std::nextafter(360.0, 0.0))};
        s.mechanicalTiltDeg = anyNumber(random, -90, 90);
        s.electricalTiltDeg = anyNumber(random, -90, 90);
        s.gainDbi = anyNumber(random, -40, 60);
        s.hBeamDeg = anyNumber(random, 1, 360);
        s.vBeamDeg = anyNumber(random, 1, 360);
        edit.changes.emplace_back(Put{s});
    }
    for (Cell c : plan.cells) {
        c.name = anyText(random);
        c.carrier = {Technology::nr,
                     static_cast<std::int32_t>(random.below(3279166)),
                     anyNumber(random, 3, 2000),
                     Duplex::tdd,
                     anyNumber(random, 0.01, 1),
                     120};
        if (random.chance(0.5)) c.referencePowerDbm = anyNumber(random, -80, 80);
        if (random.chance(0.5)) c.totalPowerDbm.reset();
        c.offsetDb = anyNumber(random, -60, 60);
        c.load.users = random.chance(0.5) ? std::optional<double>() : anyNumber(random, 0, 1e6);
        c.load.timingAdvance = {anyNumber(random, 0, 1e15), anyNumber(random, 0, 1e15)};
        edit.changes.emplace_back(Put{c});
    }
    for (Mount m : plan.mounts) {
        m.owner = anyText(random);
        m.access = anyText(random);
        m.at = {anyNumber(random, 5e5, 6e5), anyNumber(random, 4e6, 5e6)};
        m.faces.reset();
        if (random.chance(0.5)) m.faces = TrueAzimuth{anyNumber(random, 0, 359.5)};
        m.tiltsDeg = {anyNumber(random, -90, 90), anyNumber(random, -90, 90)};
        m.kind = static_cast<MountKind>(random.below(4));
        edit.changes.emplace_back(Put{m});
    }
    Waiver w;
    w.id = {plan.lastId.v + 10};
    w.rule = "faces-macro";
    w.reason = "港の角";
    w.subjects = {plan.sectors.begin()->id, plan.radios.begin()->id};
    std::sort(w.subjects.begin(), w.subjects.end());
    w.measured = 0.1 + 0.2;
    w.limit = -1e-300;
    edit.changes.emplace_back(Put{w});
    PlanSettings s = *plan.settings;
    s.model.macroSigmaDb = anyNumber(random, 0, 30);
    s.model.triggerDays = 6;
    s.profile.name = "strict";
    s.profile.limits = {{"faces-macro.reach", 0.1 + 0.2}, {"height-window.low", 5e-324}};
    edit.changes.emplace_back(PutSettings{s});
    const auto done = apply(plan, edit);
    INFO((done ? std::string() : done.error().sentence()));
    REQUIRE(done);
    return plan;
}

Plan reopened(const std::filesystem::path& file) {
    auto open = openPlan(file);
    INFO((open ? std::string() : open.error().sentence()));
    REQUIRE(open);
    CHECK(open->notes.empty());
    CHECK(open->path == file);
    return open->plan;
}

void save(const Plan& plan, const std::filesystem::path& file) {
    const Status s = savePlan(plan, file);
    INFO((s.ok() ? std::string() : s.error().sentence()));
    REQUIRE(s.ok());
}

} // namespace

TEST_CASE("plans come back from a file as they were, bit for bit") {
    const TestFolder folder;
    for (std::uint64_t seed = 1; seed <= 8; ++seed) {
        INFO("seed " << seed);
        Random random(seed);
        const Plan plan = plainlyOddPlan(random);
        const auto file = folder / ("odd" + std::to_string(seed) + ".gpkg");
        save(plan, file);
        const Plan back = reopened(file);
        CHECK(back == plan); // equal doubles have equal bits, but for the sign of zero
        CHECK(back.lastId == plan.lastId);
    }
    Plan empty;
    save(empty, folder / "empty.gpkg");
    CHECK(reopened(folder / "empty.gpkg") == empty);
}

TEST_CASE("the same plan saved to two new files gives the same bytes, also after undo") {
    const TestFolder folder;
    Random random(21);
    Plan plan = randomPlan(random);
    save(plan, folder / "a.gpkg");
    save(plan, folder / "b.gpkg");
    CHECK(bytesOf(folder / "a.gpkg") == bytesOf(folder / "b.gpkg"));
    const ItemId lastId = plan.lastId;
    std::vector<Edit> inverses;
    for (int k = 0; k < 60; ++k) {
        auto inverse = apply(plan, randomEdit(plan, random, static_cast<EditKind>(k % kEditKinds)));
        REQUIRE(inverse);
        inverses.push_back(std::move(*inverse));
    }
    save(plan, folder / "c.gpkg");
    CHECK(bytesOf(folder / "a.gpkg") != bytesOf(folder / "c.gpkg"));
    while (!inverses.empty()) {
        REQUIRE(apply(plan, inverses.back()));
        inverses.pop_back();
    }
    plan.lastId = lastId; // never falls by itself
    save(plan, folder / "d.gpkg");
    CHECK(bytesOf(folder / "a.gpkg") == bytesOf(folder / "d.gpkg"));
    CHECK(reopened(folder / "d.gpkg") == plan);
    std::set<std::string> names;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        names.insert(entry.path().filename());
    CHECK(names == std::set<std::string>{"a.gpkg", "b.gpkg", "c.gpkg", "d.gpkg"}); // nothing is left beside
}

TEST_CASE("saving over a plan, edit after edit, leaves what a new file would hold") {
    const TestFolder folder;
    const std::uint64_t seed = 5;
    INFO("seed " << seed);
    Random random(seed);
    Plan plan = randomPlan(random);
    const auto file = folder / "plan.gpkg";
    save(plan, file);
    for (int round = 0; round < 12; ++round) {
        for (int k = 0; k < 25; ++k)
            REQUIRE(apply(plan, randomEdit(plan, random, static_cast<EditKind>(random.below(kEditKinds)))));
        save(plan, file);
        const Plan back = reopened(file);
        REQUIRE(back == plan);
        REQUIRE(back.lastId == plan.lastId);
    }
    const std::string before = bytesOf(file);
    save(plan, file);
    CHECK(bytesOf(file) == before); // nothing changed, nothing written
    Plan other = randomPlan(random);
    save(other, file); // another plan over it
    CHECK(reopened(file) == other);
}

TEST_CASE("the number of a removed item is not given out again after opening") {
    const TestFolder folder;
    Random random(23);
    Plan plan = randomPlan(random);
    const auto file = folder / "plan.gpkg";
    save(plan, file);
    const Tree tree{plan.nextId(), {553100, 4084100}, 3, 9, 2.5};
    REQUIRE(apply(plan, {"Plant tree", {Put{tree}}}));
    REQUIRE(apply(plan, removalOf(plan, tree.id)));
    save(plan, file); // over the file
    CHECK(reopened(file).nextId().v == tree.id.v + 1);
    save(plan, folder / "new.gpkg");
    CHECK(reopened(folder / "new.gpkg").nextId().v == tree.id.v + 1);
}

TEST_CASE("a plan that would not open again is not written") {
    const TestFolder folder;
    Random random(6);
    Plan plan = randomPlan(random);
    const auto file = folder / "plan.gpkg";
    save(plan, file);
    const std::string before = bytesOf(file);
    Radio r = *plan.radios.begin();
    r.mount = {4000000};
    plan.radios.put(r);
    Status s = savePlan(plan, file);
    REQUIRE_FALSE(s.ok());
    CHECK(s.error().sentence().find("4000000") != std::string::npos);
    CHECK(bytesOf(file) == before);
    plan = randomPlan(random);
    s = savePlan(plan, folder / "no such folder" / "plan.gpkg");
    CHECK_FALSE(s.ok());
}

TEST_CASE("fifty thousand buildings open quickly") {
    const TestFolder folder;
    Random random(2);
    Plan plan = randomPlan(random);
    std::vector<Building> all;
    for (std::uint32_t k = 0; k < 50000; ++k)
        all.push_back(randomBuilding(plan.lastId = plan.nextId(),
                                     {553000 + k % 224 * 30.0, 4084000 + k / 224 * 30.0}, random));
    plan.scenery.putBuildings(std::move(all));
    const auto file = folder / "town.gpkg";
    auto start = std::chrono::steady_clock::now();
    save(plan, file);
    const auto ms = [&] {
        return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
    };
    const double saveMs = ms();
    start = std::chrono::steady_clock::now();
    const auto open = openPlan(file);
    const double openMs = ms();
    REQUIRE(open);
    CHECK(open->plan == plan);
    start = std::chrono::steady_clock::now();
    REQUIRE(apply(plan, randomEdit(plan, random, EditKind::radio)));
    save(plan, file);
    WARN("50,300 buildings: saved in " << saveMs << " ms, opened in " << openMs << " ms, one change saved in "
                                       << ms() << " ms");
#ifdef NDEBUG
    // Four times the aim of 300 ms on an idle machine: other work may share this one.
    CHECK(openMs < 1200);
#endif
}

TEST_CASE("rasters of demand and land cover are kept, and rows only where there are any") {
    const TestFolder folder;
    const auto file = folder / "town.plan.gpkg";
    const auto rows = [&] {
        return OtherProgram(file).value(
            "SELECT count(*) FROM settings WHERE name LIKE 'demand\\_%' ESCAPE '\\' OR "
            "name LIKE 'land\\_%' ESCAPE '\\' OR name LIKE '%\\_model' ESCAPE '\\' OR "
            "name='ignore_timing_advance'");
    };
    Random random(78);
    const Plan plain = randomPlan(random, {});
    save(plain, file);
    CHECK(rows() == "0");
    Plan plan = plain;
    PlanSettings s = *plan.settings;
    s.demandRaster = {"data/traffic.tif", "0123"};
    s.landCover = {"cover.tif", "4567"};
    s.landCoverWeights = "10=0.1; 50=1";
    s.model.ignoreTimingAdvance = true;
    s.model.efficiency = EfficiencyModel::cqiTable;
    s.model.macroPath = MacroPathModel::urbanMacroOptional;
    s.model.smallPath = SmallPathModel::urbanMicro;
    s.model.entry = EntryModel::o2i;
    plan.settings = std::make_shared<const PlanSettings>(s);
    save(plan, file);
    CHECK(rows() == "10");
    CHECK(reopened(file) == plan);
    save(plain, file);
    CHECK(rows() == "0");
    CHECK(reopened(file) == plain);
}

TEST_CASE(
    "spreads and the uplink's settings are rows only where they differ from what is usual, down to nothing") {
    const TestFolder folder;
    const auto file = folder / "town.plan.gpkg";
    const auto rows = [&] {
        return OtherProgram(file).value("SELECT count(*) FROM settings WHERE name LIKE 'spread\\_%' ESCAPE "
                                        "'\\' OR name LIKE '%\\_shadow\\_m' ESCAPE '\\' OR "
                                        "name LIKE 'uplink\\_%' ESCAPE '\\'");
    };
    Random random(79);
    const Plan plain = randomPlan(random, {});
    save(plain, file);
    CHECK(rows() == "0");
    Plan plan = plain;
    PlanSettings s = *plan.settings;
    s.spread = {0, 3.5, 0, 4, 37, 10};
    s.uplink = {-85, 1, 26, 10, 3, 4, 0.1, 1, -6};
    plan.settings = std::make_shared<const PlanSettings>(s);
    save(plan, file);
    CHECK(rows() == "15");
    CHECK(reopened(file) == plan);
    save(plain, file);
    CHECK(rows() == "0");
    CHECK(reopened(file) == plain);
}

TEST_CASE("the note on a calibration is a row only where there is one, and no gap where there is none") {
    const TestFolder folder;
    const auto file = folder / "town.plan.gpkg";
    const auto rows = [&] {
        return OtherProgram(file).value("SELECT count(*) FROM settings WHERE name='calibration_note'");
    };
    const auto noted = [](Plan plan, const std::string& note) {
        PlanSettings s = *plan.settings;
        s.calibrationNote = note;
        plan.settings = std::make_shared<const PlanSettings>(s);
        return plan;
    };
    Random random(77);
    const Plan plan = randomPlan(random, {});
    save(plan, file);
    CHECK(rows() == "0");
    CHECK(reopened(file) == plan); // and no note of a missing setting
    save(noted(plan, "Levels of 3 cells are calibrated."), file);
    CHECK(rows() == "1");
    CHECK(reopened(file) == noted(plan, "Levels of 3 cells are calibrated."));
    save(plan, file);
    CHECK(rows() == "0");
    CHECK(reopened(file) == plan);
}
