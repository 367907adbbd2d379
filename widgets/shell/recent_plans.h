// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QStringList>

namespace fw {

/// The last ten plans, newest first, in the user's settings. Missing files stay in the list, marked by
/// whoever shows it.
QStringList recentPlans();
void rememberPlan(const QString& file);
void forgetPlans();

} // namespace fw
