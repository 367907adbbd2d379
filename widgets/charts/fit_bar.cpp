// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/fit_bar.h"

#include "text/figures.h"
#include "text/line_of_words.h"
#include "theme/window_palette.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QToolTip>

#include <algorithm>
#include <array>
#include <cmath>

namespace fw {

namespace {

constexpr double kLeastChange = 0.05; // below this nothing is said to have changed

// One ink in steps: the terms are told apart by place and name, and colour stays for what radiates.
QColor pieceColor(const WindowPalette& c, std::size_t term) {
    static constexpr std::array<float, 5> kShare = {0.85F, 0.66F, 0.50F, 0.37F, 0.27F};
    const float s = kShare[term % kShare.size()];
    const auto mix = [s](float ground, float ink) { return ground + (ink - ground) * s; };
    return QColor::fromRgbF(mix(c.base.redF(), c.ink.redF()), mix(c.base.greenF(), c.ink.greenF()),
                            mix(c.base.blueF(), c.ink.blueF()));
}

double weightsOf(const Fit& fit) {
    double sum = 0;
    for (const Fit::Term& t : fit.terms) sum += t.weight;
    return sum;
}

QFont numberFont(const QWidget& w) {
    QFont f = w.font();
    f.setBold(true);
    if (f.pointSizeF() > 0)
        f.setPointSizeF(f.pointSizeF() * 1.7);
    else
        f.setPixelSize(static_cast<int>(f.pixelSize() * 1.7));
    return f;
}

} // namespace

FitBar::FitBar(Workspace& space, QWidget* parent) : QWidget(parent), m_space(space) {
    setFocusPolicy(Qt::StrongFocus);
    setMouseTracking(true);
    setAccessibleName(tr("Fit of the chosen small cell"));
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Preferred);
    connect(&space.live, &LiveStudy::shownChanged, this, &FitBar::refresh);
    connect(&space.live, &LiveStudy::stateChanged, this, &FitBar::refresh);
    connect(&space.selection, &Selection::changed, this, [this] {
        m_before.reset();
        m_row.reset();
        refresh();
    });
    connect(&space.drag, &LiveDrag::ended, this, [this] {
        m_before.reset();
        refresh();
    });
    refresh();
}

void FitBar::refresh() {
    const Chain chain = chainOf(m_space.document.plan(), m_space.selection.primary());
    auto now = chain.smallCell ? m_space.live.fit(chain.smallCell) : std::nullopt;
    if (!m_space.live.dragging())
        m_before.reset();
    else if (!m_before && m_fit && now && m_fit->small == now->small)
        m_before = m_fit; // as it was when the button went down
    m_fit = std::move(now);
    if (m_asked != bool(chain.smallCell)) {
        m_asked = bool(chain.smallCell);
        updateGeometry();
    }
    m_blocked = m_fit && m_space.live.review().blocked(m_fit->small);
    if (m_row && (!m_fit || *m_row >= m_fit->terms.size())) m_row.reset();
    if (!m_space.live.dragging()) describeAloud();
    update();
}

std::optional<double> FitBar::valueBefore() const {
    return m_before ? std::optional(m_before->value) : std::nullopt;
}

double FitBar::pointsMost(std::size_t term) const {
    const double all = m_fit ? weightsOf(*m_fit) : 0;
    return all > 0 ? 100 * m_fit->terms[term].weight / all : 0;
}
double FitBar::pointsOf(std::size_t term) const {
    return m_fit ? pointsMost(term) * m_fit->terms[term].score : 0;
}

QString FitBar::emptyText() const {
    if (m_fit) return {};
    const Chain chain = chainOf(m_space.document.plan(), m_space.selection.primary());
    if (chain.smallCell) return tr("The fit comes with the computation.");
    return tr("Choose a small cell to see how well it fits, and why.");
}

QRectF FitBar::barRect() const {
    const double line = fontMetrics().height();
    const double top = QFontMetricsF(numberFont(*this)).height() + 6;
    return {8, top, std::max(20.0, width() - 16.0), std::max(8.0, line * 0.7)};
}

QRectF FitBar::pieceRect(std::size_t term) const {
    const QRectF bar = barRect();
    double from = 0;
    for (std::size_t i = 0; i < term; ++i) from += pointsOf(i);
    return {bar.left() + from / 100 * bar.width(), bar.top(), pointsOf(term) / 100 * bar.width(),
            bar.height()};
}

