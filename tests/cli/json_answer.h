// SPDX-License-Identifier: GPL-3.0-or-later
// What the program says with --json.
#pragma once

#include "catch.h"
#include "cli/program.h"

#include <nlohmann/json.hpp>

namespace fwtest {

inline nlohmann::json jsonOf(Words words, int code = 0) {
    words.emplace_back("--json");
    const Ran r = run(words);
    INFO(words.front() << ": " << r.err);
    REQUIRE(r.code == code);
    CHECK(r.err.empty());
    return nlohmann::json::parse(r.out);
}

/// Value of a working's last step.
inline double lastOf(const nlohmann::json& working) {
    return working.at("steps").back().at("value").get<double>();
}

} // namespace fwtest
