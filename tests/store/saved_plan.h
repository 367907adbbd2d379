// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "catch.h"
#include "store/folder.h"
#include "store/plan_file.h"
#include "support/random_plan.h"

#include <filesystem>
#include <string>

namespace fw::testing {

/// The file of a random plan, which `kept` becomes.
inline std::filesystem::path savedPlan(const TestFolder& folder, const std::string& name = "plan.gpkg",
                                       Plan* kept = nullptr) {
    Random random(12);
    const Plan plan = randomPlan(random);
    const auto file = folder / name;
    REQUIRE(savePlan(plan, file).ok());
    if (kept) *kept = plan;
    return file;
}

} // namespace fw::testing
