// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/share_histogram.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QPainter>
#include <QPainterPath>
#include <QToolTip>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr int kLeastClasses = 4;
constexpr int kLeastPlotLines = 5; // of text, high

double shareAt(const std::vector<double>& v, int cls) {
    const auto k = static_cast<std::size_t>(cls);
    return k < v.size() ? v[k] : 0;
}

// In per cent a round number, so that no more than so many lines stand there.
double percentStep(double most, double lines) {
    return roundStep(std::max(0.1, most * 100 / std::max(1.0, lines))) / 100;
}

QString percentTick(double share, double step) { return percent(share, step < 0.00999 ? 1 : 0); }

} // namespace

ShareHistogram::ShareHistogram(QWidget* parent) : QWidget(parent) {
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
}

void ShareHistogram::setShares(Shares shares, const QString& head, const QString& note,
                               const QString& empty) {
    const bool same = shares == m_shares && head == m_head;
    m_shares = std::move(shares);
    m_head = head;
    m_note = note;
    m_empty = empty;
    m_classes = 0;
    m_most = 0;
    int all = 0;
    for (const auto* list : {&m_shares.measured, &m_shares.modelled, &m_shares.spread}) {
        all = std::max(all, static_cast<int>(list->size()));
        for (int k = 0; k < static_cast<int>(list->size()); ++k) {
            if (shareAt(*list, k) > 1e-4) m_classes = std::max(m_classes, k + 1);
            m_most = std::max(m_most, shareAt(*list, k));
        }
    }
    if (m_classes > 0) m_classes = std::clamp(m_classes + 1, std::min(all, kLeastClasses), all);
    if (!same || (m_current && *m_current >= m_classes)) m_current.reset();
    describeAloud();
    makeRoom();
    update();
}

// Words beneath take as many lines as they need; the picture keeps its height.
void ShareHistogram::makeRoom() {
    const double line = QFontMetricsF(font()).height();
    setMinimumHeight(m_classes == 0 ? 0
                                    : static_cast<int>(std::ceil((4 + kLeastPlotLines) * line + 22 +
                                                                 noteHeight(width() - 16))));
}

void ShareHistogram::resizeEvent(QResizeEvent* e) {
    QWidget::resizeEvent(e);
    makeRoom();
}

QString ShareHistogram::sharesText(int cls) const {
    QStringList parts;
    if (!m_shares.measured.empty())
        parts << tr("%1 measured").arg(percent(shareAt(m_shares.measured, cls), 1));
    if (!m_shares.modelled.empty())
        parts << tr("%1 as modelled").arg(percent(shareAt(m_shares.modelled, cls), 1));
    if (!m_shares.spread.empty())
        parts << QStringLiteral("%1 %2").arg(percent(shareAt(m_shares.spread, cls), 1), spreadName());
    return parts.join(QStringLiteral(", "));
}

void ShareHistogram::describeAloud() {
    if (m_classes == 0) {
        setAccessibleDescription(m_empty);
        return;
    }
    QStringList lines{m_head};
    if (!m_note.isEmpty()) lines << m_note;
    for (int k = 0; k < m_classes; ++k)
        for (const auto* list : {&m_shares.measured, &m_shares.modelled, &m_shares.spread})
            if (shareAt(*list, k) > 5e-4) {
                lines << classText(k);
                break;
            }
    setAccessibleDescription(lines.join(QStringLiteral(". ")));
}

double ShareHistogram::noteHeight(double wide) const {
    if (m_note.isEmpty()) return 0;
    return QFontMetricsF(font()).boundingRect(QRectF(0, 0, wide, 1e4), Qt::TextWordWrap, m_note).height() + 4;
}

QRectF ShareHistogram::plotRect() const {
    const QFontMetricsF m(font());
    const double left = m.horizontalAdvance(percentTick(1, 1)) + 14;
    const double head = 2 * m.height() + 12, foot = 2 * m.height() + 10 + noteHeight(width() - 16);
    return {left, head, std::max(20.0, width() - left - 14), std::max(10.0, height() - foot - head)};
}

QRectF ShareHistogram::barRect(int cls, double share) const {
    const QRectF plot = plotRect();
    const double wide = plot.width() / std::max(1, m_classes);
    const double tall = m_most > 0 ? plot.height() * share / m_most : 0;
    return {plot.left() + cls * wide, plot.bottom() - tall, wide, tall};
}

std::optional<int> ShareHistogram::classAt(QPointF place) const {
    const QRectF plot = plotRect();
    if (m_classes == 0 || place.x() < plot.left() || place.x() >= plot.right()) return std::nullopt;
    return static_cast<int>((place.x() - plot.left()) / plot.width() * m_classes);
}

QPen ShareHistogram::modelledPen() const {
    QPen pen(windowPalette(palette()).inkSoft, 1.5, Qt::CustomDashLine, Qt::FlatCap, Qt::MiterJoin);
    pen.setDashPattern({3, 2});
    return pen;
}

QPen ShareHistogram::spreadPen() const {
    return {windowPalette(palette()).less, 2, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin};
}

