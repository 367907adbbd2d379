// SPDX-License-Identifier: GPL-3.0-or-later
// Single lines of words for what is drawn in every frame of a drag: most say what they said before, and to
// find their letters' places takes longer than to draw them. Each is shaped, measured and cut once and kept a
// while, by each thread for itself: sheets are drawn on workers.
#pragma once

#include <QFont>
#include <QPainter>
#include <QString>

namespace fw {

/// Width on one line, in the font's logical pixels.
double widthOfWords(const QFont& font, const QString& text);

/// In the painter's font and pen; at its end cut with an ellipsis where it does not fit.
/// @param where  alignment in `in`, as QPainter::drawText takes it; words are not wrapped.
void drawWords(QPainter& p, const QRectF& in, Qt::Alignment where, const QString& text);

} // namespace fw
