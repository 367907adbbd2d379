// SPDX-License-Identifier: GPL-3.0-or-later
// What it costs to keep a big plan: a snapshot, a save after one radio moved, the journal of an edit.
// bench_store [BUILDINGS] [FOLDER]: a million, and the system's temporary folder, by default.
#include "../../sample-projects/generate/city.h"
#include "bench/measure.h"
#include "store/crash_journal.h"
#include "store/plan_file.h"

#include <charconv>
#include <chrono>
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fmt/format.h>
#include <sqlite3.h>

using namespace fw;

namespace {

namespace fs = std::filesystem;

template <class F>
double msOf(F&& f) {
    const auto from = std::chrono::steady_clock::now();
    f();
    return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - from).count();
}

// What one durable change of a row costs on this disk, by SQLite alone.
double plainChangeMs(const fs::path& file, int k) {
    sqlite3* db = nullptr;
    if (sqlite3_open(file.c_str(), &db) != SQLITE_OK) return 0;
    const std::string sql = fmt::format(
        "PRAGMA synchronous=FULL; UPDATE radios SET azimuth_deg={} WHERE fid=(SELECT min(fid) FROM radios)",
        k);
    const double ms = msOf([&] { sqlite3_exec(db, sql.c_str(), nullptr, nullptr, nullptr); });
    sqlite3_close(db);
    return ms;
}

// Turns one radio a little; what was applied.
Edit turnOne(Plan& plan, int k) {
    auto it = plan.radios.begin();
    for (std::size_t n = static_cast<std::size_t>(k) % plan.radios.size(); n > 0; --n) ++it;
    Radio r = *it;
    r.azimuth = TrueAzimuth::of(r.azimuth.deg + 5);
    Edit edit{"Turn a radio", {Put{r}}};
    if (const auto done = apply(plan, edit); !done) fmt::print(stderr, "{}\n", done.error().sentence());
    return edit;
}

int fail(const Error& e) {
    fmt::print(stderr, "{}\n", e.sentence());
    return 1;
}

int run(std::size_t buildings, const fs::path& folder) {
    town::CitySpec spec;
    spec.buildings = buildings;
    spec.sideM = 10000 * std::sqrt(static_cast<double>(buildings) / 50000);
    Plan plan = town::makeCity(spec);
    fmt::print("{} buildings, {} radios\n", plan.scenery.buildingCount(), plan.radios.size());
    const fs::path file = folder / "city.plan.gpkg";
    const double createMs = msOf([&] {
        if (auto made = PlanFile::create(plan, file); !made) fail(made.error());
    });
    fmt::print("saved under a new name in {:.0f} ms, {} MB\n", createMs, fs::file_size(file) / 1000000);
    OpenPlan opened;
    Result<std::unique_ptr<PlanFile>> held = Error{};
    fmt::print("opened in {:.0f} ms\n", msOf([&] { held = PlanFile::open(file, opened); }));
    if (!held) return fail(held.error());
    plan = opened.plan;
    fmt::print("kept as it was opened, on a thread of its own, in {:.0f} ms\n",
               msOf([&] { static_cast<void>((*held)->backUpOnce()); }));

    bench::Series snapshot, save, plain, append, durable;
    auto journal = CrashJournal::begin(folder / "journals", plan, {file, opened.saveCount, file, false, {}});
    if (!journal) return fail(journal.error());
    for (int k = 0; k < 40; ++k) {
        snapshot.add(msOf([&] { const Plan copy = plan; }));
        Edit edit = turnOne(plan, k);
        append.add(msOf([&] { (*journal)->append(std::move(edit)); }));
        durable.add(msOf([&] { static_cast<void>((*journal)->flush()); }));
        save.add(msOf([&] {
            if (const Status s = (*held)->save(plan); !s.ok()) fail(s.error());
        }));
        plain.add(plainChangeMs(backupPathOf(file), k));
    }
    fmt::print("{}{}{}{}{}", snapshot.line("snapshot"), append.line("edit handed to the journal"),
               durable.line("edit durable in the journal"), save.line("save, one radio turned"),
               plain.line("one row changed by SQLite alone"));
    static_cast<void>((*journal)->end());
    return 0;
}

} // namespace

int main(int argc, char** argv) {
    std::size_t buildings = 1000000;
    if (argc > 1) std::from_chars(argv[1], argv[1] + std::strlen(argv[1]), buildings);
    std::string folder =
        ((argc > 2 ? fs::path(argv[2]) : fs::temp_directory_path()) / "fringewright-bench-XXXXXX").string();
    if (!mkdtemp(folder.data())) return 1;
    const int result = run(buildings, folder);
    std::error_code ignored;
    fs::remove_all(folder, ignored);
    return result;
}
