// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/aim_rose.h"

#include "text/figures.h"

#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kStepDeg = LiveAim::kCoarseDeg, kGapDeg = 0.8;
constexpr double kStaleOpacity = 0.35;

// The bar nearest to an azimuth.
int barAt(TrueAzimuth azimuth) {
    return static_cast<int>(std::lround(wrap360(azimuth.deg) / kStepDeg)) % static_cast<int>(360 / kStepDeg);
}

// A part of a ring on the screen: degrees clockwise from up.
QPainterPath wedge(QPointF c, double from, double to, double inner, double outer) {
    QPainterPath path;
    const QRectF in(c.x() - inner, c.y() - inner, 2 * inner, 2 * inner),
        out(c.x() - outer, c.y() - outer, 2 * outer, 2 * outer);
    path.arcMoveTo(out, 90 - from);
    path.arcTo(out, 90 - from, from - to);
    path.arcTo(in, 90 - to, to - from);
    path.closeSubpath();
    return path;
}

// Slanting lines over a part of the ring.
void hatch(QPainter& painter, QPointF c, const QPainterPath& where, const WindowPalette& colors) {
    constexpr double every = 6, r = AimRose::kOuterPx;
    painter.save();
    painter.setClipPath(where, Qt::IntersectClip);
    painter.setPen(QPen(colors.ink, 1.3));
    for (double x = -2 * r; x < 2 * r; x += every)
        painter.drawLine(c + QPointF(x, r), c + QPointF(x + 2 * r, -r));
    painter.restore();
    painter.setPen(QPen(colors.ink, 1));
    painter.setBrush(Qt::NoBrush);
    painter.drawPath(where);
}

} // namespace

AimRose::AimRose(Workspace& space, QObject* parent) : QObject(parent), m_space(space) {
    connect(&space.aim, &LiveAim::changed, this, &AimRose::follow);
    const auto wish = [this] { m_space.aim.setWanted(this, m_space.shown.on(MapLayer::aimRose)); };
    connect(&space.shown, &Shown::changed, this, wish);
    wish();
    follow();
}

AimRose::~AimRose() { m_space.aim.setWanted(this, false); }

bool AimRose::stale() const { return m_space.aim.stale(); }

void AimRose::follow() {
    m_bearings = m_space.aim.bearings();
    m_radio = m_space.aim.aim() ? m_space.aim.aim()->radio : ItemId{};
    m_drawn = {};
    emit changed();
}

std::optional<PlanePoint> AimRose::centre() const {
    if (m_bearings.empty() || !m_space.shown.on(MapLayer::aimRose)) return std::nullopt;
    const Radio* radio = m_space.document.plan().radios.find(m_radio);
    if (!radio) return std::nullopt;
    if (const auto dragged = m_space.drag.mount(radio->mount)) return dragged->at;
    return std::nullopt;
}

double AimRose::fullScale() const {
    double best = 0;
    for (const AimPoint& b : m_bearings) best = std::max(best, b.fit);
    return std::max(20.0, std::ceil(best / 20) * 20);
}

void AimRose::drawBars(QPainter& painter, QPointF c, const WindowPalette& colors) const {
    const double half = kStepDeg / 2;
    const double scale = (kOuterPx - kInnerPx) / fullScale();
    QColor calm = colors.accent;
    calm.setAlphaF(0.5F);
    QPainterPath blocked;
    for (std::size_t k = 0; k < m_bearings.size(); ++k) {
        const AimPoint& b = m_bearings[k];
        const double deg = b.azimuth.deg - m_look.turn;
        const bool here = static_cast<int>(k) == m_look.here;
        painter.setPen(b.blocked || here ? QPen(colors.accent, here ? 2 : 1) : QPen(Qt::NoPen));
        painter.setBrush(b.blocked ? QBrush(Qt::NoBrush) : QBrush(here ? colors.accent : calm));
        painter.drawPath(wedge(c, deg - half + kGapDeg, deg + half - kGapDeg, kInnerPx,
                               kInnerPx + std::max(2.0, b.fit * scale)));
        // Grown a little, so that neighbours become one piece.
        if (b.blocked) blocked |= wedge(c, deg - half - 0.1, deg + half + 0.1, kInnerPx, kOuterPx);
    }
    if (!blocked.isEmpty()) hatch(painter, c, blocked, colors);
}

// A number on a disc outside the ring for each of the best lobes.
void AimRose::drawLobes(QPainter& painter, QPointF c, const WindowPalette& colors) const {
    const Aim* aim = m_space.aim.aim();
    if (!aim) return;
    const QFontMetricsF metrics(painter.font());
    const double r = metrics.height() * 0.55;
    for (std::size_t k = 0; k < std::min(kLobes, aim->lobes.size()); ++k) {
        const double deg = radians(aim->lobes[k].azimuth.deg - m_look.turn);
        const QPointF at = c + QPointF(std::sin(deg), -std::cos(deg)) * (kOuterPx + r);
        painter.setPen(QPen(colors.ink, 1));
        painter.setBrush(colors.base);
        painter.drawEllipse(at, r, r);
        painter.drawText(QRectF(at.x() - r, at.y() - r, 2 * r, 2 * r), Qt::AlignCenter,
                         QString::number(k + 1));
    }
}

