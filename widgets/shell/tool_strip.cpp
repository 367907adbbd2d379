// SPDX-License-Identifier: GPL-3.0-or-later
#include "shell/tool_strip.h"

#include "theme/window_palette.h"

#include <QAction>
#include <QHBoxLayout>
#include <QPainter>
#include <QToolButton>

namespace fw {

ToolStrip::ToolStrip(QWidget* parent) : QFrame(parent), m_row(new QHBoxLayout(this)) {
    m_row->setContentsMargins(4, 3, 4, 3);
    m_row->setSpacing(2);
    setAccessibleName(tr("Tools"));
}

void ToolStrip::setTools(const QList<QAction*>& tools) {
    for (QAction* action : tools) {
        auto* b = new QToolButton(this);
        b->setDefaultAction(action);
        b->setToolButtonStyle(Qt::ToolButtonTextOnly);
        b->setAutoRaise(true);
        b->setFocusPolicy(Qt::TabFocus);
        m_row->addWidget(b);
        if (!focusProxy()) setFocusProxy(b);
    }
}

void ToolStrip::paintEvent(QPaintEvent*) {
    QPainter p(this);
    const WindowPalette& c = windowPalette(palette());
    p.setRenderHint(QPainter::Antialiasing);
    p.setPen(c.line);
    p.setBrush(c.raised);
    p.drawRoundedRect(QRectF(rect()).adjusted(0.5, 0.5, -0.5, -0.5), 5, 5);
}

} // namespace fw
