// SPDX-License-Identifier: GPL-3.0-or-later
// Pointer and keys of the panorama.
#include "skyline/skyline_view.h"

#include "text/figures.h"

#include <QHelpEvent>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QToolTip>

#include <algorithm>
#include <cmath>
#include <numeric>

namespace fw {

namespace {

constexpr double kEdgePx = 6;   // how near counts as on the window's edge
constexpr double kDecidePx = 4; // after which a drag is sideways or up and down

} // namespace

const SkylineMark* SkylineView::markAt(QPointF place) const {
    for (const SkylineMark& m : m_marks)
        if (m.sign.adjusted(-2, -2, 2, 2).contains(place) || m.label.contains(place)) return &m;
    return nullptr;
}

SkylineView::Axis SkylineView::edgeAt(QPointF place, bool& inside) const {
    inside = false;
    const auto b = beam();
    if (!b || !m_scale.plot.contains(place)) return Axis::undecided;
    for (const QRectF& w : windowsOf(*b, m_scale)) {
        if (!w.adjusted(-kEdgePx, -kEdgePx, kEdgePx, kEdgePx).contains(place)) continue;
        inside = true;
        const double side = std::min(std::fabs(place.x() - w.left()), std::fabs(place.x() - w.right()));
        const double level = std::min(std::fabs(place.y() - w.top()), std::fabs(place.y() - w.bottom()));
        if (std::min(side, level) > kEdgePx) return Axis::undecided;
        return side < level ? Axis::azimuth : Axis::tilt;
    }
    return Axis::undecided;
}

void SkylineView::setCursorFor(QPointF place) {
    if (m_hold) {
        setCursor(m_hold->axis == Axis::azimuth ? Qt::SizeHorCursor
                  : m_hold->axis == Axis::tilt  ? Qt::SizeVerCursor
                                                : Qt::SizeAllCursor);
        return;
    }
    if (markAt(place)) {
        setCursor(Qt::PointingHandCursor);
        return;
    }
    bool inside = false;
    const Axis axis = edgeAt(place, inside);
    if (!inside || m_space.document.readOnly())
        unsetCursor();
    else
        setCursor(axis == Axis::azimuth ? Qt::SizeHorCursor
                  : axis == Axis::tilt  ? Qt::SizeVerCursor
                                        : Qt::SizeAllCursor);
}

void SkylineView::mousePressEvent(QMouseEvent* e) {
    if (e->button() != Qt::LeftButton || !m_scene.skyline) {
        QWidget::mousePressEvent(e);
        return;
    }
    m_pressedMark = {};
    m_pressedAt = e->position();
    if (const SkylineMark* m = markAt(e->position()))
        m_pressedMark = m_scene.things[m->thing].item;
    else
        takeHold(e->position());
}

void SkylineView::takeHold(QPointF place) {
    bool inside = false;
    const Axis axis = edgeAt(place, inside);
    const auto b = beam();
    if (!inside || !b || !m_space.drag.beginRadio(m_scene.radio)) return;
    m_hold = Hold{place, axis, b->azimuth.deg, b->tiltDeg};
    setCursorFor(place);
    update();
}

void SkylineView::mouseMoveEvent(QMouseEvent* e) {
    m_pointer = e->position();
    // A mark inside the window is clicked, but not in the way of a drag.
    if (m_pressedMark && (e->position() - m_pressedAt).manhattanLength() > kDecidePx) {
        m_pressedMark = {};
        takeHold(m_pressedAt);
    }
    if (m_hold)
        follow(e->position(), e->modifiers());
    else
        update(QRect(0, 0, width(), static_cast<int>(m_scale.plot.top())));
    setCursorFor(e->position());
}

void SkylineView::follow(QPointF place, Qt::KeyboardModifiers modifiers) {
    const QPointF by = place - m_hold->from;
    if (m_hold->axis == Axis::undecided) {
        if (std::max(std::fabs(by.x()), std::fabs(by.y())) < kDecidePx) return;
        m_hold->axis = std::fabs(by.x()) >= std::fabs(by.y()) ? Axis::azimuth : Axis::tilt;
    }
    const auto now = beam();
    if (!now) return;
    if (m_hold->axis == Axis::azimuth) {
        const double step = modifiers & Qt::AltModifier ? 0.1 : 1;
        const double want = std::round((m_hold->azimuthDeg + by.x() / m_scale.pixelsPerDeg()) / step) * step;
        const TrueAzimuth to = TrueAzimuth::of(by.x() == 0 ? m_hold->azimuthDeg : want);
        if (to != now->azimuth) m_space.drag.turnTo(to);
        return;
    }
    const double perDeg = m_scale.plot.height() / (m_scale.topDeg - m_scale.bottomDeg);
    const double want = m_hold->tiltDeg + by.y() / perDeg;
    // Between two allowed angles nothing changes, so nothing is computed.
    double nearest = std::round(want);
    for (const double t : m_scene.tiltsDeg)
        if (&t == m_scene.tiltsDeg.data() || std::fabs(t - want) < std::fabs(nearest - want)) nearest = t;
    if (nearest != now->tiltDeg) m_space.drag.tiltTo(nearest);
}

void SkylineView::mouseReleaseEvent(QMouseEvent* e) {
    if (e->button() != Qt::LeftButton) return;
    if (m_hold) {
        m_hold.reset();
        m_space.drag.finish();
    } else if (m_pressedMark) {
        const SkylineMark* m = markAt(e->position());
        if (m && m_scene.things[m->thing].item == m_pressedMark) emit markActivated(m_pressedMark);
    }
    m_pressedMark = {};
    setCursorFor(e->position());
}

// Beside the window a double click aims there; a single one must never change a plan by accident.
void SkylineView::mouseDoubleClickEvent(QMouseEvent* e) {
    bool inside = false;
    (void)edgeAt(e->position(), inside);
    const auto radio = m_space.drag.radio(m_scene.radio);
    if (e->button() != Qt::LeftButton || inside || !radio || markAt(e->position()) ||
        !m_scale.plot.contains(e->position())) {
        mousePressEvent(e);
        return;
    }
    if (!openRadio()) return;
    Radio turned = *radio;
    turned.azimuth = TrueAzimuth::of(std::round(m_scale.azimuthAt(e->position().x()).deg));
    change(turned, tr("Turn %1"));
}

void SkylineView::leaveEvent(QEvent*) {
    m_pointer.reset();
    update();
}

bool SkylineView::event(QEvent* e) {
    if (e->type() == QEvent::ToolTip) {
        const auto* help = static_cast<QHelpEvent*>(e);
        const QString text = m_hold ? QString() : textAt(help->pos());
        if (text.isEmpty())
            QToolTip::hideText();
        else
            QToolTip::showText(help->globalPos(), text, this);
        return true;
    }
    // While a window is held Esc belongs to it, not to the window's own shortcut.
    if (e->type() == QEvent::ShortcutOverride && m_hold &&
        static_cast<QKeyEvent*>(e)->key() == Qt::Key_Escape) {
        e->accept();
        return true;
    }
    return QWidget::event(e);
}

void SkylineView::change(const Radio& radio, const QString& text) {
    const QString name = QString::fromStdString(m_space.document.plan().label(radio.id));
    // A refusal says itself by PlanDocument::refused().
    (void)m_space.document.perform({text.arg(name).toStdString(), {Put{radio}}}, true);
}

const Radio* SkylineView::openRadio() {
    const Radio* radio = m_space.document.plan().radios.find(m_scene.radio);
    if (!radio || !radio->aimLocked) return radio;
    m_space.drag.sayLocked(radio->id);
    return nullptr;
}

void SkylineView::turnBy(double deg) {
    const Radio* radio = openRadio();
    if (!radio) return;
    Radio turned = *radio;
    turned.azimuth = TrueAzimuth::of(radio->azimuth.deg + deg);
    change(turned, tr("Turn %1"));
}

// Up looks up: towards the smaller tilt.
void SkylineView::tiltBy(int steps) {
    const Radio* radio = openRadio();
    if (!radio) return;
    const auto& tilts = m_scene.tiltsDeg;
    Radio tilted = *radio;
    if (tilts.empty()) {
        tilted.tiltDeg = std::clamp(radio->tiltDeg + steps, -90.0, 90.0);
    } else if (steps > 0) {
        const auto next = std::upper_bound(tilts.begin(), tilts.end(), radio->tiltDeg + 1e-6);
        if (next == tilts.end()) return;
        tilted.tiltDeg = *next;
    } else {
        const auto next = std::lower_bound(tilts.begin(), tilts.end(), radio->tiltDeg - 1e-6);
        if (next == tilts.begin()) return;
        tilted.tiltDeg = *std::prev(next);
    }
    change(tilted, tr("Tilt %1"));
}

void SkylineView::stepMark(int by) {
    if (m_scene.things.empty()) return;
    std::vector<std::size_t> order(m_scene.things.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return m_scene.things[a].azimuthTrueDeg < m_scene.things[b].azimuthTrueDeg;
    });
    const auto n = static_cast<int>(order.size());
    int at = by > 0 ? -1 : 0;
    if (m_focusMark)
        at = static_cast<int>(std::find(order.begin(), order.end(), *m_focusMark) - order.begin());
    m_focusMark = order[static_cast<std::size_t>(((at + by) % n + n) % n)];
    update();
}

void SkylineView::keyPressEvent(QKeyEvent* e) {
    if (e->key() == Qt::Key_Escape && m_hold) {
        m_hold.reset();
        m_space.drag.abandon();
        unsetCursor();
        return;
    }
    if (!m_scene.skyline || m_space.drag.active()) {
        QWidget::keyPressEvent(e);
        return;
    }
    const bool marks = e->modifiers() & Qt::ControlModifier;
    const double step = e->modifiers() & Qt::ShiftModifier ? 10 : 1;
    switch (e->key()) {
    case Qt::Key_Left:
        marks ? stepMark(-1) : turnBy(-step);
        return;
    case Qt::Key_Right:
        marks ? stepMark(1) : turnBy(step);
        return;
    case Qt::Key_Up:
        tiltBy(-1);
        return;
    case Qt::Key_Down:
        tiltBy(1);
        return;
    case Qt::Key_Return:
    case Qt::Key_Enter:
        if (m_focusMark) {
            emit markActivated(m_scene.things[*m_focusMark].item);
            return;
        }
        break;
    default:
        break;
    }
    QWidget::keyPressEvent(e);
}

} // namespace fw
