// SPDX-License-Identifier: GPL-3.0-or-later
// Studies on flat ground at the datum.
#pragma once

#include "catch.h"
#include "study/study.h"

#include <memory>

namespace fw::testing {

inline const std::shared_ptr<const Terrain>& flatTerrain() {
    static const auto terrain = std::make_shared<const Terrain>();
    return terrain;
}

/// Advanced from `before`, by a single thread.
inline std::shared_ptr<const Study> flatStudyOf(const Plan& plan,
                                                const std::shared_ptr<const Study>& before = nullptr) {
    auto s = Study::advance(before, plan, flatTerrain(), StudyOptions{1});
    INFO((s ? "" : s.error().sentence()));
    REQUIRE(s);
    return *s;
}

} // namespace fw::testing
