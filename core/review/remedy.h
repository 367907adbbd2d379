// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "review/rule.h"

namespace fw {

/// The smallest change that clears a finding, or a sentence when none of the usual ones does.
/// Turnable rules: the nearest whole degree (true) at which the rule finds nothing for this tuple or any
/// other of the radio and no other orientation rule blocks that did not block before; of two radios the one
/// that turns less. Others: the rule's own remedy.
std::optional<Remedy> remedyFor(const RuleView& view, const Rule& rule, const Finding& finding);

/// Lowest fit of several small cells; empty without any.
std::optional<double> lowestFit(const Study& study, const std::vector<ItemId>& smalls);
/// "; fit 61 left." or "."
std::string fitPhrase(std::optional<double> fitLeft);

} // namespace fw
