// SPDX-License-Identifier: GPL-3.0-or-later
// Where a bearing and an elevation stand in the panorama.
#pragma once

#include "base/units.h"

#include <QRectF>

#include <cmath>
#include <optional>

namespace fw {

/// North stands at the left, and again towards the right: the order never changes, so that two radios can be
/// compared at a glance and nothing slides while a beam is dragged. Both ends go on past north by
/// `kOverlapDeg`, so that a beam across north is whole in at least one place. Bearings run clockwise to the
/// right in every language.
struct SkylineScale {
    static constexpr double kOverlapDeg = 45;
    static constexpr double kSpanDeg = 360 + 2 * kOverlapDeg;

    QRectF plot;
    double bottomDeg = -20, topDeg = 30;

    [[nodiscard]] double pixelsPerDeg() const { return plot.width() / kSpanDeg; }
    /// `deg` unwrapped: from -kOverlapDeg to 360 + kOverlapDeg inside the plot.
    [[nodiscard]] double x(double deg) const { return plot.left() + (deg + kOverlapDeg) * pixelsPerDeg(); }
    [[nodiscard]] double y(double elevationDeg) const {
        return plot.bottom() - (elevationDeg - bottomDeg) / (topDeg - bottomDeg) * plot.height();
    }
    /// Position of a bearing in its first full turn (0 to 360); elevation held inside the plot.
    [[nodiscard]] QPointF at(TrueAzimuth azimuth, double elevationDeg) const {
        return {x(wrap360(azimuth.deg)), y(std::fmin(std::fmax(elevationDeg, bottomDeg), topDeg))};
    }
    [[nodiscard]] TrueAzimuth azimuthAt(double px) const {
        return TrueAzimuth::of((px - plot.left()) / pixelsPerDeg() - kOverlapDeg);
    }
    [[nodiscard]] double elevationAt(double py) const {
        return bottomDeg + (plot.bottom() - py) / plot.height() * (topDeg - bottomDeg);
    }
    /// Calls f(x of the bearing) for each place where `deg`, `halfDeg` wide to both sides, shows.
    template <class F>
    void everywhere(double deg, double halfDeg, F&& f) const {
        for (const double turn : {-360.0, 0.0, 360.0}) {
            const double d = wrap360(deg) + turn;
            if (d + halfDeg >= -kOverlapDeg && d - halfDeg <= 360 + kOverlapDeg) f(x(d));
        }
    }
    bool operator==(const SkylineScale&) const = default;
};

} // namespace fw
