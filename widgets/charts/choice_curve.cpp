// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/choice_curve.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QLocale>
#include <QPainter>
#include <QToolTip>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kDot = 3.2;

void dot(QPainter& p, QPointF at, const QColor& line, const QColor& fill) {
    p.setPen(QPen(line, 1.6));
    p.setBrush(fill);
    p.drawEllipse(at, kDot, kDot);
}

void square(QPainter& p, QPointF at, const QColor& line, const QColor& fill) {
    p.setPen(QPen(line, 1.6));
    p.setBrush(fill);
    p.drawRect(QRectF(at.x() - kDot, at.y() - kDot, 2 * kDot, 2 * kDot));
}

} // namespace

ChoiceCurve::ChoiceCurve(QWidget* parent) : QWidget(parent) {
    setAccessibleName(tr("Curve of the search"));
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    clear();
}

void ChoiceCurve::clear() { setCurve({}, {}, 1, {}); }

void ChoiceCurve::setCurve(std::vector<Point> points, const Words& words, int iterations,
                           const QString& note) {
    m_points = std::move(points);
    m_words = words;
    m_note = note;
    m_iterations = std::max(1, iterations);
    if (m_current && *m_current >= m_points.size()) m_current.reset();
    setRange();
    QStringList lines;
    for (std::size_t k = 0; k < m_points.size(); ++k) lines << pointText(k);
    setAccessibleDescription(lines.isEmpty() ? tr("No search yet.") : lines.join(QLatin1Char('\n')));
    update();
}

void ChoiceCurve::setRange() {
    if (m_points.empty()) return;
    double low = m_points.front().value, high = low;
    for (const Point& p : m_points)
        for (const double v : {p.value, p.bound.value_or(p.value)}) {
            low = std::min(low, v);
            high = std::max(high, v);
        }
    // Where found and proven are the same there is still room about the line.
    const double least = std::max(std::pow(10.0, -m_words.decimals) * 4, std::fabs(high) * 0.002);
    if (high - low < least) {
        low = std::max(0.0, low - least / 2);
        high = low + least;
    }
    m_step = roundStep((high - low) / 4);
    m_low = std::floor(low / m_step + 1e-9) * m_step;
    m_high = std::ceil(high / m_step - 1e-9) * m_step;
}

QString ChoiceCurve::axisText(double value) const {
    const int decimals = std::clamp(static_cast<int>(std::ceil(-std::log10(m_step) - 1e-9)), 0, 4);
    return QLocale().toString(value, 'f', decimals);
}

QString ChoiceCurve::pointText(std::size_t point) const {
    const Point& p = m_points[point];
    const auto amount = [&](double v) { return figure(v, m_words.unit, m_words.decimals); };
    QString text =
        tr("After %1 iterations: %2 %3").arg(QLocale().toString(p.iteration), m_words.value, amount(p.value));
    if (p.bound) text += tr(", %1 %2").arg(m_words.bound, amount(*p.bound));
    if (!p.whole) text += tr("; targets not yet reached");
    return text;
}

QRectF ChoiceCurve::plotRect() const {
    const QFontMetricsF m(font());
    const double left =
        std::max(m.horizontalAdvance(axisText(m_high)), m.horizontalAdvance(axisText(m_low))) + m.height() +
        16;
    const double head = 2 * m.height() + 14, foot = 2 * m.height() + 8;
    return {left, head, std::max(20.0, width() - left - 14), std::max(10.0, height() - head - foot)};
}

QPointF ChoiceCurve::placeOf(std::size_t point, bool bound) const {
    const QRectF plot = plotRect();
    const Point& p = m_points[point];
    const double v = bound ? p.bound.value_or(p.value) : p.value;
    return {plot.left() + plot.width() * p.iteration / m_iterations,
            plot.bottom() - plot.height() * (v - m_low) / (m_high - m_low)};
}

std::optional<std::size_t> ChoiceCurve::pointAt(QPointF place) const {
    if (m_points.empty() || !plotRect().adjusted(-8, -8, 8, 8).contains(place)) return std::nullopt;
    std::size_t best = 0;
    for (std::size_t k = 1; k < m_points.size(); ++k)
        if (std::fabs(placeOf(k, false).x() - place.x()) < std::fabs(placeOf(best, false).x() - place.x()))
            best = k;
    return best;
}

// What the lines are, then the figures of the point in hand, or of the last.
void ChoiceCurve::drawHead(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QFontMetricsF m(font());
    double x = 10;
    const double y = 4, mid = y + m.height() / 2, wide = m.height() * 1.8;
    const auto say = [&](const QString& text, const QColor& color) {
        p.setPen(color);
        const QString shown = m.elidedText(text, Qt::ElideRight, std::max(0.0, width() - x - 8));
        p.drawText(QPointF(x, y + m.ascent()), shown);
        x += m.horizontalAdvance(shown) + m.averageCharWidth() * 2;
    };
    p.setPen(QPen(c.less, 2));
    p.drawLine(QPointF(x, mid), QPointF(x + wide, mid));
    dot(p, {x + wide / 2, mid}, c.less, c.less);
    x += wide + 6;
    say(m_words.value, c.inkSoft);
    p.setPen(QPen(c.ink, 1.6, Qt::DashLine));
    p.drawLine(QPointF(x, mid), QPointF(x + wide, mid));
    square(p, {x + wide / 2, mid}, c.ink, c.base);
    x += wide + 6;
    say(m_words.bound, c.inkSoft);
    if (!m_note.isEmpty()) say(m_note, c.inkSoft);
    p.setPen(c.ink);
    p.drawText(QPointF(10, y + m.height() + 4 + m.ascent()),
               m.elidedText(pointText(m_current.value_or(m_points.size() - 1)), Qt::ElideRight,
                            std::max(0.0, width() - 18.0)));
}

