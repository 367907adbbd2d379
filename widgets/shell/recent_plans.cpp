// SPDX-License-Identifier: GPL-3.0-or-later
#include "shell/recent_plans.h"

#include <QFileInfo>
#include <QSettings>

namespace fw {

namespace {
const QString kKey = QStringLiteral("plans/recent");
constexpr int kMost = 10;
} // namespace

QStringList recentPlans() { return QSettings().value(kKey).toStringList().mid(0, kMost); }

void rememberPlan(const QString& file) {
    const QString whole = QFileInfo(file).absoluteFilePath();
    QStringList plans = recentPlans();
    plans.removeAll(whole);
    plans.prepend(whole);
    QSettings().setValue(kKey, plans.mid(0, kMost));
}

void forgetPlans() { QSettings().remove(kKey); }

} // namespace fw
