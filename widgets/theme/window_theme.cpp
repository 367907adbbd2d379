// SPDX-License-Identifier: GPL-3.0-or-later
#include "theme/window_theme.h"

#include <QApplication>
#include <QPainter>
#include <QProxyStyle>
#include <QStyleFactory>
#include <QStyleOption>

namespace fw {

namespace {

// Boxes and fields whose edge shows by night too: the base style makes edges darker than the window. Whoever
// goes by keys sees where he is: the base style rings what has the focus in a shade of the selection, and
// that is a wash here.
class ControlStyle : public QProxyStyle {
public:
    ControlStyle() : QProxyStyle(QStyleFactory::create(QStringLiteral("Fusion"))) {}

    void drawPrimitive(PrimitiveElement element, const QStyleOption* option, QPainter* p,
                       const QWidget* widget) const override {
        if (element == PE_IndicatorCheckBox || element == PE_IndicatorItemViewItemCheck)
            drawBox(*option, *p);
        else if (element == PE_FrameLineEdit)
            drawEdge(*option, *p);
        else if (element == PE_FrameFocusRect)
            drawRing(*option, *p);
        else
            QProxyStyle::drawPrimitive(element, option, p, widget);
        if (element == PE_PanelButtonCommand && option->state.testFlag(State_HasFocus)) drawRing(*option, *p);
    }

private:
    static void drawRing(const QStyleOption& option, QPainter& p) {
        if (!option.state.testFlag(State_KeyboardFocusChange)) return;
        p.save();
        p.setRenderHint(QPainter::Antialiasing);
        p.setBrush(Qt::NoBrush);
        p.setPen(QPen(windowPalette(option.palette).focus, 2));
        p.drawRoundedRect(QRectF(option.rect).adjusted(1, 1, -1, -1), 2, 2);
        p.restore();
    }

    static void drawBox(const QStyleOption& option, QPainter& p) {
        const WindowPalette& c = windowPalette(option.palette);
        const bool usable = option.state.testFlag(State_Enabled);
        p.save();
        p.setRenderHint(QPainter::Antialiasing);
        const QRectF box = QRectF(option.rect).adjusted(0.5, 0.5, -0.5, -0.5);
        p.setPen(QPen(usable ? (option.state.testFlag(State_HasFocus) ? c.focus : c.inkFaint) : c.line, 1));
        p.setBrush(c.base);
        p.drawRoundedRect(box, 2, 2);
        const double s = box.width() / 12;
        const QColor mark = usable ? c.ink : c.inkFaint;
        if (option.state.testFlag(State_On)) {
            p.setPen(QPen(mark, 1.8 * s, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
            p.setBrush(Qt::NoBrush);
            const QPointF at = box.topLeft();
            p.drawPolyline(QPolygonF(
                {at + QPointF(2.8, 6.2) * s, at + QPointF(5.2, 8.8) * s, at + QPointF(9.4, 3.4) * s}));
        } else if (option.state.testFlag(State_NoChange)) {
            p.fillRect(box.adjusted(3 * s, 3 * s, -3 * s, -3 * s), mark);
        }
        p.restore();
    }

    static void drawEdge(const QStyleOption& option, QPainter& p) {
        const WindowPalette& c = windowPalette(option.palette);
        const bool focus = option.state.testFlag(State_HasFocus);
        p.save();
        p.setRenderHint(QPainter::Antialiasing);
        p.setBrush(Qt::NoBrush);
        p.setPen(QPen(focus                                  ? c.focus
                      : option.state.testFlag(State_Enabled) ? c.inkFaint
                                                             : c.line,
                      focus ? 2 : 1));
        const double in = focus ? 1 : 0.5;
        p.drawRoundedRect(QRectF(option.rect).adjusted(in, in, -in, -in), 2, 2);
        p.restore();
    }
};

} // namespace

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
    QApplication::setStyle(new ControlStyle);
    QApplication::setPalette(controlPalette(colors));
}

} // namespace fw
