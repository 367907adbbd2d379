// SPDX-License-Identifier: GPL-3.0-or-later
// What a finding says, for list, clipboard and workings.
#pragma once

#include "plan/edit.h"
#include "review/finding.h"

#include <QString>

#include <optional>

namespace fw {

/// "12.4 m", "61 %", "9.0°".
QString quantityText(const Quantity& quantity);
/// "12.4 m, limit 20.0 m".
QString measuredText(const Finding& finding);
/// Title of its rule: "Faces a macro".
QString ruleTitle(const std::string& rule);
/// "S-104, M-3": what it is about, by name.
QString subjectsText(const Plan& plan, const Finding& finding);
/// "open", or "stands, because …" with who and when.
QString standingText(const Plan& plan, const Finding& finding);
/// Several lines for the clipboard.
QString findingText(const Plan& plan, const Finding& finding);

/// The radio as the remedy would have it; empty where the remedy is no turn and no tilt.
std::optional<Radio> remedied(const Plan& plan, const Finding& finding);
/// One step that makes it so.
Edit remedyEdit(const Plan& plan, const Radio& remedied);

/// A reason on file whose finding is gone, as a finding of its own kind.
Finding staleFinding(const Waiver& waiver);

} // namespace fw