void ShareHistogram::drawHead(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QFontMetricsF m(font());
    const double left = 8, room = width() - 16, box = m.ascent() * 0.8;
    p.setPen(c.ink);
    p.drawText(QPointF(left, 4 + m.ascent()),
               m.elidedText(m_current ? classText(*m_current) : m_head, Qt::ElideRight, room));
    const double y = 6 + m.height() + m.ascent();
    double x = left;
    const auto say = [&](const QString& text) {
        x += box * 1.3 + 5;
        p.setPen(c.inkSoft);
        p.drawText(QPointF(x, y), m.elidedText(text, Qt::ElideRight, std::max(0.0, width() - 8 - x)));
        x += m.horizontalAdvance(text) + m.averageCharWidth() * 2;
    };
    if (!m_shares.measured.empty()) {
        p.setPen(QPen(c.inkFaint, 1));
        p.setBrush(c.line);
        p.drawRect(QRectF(x, y - box, box, box));
        say(tr("measured"));
    }
    const auto stroke = [&](const QPen& pen, const QString& text) {
        p.setPen(pen);
        p.drawLine(QPointF(x, y - box / 2), QPointF(x + box * 1.3, y - box / 2));
        say(text);
    };
    if (!m_shares.modelled.empty()) stroke(modelledPen(), tr("as modelled"));
    if (!m_shares.spread.empty()) stroke(spreadPen(), spreadName());
}

void ShareHistogram::drawAxes(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF plot = plotRect();
    const QFontMetricsF m(font());
    for (double v = 0, step = percentStep(m_most, plot.height() / m.height() / 1.4); v <= m_most; v += step) {
        const double y = plot.bottom() - plot.height() * v / m_most;
        p.setPen(QPen(c.line, 0));
        p.drawLine(QPointF(plot.left(), y), QPointF(plot.right(), y));
        p.setPen(c.inkSoft);
        p.drawText(QRectF(0, y - m.height() / 2, plot.left() - 6, m.height()),
                   Qt::AlignRight | Qt::AlignVCenter, percentTick(v, step));
    }
    const double wide = plot.width() / m_classes;
    for (const Tick& t : ticks(wide)) {
        const double x = plot.left() + t.at * wide, half = m.horizontalAdvance(t.text) / 2 + 2;
        p.setPen(QPen(c.inkFaint, 0));
        p.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() + 3));
        p.setPen(c.inkSoft);
        const double middle = std::clamp(x, half, std::max(half, width() - half));
        p.drawText(QRectF(middle - half, plot.bottom() + 3, 2 * half, m.height()), Qt::AlignCenter, t.text);
    }
    const QRectF foot(8, plot.bottom() + m.height() + 4, width() - 16.0, m.height());
    p.setPen(c.inkSoft);
    p.drawText(foot, Qt::AlignCenter, m.elidedText(axisText(), Qt::ElideRight, foot.width()));
    p.setPen(c.ink);
    p.drawText(QRectF(8, foot.bottom() + 2, foot.width(), noteHeight(foot.width())),
               Qt::AlignLeft | Qt::AlignTop | Qt::TextWordWrap, m_note);
}

void ShareHistogram::drawOutline(QPainter& p, const std::vector<double>& shares, const QPen& pen) const {
    if (shares.empty()) return;
    QPainterPath path(plotRect().bottomLeft());
    for (int k = 0; k < m_classes; ++k) {
        const QRectF bar = barRect(k, shareAt(shares, k));
        path.lineTo(bar.topLeft());
        path.lineTo(bar.topRight());
    }
    path.lineTo(plotRect().bottomRight());
    p.setBrush(Qt::NoBrush);
    p.setPen(pen);
    p.drawPath(path);
}

void ShareHistogram::drawBars(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    if (m_current) {
        const QRectF plot = plotRect(), bar = barRect(*m_current, 0);
        p.fillRect(QRectF(bar.left(), plot.top(), bar.width(), plot.height()), c.focusWash);
    }
    p.setPen(QPen(c.inkFaint, 0));
    p.setBrush(c.line);
    for (int k = 0; k < m_classes; ++k)
        if (const double share = shareAt(m_shares.measured, k); share > 0) p.drawRect(barRect(k, share));
    drawOutline(p, m_shares.modelled, modelledPen());
    drawOutline(p, m_shares.spread, spreadPen());
}

void ShareHistogram::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.base);
    p.setRenderHint(QPainter::Antialiasing);
    if (m_classes == 0) {
        p.setPen(c.inkSoft);
        p.drawText(rect().adjusted(12, 6, -12, -6), Qt::AlignCenter | Qt::TextWordWrap, m_empty);
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

void ShareHistogram::setCurrent(std::optional<int> cls) {
    if (cls == m_current) return;
    m_current = cls;
    update();
}

bool ShareHistogram::event(QEvent* e) {
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

void ShareHistogram::mouseMoveEvent(QMouseEvent* e) { setCurrent(classAt(e->position())); }
void ShareHistogram::leaveEvent(QEvent*) { setCurrent(std::nullopt); }

void ShareHistogram::mouseReleaseEvent(QMouseEvent* e) {
    const auto cls = classAt(e->position());
    if (e->button() == Qt::LeftButton && cls) emit workingWanted(*cls);
}

void ShareHistogram::keyPressEvent(QKeyEvent* e) {
    const int step = e->key() == Qt::Key_Right ? 1 : e->key() == Qt::Key_Left ? -1 : 0;
    const bool open = e->key() == Qt::Key_Return || e->key() == Qt::Key_Enter || e->key() == Qt::Key_Space;
    if (m_classes == 0 || (step == 0 && !(open && m_current))) return QWidget::keyPressEvent(e);
    if (open)
        emit workingWanted(*m_current);
    else
        setCurrent(m_current ? std::clamp(*m_current + step, 0, m_classes - 1) : 0);
}

QSize ShareHistogram::sizeHint() const {
    const int line = fontMetrics().height();
    return {line * 26, line * 12};
}
QSize ShareHistogram::minimumSizeHint() const {
    const int line = fontMetrics().height();
    return {line * 14, line * 7};
}

} // namespace fw
