// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/panel_looks.h"

#include "theme/window_palette.h"

#include <QApplication>
#include <QEvent>
#include <QHeaderView>
#include <QLabel>
#include <QTableView>

namespace fw {

namespace {

// Sets these roles alone: all others go on coming from the window, so that day and night still reach them.
void setRoles(QWidget& widget, std::initializer_list<std::pair<QPalette::ColorRole, QColor>> roles) {
    QPalette p;
    bool differs = false;
    for (const auto& [role, color] : roles) {
        p.setColor(role, color);
        differs = differs || widget.palette().color(role) != color;
    }
    if (differs) widget.setPalette(p);
}

// Of the program: a part's own palette may not have followed yet while day turns into night.
const WindowPalette& colorsNow() { return windowPalette(QApplication::palette()); }

using Look = void (*)(QWidget&);

// Belongs to a widget that has a look, and gives it again when day turns into night.
class LookKeeper : public QObject {
public:
    explicit LookKeeper(QWidget& widget) : QObject(&widget) {
        setObjectName(QStringLiteral("lookKeeper"));
        widget.installEventFilter(this);
    }
    Look look = nullptr;

protected:
    bool eventFilter(QObject* watched, QEvent* event) override {
        if (event->type() == QEvent::ApplicationPaletteChange || event->type() == QEvent::PaletteChange)
            look(static_cast<QWidget&>(*watched));
        return false;
    }
};

// Of two looks given to one widget the later one stays.
void give(QWidget& widget, Look look) {
    auto* keeper = static_cast<LookKeeper*>(
        widget.findChild<QObject*>(QStringLiteral("lookKeeper"), Qt::FindDirectChildrenOnly));
    if (!keeper) keeper = new LookKeeper(widget);
    keeper->look = look;
    look(widget);
}

void panelLook(QWidget& panel) {
    const WindowPalette& c = colorsNow();
    setRoles(panel, {{QPalette::Base, c.base},
                     {QPalette::AlternateBase, c.raised},
                     {QPalette::Text, c.ink},
                     {QPalette::WindowText, c.ink},
                     {QPalette::PlaceholderText, c.inkFaint},
                     {QPalette::Highlight, c.focusWash},
                     {QPalette::HighlightedText, c.ink}});
}

void softLook(QWidget& label) { setRoles(label, {{QPalette::WindowText, colorsNow().inkSoft}}); }

void refusedLook(QWidget& label) { setRoles(label, {{QPalette::WindowText, colorsNow().accentText}}); }

} // namespace

void lookLikePanel(QWidget& panel) { give(panel, panelLook); }

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

void lookSoft(QLabel& label) { give(label, softLook); }

void lookRefused(QLabel& label) { give(label, refusedLook); }

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
