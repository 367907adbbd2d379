// SPDX-License-Identifier: GPL-3.0-or-later
#include "theme/window_theme.h"

#include <QApplication>
#include <QStyleFactory>

namespace fw {

QPalette controlPalette(const WindowPalette& c) {
    QPalette p;
    p.setColor(QPalette::Window, c.raised);
    p.setColor(QPalette::WindowText, c.ink);
    p.setColor(QPalette::Base, c.base);
    p.setColor(QPalette::AlternateBase, c.raised);
    p.setColor(QPalette::Text, c.ink);
    p.setColor(QPalette::Button, c.raised);
    p.setColor(QPalette::ButtonText, c.ink);
    p.setColor(QPalette::BrightText, c.accentText);
    p.setColor(QPalette::ToolTipBase, c.base);
    p.setColor(QPalette::ToolTipText, c.ink);
    p.setColor(QPalette::PlaceholderText, c.inkSoft);
    p.setColor(QPalette::Link, c.focus);
    p.setColor(QPalette::LinkVisited, c.focus);
    p.setColor(QPalette::Highlight, c.focusWash);
    p.setColor(QPalette::HighlightedText, c.ink);
    p.setColor(QPalette::Light, c.dark ? c.line.lighter(120) : QColor(Qt::white));
    p.setColor(QPalette::Midlight, c.line);
    p.setColor(QPalette::Mid, c.line);
    p.setColor(QPalette::Dark, c.inkFaint);
    p.setColor(QPalette::Shadow, c.dark ? QColor(Qt::black) : c.inkFaint);
    for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText})
        p.setColor(QPalette::Disabled, role, c.inkFaint);
    return p;
}

void wear(Appearance appearance) {
    static const QPalette desktop = QApplication::palette();
    const WindowPalette& colors = appearance == Appearance::day     ? dayPalette()
                                  : appearance == Appearance::night ? nightPalette()
                                                                    : windowPalette(desktop);
    if (QStyle* style = QStyleFactory::create(QStringLiteral("Fusion"))) QApplication::setStyle(style);
    QApplication::setPalette(controlPalette(colors));
}

} // namespace fw
