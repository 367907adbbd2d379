// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/residual_histogram.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QLocale>
#include <QPainter>
#include <QPainterPath>
#include <QToolTip>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace fw {

namespace {

constexpr int kMiddle = kHistogramClasses / 2, kLeastBeside = 5;

double centreOf(int cls) { return (cls - kMiddle) * kHistogramStepDb; }

std::size_t at(const ErrorHistogram& h, int cls) { return h[static_cast<std::size_t>(cls)]; }

QString counted(std::size_t n) { return QLocale().toString(static_cast<qulonglong>(n)); }

} // namespace

ResidualHistogram::ResidualHistogram(QWidget* parent) : QWidget(parent) {
    setAccessibleName(tr("Histogram of differences"));
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    clear();
}

void ResidualHistogram::clear() { setTallies({}, {}); }

void ResidualHistogram::setTallies(const ErrorHistograms& tallies, const QString& of) {
    m_tallies = tallies;
    m_of = of;
    m_points = std::accumulate(tallies.after.begin(), tallies.after.end(), std::size_t{0});
    m_first = kMiddle - kLeastBeside;
    m_last = kMiddle + kLeastBeside;
    for (int k = 0; k < kHistogramClasses; ++k) {
        if (at(tallies.before, k) == 0 && at(tallies.after, k) == 0) continue;
        m_first = std::max(0, std::min(m_first, k - 1));
        m_last = std::min(kHistogramClasses - 1, std::max(m_last, k + 1));
    }
    m_current.reset();
    describeAloud();
    update();
}

std::size_t ResidualHistogram::most() const {
    std::size_t n = 1;
    for (const ErrorHistogram* h : {&m_tallies.before, &m_tallies.after})
        n = std::max(n, *std::max_element(h->begin(), h->end()));
    return n;
}

QString ResidualHistogram::classText(int cls) const {
    const double half = kHistogramStepDb / 2, centre = centreOf(cls);
    const QString unit = QStringLiteral("dB");
    const QString range =
        cls == 0 ? tr("Below %1").arg(figure(centre + half, unit, 0))
        : cls == kHistogramClasses - 1
            ? tr("Above %1").arg(figure(centre - half, unit, 0))
            : tr("From %1 to %2").arg(figure(centre - half, {}, 0), figure(centre + half, unit, 0));
    return tr("%1: %2 before, %3 after")
        .arg(range, counted(at(m_tallies.before, cls)), counted(at(m_tallies.after, cls)));
}

void ResidualHistogram::describeAloud() {
    if (m_points == 0) {
        setAccessibleDescription(tr("No held-out points."));
        return;
    }
    QStringList lines{tr("%1, %2 held-out points, measured less predicted").arg(m_of, counted(m_points))};
    for (int k = m_first; k <= m_last; ++k)
        if (at(m_tallies.before, k) || at(m_tallies.after, k)) lines << classText(k);
    setAccessibleDescription(lines.join(QStringLiteral(". ")));
}

QRectF ResidualHistogram::plotRect() const {
    const QFontMetricsF m(font());
    const double left = m.horizontalAdvance(counted(most())) + 14, foot = 2 * m.height() + 8;
    return {left, m.height() + 12, std::max(20.0, width() - left - 10),
            std::max(10.0, height() - foot - m.height() - 14)};
}

QRectF ResidualHistogram::barRect(int cls, bool after) const {
    const QRectF plot = plotRect();
    const double wide = plot.width() / (m_last - m_first + 1);
    const std::size_t n = at(after ? m_tallies.after : m_tallies.before, cls);
    const double tall = plot.height() * static_cast<double>(n) / static_cast<double>(most());
    return {plot.left() + (cls - m_first) * wide, plot.bottom() - tall, wide, tall};
}

std::optional<int> ResidualHistogram::classAt(QPointF place) const {
    const QRectF plot = plotRect();
    if (m_points == 0 || place.x() < plot.left() || place.x() >= plot.right()) return std::nullopt;
    return m_first + static_cast<int>((place.x() - plot.left()) / plot.width() * (m_last - m_first + 1));
}

void ResidualHistogram::drawHead(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QFontMetricsF m(font());
    double x = plotRect().left();
    const double y = 4, box = m.ascent() * 0.8;
    const auto say = [&](const QString& text, const QColor& color) {
        p.setPen(color);
        const double room = width() - x - 8;
        const QString shown = m.elidedText(text, Qt::ElideRight, std::max(0.0, room));
        p.drawText(QPointF(x, y + m.ascent()), shown);
        x += m.horizontalAdvance(shown) + m.averageCharWidth() * 2;
    };
    p.setPen(QPen(c.inkFaint, 1));
    p.setBrush(c.line);
    p.drawRect(QRectF(x, y + m.ascent() - box, box, box));
    x += box + 6;
    say(tr("before"), c.inkSoft);
    p.setPen(QPen(c.less, 2));
    p.setBrush(Qt::NoBrush);
    p.drawRect(QRectF(x + 1, y + m.ascent() - box + 1, box - 2, box - 2));
    x += box + 6;
    say(tr("after"), c.inkSoft);
    if (m_current)
        say(classText(*m_current), c.ink);
    else
        say(tr("%1: %2 held-out points").arg(m_of, counted(m_points)), c.ink);
}