void AimRose::draw(QPainter& painter, QPointF c, const WindowPalette& colors) const {
    painter.setRenderHint(QPainter::Antialiasing);
    QColor wash = colors.base;
    wash.setAlphaF(0.45F); // bars and hatch stand out from whatever tints the ground
    painter.setPen(Qt::NoPen);
    QPainterPath ring;
    ring.addEllipse(c, kOuterPx, kOuterPx);
    ring.addEllipse(c, kInnerPx, kInnerPx);
    painter.fillPath(ring, wash);
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(colors.inkFaint, 1));
    painter.drawEllipse(c, kInnerPx, kInnerPx);
    painter.setPen(QPen(colors.inkFaint, 1, Qt::DotLine));
    painter.drawEllipse(c, kOuterPx, kOuterPx);
    drawBars(painter, c, colors);
    const QString full = tr("fit %1", "at the outer ring").arg(figure(fullScale(), {}, 0));
    const QFontMetricsF metrics(painter.font());
    QRectF label(0, 0, metrics.horizontalAdvance(full) + 8, metrics.height());
    label.moveCenter(c - QPointF(0, kOuterPx));
    painter.setPen(Qt::NoPen);
    painter.setBrush(colors.base);
    painter.drawRoundedRect(label, 3, 3);
    painter.setPen(colors.ink);
    painter.drawText(label, Qt::AlignCenter, full);
    drawLobes(painter, c, colors);
}

void AimRose::paint(QPainter& painter, const Camera& camera, const WindowPalette& colors) const {
    const auto at = centre();
    if (!at || camera.metresPerPixel > kFarthest) return;
    const QPointF c = camera.toScreen(*at);
    const QFontMetricsF metrics(painter.font());
    const double rim = kOuterPx + 1.3 * metrics.height();
    if (!QRectF({0, 0}, camera.size).adjusted(-rim, -rim, rim, rim).contains(c)) return;
    const auto radio = m_space.drag.radio(m_radio);
    const Look look{std::max(1.0, std::abs(painter.deviceTransform().m11())),
                    // North of the grid is up; a drag must not turn the ring by what nobody sees.
                    std::round(m_space.document.frame().convergenceDeg(*at) * 10) / 10,
                    radio ? barAt(radio->azimuth) : -1, metrics.height(), colors.dark};
    if (m_drawn.isNull() || look != m_look) {
        m_look = look;
        m_drawn = QPixmap((QSizeF(2 * rim, 2 * rim) * look.ratio).toSize());
        m_drawn.setDevicePixelRatio(look.ratio);
        m_drawn.fill(Qt::transparent);
        QPainter p(&m_drawn);
        p.setFont(painter.font());
        draw(p, {rim, rim}, colors);
    }
    painter.save();
    if (stale()) painter.setOpacity(kStaleOpacity);
    painter.drawPixmap(c - QPointF(rim, rim), m_drawn);
    painter.restore();
}

std::optional<QString> AimRose::textAt(QPointF screen, const Camera& camera) const {
    const auto at = centre();
    if (!at || camera.metresPerPixel > kFarthest) return std::nullopt;
    const QPointF d = screen - camera.toScreen(*at);
    const double away = std::hypot(d.x(), d.y());
    if (away < kInnerPx || away > kOuterPx) return std::nullopt;
    const double grid = degrees(std::atan2(d.x(), -d.y()));
    const double azimuth = m_space.document.frame().toTrue(GridAzimuth::of(grid), *at).deg;
    const AimPoint& b = m_bearings[static_cast<std::size_t>(barAt(TrueAzimuth::of(azimuth)))];
    const QString where = bearing(b.azimuth.deg), fit = figure(b.fit, {}, 0);
    const QString tilt = figure(std::fabs(b.tiltDeg), {}, 0) + QChar(u'\u00b0');
    const QString down = b.tiltDeg < 0 ? tr("%1 up").arg(tilt) : tr("%1 down").arg(tilt);
    //: %1 a bearing, %2 a tilt, %3 the fit there, %4 the sentence of a finding
    if (b.blocked) return tr("%1 true, %2: fit %3, blocked. %4").arg(where, down, fit, coreText(b.why));
    //: %1 a bearing, %2 a tilt, %3 the fit there
    return tr("%1 true, %2: fit %3").arg(where, down, fit);
}

} // namespace fw
