// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/plan.h"

#include <QString>
#include <QStringList>

#include <optional>

namespace fw {

/// "LTE B3, 20 MHz".
QString carrierText(const Carrier& carrier);
/// "1.8425 GHz" of a carrier's downlink; a dash for a channel outside the known bands.
QString frequencyText(const Carrier& carrier);
/// Months that a cell holds (study/holds.h), counted from the plan's month in place of the one its load was
/// measured in; those for good stay what they are.
double monthsOnPlan(const Plan& plan, ItemId cell, double months);
/// "Mar 2028": the month in which `months` from a plan's month end; "over 20 years" beyond.
QString holdsUntil(Date planned, double months);
/// "a, b and c" in the user's language.
QString listed(const QStringList& words);

} // namespace fw