void ChoiceCurve::drawAxes(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF plot = plotRect();
    const QFontMetricsF m(font());
    const int lines = static_cast<int>(std::lround((m_high - m_low) / m_step));
    for (int k = 0; k <= lines; ++k) {
        const double y = plot.bottom() - plot.height() * k / lines;
        p.setPen(QPen(c.line, 0));
        p.drawLine(QPointF(plot.left(), y), QPointF(plot.right(), y));
        p.setPen(c.inkSoft);
        p.drawText(QRectF(m.height(), y - m.height() / 2, plot.left() - m.height() - 6, m.height()),
                   Qt::AlignRight | Qt::AlignVCenter, axisText(m_low + k * m_step));
    }
    const double every = std::max(1.0, roundStep(std::max(1, m_iterations) / 4.0));
    for (double at = 0; at <= m_iterations; at += every) {
        const double x = plot.left() + plot.width() * at / m_iterations;
        p.setPen(QPen(c.inkFaint, 0));
        p.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() + 3));
        const QString text = QLocale().toString(static_cast<int>(at));
        const double room = m.horizontalAdvance(text) + 4;
        p.setPen(c.inkSoft);
        p.drawText(QRectF(std::min(x - room / 2, width() - room), plot.bottom() + 3, room, m.height()),
                   Qt::AlignCenter, text);
    }
    p.setPen(c.inkSoft);
    const QRectF foot(plot.left(), plot.bottom() + m.height() + 4, plot.width(), m.height());
    p.drawText(foot, Qt::AlignCenter,
               m.elidedText(tr("Iterations of the search"), Qt::ElideRight, foot.width()));
    p.save(); // the upright axis is titled along itself
    p.translate(4, plot.bottom());
    p.rotate(-90);
    p.drawText(QRectF(0, 0, plot.height(), m.height()), Qt::AlignCenter,
               m.elidedText(m_words.axis, Qt::ElideRight, plot.height()));
    p.restore();
}

void ChoiceCurve::drawLines(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    QPolygonF found, proven;
    for (std::size_t k = 0; k < m_points.size(); ++k) {
        found << placeOf(k, false);
        if (m_points[k].bound) proven << placeOf(k, true);
    }
    p.setBrush(Qt::NoBrush);
    p.setPen(QPen(c.ink, 1.6, Qt::DashLine));
    p.drawPolyline(proven);
    for (const QPointF& at : proven) square(p, at, c.ink, c.base);
    p.setBrush(Qt::NoBrush);
    p.setPen(QPen(c.less, 2));
    p.drawPolyline(found);
    for (std::size_t k = 0; k < m_points.size(); ++k)
        dot(p, placeOf(k, false), c.less, m_points[k].whole ? c.less : c.base);
    if (!m_current) return;
    const double x = placeOf(*m_current, false).x();
    p.setPen(QPen(c.focus, 1.4));
    p.drawLine(QPointF(x, plotRect().top()), QPointF(x, plotRect().bottom()));
}

void ChoiceCurve::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.base);
    p.setRenderHint(QPainter::Antialiasing);
    if (m_points.empty()) {
        p.setPen(c.inkSoft);
        p.drawText(rect().adjusted(12, 6, -12, -6), Qt::AlignCenter | Qt::TextWordWrap,
                   tr("While it searches, the best found and the best that can be proven come here."));
    } else {
        drawAxes(p);
        drawLines(p);
        drawHead(p);
    }
    if (!hasFocus()) return;
    p.setBrush(Qt::NoBrush);
    p.setPen(QPen(c.focus, 2));
    p.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
}

void ChoiceCurve::setCurrent(std::optional<std::size_t> point) {
    if (point == m_current) return;
    m_current = point;
    update();
}

bool ChoiceCurve::event(QEvent* e) {
    if (e->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(e);
        if (const auto point = pointAt(help->pos()))
            QToolTip::showText(help->globalPos(), pointText(*point), this);
        else
            QToolTip::hideText();
        return true;
    }
    return QWidget::event(e);
}

void ChoiceCurve::mouseMoveEvent(QMouseEvent* e) { setCurrent(pointAt(e->position())); }

void ChoiceCurve::leaveEvent(QEvent*) { setCurrent(std::nullopt); }

void ChoiceCurve::keyPressEvent(QKeyEvent* e) {
    const int by = e->key() == Qt::Key_Left ? -1 : e->key() == Qt::Key_Right ? 1 : 0;
    if (m_points.empty() || by == 0) return QWidget::keyPressEvent(e);
    const int last = static_cast<int>(m_points.size()) - 1;
    const int from = m_current ? static_cast<int>(*m_current) + by : last;
    setCurrent(static_cast<std::size_t>(std::clamp(from, 0, last)));
}

QSize ChoiceCurve::sizeHint() const {
    const int line = fontMetrics().height();
    return {line * 34, line * 12};
}
QSize ChoiceCurve::minimumSizeHint() const {
    const int line = fontMetrics().height();
    return {line * 16, line * 9};
}

} // namespace fw
