// SPDX-License-Identifier: GPL-3.0-or-later
#include "shell/stage_bar.h"

#include "theme/window_palette.h"

#include <QEvent>
#include <QHBoxLayout>
#include <QKeyEvent>
#include <QPainter>
#include <QStyle>

#include <algorithm>

namespace fw {

namespace {

constexpr int kPad = 12, kGap = 2;

} // namespace

StageButton::StageButton(QWidget* parent) : QAbstractButton(parent) {
    setCheckable(true);
    setFocusPolicy(Qt::StrongFocus);
    setAttribute(Qt::WA_Hover);
    setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
}

QFont StageButton::nameFont() const {
    QFont f = font();
    f.setBold(true);
    return f;
}

QFont StageButton::stateFont() const {
    QFont f = font();
    if (f.pointSizeF() > 0) f.setPointSizeF(f.pointSizeF() * 0.9);
    return f;
}

void StageButton::setWords(const QString& name, const QString& count, const QString& state) {
    if (name == m_name && count == m_count && state == m_state) return;
    const bool resized = name != m_name;
    m_name = name;
    m_count = count;
    m_state = state;
    setAccessibleName(name);
    setAccessibleDescription(count.isEmpty() ? state : tr("%1, %2").arg(count, state));
    setToolTip(state);
    if (resized) updateGeometry();
    update();
}

QSize StageButton::sizeHint() const {
    const QFontMetrics name(nameFont()), state(stateFont());
    const int w = std::max(name.horizontalAdvance(m_name) + name.horizontalAdvance(QStringLiteral("  0000")),
                           state.averageCharWidth() * 22);
    return {w + 2 * kPad, name.height() + state.height() + kGap + 2 * (kPad / 2)};
}

QSize StageButton::minimumSizeHint() const {
    return {QFontMetrics(nameFont()).horizontalAdvance(m_name) + 2 * kPad, sizeHint().height()};
}

void StageButton::changeEvent(QEvent* e) {
    if (e->type() == QEvent::FontChange) updateGeometry();
    QAbstractButton::changeEvent(e);
}

void StageButton::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    const QRect all = rect();
    if (isChecked())
        p.fillRect(all, c.focusWash);
    else if (underMouse())
        p.fillRect(all, c.base);
    if (isChecked()) p.fillRect(QRect(all.left(), all.bottom() - 2, all.width(), 3), c.focus);
    const QFontMetrics name(nameFont()), state(stateFont());
    const QRect inside = all.adjusted(kPad, kPad / 2, -kPad, -kPad / 2);
    const Qt::Alignment side = QStyle::visualAlignment(layoutDirection(), Qt::AlignLeft);
    const Qt::Alignment far = QStyle::visualAlignment(layoutDirection(), Qt::AlignRight);
    const QRect top(inside.left(), inside.top(), inside.width(), name.height());
    p.setFont(nameFont());
    p.setPen(c.ink);
    p.drawText(top, static_cast<int>(side | Qt::AlignVCenter), m_name);
    const int room = inside.width() - name.horizontalAdvance(m_name) - kPad;
    p.setFont(stateFont());
    p.setPen(c.inkSoft);
    if (state.horizontalAdvance(m_count) <= room)
        p.drawText(top, static_cast<int>(far | Qt::AlignVCenter), m_count);
    const QRect below(inside.left(), top.bottom() + 1 + kGap, inside.width(), state.height());
    p.drawText(below, static_cast<int>(side | Qt::AlignVCenter),
               state.elidedText(m_state, Qt::ElideRight, below.width()));
    if (hasFocus()) {
        p.setPen(QPen(c.focus, 2));
        p.setBrush(Qt::NoBrush);
        p.drawRect(QRectF(all).adjusted(1, 1, -1, -1));
    }
}

StageBar::StageBar(int stages, QWidget* parent) : QWidget(parent) {
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(0, 0, 0, 1);
    row->setSpacing(0);
    for (int k = 0; k < stages; ++k) {
        auto* b = new StageButton(this);
        b->setObjectName(QStringLiteral("stage%1").arg(k + 1));
        row->addWidget(b, 1);
        m_buttons.push_back(b);
        connect(b, &QAbstractButton::clicked, this, [this, k] {
            setCurrent(m_current == k ? -1 : k);
            emit chosen(m_current);
        });
    }
    setAccessibleName(tr("Stages"));
}

void StageBar::setWords(int stage, const QString& name, const QString& count, const QString& state) {
    button(stage)->setWords(name, count, state);
}

void StageBar::setCurrent(int stage) {
    m_current = stage;
    for (std::size_t k = 0; k < m_buttons.size(); ++k) m_buttons[k]->setChecked(static_cast<int>(k) == stage);
}

void StageBar::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), c.raised);
    p.setPen(c.line);
    p.drawLine(0, height() - 1, width(), height() - 1);
}

void StageBar::keyPressEvent(QKeyEvent* e) {
    const bool mirrored = layoutDirection() == Qt::RightToLeft;
    const int step = e->key() == Qt::Key_Right ? 1 : e->key() == Qt::Key_Left ? -1 : 0;
    if (step == 0) {
        QWidget::keyPressEvent(e);
        return;
    }
    const int n = static_cast<int>(m_buttons.size());
    for (int k = 0; k < n; ++k)
        if (button(k)->hasFocus()) {
            button((k + (mirrored ? -step : step) + n) % n)->setFocus(Qt::TabFocusReason);
            return;
        }
}

} // namespace fw
