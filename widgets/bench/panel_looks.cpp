// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/panel_looks.h"

#include "theme/window_palette.h"

#include <QHeaderView>
#include <QLabel>
#include <QTableView>

namespace fw {

void lookLikePanel(QWidget& panel) {
    const WindowPalette& c = windowPalette(panel.palette());
    QPalette p = panel.palette();
    p.setColor(QPalette::Base, c.base);
    p.setColor(QPalette::AlternateBase, c.raised);
    p.setColor(QPalette::Text, c.ink);
    p.setColor(QPalette::WindowText, c.ink);
    p.setColor(QPalette::PlaceholderText, c.inkFaint);
    p.setColor(QPalette::Highlight, c.focusWash);
    p.setColor(QPalette::HighlightedText, c.ink);
    if (p != panel.palette()) panel.setPalette(p);
}

void lookLikeTable(QTableView& view) {
    lookLikePanel(view);
    const QFontMetrics fm(view.font());
    view.setShowGrid(false);
    view.setFrameShape(QFrame::NoFrame);
    view.setAlternatingRowColors(false);
    view.setWordWrap(false);
    view.setTextElideMode(Qt::ElideRight);
    view.setSelectionBehavior(QAbstractItemView::SelectRows);
    view.setSelectionMode(QAbstractItemView::ExtendedSelection);
    view.setEditTriggers(QAbstractItemView::DoubleClicked | QAbstractItemView::EditKeyPressed |
                         QAbstractItemView::AnyKeyPressed);
    view.setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    view.setHorizontalScrollMode(QAbstractItemView::ScrollPerPixel);
    view.verticalHeader()->hide();
    view.verticalHeader()->setMinimumSectionSize(fm.height());
    view.verticalHeader()->setDefaultSectionSize(fm.height() * 3 / 2);
    QHeaderView& head = *view.horizontalHeader();
    head.setHighlightSections(false);
    head.setSectionsMovable(true);
    head.setStretchLastSection(true);
    head.setTextElideMode(Qt::ElideRight);
}

void lookSoft(QLabel& label) {
    const QColor ink = windowPalette(label.palette()).inkSoft;
    QPalette p = label.palette();
    if (p.color(QPalette::WindowText) == ink) return;
    p.setColor(QPalette::WindowText, ink);
    label.setPalette(p);
}

void lookRefused(QLabel& label) {
    const QColor ink = windowPalette(label.palette()).accentText;
    QPalette p = label.palette();
    if (p.color(QPalette::WindowText) == ink) return;
    p.setColor(QPalette::WindowText, ink);
    label.setPalette(p);
}

void paintSeverity(QPainter& painter, const QRectF& box, Severity severity, const QColor& ink) {
    painter.save();
    painter.setRenderHint(QPainter::Antialiasing);
    const double w = std::max(1.2, box.width() / 8);
    const QRectF r = box.adjusted(w / 2, w / 2, -w / 2, -w / 2);
    painter.setPen(QPen(ink, w));
    painter.setBrush(severity == Severity::block ? QBrush(ink) : QBrush(Qt::NoBrush));
    painter.drawRect(r);
    if (severity == Severity::warn) {
        painter.setPen(Qt::NoPen);
        painter.setBrush(ink);
        painter.drawRect(QRectF(r.left(), r.center().y(), r.width(), r.height() / 2));
    }
    painter.restore();
}

} // namespace fw
