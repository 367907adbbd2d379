// SPDX-License-Identifier: GPL-3.0-or-later
// The committed sample, read once for all tests here.
#pragma once

#include "catch.h"
#include "support/places.h"

#include "sample_files.h"
#include "store/plan_file.h"
#include "store/plan_terrain.h"
#include "study/study.h"

#include <filesystem>
#include <fstream>
#include <memory>
#include <nlohmann/json.hpp>
#include <set>

namespace fw::test {

inline const std::filesystem::path& sampleFolder() {
    static const std::filesystem::path folder = fw::testing::sourceFile("sample-projects/port-merrow");
    return folder;
}

inline const Plan& samplePlan() {
    static const Plan plan = [] {
        auto open = openPlan(sampleFolder() / town::kPlanFile);
        if (!open) throw std::runtime_error(open.error().sentence());
        return open->plan;
    }();
    return plan;
}

inline std::shared_ptr<const Terrain> sampleTerrain() {
    static const std::shared_ptr<const Terrain> terrain = [] {
        auto t = loadTerrain(samplePlan(), sampleFolder() / town::kPlanFile);
        if (!t) throw std::runtime_error(t.error().sentence());
        return *t;
    }();
    return terrain;
}

/// What the committed file says is bad on purpose.
inline const std::vector<town::Expected>& expectedFindings() {
    static const std::vector<town::Expected> list = [] {
        std::ifstream in(sampleFolder() / town::kExpectedFile);
        std::vector<town::Expected> out;
        const auto file = nlohmann::json::parse(in);
        for (const auto& e : file.at("expected"))
            out.push_back({e.at("mount").get<std::string>(), e.at("subjects").get<std::vector<std::string>>(),
                           e.at("rule").get<std::string>(), e.at("severity").get<std::string>(),
                           e.at("why").get<std::string>()});
        return out;
    }();
    return list;
}

inline std::set<std::string> badMounts() {
    std::set<std::string> out;
    for (const town::Expected& e : expectedFindings()) out.insert(e.mount);
    return out;
}

} // namespace fw::test
