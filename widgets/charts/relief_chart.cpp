// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/relief_chart.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QScrollBar>
#include <QToolTip>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

QString wordsOf(const TargetOutcome& t) {
    switch (t.verdict) {
    case AcceptanceVerdict::unknown:
        return t.measured ? ReliefChart::tr("too few untouched cells") : ReliefChart::tr("not measured");
    case AcceptanceVerdict::nothingSeen:
        return ReliefChart::tr("cannot be told from chance");
    case AcceptanceVerdict::less:
        return ReliefChart::tr("less than predicted");
    case AcceptanceVerdict::asPredicted:
        return ReliefChart::tr("as predicted");
    case AcceptanceVerdict::more:
        return ReliefChart::tr("more than predicted");
    }
    return {};
}

QString points(double share) { return figure(share * 100, {}, 1); }

} // namespace

ReliefChart::ReliefChart(QWidget* parent) : QAbstractScrollArea(parent) {
    setFrameShape(QFrame::NoFrame);
    setFocusPolicy(Qt::StrongFocus);
    setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    setAccessibleName(tr("Relief of each cell, predicted and measured"));
    viewport()->setMouseTracking(true);
    connect(verticalScrollBar(), &QScrollBar::valueChanged, viewport(), qOverload<>(&QWidget::update));
}

void ReliefChart::setAcceptance(const Plan& plan, const Acceptance& acceptance) {
    const ItemId current = m_current >= 0 ? m_rows[static_cast<std::size_t>(m_current)].cell : ItemId{};
    m_rows.clear();
    m_current = -1;
    m_low = 0;
    m_high = 0.02;
    auto targets = acceptance.targets;
    std::stable_sort(targets.begin(), targets.end(), [](const TargetOutcome& a, const TargetOutcome& b) {
        return a.predicted > b.predicted;
    });
    for (const TargetOutcome& t : targets) {
        Row r;
        r.cell = t.cell;
        r.name = QString::fromStdString(plan.label(t.cell));
        r.predicted = t.predicted;
        r.known = t.verdict != AcceptanceVerdict::unknown;
        r.measured = t.relief;
        r.error = t.errorRelief;
        //: points of relief: measured, give or take its error, of predicted
        r.figures =
            r.known
                ? tr("%1 ± %2 of %3 points").arg(points(t.relief), points(t.errorRelief), points(t.predicted))
                : tr("%1 points predicted").arg(points(t.predicted));
        r.verdict = wordsOf(t);
        r.sentence = coreText(t.text);
        m_high = std::max({m_high, t.predicted, r.known ? t.relief + t.errorRelief : 0.0});
        m_low = std::min(m_low, r.known ? t.relief - t.errorRelief : 0.0);
        if (t.cell == current) m_current = static_cast<int>(m_rows.size());
        m_rows.push_back(std::move(r));
    }
    setRange();
    describeAloud();
    viewport()->update();
}

void ReliefChart::clear() {
    m_rows.clear();
    m_current = -1;
    setRange();
    describeAloud();
    viewport()->update();
}

int ReliefChart::rowHeight() const { return fontMetrics().height() * 2 + 12; }
int ReliefChart::headHeight() const { return fontMetrics().height() + 10; }

void ReliefChart::setRange() {
    const int content = static_cast<int>(m_rows.size()) * rowHeight(),
              room = viewport()->height() - headHeight();
    verticalScrollBar()->setRange(0, std::max(0, content - room));
    verticalScrollBar()->setPageStep(std::max(1, room));
    verticalScrollBar()->setSingleStep(rowHeight());
}

ReliefChart::Columns ReliefChart::columns() const {
    const QFontMetricsF m(font());
    Columns c;
    const double wide = viewport()->width(), em = m.averageCharWidth();
    double name = em * 10;
    c.wordsWide = 0;
    for (const Row& r : m_rows) {
        name = std::max(name, m.horizontalAdvance(r.name));
        c.wordsWide = std::max({c.wordsWide, m.horizontalAdvance(r.figures), m.horizontalAdvance(r.verdict)});
    }
    c.name = 8;
    name = std::min(name, std::max(em * 10, wide * 0.3));
    c.track = c.name + name + em * 2;
    c.trackWide = std::max(40.0, wide - c.track - c.wordsWide - em * 2 - 8);
    c.words = c.track + c.trackWide + em * 2;
    return c;
}

QRect ReliefChart::rowRect(int row) const {
    return {0, headHeight() + row * rowHeight() - verticalScrollBar()->value(), viewport()->width(),
            rowHeight()};
}

double ReliefChart::xOf(double share) const {
    const Columns c = columns();
    const double along = (share - m_low) / (m_high - m_low) * c.trackWide;
    return isRightToLeft() ? viewport()->width() - c.track - along : c.track + along;
}

