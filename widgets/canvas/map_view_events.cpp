// SPDX-License-Identifier: GPL-3.0-or-later
// What hands do to the map: pan and zoom are its own, the left button belongs to the tool.
#include "canvas/map_view_impl.h"

#include <QGuiApplication>
#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QNativeGestureEvent>
#include <QToolTip>
#include <QWheelEvent>

#include <cmath>

namespace fw {

namespace {

constexpr double kNotch = 3.0 / 8; // octaves of a wheel's notch
constexpr double kStep = 1.0 / 32; // octaves between resolutions the wheel stops at: found again in the cache

} // namespace

MapPointer MapView::Impl::pointerOf(const QMouseEvent& e) const {
    return {e.position(), map.m_camera.toPlane(e.position()), e.modifiers(), e.buttons()};
}

void MapView::Impl::zoomStep(QPointF anchor, double octaves) {
    placed = true;
    zoomLeft += octaves;
    const double from = std::log2(map.m_camera.metresPerPixel);
    const double to = std::round((from - zoomLeft) / kStep) * kStep;
    if (std::abs(to - from) < kStep / 2) return; // kept for the next event
    zoomLeft -= from - to;
    Camera c = map.m_camera;
    c.zoomAt(anchor, c.metresPerPixel / std::exp2(to));
    moved(c);
}

void MapView::Impl::pan(QPointF pixels) {
    placed = true;
    Camera c = map.m_camera;
    c.centre = c.centre + PlanePoint{-pixels.x() * c.metresPerPixel, pixels.y() * c.metresPerPixel};
    moved(c);
}

void MapView::Impl::setPointer(std::optional<QPointF> screen) {
    map.m_pointer =
        screen && map.m_space.document.isOpen() ? std::optional(map.m_camera.toPlane(*screen)) : std::nullopt;
    emit map.pointerMoved();
}

void MapView::Impl::afterTool() {
    syncPause();
    const Qt::CursorShape closed = Qt::ClosedHandCursor, open = Qt::OpenHandCursor;
    const QCursor wanted = panning ? QCursor(closed) : spaceHeld ? QCursor(open) : map.m_tool->cursor();
    if (wanted.shape() == Qt::BitmapCursor || wanted.shape() != map.cursor().shape()) map.setCursor(wanted);
    const QString now = map.m_tool->hint();
    if (now == hint) return;
    hint = now;
    emit map.hintChanged(hint);
}

void MapView::resizeEvent(QResizeEvent*) {
    Impl& m = *m_impl;
    Camera c = m_camera;
    c.size = size();
    m_camera.size = {};
    if (m.divider) m.divider->place();
    m.moved(c);
    if (!m.placed && m_space.document.isOpen()) zoomToPlan();
}

void MapView::wheelEvent(QWheelEvent* e) {
    Impl& m = *m_impl;
    double octaves = e->angleDelta().y() / 120.0 * kNotch;
    if (!e->pixelDelta().isNull()) octaves = e->pixelDelta().y() / 160.0; // a finger's way, as it comes
    if (octaves != 0) {
        m.zoomStep(e->position(), octaves);
        m.setPointer(e->position());
    }
    e->accept();
}

bool MapView::event(QEvent* e) {
    if (e->type() == QEvent::NativeGesture) {
        const auto* gesture = static_cast<QNativeGestureEvent*>(e);
        if (gesture->gestureType() == Qt::ZoomNativeGesture) {
            m_impl->zoomStep(gesture->position(), std::log2(1 + std::max(-0.5, gesture->value())));
            return true;
        }
    }
    if (e->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(e);
        const auto text = m_impl->rose.textAt(help->pos(), m_camera);
        if (text)
            QToolTip::showText(help->globalPos(), *text, this);
        else
            QToolTip::hideText();
        return true;
    }
    return QWidget::event(e);
}

void MapView::mousePressEvent(QMouseEvent* e) {
    Impl& m = *m_impl;
    if (e->button() == Qt::MiddleButton || (e->button() == Qt::LeftButton && m.spaceHeld)) {
        m.panning = true;
        m.panFrom = e->position();
    } else if (e->button() == Qt::LeftButton && m_space.document.isOpen()) {
        m_tool->press(m.pointerOf(*e));
    }
    m.afterTool();
    update();
}

void MapView::mouseMoveEvent(QMouseEvent* e) {
    Impl& m = *m_impl;
    if (m.panning) {
        m.pan(e->position() - m.panFrom);
        m.panFrom = e->position();
    } else if (m_space.document.isOpen()) {
        m_tool->move(m.pointerOf(*e));
    }
    m.setPointer(e->position());
    m.afterTool();
}

void MapView::mouseReleaseEvent(QMouseEvent* e) {
    Impl& m = *m_impl;
    if (m.panning && (e->button() == Qt::MiddleButton || e->button() == Qt::LeftButton))
        m.panning = false;
    else if (e->button() == Qt::LeftButton && m_space.document.isOpen())
        m_tool->release(m.pointerOf(*e));
    m.afterTool();
    update();
}

void MapView::mouseDoubleClickEvent(QMouseEvent* e) {
    if (e->button() != Qt::LeftButton || !m_space.document.isOpen()) return;
    m_tool->doubleClick(m_impl->pointerOf(*e));
    m_impl->afterTool();
    update();
    if (!m_tool->activates()) return;
    const auto hits = hitsAt(e->position());
    if (!hits.empty() && hits.front().part == MapPart::body) emit itemActivated(hits.front().item);
}

bool MapView::Impl::panKey(const QKeyEvent& e) {
    if (!(e.modifiers() & Qt::ControlModifier)) return false;
    const double step = std::max(40.0, std::min(map.width(), map.height()) / 5.0);
    switch (e.key()) {
    case Qt::Key_Left:
        pan({step, 0});
        return true;
    case Qt::Key_Right:
        pan({-step, 0});
        return true;
    case Qt::Key_Up:
        pan({0, step});
        return true;
    case Qt::Key_Down:
        pan({0, -step});
        return true;
    default:
        return false;
    }
}

void MapView::keyPressEvent(QKeyEvent* e) {
    Impl& m = *m_impl;
    e->accept();
    if (!m_space.document.isOpen()) return QWidget::keyPressEvent(e);
    if (e->key() == Qt::Key_Space && !e->isAutoRepeat()) {
        m.spaceHeld = true;
        return m.afterTool();
    }
    if (e->key() == Qt::Key_Escape) {
        bool dropped = m_tool->cancel();
        if (!dropped && !m_ghosts.empty()) {
            setGhosts({});
            dropped = true;
        }
        if (!dropped && m_space.shown.swipe() && hasMoments(m_space.shown.tint())) {
            m_space.shown.setSwipe(false);
            dropped = true;
        }
        m.afterTool();
        update();
        if (!dropped) QWidget::keyPressEvent(e);
        return;
    }
    if (m_tool->key(*e)) {
        m.afterTool();
        return update();
    }
    if (m.panKey(*e)) return;
    const bool plain = !(e->modifiers() & (Qt::ControlModifier | Qt::AltModifier | Qt::MetaModifier));
    const QPointF middle(width() / 2.0, height() / 2.0);
    if (plain && (e->key() == Qt::Key_Plus || e->key() == Qt::Key_Equal)) return m.zoomStep(middle, 0.5);
    if (plain && e->key() == Qt::Key_Minus) return m.zoomStep(middle, -0.5);
    if (plain && e->key() == Qt::Key_0) return zoomToPlan();
    if ((e->key() == Qt::Key_Return || e->key() == Qt::Key_Enter) && m_space.selection.primary())
        return emit itemActivated(m_space.selection.primary());
    QWidget::keyPressEvent(e);
}

void MapView::keyReleaseEvent(QKeyEvent* e) {
    if (e->key() != Qt::Key_Space || e->isAutoRepeat()) return QWidget::keyReleaseEvent(e);
    m_impl->spaceHeld = false;
    m_impl->afterTool();
}

void MapView::leaveEvent(QEvent*) {
    m_impl->setPointer({});
    if (QGuiApplication::mouseButtons() != Qt::NoButton) return; // a drag goes on beyond the map
    m_tool->away();
    m_impl->afterTool();
    update();
}

void MapView::focusInEvent(QFocusEvent* e) {
    const auto why = e->reason();
    m_impl->keyFocus =
        why == Qt::TabFocusReason || why == Qt::BacktabFocusReason || why == Qt::ShortcutFocusReason;
    update();
}

void MapView::focusOutEvent(QFocusEvent*) {
    m_impl->keyFocus = m_impl->spaceHeld = false;
    m_impl->afterTool();
    update();
}

void MapView::changeEvent(QEvent* e) {
    if (e->type() == QEvent::PaletteChange || e->type() == QEvent::FontChange) m_impl->lookChanged();
    if (e->type() == QEvent::LayoutDirectionChange) update();
    QWidget::changeEvent(e);
}

} // namespace fw
