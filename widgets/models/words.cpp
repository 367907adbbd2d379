// SPDX-License-Identifier: GPL-3.0-or-later
#include "models/words.h"

#include "models/field_makers.h"
#include "radio/carrier.h"
#include "study/holds.h"
#include "text/figures.h"

#include <QDate>
#include <QLocale>

#include <cmath>

namespace fw {

using field_making::FieldText;

QString carrierText(const Carrier& c) {
    const QString tech = c.technology == Technology::lte ? QStringLiteral("LTE") : QStringLiteral("NR");
    const QString band = QString::fromStdString(bandName(c.technology, c.channel));
    const int decimals = c.bandwidthMHz == std::floor(c.bandwidthMHz) ? 0 : 1;
    //: technology, band, width: "LTE B3, 20 MHz"
    return FieldText::tr("%1 %2, %3")
        .arg(tech, band, figure(c.bandwidthMHz, QStringLiteral("MHz"), decimals));
}

QString frequencyText(const Carrier& c) {
    const auto f = downlinkFrequency(c.technology, c.channel);
    return f ? figure(inMegahertz(*f), QStringLiteral("MHz"), 1) : unknownFigure();
}

double monthsOnPlan(const Plan& plan, ItemId cell, double months) {
    if (months >= kForGoodMonths) return months;
    const Date to = holdsTo(plan, cell, months), from = plan.settings->date;
    return 12 * (to.year - from.year) + to.month - from.month;
}

QString holdsUntil(Date planned, double months) {
    if (months > 240) return FieldText::tr("over 20 years");
    const QDate day = QDate(planned.year, planned.month, 1).addMonths(static_cast<int>(std::floor(months)));
    return QLocale().toString(day, QStringLiteral("MMM yyyy"));
}

QString listed(const QStringList& words) { return QLocale().createSeparatedList(words); }

} // namespace fw
