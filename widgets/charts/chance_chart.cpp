// SPDX-License-Identifier: GPL-3.0-or-later
#include "charts/chance_chart.h"

#include "text/figures.h"
#include "theme/window_palette.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QToolTip>

#include <algorithm>
#include <cmath>

namespace fw {

ChanceChart::ChanceChart(Workspace& space, QWidget* parent) : QWidget(parent), m_space(space) {
    setFocusPolicy(Qt::StrongFocus);
    setAccessibleName(tr("Chance: how sure a target is and what it hangs on"));
    connect(&space.chance, &LiveChance::changed, this, &ChanceChart::refresh);
    connect(&space.live, &LiveStudy::settledChanged, this, &ChanceChart::refresh);
    connect(&space.selection, &Selection::changed, this, &ChanceChart::refresh);
    refresh();
}

// The chosen cell; else the congested one least sure to come down.
ItemId ChanceChart::subject() const {
    const Chance* chance = m_space.chance.chance();
    if (!chance) return {};
    if (m_space.chance.of(m_space.selection.primary())) return m_space.selection.primary();
    const CellChance* least = nullptr;
    for (const CellChance& c : chance->cells)
        if (c.congested && (!least || c.reaches < least->reaches)) least = &c;
    return least ? least->cell : ItemId{};
}

void ChanceChart::refresh() {
    m_cell = subject();
    m_bars.clear();
    const CellChance* c = m_space.chance.of(m_cell);
    if (!c) {
        const Chance* chance = m_space.chance.chance();
        m_head = m_space.chance.drawing() ? tr("Chance: being drawn \u2026")
                 : chance ? tr("Chance: no congested cell; choose a cell that small cells change")
                          : tr("Chance comes with the settled ledger.");
    } else {
        const QString name = QString::fromStdString(m_space.document.plan().label(c->cell));
        m_congested = c->congested;
        m_target = c->target;
        m_ledger = c->ledger;
        m_bars.push_back({tr("everything"), c->after, true});
        std::vector<std::size_t> order{0, 1, 2, 3};
        std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
            return c->alone[a].span() > c->alone[b].span();
        });
        for (const std::size_t i : order)
            m_bars.push_back({coreText(nameOf(static_cast<ChanceInput>(i))), c->alone[i], false});
        m_head = m_congested ? tr("%1 of 100 draws reach %2: %3", "the last is a cell")
                                   .arg(QString::number(inHundred(c->reaches)), percent(c->target), name)
                             : tr("Use after, as drawn: %1").arg(name);
        double low = std::min(m_ledger, c->after.p10), high = std::max(m_ledger, c->after.p90);
        for (const Bar& b : m_bars) {
            low = std::min(low, b.q.p10);
            high = std::max(high, b.q.p90);
        }
        if (m_congested) {
            low = std::min(low, m_target);
            high = std::max(high, m_target);
        }
        const double room = std::max(0.005, (high - low) * 0.08);
        m_from = std::max(0.0, low - room);
        m_to = high + room;
    }
    QStringList spoken{m_head};
    for (std::size_t i = 0; i < m_bars.size(); ++i) spoken << barText(i);
    setAccessibleDescription(spoken.join(QStringLiteral(". ")));
    update();
}

QString ChanceChart::barText(std::size_t bar) const {
    const Bar& b = m_bars.at(bar);
    return tr("%1: from %2 to %3 in eight of ten draws")
        .arg(b.name, percent(b.q.p10, 1), percent(b.q.p90, 1));
}

int ChanceChart::lineHeight() const { return fontMetrics().height() + 3; }

double ChanceChart::nameWidth() const {
    const QFontMetricsF m(font());
    double most = 0;
    for (const Bar& b : m_bars) most = std::max(most, m.horizontalAdvance(b.name));
    return std::min(most + 10, width() * 0.45);
}

QRectF ChanceChart::plot() const {
    const QFontMetricsF m(font());
    const double names = nameWidth(),
                 figures = m.horizontalAdvance(tr("%1 to %2").arg(percent(1, 1), percent(1, 1))) + 10;
    const double top = lineHeight() + 5, tall = lineHeight() * static_cast<double>(m_bars.size());
    const double left = isRightToLeft() ? 8 + figures : 8 + names;
    return {left, top, std::max(30.0, width() - 16 - names - figures), tall};
}

double ChanceChart::xOf(double use) const {
    const QRectF r = plot();
    return r.left() + std::clamp((use - m_from) / (m_to - m_from), 0.0, 1.0) * r.width();
}

QRectF ChanceChart::barRect(std::size_t bar) const {
    const Bar& b = m_bars.at(bar);
    const double left = xOf(b.q.p10), right = xOf(b.q.p90);
    return {left, plot().top() + static_cast<double>(bar) * lineHeight() + 3, std::max(1.0, right - left),
            lineHeight() - 6.0};
}

