// SPDX-License-Identifier: GPL-3.0-or-later
// Writes what the fuzz targets begin with: small plans of small pages, and edits of every kind.
#include "store/folder.h"
#include "store/plan_file.h"
#include "support/random_edit.h"
#include "support/random_plan.h"

#include <cstdio>
#include <filesystem>
#include <sqlite3.h>

using namespace fw;
using namespace fw::testing;
namespace fs = std::filesystem;

namespace {

bool shrink(const fs::path& file) {
    sqlite3* db = nullptr;
    bool good = sqlite3_open(file.c_str(), &db) == SQLITE_OK;
    good = good && sqlite3_exec(db, "PRAGMA page_size=512; VACUUM", nullptr, nullptr, nullptr) == SQLITE_OK;
    sqlite3_close(db);
    return good;
}

bool writePlan(const Plan& plan, const fs::path& file) {
    fs::remove(file);
    if (savePlan(plan, file).ok() && shrink(file)) return true;
    std::fputs("A seed cannot be written.\n", stderr);
    return false;
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 2) return 2;
    const fs::path plans = fs::path(argv[1]) / "open_plan", edits = fs::path(argv[1]) / "edit";
    fs::create_directories(plans);
    fs::create_directories(edits);
    Random random(1);
    RandomPlanSpec spec;
    spec.buildings = 3;
    spec.sites = 1;
    spec.mounts = 2;
    spec.trees = 2;
    if (!writePlan({}, plans / "empty.gpkg")) return 1;
    for (int k = 0; k < 3; ++k) {
        Plan plan = randomPlan(random, spec);
        for (int kind = 0; kind < kEditKinds; ++kind) {
            const Edit edit = randomEdit(plan, random, static_cast<EditKind>(kind));
            const auto bytes = toBytes(edit);
            writeBytes(edits / (std::to_string(k) + "-" + std::to_string(kind)),
                       {bytes.begin(), bytes.end()});
            if (!apply(plan, edit)) return 1;
        }
        if (!writePlan(plan, plans / (std::to_string(k) + ".gpkg"))) return 1;
    }
    return 0;
}
