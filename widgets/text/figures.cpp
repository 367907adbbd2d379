// SPDX-License-Identifier: GPL-3.0-or-later
#include "text/figures.h"

#include <QCoreApplication>
#include <QLocale>

#include <cmath>

namespace fw {

namespace {

constexpr char16_t kThinSpace = u'\u202f', kMinus = u'\u2212';

// QLocale's number with a real minus sign and without a negative zero.
QString number(double value, int decimals) {
    const double step = std::pow(10.0, -decimals);
    if (std::fabs(value) < step / 2) value = 0;
    QString text = QLocale().toString(std::fabs(value), 'f', decimals);
    if (value < 0) text.prepend(QChar(kMinus));
    return text;
}

QString withUnit(const QString& text, const QString& unit) {
    return unit.isEmpty() ? text : text + QChar(kThinSpace) + unit;
}

} // namespace

QString coreText(const std::string& sentence) {
    return QCoreApplication::translate("core", sentence.c_str());
}

QString figure(double value, const QString& unit, int decimals) {
    if (!std::isfinite(value)) return unknownFigure();
    return withUnit(number(value, decimals), unit);
}

QString percent(double share, int decimals) { return figure(share * 100, QStringLiteral("%"), decimals); }

QString bearing(double deg, int decimals) {
    if (!std::isfinite(deg)) return unknownFigure();
    const double unit = std::pow(10.0, decimals);
    double rounded = std::round(deg * unit) / unit;
    if (rounded >= 360) rounded -= 360;
    return number(rounded, decimals) + QChar(u'\u00b0');
}

QString signedFigure(double value, const QString& unit, int decimals) {
    if (!std::isfinite(value)) return unknownFigure();
    const QString text = number(value, decimals);
    const bool plus = value > 0 && text != number(0, decimals);
    return withUnit(plus ? QLatin1Char('+') + text : text, unit);
}

QString distance(double metres) {
    if (!std::isfinite(metres)) return unknownFigure();
    if (std::fabs(metres) >= 999.5) return figure(metres / 1000, QStringLiteral("km"), 2);
    return figure(metres, QStringLiteral("m"), std::fabs(metres) < 9.95 ? 1 : 0);
}

double roundStep(double least) {
    const double power = std::pow(10.0, std::floor(std::log10(least))), lead = least / power;
    const double held = lead - 1e-9; // a power of ten is not exact
    return power * (held <= 1 ? 1 : held <= 2 ? 2 : held <= 5 ? 5 : 10);
}

QString unknownFigure() { return QString(QChar(u'\u2013')); }

} // namespace fw
