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

/// The limits in force: the defaults with a profile's values over them. Names the table does not have and
/// values outside its range (only a foreign hand can bring them into a plan) are not followed.
class Limits {
public:
    explicit Limits(const RuleProfile& profile = {});
    /// Value of a known limit; asking for an unknown name is our bug and ends the program loudly.
    [[nodiscard]] double operator[](std::string_view name) const;
    [[nodiscard]] const std::string& origin(std::string_view name) const;

private:
    std::map<std::string, double, std::less<>> m_values;
};

/// A profile as TOML: a table per rule, every limit of the table, each line with its unit, range and origin
/// as a comment.
std::string profileToToml(const RuleProfile& profile);
/// Limits that the text leaves out, or that equal the default, are not in the profile: the default holds.
/// Unknown names, values out of range and bad TOML are refused by a sentence with line number.
Result<RuleProfile> profileFromToml(std::string_view text);

} // namespace fw
