// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "theme/window_palette.h"

#include <QFont>
#include <QPainter>
#include <QPixmap>
#include <QRect>

#include <vector>

namespace fw {

/// Whose the background map is, small, in the lower corner across from the scale bar; beside cards that lie
/// there, never under them. A second, softer line says what is amiss with it.
class AttributionMark {
public:
    struct Words {
        QString attribution, word;
        bool operator==(const Words&) const = default;
        [[nodiscard]] bool empty() const { return attribution.isEmpty() && word.isEmpty(); }
    };
    /// @param cards  what lies on the map, in its pixels.
    void paint(QPainter& p, const Words& words, QSize map, const std::vector<QRect>& cards, const QFont& font,
               const WindowPalette& colors, Qt::LayoutDirection direction, double pixelRatio);
    void forget() { m_picture = QPixmap(); }
    /// Where it was last painted; empty: nowhere.
    [[nodiscard]] QRect place() const { return m_place; }

private:
    void draw(const Words& words, int width, const QFont& font, const WindowPalette& colors,
              double pixelRatio);

    QPixmap m_picture;
    Words m_words;
    int m_width = 0;
    double m_pixelRatio = 0;
    QRect m_place;
};

} // namespace fw