void ChanceChart::drawBar(QPainter& p, std::size_t bar) const {
    const WindowPalette& c = windowPalette(palette());
    const Bar& b = m_bars[bar];
    const QRectF line(0, plot().top() + static_cast<double>(bar) * lineHeight(), width(), lineHeight());
    const bool rtl = isRightToLeft();
    const double names = nameWidth() - 6;
    const QRectF nameAt = rtl ? QRectF(width() - 8 - names, line.top(), names, line.height())
                              : QRectF(8, line.top(), names, line.height());
    QFont f = font();
    f.setBold(b.all);
    p.setFont(f);
    p.setPen(c.ink);
    p.drawText(nameAt, Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignRight : Qt::AlignLeft),
               QFontMetricsF(f).elidedText(b.name, Qt::ElideRight, names));
    p.setFont(font());
    p.setPen(c.inkSoft);
    const QRectF figuresAt =
        rtl ? QRectF(8, line.top(), plot().left() - 12, line.height())
            : QRectF(plot().right() + 6, line.top(), width() - plot().right() - 12, line.height());
    p.drawText(figuresAt, Qt::AlignAbsolute | Qt::AlignVCenter | (rtl ? Qt::AlignLeft : Qt::AlignRight),
               tr("%1 to %2").arg(percent(b.q.p10, 1), percent(b.q.p90, 1)));
    const QRectF r = barRect(bar);
    p.fillRect(r, b.all ? c.inkSoft : c.amount[4]);
    p.setPen(QPen(c.base, 2));
    p.drawLine(QPointF(xOf(b.q.p50), r.top()), QPointF(xOf(b.q.p50), r.bottom()));
}

void ChanceChart::drawMarks(QPainter& p) const {
    const WindowPalette& c = windowPalette(palette());
    const QRectF r = plot();
    p.setPen(QPen(c.inkFaint, 1, Qt::DotLine));
    p.drawLine(QPointF(xOf(m_ledger), r.top()), QPointF(xOf(m_ledger), r.bottom()));
    if (!m_congested) return;
    p.setPen(QPen(c.ink, 2));
    p.drawLine(QPointF(xOf(m_target), r.top() - 2), QPointF(xOf(m_target), r.bottom() + 2));
}

void ChanceChart::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.base);
    p.setPen(c.line);
    p.drawLine(0, 0, width(), 0);
    p.setPen(m_bars.empty() ? c.inkSoft : c.ink);
    const QRectF head(8, 3, width() - 16.0, lineHeight());
    p.drawText(head, Qt::AlignVCenter | Qt::AlignLeading,
               QFontMetricsF(font()).elidedText(m_head, Qt::ElideRight, head.width()));
    for (std::size_t i = 0; i < m_bars.size(); ++i) drawBar(p, i);
    if (!m_bars.empty()) drawMarks(p);
    if (hasFocus()) {
        p.setPen(QPen(c.focus, 2));
        p.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    }
}

void ChanceChart::showEvent(QShowEvent* e) {
    QWidget::showEvent(e);
    m_space.chance.setWanted(this, true);
}
void ChanceChart::hideEvent(QHideEvent* e) {
    QWidget::hideEvent(e);
    m_space.chance.setWanted(this, false);
}

void ChanceChart::openWorking() {
    const CellChance* c = m_space.chance.of(m_cell);
    if (c) emit workingWanted(workingOf(*m_space.chance.study(), *m_space.chance.chance(), *c));
}

void ChanceChart::keyPressEvent(QKeyEvent* e) {
    if (e->key() == Qt::Key_Space)
        openWorking();
    else
        QWidget::keyPressEvent(e);
}
void ChanceChart::mouseDoubleClickEvent(QMouseEvent* e) {
    if (e->button() == Qt::LeftButton) openWorking();
}
void ChanceChart::focusInEvent(QFocusEvent* e) {
    QWidget::focusInEvent(e);
    update();
}
void ChanceChart::focusOutEvent(QFocusEvent* e) {
    QWidget::focusOutEvent(e);
    update();
}

bool ChanceChart::event(QEvent* e) {
    if (e->type() == QEvent::ToolTip && !m_bars.empty()) {
        const auto* help = static_cast<QHelpEvent*>(e);
        const double at = (help->pos().y() - plot().top()) / lineHeight();
        const auto bar =
            static_cast<std::size_t>(std::clamp(at, 0.0, static_cast<double>(m_bars.size() - 1)));
        QString text = at < 0 ? m_head : barText(bar);
        if (at < 0 && m_congested)
            text += tr(". Thick line: target; dotted line: use after by the settled ledger, %1")
                        .arg(percent(m_ledger, 1));
        QToolTip::showText(help->globalPos(), text, this);
        return true;
    }
    if (e->type() == QEvent::PaletteChange || e->type() == QEvent::FontChange) update();
    return QWidget::event(e);
}

QSize ChanceChart::sizeHint() const { return {fontMetrics().height() * 34, lineHeight() * 6 + 12}; }
QSize ChanceChart::minimumSizeHint() const { return {fontMetrics().height() * 16, lineHeight() * 6 + 12}; }

} // namespace fw
