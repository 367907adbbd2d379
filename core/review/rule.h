// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/snapshot.h"
#include "review/finding.h"
#include "review/limits.h"
#include "study/study.h"

#include <functional>
#include <string>
#include <vector>

namespace fw {

/// Ids a rule looks at together, in its own order.
using Subjects = std::vector<ItemId>;

struct RuleView {
    const Study& study;
    const Limits& limits;
};

/// A rule knows no screen and no other rule.
struct Rule {
    std::string id;        ///< stable, in files and waivers
    std::string title;     ///< for people
    std::string why;       ///< one sentence
    bool turnable = false; ///< true: another azimuth may clear it
    /// All tuples the rule looks at.
    std::function<std::vector<Subjects>(const RuleView&)> all;
    /// One tuple; empty when all is well.
    std::function<std::optional<Finding>(const RuleView&, const Subjects&)> check;
};

/// The explicit table, in display order.
const std::vector<Rule>& rules();

} // namespace fw