QRectF FitBar::rowRect(std::size_t term) const {
    const double line = fontMetrics().height() + 4;
    return {4, barRect().bottom() + 6 + static_cast<double>(term) * line, width() - 8.0, line};
}

std::optional<std::size_t> FitBar::rowAt(QPointF place) const {
    if (!m_fit) return std::nullopt;
    for (std::size_t i = 0; i < m_fit->terms.size(); ++i)
        if (rowRect(i).contains(place) || pieceRect(i).contains(place)) return i;
    return std::nullopt;
}

// An arrow by its way, not by whether it is welcome: more fit is not more load.
QString FitBar::changeText(double by) const {
    if (std::fabs(by) < kLeastChange) return {};
    return (by > 0 ? QStringLiteral("\u25b2 ") : QStringLiteral("\u25bc ")) + signedFigure(by, {}, 1);
}

QString FitBar::rowText(std::size_t term) const {
    const Fit::Term& t = m_fit->terms[term];
    return tr("%1 gives %2 of %3 points: %4", "a term of the fit")
        .arg(coreText(t.name), figure(pointsOf(term), {}), figure(pointsMost(term), {}), coreText(t.says));
}

void FitBar::drawHead(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QFont big = numberFont(*this);
    const QFontMetricsF m(big);
    const QString number = figure(m_fit->value, {}, 0);
    const bool rtl = isRightToLeft();
    const QRectF line(8, 2, width() - 16.0, m.height());
    double used = widthOfWords(big, number) + 8;
    p.setFont(big);
    p.setPen(c.ink);
    drawWords(p, line, Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft), number);
    p.setFont(font());
    const auto say = [&](const QString& text, const QColor& color) {
        const double room = line.width() - used;
        if (text.isEmpty() || room < 10) return;
        const QRectF r = rtl ? line.adjusted(0, 0, -used, 0) : line.adjusted(used, 0, 0, 0);
        p.setPen(color);
        drawWords(p, r, Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft), text);
        used += widthOfWords(font(), text) + 12;
    };
    say(tr("fit, of 100"), c.inkSoft);
    if (m_before) say(changeText(m_fit->value - m_before->value), c.inkSoft);
    if (!m_blocked) return;
    // Severity by shape and word: the filled square of what blocks.
    const double side = QFontMetricsF(font()).height() * 0.5;
    if (line.width() - used > side + 20) {
        const double x = rtl ? line.right() - used - side : line.left() + used;
        p.fillRect(QRectF(x, line.center().y() - side / 2, side, side), c.ink);
        used += side + 5;
    }
    say(tr("not buildable"), c.ink);
}

void FitBar::drawBar(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF bar = barRect();
    p.fillRect(bar, c.raised);
    for (std::size_t i = 0; i < m_fit->terms.size(); ++i) {
        QRectF piece = pieceRect(i);
        if (piece.width() > 2) piece.setRight(piece.right() - 1); // a gap between pieces
        p.fillRect(piece, pieceColor(c, i));
    }
    p.setPen(QPen(c.inkFaint, 0));
    p.drawRect(bar);
    if (m_before) { // where the fit stood when the button went down
        const double x = bar.left() + m_before->value / 100 * bar.width();
        p.setPen(QPen(c.ghost, 2));
        p.drawLine(QPointF(x, bar.top() - 3), QPointF(x, bar.bottom() + 3));
    }
}

FitBar::Columns FitBar::columns() const {
    Columns c;
    c.numbers = widthOfWords(font(), tr("%1 of %2").arg(QStringLiteral("00.0"), QStringLiteral("00"))) + 6;
    for (const Fit::Term& t : m_fit->terms) c.name = std::max(c.name, widthOfWords(font(), coreText(t.name)));
    c.name = std::min(c.name, rowRect(0).width() * 0.4) + 8;
    if (m_before) c.change = widthOfWords(font(), QStringLiteral("\u25b2 +00.0"));
    return c;
}

