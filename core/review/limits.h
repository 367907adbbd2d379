// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "plan/settings.h"

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

/// One limit of the review: name `rule.limit`, unit, default, allowed range and where the default comes from.
struct LimitInfo {
    std::string name, unit;
    double value = 0, min = 0, max = 0;
    std::string origin; ///< clause, "common practice", or "own judgement"
};
/// All of them, by rule in display order.
const std::vector<LimitInfo>& limitTable();

/// The limits in force: the defaults with a profile's values over them.
class Limits {
public:
    explicit Limits(const RuleProfile& profile = {});
    /// Value of a known limit; asking for an unknown name is our bug and ends the program loudly.
    [[nodiscard]] double operator[](std::string_view name) const;
    [[nodiscard]] const std::string& origin(std::string_view name) const;

private:
    std::map<std::string, double, std::less<>> m_values;
};

/// A profile as TOML: a table per rule, every line with its unit and origin as a comment.
std::string profileToToml(const RuleProfile& profile);
/// Unknown names, values out of range and bad TOML are refused by a sentence with line number.
Result<RuleProfile> profileFromToml(std::string_view text);

} // namespace fw
