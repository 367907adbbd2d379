// SPDX-License-Identifier: GPL-3.0-or-later
// What a long session has in memory equals what a new process makes of the saved file, byte for byte: with
// one thread and two, with wide instructions and without. 300 edits by default; FRINGEWRIGHT_LONG=1 makes it
// 10,000, FRINGEWRIGHT_SOAK=1800 half an hour from a seed of its own.
#include "catch.h"
#include "commands/commands.h"
#include "store/plan_file.h"
#include "store/plan_terrain.h"
#include "study/settled.h"
#include "support/places.h"
#include "support/random_plan.h"

#include <array>
#include <charconv>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fmt/format.h>
#include <memory>
#include <optional>

using namespace fw;

namespace {

std::string outputOf(const std::string& command) {
    std::FILE* pipe = popen(command.c_str(), "r");
    REQUIRE(pipe);
    std::string out;
    std::array<char, 65536> buffer{};
    while (const std::size_t n = std::fread(buffer.data(), 1, buffer.size(), pipe))
        out.append(buffer.data(), n);
    pclose(pipe);
    return out;
}

/// A session: the plan, its study and its review, carried along edit by edit.
class Session {
public:
    explicit Session(Plan start) : m_plan(std::move(start)) {
        auto ground = loadTerrain(m_plan, "none.plan.gpkg"); // flat, at the height the plan states
        if (!ground) FAIL(ground.error().sentence());
        m_terrain = *ground;
        auto made = Study::advance(nullptr, m_plan, m_terrain);
        if (!made) FAIL(made.error().sentence());
        m_study = *made;
        m_review = reviewAll(*m_study, m_quick);
    }
    const Plan& plan() const { return m_plan; }
    void change(const Edit& edit) {
        m_undo.push_back(applied(edit));
        m_redo.clear();
        follow();
    }
    bool undo() { return step(m_undo, m_redo); }
    bool redo() { return step(m_redo, m_undo); }
    std::string reviewText() const { return cli::reviewJson(*m_study, m_review); }
    /// With remedies, searched for on the parts that the session carried along.
    std::string remedyText() const { return cli::reviewJson(*m_study, reviewAll(*m_study)); }
    std::string ledgerText() const {
        auto settled = settle(*m_study);
        if (!settled) FAIL(settled.error().sentence());
        return cli::ledgerJson(*m_study, &m_study->live(), &*settled);
    }
    std::size_t findings() const { return m_review.findings.size(); }

private:
    Edit applied(const Edit& edit) {
        auto inverse = apply(m_plan, edit);
        if (!inverse) FAIL(edit.text << ": " << inverse.error().sentence());
        return *inverse;
    }
    bool step(std::vector<Edit>& from, std::vector<Edit>& to) {
        if (from.empty()) return false;
        const Edit edit = from.back();
        from.pop_back();
        to.push_back(applied(edit));
        follow();
        return true;
    }
    void follow() {
        auto next = Study::advance(m_study, m_plan, m_terrain);
        if (!next) FAIL(next.error().sentence());
        m_review = reviewAfter(**next, m_review, *m_study, m_quick);
        m_study = *next;
    }

    static ReviewOptions quick() {
        ReviewOptions o;
        o.remedies = false; // a search after every edit would be most of the test's time
        return o;
    }

    const ReviewOptions m_quick = quick();
    Plan m_plan;
    std::shared_ptr<const Terrain> m_terrain;
    std::shared_ptr<const Study> m_study;
    Review m_review;
    std::vector<Edit> m_undo, m_redo;
};

} // namespace

/// How long a session lasts and how often it is looked at.
struct Extent {
    int edits = 300, every = 50;
    std::uint64_t seed = 20260601;
    std::optional<std::chrono::steady_clock::time_point> until; ///< goes before `edits`

    static Extent asked() {
        Extent e;
        if (std::getenv("FRINGEWRIGHT_LONG")) e = {10000, 250, e.seed, {}};
        const char* soak = std::getenv("FRINGEWRIGHT_SOAK");
        int seconds = 0;
        if (!soak || std::from_chars(soak, soak + std::strlen(soak), seconds).ec != std::errc{}) return e;
        const auto now = std::chrono::steady_clock::now();
        e.seed = static_cast<std::uint64_t>(now.time_since_epoch().count());
        e.every = 100;
        e.until = now + std::chrono::seconds(seconds);
        return e;
    }
    [[nodiscard]] bool over(int n) const {
        return until ? std::chrono::steady_clock::now() >= *until : n >= edits;
    }
};

TEST_CASE("a long session equals a new process on the saved file", "[cold][slow]") {
    const Extent extent = Extent::asked();
    const std::uint64_t seed = extent.seed;
    INFO("seed " << seed);
    Random r(seed);
    testing::RandomPlanSpec spec;
    spec.buildings = 60;
    spec.mounts = 7;
    spec.trees = 12;
    spec.areaM = 480;
    spec.macroReachM = 600;
    Session session(testing::randomPlan(r, spec));
    const auto folder = std::filesystem::temp_directory_path() / "fringewright-cold-equality";
    std::filesystem::remove_all(folder);
    std::filesystem::create_directories(folder);

    std::array<int, testing::kEditKinds + 2> done{};
    std::size_t findings = 0;
    int compared = 0, edits = 0;
    const auto file = folder / "session.plan.gpkg";
    std::unique_ptr<PlanFile> held;
    for (int n = 0; !extent.over(n); edits = ++n) {
        const auto kind = r.below(testing::kEditKinds + 2);
        if (kind == testing::kEditKinds)
            done[kind] += session.undo();
        else if (kind == testing::kEditKinds + 1)
            done[kind] += session.redo();
        else {
            session.change(testing::randomEdit(session.plan(), r, static_cast<testing::EditKind>(kind)));
            ++done[kind];
        }
        if ((n + 1) % extent.every != 0) continue;
        // Saved over what was saved before, so that only what differs is written.
        if (held) {
            const auto saved = held->save(session.plan());
            if (!saved) FAIL(saved.error().sentence());
        } else {
            auto made = PlanFile::create(session.plan(), file);
            if (!made) FAIL(made.error().sentence());
            held = std::move(*made);
        }
        const std::string program = fw::testing::builtFile("fringewright").string() + " ";
        const int way = compared++ % 4;
        const std::string how = way & 1 ? " --threads 1" : " --threads 2";
        const std::string env = way & 2 ? "FRINGEWRIGHT_PLAIN_KERNELS=1 " : "";
        INFO("after edit " << n + 1 << how << " " << env);
        CHECK(session.reviewText() ==
              outputOf(env + program + "review --json --no-remedies" + how + " " + file.string()));
        if (way == 0)
            CHECK(session.remedyText() ==
                  outputOf(env + program + "review --json" + how + " " + file.string()));
        CHECK(session.ledgerText() == outputOf(env + program + "ledger --json" + how + " " + file.string()));
        findings += session.findings();
    }
    WARN(fmt::format("seed {}: {} edits, compared {} times, {} findings in all", seed, edits, compared,
                     findings));
    CHECK(compared > 3);
    CHECK(findings > 0);
    // Redo needs an undo right before it, so it is rarer; every kind must have had its share all the same.
    for (std::size_t k = 0; k < done.size(); ++k) {
        INFO("kind " << k);
        CHECK(done[k] >= edits / (k == done.size() - 1 ? 300 : 30));
    }
    std::filesystem::remove_all(folder);
}
