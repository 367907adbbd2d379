// SPDX-License-Identifier: GPL-3.0-or-later
// Signs and names of the map as pictures that are drawn once: a frame only puts them in place.
#pragma once

#include "canvas/map_items.h"
#include "theme/window_palette.h"

#include <QFont>
#include <QHash>
#include <QPainter>
#include <QPixmap>

namespace fw {

/// How a name is written.
enum class NameStyle { plain, strong, area };

class SignSheet {
public:
    /// Drops all pictures when one of these differs.
    void setLook(const WindowPalette& colors, const QFont& font, double pixelRatio);
    [[nodiscard]] const WindowPalette& colors() const { return m_colors; }
    [[nodiscard]] const QFont& font() const { return m_font; }

    /// Size of signs at a resolution (1: as designed for a font 15 px high); small signs where many are in
    /// view.
    [[nodiscard]] double scaleAt(double metresPerPixel) const;

    // Each draws a sign with its middle at `at`.
    void support(QPainter& p, QPointF at, const MountSign& mount, double scale, bool faint = false);
    /// A plate that points where the radio looks; it sits before the support.
    void plate(QPainter& p, QPointF at, const RadioSign& radio, double scale);
    /// A mast with an open arc for each sector.
    void macro(QPainter& p, QPointF at, const MacroSign& site, double scale);
    /// `kind` 0 note (hollow), 1 warn (half filled), 2 block (filled).
    void finding(QPainter& p, QPointF at, int kind, double scale);

    /// An owner's answer: small ring (not asked), ring with three dots (asked), disc with a tick (agreed),
    /// bare cross (refused).
    void owner(QPainter& p, QPointF at, ConsentState answer, double scale);

    /// Name as a picture with its halo; `elideAt` in pixels.
    const QPixmap& name(const QString& text, NameStyle style, double elideAt = 180);

    /// How far the plate's middle lies before the support, and how far its point (pixels at scale 1).
    static constexpr double kPlateOff = 8.5, kPlateTip = 15.5;
    /// Radius of a macro's arcs (pixels at scale 1).
    static constexpr double kArcRadius = 19;

private:
    template <class Draw>
    void put(QPainter& p, QPointF at, quint64 key, double side, Draw&& draw);
    QHash<quint64, QPixmap> m_signs;
    QHash<QString, QPixmap> m_names;
    WindowPalette m_colors;
    QFont m_font;
    double m_pixelRatio = 1, m_unit = 1;
};

/// Unit vector on the screen of a grid azimuth.
QPointF screenDirection(double gridDeg);

} // namespace fw