void ResidualHistogram::drawAxes(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF plot = plotRect();
    const QFontMetricsF m(font());
    const double most = static_cast<double>(this->most());
    for (double n = 0, step = roundStep(std::max(1.0, most / 4)); n <= most; n += step) {
        const double y = plot.bottom() - plot.height() * n / most;
        p.setPen(QPen(c.line, 0));
        p.drawLine(QPointF(plot.left(), y), QPointF(plot.right(), y));
        p.setPen(c.inkSoft);
        p.drawText(QRectF(0, y - m.height() / 2, plot.left() - 6, m.height()),
                   Qt::AlignRight | Qt::AlignVCenter, counted(static_cast<std::size_t>(n)));
    }
    const double wide = plot.width() / (m_last - m_first + 1);
    const int every = m_last - m_first > 24 ? 5 : wide < m.horizontalAdvance(QStringLiteral("-00")) ? 5 : 2;
    for (int k = m_first; k <= m_last; ++k) {
        if ((k - kMiddle) % every != 0) continue;
        const double x = plot.left() + (k - m_first + 0.5) * wide;
        p.setPen(QPen(k == kMiddle ? c.inkSoft : c.inkFaint, 0));
        p.drawLine(QPointF(x, k == kMiddle ? plot.top() : plot.bottom()), QPointF(x, plot.bottom() + 3));
        QString text = signedFigure(centreOf(k), {}, 0);
        if (k == 0) text.prepend(QChar(u'\u2264'));
        if (k == kHistogramClasses - 1) text.prepend(QChar(u'\u2265'));
        p.setPen(c.inkSoft);
        const double room = m.horizontalAdvance(text) + 4;
        p.drawText(QRectF(x - room / 2, plot.bottom() + 3, room, m.height()), Qt::AlignCenter, text);
    }
    p.setPen(c.inkSoft);
    const QRectF foot(plot.left(), plot.bottom() + m.height() + 4, plot.width(), m.height());
    p.drawText(foot, Qt::AlignCenter,
               m.elidedText(tr("Measured less predicted (dB)"), Qt::ElideRight, foot.width()));
    p.drawText(QRectF(2, foot.top(), plot.left() + m.averageCharWidth() * 8, m.height()),
               Qt::AlignLeft | Qt::AlignVCenter, tr("Points"));
}

void ResidualHistogram::drawBars(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF plot = plotRect();
    if (m_current) {
        const QRectF bar = barRect(*m_current, false);
        p.fillRect(QRectF(bar.left(), plot.top(), bar.width(), plot.height()), c.focusWash);
    }
    p.setPen(QPen(c.inkFaint, 0));
    p.setBrush(c.line);
    for (int k = m_first; k <= m_last; ++k)
        if (at(m_tallies.before, k)) p.drawRect(barRect(k, false));
    QPainterPath outline(plot.bottomLeft());
    for (int k = m_first; k <= m_last; ++k) {
        const QRectF bar = barRect(k, true);
        outline.lineTo(bar.topLeft());
        outline.lineTo(bar.topRight());
    }
    outline.lineTo(plot.bottomRight());
    p.setBrush(Qt::NoBrush);
    p.setPen(QPen(c.less, 2, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin));
    p.drawPath(outline);
}

void ResidualHistogram::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.base);
    p.setRenderHint(QPainter::Antialiasing);
    if (m_points == 0) {
        p.setPen(c.inkSoft);
        p.drawText(rect().adjusted(12, 6, -12, -6), Qt::AlignCenter | Qt::TextWordWrap,
                   tr("The differences between measured and predicted levels on held-out street squares come "
                      "here."));
    } else {
        drawAxes(p);
        drawBars(p);
        drawHead(p);
    }
    if (!hasFocus()) return;
    p.setBrush(Qt::NoBrush);
    p.setPen(QPen(c.focus, 2));
    p.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
}

void ResidualHistogram::setCurrent(std::optional<int> cls) {
    if (cls == m_current) return;
    m_current = cls;
    update();
}

bool ResidualHistogram::event(QEvent* e) {
    if (e->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(e);
        if (const auto cls = classAt(help->pos()))
            QToolTip::showText(help->globalPos(), classText(*cls), this);
        else
            QToolTip::hideText();
        return true;
    }
    return QWidget::event(e);
}

void ResidualHistogram::mouseMoveEvent(QMouseEvent* e) { setCurrent(classAt(e->position())); }

void ResidualHistogram::leaveEvent(QEvent*) { setCurrent(std::nullopt); }

void ResidualHistogram::keyPressEvent(QKeyEvent* e) {
    const bool left = e->key() == Qt::Key_Left, right = e->key() == Qt::Key_Right;
    if (m_points == 0 || (!left && !right)) return QWidget::keyPressEvent(e);
    setCurrent(std::clamp(m_current.value_or(kMiddle) + (m_current ? (right ? 1 : -1) : 0), m_first, m_last));
}

QSize ResidualHistogram::sizeHint() const {
    const int line = fontMetrics().height();
    return {line * 30, line * 11};
}
QSize ResidualHistogram::minimumSizeHint() const {
    const int line = fontMetrics().height();
    return {line * 14, line * 7};
}

} // namespace fw
