// SPDX-License-Identifier: GPL-3.0-or-later
#include "text/line_of_words.h"

#include <QCache>
#include <QCoreApplication>
#include <QFontMetricsF>
#include <QPaintEngine>
#include <QStaticText>
#include <QTextOption>

#include <memory>

namespace fw {

namespace {

constexpr int kKept = 2000; // lines, some hundred bytes each
constexpr int kWhole = -1;

struct LineKey {
    QFont font;
    QString text;
    int direction = Qt::LeftToRight;
    int room = kWhole; ///< logical pixels that it is cut to
    bool operator==(const LineKey&) const = default;
};
size_t qHash(const LineKey& k, size_t seed) noexcept {
    return qHashMulti(seed, k.font, k.text, k.direction, k.room);
}

struct ShapedLine {
    double width = 0;
    QStaticText words; ///< finds its letters' places when first drawn
};

using Lines = QCache<LineKey, ShapedLine>;

Lines& kept() {
    thread_local std::unique_ptr<Lines> lines;
    if (!lines) {
        lines = std::make_unique<Lines>(kKept);
        // Letters belong to fonts, which go with the application.
        static const bool once = [] {
            qAddPostRoutine([] { lines.reset(); });
            return true;
        }();
        Q_UNUSED(once);
    }
    return *lines;
}

const ShapedLine& shaped(const LineKey& key) {
    if (const ShapedLine* known = kept().object(key)) return *known;
    const QFontMetricsF metrics(key.font);
    const QString text =
        key.room == kWhole ? key.text : metrics.elidedText(key.text, Qt::ElideRight, key.room);
    auto* made = new ShapedLine; // the cache owns it
    made->width = metrics.horizontalAdvance(text);
    made->words.setTextFormat(Qt::PlainText);
    made->words.setPerformanceHint(QStaticText::AggressiveCaching);
    QTextOption option;
    option.setTextDirection(static_cast<Qt::LayoutDirection>(key.direction));
    option.setWrapMode(QTextOption::NoWrap);
    made->words.setTextOption(option);
    made->words.setText(text);
    kept().insert(key, made);
    return *made;
}

} // namespace

double widthOfWords(const QFont& font, const QString& text) { return shaped({font, text}).width; }

void drawWords(QPainter& p, const QRectF& in, Qt::Alignment where, const QString& text) {
    if (text.isEmpty() || in.width() < 1) return;
    const QFontMetricsF metrics(p.font());
    // What fits but for a fraction of a pixel is not cut: callers measure in whole pixels too.
    const bool fits = widthOfWords(p.font(), text) <= in.width() + 0.5;
    const int room = fits ? kWhole : static_cast<int>(in.width());
    if (p.paintEngine()->type() != QPaintEngine::Raster) { // paper has a resolution of its own
        p.drawText(in, static_cast<int>(where) | Qt::TextSingleLine,
                   fits ? text : metrics.elidedText(text, Qt::ElideRight, room));
        return;
    }
    const bool mirrored = p.layoutDirection() == Qt::RightToLeft && !where.testFlag(Qt::AlignAbsolute);
    const bool right = where.testFlag(mirrored ? Qt::AlignLeft : Qt::AlignRight);
    const ShapedLine& line = shaped({p.font(), text, p.layoutDirection(), room});
    QPointF at = in.topLeft();
    if (where.testFlag(Qt::AlignHCenter))
        at.rx() += (in.width() - line.width) / 2;
    else if (right)
        at.rx() += in.width() - line.width;
    if (where.testFlag(Qt::AlignVCenter)) at.ry() += (in.height() - metrics.height()) / 2;
    if (where.testFlag(Qt::AlignBottom)) at.ry() += in.height() - metrics.height();
    p.drawStaticText(at, line.words);
}

} // namespace fw
