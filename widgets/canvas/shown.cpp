// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/shown.h"

#include <QStringList>

namespace fw {

Shown::Shown(QObject* parent) : QObject(parent) { m_on.fill(true); }

void Shown::setOn(MapLayer layer, bool on) {
    const auto k = static_cast<std::size_t>(layer);
    if (m_on[k] == on) return;
    m_on[k] = on;
    emit changed();
}

void Shown::setTint(GroundTint tint) {
    if (m_tint == tint) return;
    m_tint = tint;
    emit changed();
}

void Shown::setCarrier(int layer) {
    if (m_carrier == layer) return;
    m_carrier = layer;
    emit changed();
}

void Shown::setMoment(TintMoment moment) {
    if (m_moment == moment) return;
    m_moment = moment;
    emit changed();
}

void Shown::setSwipe(bool on) {
    if (m_swipe == on) return;
    m_swipe = on;
    emit changed();
}

void Shown::setStorey(Storey storey) {
    if (m_storey == storey) return;
    m_storey = storey;
    emit changed();
}

void Shown::setIndoorFromDbm(std::optional<int> dbm) {
    if (m_indoorFrom == dbm) return;
    m_indoorFrom = dbm;
    emit changed();
}

QString Shown::state() const {
    QString text;
    for (const bool on : m_on) text += QLatin1Char(on ? '1' : '0');
    return text + QStringLiteral(" %1 %2").arg(static_cast<int>(m_tint)).arg(static_cast<int>(m_moment));
}

void Shown::setState(const QString& text) {
    const QStringList parts = text.split(QLatin1Char(' '));
    // Two parts is what was kept before there were moments, a layer less what was before there were owners.
    constexpr int kLeast = static_cast<int>(MapLayer::owners), kMost = static_cast<int>(MapLayer::count);
    if (parts.size() < 2 || parts.size() > 3 || parts[0].size() < kLeast || parts[0].size() > kMost) return;
    for (const QChar c : parts[0])
        if (c != QLatin1Char('0') && c != QLatin1Char('1')) return;
    bool ok = false;
    const int tint = parts[1].toInt(&ok);
    if (!ok || tint < 0 || tint >= static_cast<int>(GroundTint::count)) return;
    const int moment = parts.size() == 3 ? parts[2].toInt(&ok) : 0;
    if (!ok || moment < 0 || moment >= static_cast<int>(TintMoment::count)) return;
    for (int k = 0; k < parts[0].size(); ++k)
        m_on[static_cast<std::size_t>(k)] = parts[0][k] == QLatin1Char('1');
    m_tint = static_cast<GroundTint>(tint);
    m_moment = static_cast<TintMoment>(moment);
    emit changed();
}

} // namespace fw