// Line 0 is predicted, line 1 measured.
QRectF ReliefChart::bar(int row, double share, int line) const {
    const QRect at = rowRect(row);
    const double high = (at.height() - 12) / 2.0, a = xOf(0), b = xOf(share);
    return {std::min(a, b), at.top() + 5 + line * (high + 2), std::fabs(b - a), high};
}

QRectF ReliefChart::predictedRect(int row) const {
    return bar(row, m_rows[static_cast<std::size_t>(row)].predicted, 0);
}

QRectF ReliefChart::measuredRect(int row) const {
    const Row& r = m_rows[static_cast<std::size_t>(row)];
    return r.known ? bar(row, r.measured, 1) : QRectF();
}

QRectF ReliefChart::whiskerRect(int row) const {
    const Row& r = m_rows[static_cast<std::size_t>(row)];
    if (!r.known) return {};
    const QRectF b = bar(row, r.measured, 1);
    const double from = xOf(r.measured - r.error), to = xOf(r.measured + r.error);
    return {std::min(from, to), b.top() + b.height() / 4, std::fabs(to - from), b.height() / 2};
}

void ReliefChart::drawHead(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QFontMetricsF m(font());
    const QRectF at(0, 0, viewport()->width(), headHeight());
    p.fillRect(at, c.base);
    double x = 8;
    const double box = m.height() * 0.6, mid = at.center().y();
    const bool rtl = isRightToLeft();
    const auto place = [&](double from, double wide, double high) {
        return QRectF(rtl ? at.width() - from - wide : from, mid - high / 2, wide, high);
    };
    const auto word = [&](const QString& text) {
        const double wide = m.horizontalAdvance(text);
        p.setPen(c.inkSoft);
        p.drawText(place(x, wide + 2, m.height()), Qt::AlignVCenter, text);
        x += wide + m.averageCharWidth() * 3;
    };
    p.fillRect(place(x, box, box), c.amount[2]);
    x += box + 6;
    word(tr("relief predicted"));
    p.fillRect(place(x, box, box), c.amount[5]);
    x += box + 6;
    word(tr("measured"));
    const QRectF whisker = place(x, box * 1.5, box);
    p.setPen(QPen(c.ink, 1.5));
    p.drawLine(QPointF(whisker.left(), mid), QPointF(whisker.right(), mid));
    for (const double end : {whisker.left(), whisker.right()})
        p.drawLine(QPointF(end, whisker.top()), QPointF(end, whisker.bottom()));
    x += box * 1.5 + 6;
    word(tr("one standard error to both sides"));
    p.setPen(QPen(c.line, 0));
    p.drawLine(at.bottomLeft(), at.bottomRight());
}

void ReliefChart::drawRow(QPainter& p, int row) const {
    const WindowPalette& c = windowPalette(palette());
    const Row& r = m_rows[static_cast<std::size_t>(row)];
    const QRectF at = rowRect(row);
    const Columns col = columns();
    const QFontMetricsF m(font());
    if (row == m_current) p.fillRect(at, c.focusWash);
    const bool rtl = isRightToLeft();
    const auto text = [&](double from, double wide, double top, double high, const QString& words) {
        const QRectF box(rtl ? at.width() - from - wide : from, top, wide, high);
        p.drawText(box, Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft),
                   m.elidedText(words, Qt::ElideRight, wide + 1));
    };
    p.setPen(c.ink);
    text(col.name, col.track - col.name - m.averageCharWidth(), at.top(), at.height(), r.name);
    p.fillRect(predictedRect(row), c.amount[2]);
    if (r.known) {
        p.fillRect(measuredRect(row), c.amount[5]);
        const QRectF w = whiskerRect(row);
        // On a strip of the ground, so that the whisker is seen on its own bar too.
        const double mid = w.center().y();
        p.setPen(QPen(c.base, 4.5));
        p.drawLine(QPointF(w.left(), mid), QPointF(w.right(), mid));
        p.setPen(QPen(c.ink, 1.5));
        p.drawLine(QPointF(w.left(), mid), QPointF(w.right(), mid));
        for (const double end : {w.left(), w.right()})
            p.drawLine(QPointF(end, w.top()), QPointF(end, w.bottom()));
    }
    p.setPen(QPen(c.inkFaint, 0));
    p.drawLine(QPointF(xOf(0), at.top() + 2), QPointF(xOf(0), at.bottom() - 2));
    const double half = (at.height() - 12) / 2;
    p.setPen(c.ink);
    text(col.words, viewport()->width() - col.words - 4, at.top() + 5, half, r.figures);
    p.setPen(c.inkSoft);
    text(col.words, viewport()->width() - col.words - 4, at.top() + 7 + half, half, r.verdict);
    p.setPen(QPen(c.line, 0));
    p.drawLine(at.bottomLeft(), at.bottomRight());
}

