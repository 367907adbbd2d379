// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "plan/items.h"
#include "plan/settings.h"

#include <QString>
#include <QStringList>

#include <optional>

namespace fw {

/// "LTE B3, 20 MHz".
QString carrierText(const Carrier& carrier);
/// "1.8425 GHz" of a carrier's downlink; a dash for a channel outside the known bands.
QString frequencyText(const Carrier& carrier);
/// "Mar 2028": the month in which `months` from a plan's day end; "over 20 years" beyond.
QString holdsUntil(Date planned, double months);
/// "a, b and c" in the user's language.
QString listed(const QStringList& words);

} // namespace fw
