// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/ring_histogram.h"

#include "text/figures.h"

#include <QFontMetricsF>
#include <QLocale>

#include <cmath>

namespace fw {

RingHistogram::RingHistogram(QWidget* parent) : ShareHistogram(parent) {
    setAccessibleName(tr("Distances of a cell's users"));
}

void RingHistogram::setUsers(const Study::UserDistances& users, const QString& cell, const QString& why) {
    m_stepM = users.stepM;
    m_steps = static_cast<int>(users.measured.size());
    QStringList words;
    if (!why.isEmpty()) words << why;
    if (users.unreached >= 5e-4)
        words << tr("%1 of the samples lie where the model has none of its users.")
                     .arg(percent(users.unreached, 1));
    Shares shares{users.measured, users.modelled, {}};
    if (users.raked) shares.spread = users.spread;
    setShares(std::move(shares),
              tr("Users' distance, %2 samples: %1")
                  .arg(cell, QLocale().toString(static_cast<qlonglong>(std::llround(users.samples)))),
              words.join(QLatin1Char(' ')), {});
}

void RingHistogram::clear(const QString& why) { setShares({}, {}, {}, why); }

QString RingHistogram::classText(int cls) const {
    const QString from = distance(cls * m_stepM), to = distance((cls + 1) * m_stepM);
    const QString where = cls + 1 >= m_steps ? tr("Beyond %1").arg(from) : tr("From %1 to %2").arg(from, to);
    return QStringLiteral("%1: %2").arg(where, sharesText(cls));
}

QString RingHistogram::axisText() const { return tr("Distance from the antenna"); }
QString RingHistogram::spreadName() const { return tr("as spread"); }

std::vector<ShareHistogram::Tick> RingHistogram::ticks(double classWide) const {
    const double room = QFontMetricsF(font()).horizontalAdvance(distance(8888)) * 1.5;
    const double least = std::max(1.0, room / classWide * m_stepM); // metres between two marks
    const double power = std::pow(10.0, std::floor(std::log10(least))), lead = least / power;
    const double step = power * (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10);
    std::vector<Tick> out;
    for (int k = 0; k * step <= classes() * m_stepM + 1e-6; ++k)
        out.push_back({k * step / m_stepM, k == 0 ? figure(0, QStringLiteral("m"), 0) : distance(k * step)});
    return out;
}

} // namespace fw
