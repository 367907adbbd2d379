// SPDX-License-Identifier: GPL-3.0-or-later
#include "theme/palette.h"

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

double linear(double channel) {
    return channel <= 0.04045 ? channel / 12.92 : std::pow((channel + 0.055) / 1.055, 2.4);
}

double luminance(const QColor& c) {
    return 0.2126 * linear(c.redF()) + 0.7152 * linear(c.greenF()) + 0.0722 * linear(c.blueF());
}

int mix(int a, int b, double share) { return static_cast<int>(std::lround(a + (b - a) * share)); }

} // namespace

double contrastRatio(const QColor& a, const QColor& b) {
    const double la = luminance(a), lb = luminance(b);
    return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

QColor inkTint(const PaperPalette& p, double share) {
    const double s = std::clamp(share, 0.0, 1.0) * 0.92;
    return {mix(p.ink.red(), 255, s), mix(p.ink.green(), 255, s), mix(p.ink.blue(), 255, s)};
}

} // namespace fw
