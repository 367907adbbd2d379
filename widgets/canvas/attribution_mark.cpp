// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/attribution_mark.h"

#include <QFontMetrics>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr int kMargin = 10, kPad = 5;

QFont smallOf(QFont font) {
    if (font.pixelSize() > 0)
        font.setPixelSize(std::max(9, font.pixelSize() * 9 / 10));
    else
        font.setPointSizeF(std::max(7.0, font.pointSizeF() * 0.9));
    return font;
}

constexpr int kFlow = Qt::TextWordWrap | Qt::TextWrapAnywhere;

} // namespace

void AttributionMark::draw(const Words& words, int width, const QFont& font, const WindowPalette& colors,
                           double pixelRatio) {
    const QFont face = smallOf(font);
    const QFontMetrics metrics(face);
    const QRect room(0, 0, width - 2 * kPad, 4000);
    const auto sizeOf = [&](const QString& s) {
        return s.isEmpty() ? QRect() : metrics.boundingRect(room, kFlow, s);
    };
    const QRect first = sizeOf(words.attribution), second = sizeOf(words.word);
    const int wide = std::max(first.width(), second.width()) + 2 * kPad + 1,
              high = first.height() + second.height() + 2 * kPad - 2;
    m_picture = QPixmap(static_cast<int>(std::ceil(wide * pixelRatio)),
                        static_cast<int>(std::ceil(high * pixelRatio)));
    m_picture.setDevicePixelRatio(pixelRatio);
    m_picture.fill(Qt::transparent);
    QPainter p(&m_picture);
    p.setRenderHint(QPainter::Antialiasing);
    QColor card = colors.raised;
    card.setAlpha(225);
    p.setPen(Qt::NoPen);
    p.setBrush(card);
    p.drawRoundedRect(QRectF(0, 0, wide, high), 4, 4);
    p.setFont(face);
    p.setPen(colors.ink);
    p.drawText(QRect(kPad, kPad - 1, wide - 2 * kPad, first.height()), kFlow, words.attribution);
    p.setPen(colors.inkSoft);
    p.drawText(QRect(kPad, kPad - 1 + first.height(), wide - 2 * kPad, second.height()), kFlow, words.word);
}

void AttributionMark::paint(QPainter& p, const Words& words, QSize map, const std::vector<QRect>& cards,
                            const QFont& font, const WindowPalette& colors, Qt::LayoutDirection direction,
                            double pixelRatio) {
    m_place = {};
    if (words.empty()) return;
    const bool mirrored = direction == Qt::RightToLeft;
    // The strip at the foot, less what cards take of it, seen from the corner inwards.
    int edge = kMargin;
    const int most = std::min(map.width() - 2 * kMargin, font.pixelSize() > 0 ? 40 * font.pixelSize() : 520);
    for (int round = 0; round < 3; ++round) {
        const int width = std::max(60, std::min(most, map.width() - kMargin - edge));
        if (m_picture.isNull() || !(m_words == words) || m_width != width || m_pixelRatio != pixelRatio) {
            draw(words, width, font, colors, pixelRatio);
            m_words = words;
            m_width = width;
            m_pixelRatio = pixelRatio;
        }
        const QSize size = (QSizeF(m_picture.size()) / pixelRatio).toSize();
        const int x = mirrored ? edge : map.width() - edge - size.width();
        m_place = {QPoint(x, map.height() - kMargin - size.height()), size};
        int next = edge;
        for (const QRect& card : cards)
            if (card.intersects(m_place))
                next = std::max(next, (mirrored ? card.right() + 1 : map.width() - card.left()) + kMargin);
        if (next == edge) break;
        edge = next;
    }
    p.drawPixmap(m_place.topLeft(), m_picture);
}

} // namespace fw
