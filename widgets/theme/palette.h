// SPDX-License-Identifier: GPL-3.0-or-later
// The colours of paper and of classes: one ink, one accent for what radiates, Okabe-Ito where classes must be
// told apart. Severity never rests on colour.
#pragma once

#include <QColor>

#include <array>

namespace fw {

struct PaperPalette {
    QColor ink{0x1b, 0x2e, 0x3c};       ///< text, masts; 13.6:1 on white
    QColor inkSoft{0x55, 0x66, 0x73};   ///< second voice; 5.9:1
    QColor inkFaint{0x93, 0xa0, 0xaa};  ///< lines that guide the eye
    QColor hairline{0xc9, 0xd1, 0xd6};  ///< rules and frames
    QColor wash{0xf0, 0xf3, 0xf5};      ///< grounds of bands and maps
    QColor block{0xd5, 0xdc, 0xe1};     ///< buildings
    QColor blockTall{0xb9, 0xc4, 0xcc}; ///< buildings of 15 m and more
    QColor blockOwn{0x9a, 0xa9, 0xb4};  ///< the building that carries the mount
    QColor accent{0xd5, 0x5e, 0x00};    ///< small cells, beams, marks; Okabe-Ito vermillion, 3.9:1 for shapes
    QColor accentText{0xa3, 0x47, 0x00}; ///< the same hue where it is text; 6.3:1
    QColor accentWash{0xfb, 0xe6, 0xd4};
    QColor paper{0xff, 0xff, 0xff};
};

/// Okabe and Ito's palette for classes (2008), without black, in their order.
inline constexpr std::array<QRgb, 7> kOkabeIto = {0xffe69f00, 0xff56b4e9, 0xff009e73, 0xfff0e442,
                                                  0xff0072b2, 0xffd55e00, 0xffcc79a7};

/// Contrast of two colours, 1 to 21. Source: WCAG 2.2, definition of contrast ratio.
double contrastRatio(const QColor& a, const QColor& b);

/// Tint of the ink for a share 0 (ink) to 1 (almost paper).
QColor inkTint(const PaperPalette& palette, double share);

} // namespace fw
