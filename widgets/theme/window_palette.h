// SPDX-License-Identifier: GPL-3.0-or-later
// The colours of the window, by day and by night. Amounts have one hue, changes two; classes take Okabe and
// Ito's palette (theme/palette.h); severity has a shape and a word before it has a colour.
#pragma once

#include <QColor>
#include <QPalette>

#include <array>

namespace fw {

struct WindowPalette {
    bool dark = false;
    // Window
    QColor base;     ///< grounds of bench, tables, cards
    QColor raised;   ///< stage bar, heads, cards over the map
    QColor line;     ///< hairlines between parts
    QColor ink;      ///< text; at least 7:1 on base
    QColor inkSoft;  ///< second voice; at least 4.5:1 on base and raised
    QColor inkFaint; ///< guiding lines, ticks; at least 3:1 where they carry meaning
    QColor focus;    ///< focus ring and selection; at least 3:1 on base
    QColor focusWash;
    // What radiates
    QColor accent;     ///< small cells, beams: Okabe-Ito vermillion; 3:1 on map and base
    QColor accentText; ///< the same hue as text; 4.5:1 on base
    QColor accentWash;
    // Change: less load and more load
    QColor less, more;
    // Map
    QColor ground, water, street, streetEdge, building, buildingTall, buildingEdge, tree, line400;
    QColor area;                   ///< outline of congestion areas
    QColor mast;                   ///< macros
    QColor ghost;                  ///< what would be: remedies, places before a drop
    QColor measure;                ///< measuring line
    QColor labelHalo;              ///< behind text on the map
    std::array<QColor, 8> amount;  ///< PRB cost, demand, RSRP: light (little) to strong (much), one hue
    std::array<QColor, 8> classes; ///< best server and other classes
    bool operator==(const WindowPalette&) const = default;
};

/// Day or night after the lightness of the desktop's window colour.
const WindowPalette& windowPalette(const QPalette& desktop);
const WindowPalette& dayPalette();
const WindowPalette& nightPalette();

/// Colour `share` (0..1) of the way from a to b, its alpha too.
QColor mixed(const QColor& a, const QColor& b, double share);
/// Colour `share` (0..1) along a ramp, between its stops.
QColor along(const std::array<QColor, 8>& ramp, double share);

} // namespace fw
