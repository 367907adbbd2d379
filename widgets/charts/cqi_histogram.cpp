// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/cqi_histogram.h"

#include "study/user_working.h"
#include "text/figures.h"

#include <QFontMetricsF>
#include <QLocale>

#include <cmath>

namespace fw {

CqiHistogram::CqiHistogram(QWidget* parent) : ShareHistogram(parent) {
    setAccessibleName(tr("Channel quality of a cell's users"));
}

void CqiHistogram::setUsers(const Study::UserCqi& users, const QString& cell) {
    const QString computed = figure(meanCqi(users.computed), {}, 1);
    if (users.samples <= 0) {
        setShares({{}, {}, users.computed}, tr("Users' CQI: %1").arg(cell),
                  tr("Mean %1 as computed. No CQI histogram of this cell has come in.").arg(computed), {});
        return;
    }
    setShares({users.measured, {}, users.computed},
              tr("Users' CQI, %2 samples: %1")
                  .arg(cell, QLocale().toString(static_cast<qlonglong>(std::llround(users.samples)))),
              tr("Mean %1 measured, %2 as computed.").arg(figure(meanCqi(users.measured), {}, 1), computed),
              {});
}

void CqiHistogram::clear(const QString& why) { setShares({}, {}, {}, why); }

QString CqiHistogram::classText(int cls) const {
    return tr("CQI %1: %2").arg(QLocale().toString(cls), sharesText(cls));
}

QString CqiHistogram::axisText() const { return tr("Channel quality indicator (CQI)"); }
QString CqiHistogram::spreadName() const { return tr("as computed"); }

std::vector<ShareHistogram::Tick> CqiHistogram::ticks(double classWide) const {
    const int every = classWide > QFontMetricsF(font()).horizontalAdvance(QStringLiteral("00")) + 4 ? 1 : 3;
    std::vector<Tick> out;
    for (int k = 0; k < classes(); k += every) out.push_back({k + 0.5, QLocale().toString(k)});
    return out;
}

} // namespace fw