void ReliefChart::paintEvent(QPaintEvent* e) {
    QPainter p(viewport());
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(viewport()->rect(), c.base);
    if (m_rows.empty()) return;
    for (int k = 0; k < static_cast<int>(m_rows.size()); ++k)
        if (rowRect(k).intersects(e->rect())) drawRow(p, k);
    drawHead(p);
    if (hasFocus() && m_current >= 0) {
        p.setPen(QPen(c.focus, 2));
        p.drawRect(QRectF(rowRect(m_current)).adjusted(1, 1, -1, -1));
    }
}

void ReliefChart::setCurrent(int row) {
    if (m_rows.empty()) return;
    m_current = std::clamp(row, 0, static_cast<int>(m_rows.size()) - 1);
    const QRect at = rowRect(m_current);
    if (at.top() < headHeight())
        verticalScrollBar()->setValue(verticalScrollBar()->value() + at.top() - headHeight());
    else if (at.bottom() > viewport()->height())
        verticalScrollBar()->setValue(verticalScrollBar()->value() + at.bottom() - viewport()->height());
    describeAloud();
    viewport()->update();
}

// Who does not see the bars hears the row they are on, or all of them.
void ReliefChart::describeAloud() {
    QStringList all;
    for (std::size_t k = 0; k < m_rows.size(); ++k)
        if (m_current < 0 || static_cast<int>(k) == m_current) all << m_rows[k].sentence;
    setAccessibleDescription(all.join(QLatin1Char('\n')));
}

int ReliefChart::rowAt(QPoint place) const {
    if (place.y() < headHeight()) return -1;
    for (int k = 0; k < static_cast<int>(m_rows.size()); ++k)
        if (rowRect(k).contains(place)) return k;
    return -1;
}

void ReliefChart::keyPressEvent(QKeyEvent* e) {
    const int page = std::max(1, (viewport()->height() - headHeight()) / rowHeight());
    const int last = static_cast<int>(m_rows.size()) - 1;
    const auto to = [&]() -> std::optional<int> {
        switch (e->key()) {
        case Qt::Key_Up:
            return m_current - 1;
        case Qt::Key_Down:
            return m_current + 1;
        case Qt::Key_PageUp:
            return m_current - page;
        case Qt::Key_PageDown:
            return m_current + page;
        case Qt::Key_Home:
            return 0;
        case Qt::Key_End:
            return last;
        default:
            return std::nullopt;
        }
    }();
    const bool on = m_current >= 0;
    if (to)
        setCurrent(*to);
    else if (e->key() == Qt::Key_Space && on)
        emit workingWanted(m_rows[static_cast<std::size_t>(m_current)].cell);
    else if ((e->key() == Qt::Key_Return || e->key() == Qt::Key_Enter) && on)
        emit cellChosen(m_rows[static_cast<std::size_t>(m_current)].cell);
    else
        QAbstractScrollArea::keyPressEvent(e);
}

void ReliefChart::mousePressEvent(QMouseEvent* e) { e->accept(); }

void ReliefChart::mouseReleaseEvent(QMouseEvent* e) {
    const int row = rowAt(e->pos());
    if (e->button() != Qt::LeftButton || row < 0) return;
    setCurrent(row);
    emit cellChosen(m_rows[static_cast<std::size_t>(row)].cell);
}

void ReliefChart::mouseDoubleClickEvent(QMouseEvent* e) {
    const int row = rowAt(e->pos());
    if (e->button() == Qt::LeftButton && row >= 0)
        emit workingWanted(m_rows[static_cast<std::size_t>(row)].cell);
}

bool ReliefChart::viewportEvent(QEvent* e) {
    if (e->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(e);
        const int row = rowAt(help->pos());
        if (row < 0)
            QToolTip::hideText();
        else
            QToolTip::showText(help->globalPos(), m_rows[static_cast<std::size_t>(row)].sentence, viewport());
        return true;
    }
    return QAbstractScrollArea::viewportEvent(e);
}

void ReliefChart::resizeEvent(QResizeEvent*) { setRange(); }

void ReliefChart::changeEvent(QEvent* e) {
    if (e->type() == QEvent::FontChange || e->type() == QEvent::PaletteChange ||
        e->type() == QEvent::LayoutDirectionChange) {
        setRange();
        viewport()->update();
    }
    QAbstractScrollArea::changeEvent(e);
}

void ReliefChart::focusInEvent(QFocusEvent* e) {
    QAbstractScrollArea::focusInEvent(e);
    if (m_current < 0) setCurrent(0);
    viewport()->update();
}

void ReliefChart::focusOutEvent(QFocusEvent* e) {
    QAbstractScrollArea::focusOutEvent(e);
    viewport()->update();
}

QSize ReliefChart::sizeHint() const {
    return {fontMetrics().averageCharWidth() * 90, headHeight() + 6 * rowHeight()};
}
QSize ReliefChart::minimumSizeHint() const {
    return {fontMetrics().averageCharWidth() * 50, headHeight() + 2 * rowHeight()};
}

} // namespace fw
