// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/swipe_divider.h"

#include "canvas/ground_tint.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr int kBand = 9;    // px in which the line is taken hold of
constexpr int kHandle = 30; // px, width and height of the handle

} // namespace

SwipeDivider::SwipeDivider(QWidget* map) : QAbstractSlider(map) {
    setOrientation(Qt::Horizontal);
    setRange(0, kSteps);
    setSingleStep(10);
    setPageStep(100);
    setValue(kSteps / 2);
    setFocusPolicy(Qt::StrongFocus);
    setCursor(Qt::SplitHCursor);
    setAccessibleName(tr("Divider between before and after"));
    setAccessibleDescription(
        tr("Left of it the map shows before, right of it after. Left and Right move it, Esc takes it away."));
    setToolTip(tr("Before on the left, after on the right. Drag, or move with the arrow keys; Esc takes it "
                  "away."));
    place();
}

double SwipeDivider::lineX() const { return parentWidget()->width() * static_cast<double>(value()) / kSteps; }

void SwipeDivider::place() {
    const int x = static_cast<int>(std::lround(lineX()));
    setGeometry(x - kHandle / 2, 0, kHandle, parentWidget()->height());
    setMask(QRegion((width() - kBand) / 2, 0, kBand, height()) + handle().adjusted(-1, -1, 1, 1));
}

QRect SwipeDivider::handle() const { return {0, (height() - kHandle) / 2, kHandle, kHandle}; }

void SwipeDivider::setLine(double x) {
    setValue(static_cast<int>(std::lround(x / std::max(1, parentWidget()->width()) * kSteps)));
}

void SwipeDivider::sliderChange(SliderChange change) {
    QAbstractSlider::sliderChange(change);
    if (change == SliderValueChange) place();
}

bool SwipeDivider::event(QEvent* e) {
    // Esc is the divider's own while it has the keyboard, whatever shortcut there is.
    if (e->type() == QEvent::ShortcutOverride && static_cast<QKeyEvent*>(e)->key() == Qt::Key_Escape) {
        e->accept();
        return true;
    }
    return QAbstractSlider::event(e);
}

void SwipeDivider::mousePressEvent(QMouseEvent* e) {
    if (e->button() != Qt::LeftButton) return e->ignore();
    m_grabbed = mapToParent(e->position()).x() - lineX();
    setSliderDown(true);
    e->accept();
}

void SwipeDivider::mouseMoveEvent(QMouseEvent* e) {
    if (!isSliderDown()) return e->ignore();
    setLine(mapToParent(e->position()).x() - m_grabbed);
    e->accept();
}

void SwipeDivider::mouseReleaseEvent(QMouseEvent* e) {
    if (!isSliderDown() || e->button() != Qt::LeftButton) return e->ignore();
    setSliderDown(false);
    e->accept();
}

void SwipeDivider::wheelEvent(QWheelEvent* e) { e->ignore(); } // the map's

void SwipeDivider::keyPressEvent(QKeyEvent* e) {
    const int step = e->modifiers() & Qt::ShiftModifier ? 1 : singleStep();
    switch (e->key()) {
    case Qt::Key_Escape:
        emit dismissed();
        return;
    case Qt::Key_Left: // left is left from right to left too: before stays at that side
        setValue(value() - step);
        return;
    case Qt::Key_Right:
        setValue(value() + step);
        return;
    case Qt::Key_PageUp:
        setValue(value() - pageStep());
        return;
    case Qt::Key_PageDown:
        setValue(value() + pageStep());
        return;
    case Qt::Key_Home:
        setValue(minimum());
        return;
    case Qt::Key_End:
        setValue(maximum());
        return;
    default:
        e->ignore();
    }
}

void SwipeDivider::focusInEvent(QFocusEvent* e) {
    QAbstractSlider::focusInEvent(e);
    update();
}

void SwipeDivider::focusOutEvent(QFocusEvent* e) {
    QAbstractSlider::focusOutEvent(e);
    update();
}

void SwipeDivider::paintEvent(QPaintEvent*) {
    const WindowPalette& c = windowPalette(palette());
    QPainter p(this);
    p.setRenderHint(QPainter::Antialiasing);
    const double x = width() / 2.0;
    p.fillRect(QRectF(x - 2.5, 0, 5, height()), c.labelHalo);
    p.fillRect(QRectF(x - 1, 0, 2, height()), c.ink);
    const QRectF h = QRectF(handle()).adjusted(2, 2, -2, -2);
    p.setPen(QPen(hasFocus() ? c.focus : c.ink, hasFocus() ? 2.5 : 1.5));
    p.setBrush(c.raised);
    p.drawEllipse(h);
    p.setPen(Qt::NoPen);
    p.setBrush(c.ink);
    for (const double side : {-1.0, 1.0}) { // two heads that point away from the line
        const QPointF tip = h.center() + QPointF(side * 9, 0);
        p.drawPolygon(QPolygonF{tip, tip + QPointF(-side * 5, -5), tip + QPointF(-side * 5, 5)});
    }
}

void SwipeDivider::paintWords(QPainter& p, const WindowPalette& colors) const {
    const QFontMetricsF fm(font());
    const double x = lineX(), pad = 5, gap = 8, h = fm.height() + 4;
    p.save();
    p.setRenderHint(QPainter::Antialiasing);
    p.setFont(font());
    for (const TintMoment moment : {TintMoment::before, TintMoment::after}) {
        const QString word = momentName(moment);
        const double w = fm.horizontalAdvance(word) + 2 * pad;
        const bool left = moment == TintMoment::before;
        const QRectF box(left ? x - gap - w : x + gap, parentWidget()->height() - h - 8, w, h);
        p.setPen(Qt::NoPen);
        p.setBrush(colors.raised);
        p.drawRoundedRect(box, 3, 3);
        p.setPen(colors.ink);
        p.drawText(box, Qt::AlignCenter, word);
    }
    p.restore();
}

} // namespace fw
