// SPDX-License-Identifier: GPL-3.0-or-later
#include "shell/map_area.h"

#include "canvas/map_view.h"

#include <QEvent>
#include <QMouseEvent>
#include <QStyle>

#include <algorithm>

namespace fw {

namespace {
constexpr int kMargin = 10, kGripWidth = 6;
constexpr int kCornerPx = 6; // the cards' corners are round
} // namespace

MapArea::MapArea(QWidget* map, QWidget* tools, QWidget* shown, QWidget* parent)
    : QWidget(parent), m_map(map), m_tools(tools), m_shown(shown), m_grip(new QWidget(this)) {
    for (QWidget* w : {m_map, m_tools, m_shown}) {
        w->setParent(this);
        w->installEventFilter(this);
    }
    m_grip->setCursor(Qt::SplitHCursor);
    m_grip->installEventFilter(this);
    m_grip->hide();
    m_map->lower();
    for (QWidget* card : {m_tools, m_shown}) card->setProperty(kCardRim, kCornerPx);
    setMinimumSize(320, 160);
}

void MapArea::setTable(QWidget* table) {
    if (m_table == table) return;
    if (m_table) {
        m_table->removeEventFilter(this);
        m_table->hide();
    }
    m_table = table;
    if (m_table) {
        m_table->setParent(this);
        m_table->setAutoFillBackground(true);
        m_table->setProperty(kCardRim, 0);
        m_table->installEventFilter(this);
        m_table->show();
        m_table->raise();
    }
    m_grip->setVisible(m_table != nullptr);
    m_grip->raise();
    place();
}

void MapArea::setTableWidth(int width) {
    m_tableWidth = width;
    place();
}

void MapArea::resizeEvent(QResizeEvent*) { place(); }

void MapArea::place() {
    const bool mirrored = layoutDirection() == Qt::RightToLeft;
    const auto put = [&](QWidget* w, QRect r) {
        if (mirrored) r.moveLeft(width() - r.right() - 1);
        if (w->geometry() != r) w->setGeometry(r);
    };
    m_map->setGeometry(rect());
    const QSize tools = m_tools->sizeHint();
    put(m_tools, {kMargin, kMargin, std::min(tools.width(), width() - 2 * kMargin), tools.height()});
    const QSize shown = m_shown->sizeHint();
    const int shownHeight = std::min(shown.height(), height() - 2 * kMargin);
    // What is cut off at the foot is scrolled: beside it, not over it.
    const int bar = shownHeight < shown.height() ? style()->pixelMetric(QStyle::PM_ScrollBarExtent) : 0;
    put(m_shown, {width() - kMargin - shown.width() - bar, kMargin, shown.width() + bar, shownHeight});
    const int beside = shownHeight > height() / 4 ? 2 * kMargin + m_shown->width() : 0;
    const auto sayCovered = [&](int table) {
        emit coveredChanged(mirrored ? QMargins(beside, 0, table, 0) : QMargins(table, 0, beside, 0));
    };
    if (!m_table) return sayCovered(0);
    const int top = kMargin + tools.height() + 8;
    const int natural = fontMetrics().averageCharWidth() * 72;
    const int most = std::max(240, width() - shown.width() - 3 * kMargin);
    const int wide = std::clamp(m_tableWidth > 0 ? m_tableWidth : natural, std::min(240, most), most);
    // Scale bar and north arrow stand below the table: two lines and their frame.
    const int marks = fontMetrics().height() * 2 + 22;
    put(m_table, {kMargin, top, wide, std::max(80, height() - top - kMargin - marks)});
    put(m_grip, {kMargin + wide - kGripWidth / 2, top, kGripWidth, m_table->height()});
    sayCovered(2 * kMargin + wide);
}

bool MapArea::eventFilter(QObject* watched, QEvent* event) {
    if (event->type() == QEvent::LayoutRequest && watched != m_map) {
        place();
    } else if (watched == m_grip) {
        const auto x = [event] {
            return static_cast<int>(static_cast<QMouseEvent*>(event)->globalPosition().x());
        };
        if (event->type() == QEvent::MouseButtonPress) {
            m_gripFrom = x();
            m_widthFrom = m_table ? m_table->width() : 0;
            return true;
        }
        if (event->type() == QEvent::MouseMove && m_gripFrom >= 0) {
            const int step = x() - m_gripFrom;
            setTableWidth(m_widthFrom + (layoutDirection() == Qt::RightToLeft ? -step : step));
            return true;
        }
        if (event->type() == QEvent::MouseButtonRelease) {
            m_gripFrom = -1;
            return true;
        }
    }
    return QWidget::eventFilter(watched, event);
}

} // namespace fw