void FitBar::drawRow(QPainter& p, const Columns& columns, std::size_t term) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF row = rowRect(term);
    const QFontMetricsF m(font());
    const Fit::Term& t = m_fit->terms[term];
    if (m_hovered == term) p.fillRect(row, c.focusWash);
    const double swatch = m.height() * 0.55;
    const bool rtl = isRightToLeft();
    double used = 4;
    const auto next = [&](double wide) {
        const QRectF r = rtl ? QRectF(row.right() - used - wide, row.top(), wide, row.height())
                             : QRectF(row.left() + used, row.top(), wide, row.height());
        used += wide + 6;
        return r;
    };
    const QRectF box = next(swatch);
    p.fillRect(QRectF(box.left(), box.center().y() - swatch / 2, swatch, swatch), pieceColor(c, term));
    const auto left = Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft);
    const auto right = Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignLeft : Qt::AlignRight);
    p.setPen(c.ink);
    drawWords(p, next(columns.name), left, coreText(t.name));
    drawWords(p, next(columns.numbers), right,
              tr("%1 of %2").arg(figure(pointsOf(term), {}), figure(pointsMost(term), {}, 0)));
    const double change = m_before && term < m_before->terms.size() && weightsOf(*m_before) > 0
                              ? pointsOf(term) - 100 * m_before->terms[term].score *
                                                     m_before->terms[term].weight / weightsOf(*m_before)
                              : 0;
    p.setPen(c.inkSoft);
    if (m_before) drawWords(p, next(columns.change), right, changeText(change));
    const double room = row.width() - used - 4;
    if (room > m.averageCharWidth() * 6) drawWords(p, next(room), left, coreText(t.says));
    if (hasFocus() && m_row == term) {
        p.setPen(QPen(c.focus, 2));
        p.drawRect(row.adjusted(1, 1, -1, -1));
    }
}

void FitBar::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.base);
    if (!m_fit) {
        p.setPen(c.inkSoft);
        p.drawText(rect().adjusted(12, 6, -12, -6), Qt::AlignCenter | Qt::TextWordWrap, emptyText());
    } else {
        drawHead(p);
        drawBar(p);
        const Columns shared = columns();
        for (std::size_t i = 0; i < m_fit->terms.size(); ++i) drawRow(p, shared, i);
    }
    if (hasFocus() && !m_row) {
        p.setPen(QPen(c.focus, 2));
        p.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    }
}

void FitBar::describeAloud() {
    if (!m_fit) {
        setAccessibleDescription(emptyText());
        return;
    }
    QStringList lines{tr("Fit %1 of 100").arg(figure(m_fit->value, {}, 0))};
    if (m_blocked) lines << tr("not buildable");
    for (std::size_t i = 0; i < m_fit->terms.size(); ++i) lines << rowText(i);
    setAccessibleDescription(lines.join(QStringLiteral(". ")));
}

bool FitBar::event(QEvent* e) {
    if (e->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(e);
        if (const auto row = rowAt(help->pos()))
            QToolTip::showText(help->globalPos(), rowText(*row), this);
        else
            QToolTip::hideText();
        return true;
    }
    return QWidget::event(e);
}

void FitBar::mouseMoveEvent(QMouseEvent* e) {
    const auto row = rowAt(e->position());
    if (m_fit)
        setCursor(Qt::PointingHandCursor);
    else
        unsetCursor();
    if (row == m_hovered) return;
    m_hovered = row;
    update();
}

void FitBar::leaveEvent(QEvent*) {
    m_hovered.reset();
    update();
}

// A press here is meant for the row under it, not for what lies behind.
void FitBar::mousePressEvent(QMouseEvent* e) { e->accept(); }

void FitBar::mouseReleaseEvent(QMouseEvent* e) {
    if (e->button() != Qt::LeftButton || !m_fit) return;
    const bool number = e->position().y() < barRect().bottom();
    if (number || rowAt(e->position())) emit workingWanted();
}

void FitBar::keyPressEvent(QKeyEvent* e) {
    const std::size_t n = m_fit ? m_fit->terms.size() : 0;
    switch (e->key()) {
    case Qt::Key_Down:
        if (n && (!m_row || *m_row + 1 < n)) m_row = m_row ? *m_row + 1 : 0;
        break;
    case Qt::Key_Up:
        if (m_row && *m_row > 0)
            m_row = *m_row - 1;
        else
            m_row.reset();
        break;
    case Qt::Key_Return:
    case Qt::Key_Enter:
    case Qt::Key_Space:
        if (m_fit) emit workingWanted();
        break;
    default:
        QWidget::keyPressEvent(e);
        return;
    }
    update();
}

QSize FitBar::sizeHint() const {
    const int line = fontMetrics().height();
    if (!m_asked) return {line * 28, line * 4};
    const int rows = m_fit ? static_cast<int>(m_fit->terms.size()) : 5;
    return {line * 28, static_cast<int>(barRect().bottom()) + 8 + rows * (line + 4)};
}
QSize FitBar::minimumSizeHint() const { return {fontMetrics().height() * 11, sizeHint().height()}; }

} // namespace fw
