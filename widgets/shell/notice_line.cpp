// SPDX-License-Identifier: GPL-3.0-or-later
#include "shell/notice_line.h"

#include "theme/window_palette.h"

#include <QAccessible>
#include <QHBoxLayout>
#include <QLabel>
#include <QPainter>
#include <QToolButton>

namespace fw {

NoticeLine::NoticeLine(QWidget* parent)
    : QFrame(parent), m_text(new QLabel(this)), m_action(new QToolButton(this)),
      m_close(new QToolButton(this)) {
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(28, 4, 6, 4);
    row->addWidget(m_text, 1);
    row->addWidget(m_action);
    row->addWidget(m_close);
    m_text->setWordWrap(true);
    m_text->setTextInteractionFlags(Qt::TextSelectableByMouse | Qt::TextSelectableByKeyboard);
    m_text->setTextFormat(Qt::PlainText);
    m_action->setAutoRaise(false);
    m_close->setAutoRaise(true);
    m_close->setText(QStringLiteral("\u00d7"));
    m_close->setAccessibleName(tr("Put this message away"));
    m_close->setToolTip(m_close->accessibleName());
    connect(m_close, &QToolButton::clicked, this, &NoticeLine::putAway);
    connect(m_action, &QToolButton::clicked, this, [this] {
        const auto act = std::move(m_act); // it may say something itself
        putAway();
        if (act) act();
    });
    hide();
}

void NoticeLine::say(const QString& sentence, Tone tone, const QString& action, std::function<void()> act) {
    m_tone = tone;
    m_act = std::move(act);
    m_text->setText(sentence);
    m_action->setText(action);
    m_action->setVisible(!action.isEmpty());
    setAccessibleName(sentence);
    show();
    update();
    QAccessibleEvent event(this, QAccessible::Alert);
    QAccessible::updateAccessibility(&event);
}

void NoticeLine::putAway() {
    m_text->clear();
    m_act = {};
    hide();
}

QString NoticeLine::text() const { return m_text->text(); }

void NoticeLine::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.fillRect(rect(), m_tone == Tone::trouble ? c.accentWash : c.focusWash);
    p.setRenderHint(QPainter::Antialiasing);
    // The sign has a shape: a triangle for trouble, a disc for the rest.
    const QPointF at(layoutDirection() == Qt::RightToLeft ? width() - 15 : 15, height() / 2.0);
    p.setPen(Qt::NoPen);
    if (m_tone == Tone::trouble) {
        p.setBrush(c.accent);
        p.drawPolygon(QPolygonF{at + QPointF(-6, 5), at + QPointF(6, 5), at + QPointF(0, -6)});
    } else {
        p.setBrush(c.focus);
        p.drawEllipse(at, 5, 5);
    }
    p.setPen(c.line);
    p.drawLine(0, height() - 1, width(), height() - 1);
}

} // namespace fw
