// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/sign_sheet.h"

#include <QFontMetricsF>
#include <QPainterPath>

#include <cmath>

namespace fw {

namespace {

constexpr double kTurnStep = 3; // degrees between two pictures of a turned sign

int turnStep(double deg) { return static_cast<int>(std::lround(wrap360(deg) / kTurnStep)) % 120; }

/// Shapes by kind, upright: looking towards -y.
QPainterPath supportShape(MountKind kind) {
    QPainterPath path;
    switch (kind) {
    case MountKind::pole:
        path.addEllipse(QPointF(0, 0), 3.4, 3.4);
        break;
    case MountKind::wall:
        path.addRect(QRectF(-6.5, -1.2, 13, 3.4));
        break;
    case MountKind::parapet: // a rim with its roof behind
        path.addPolygon(QPolygonF(
            {{-6.5, -1.5}, {6.5, -1.5}, {6.5, 5}, {4, 5}, {4, 1.2}, {-4, 1.2}, {-4, 5}, {-6.5, 5}}));
        path.closeSubpath();
        break;
    case MountKind::roof:
        path.addRect(QRectF(-4, -4, 8, 8));
        break;
    }
    return path;
}

QPainterPath plateShape() {
    QPainterPath path;
    path.addPolygon(QPolygonF({{-4.6, 4}, {4.6, 4}, {4.6, -2.2}, {0, -7}, {-4.6, -2.2}}));
    path.closeSubpath();
    return path;
}

} // namespace

QPointF screenDirection(double gridDeg) { return {std::sin(radians(gridDeg)), -std::cos(radians(gridDeg))}; }

void SignSheet::setLook(const WindowPalette& colors, const QFont& font, double pixelRatio) {
    if (colors == m_colors && font == m_font && pixelRatio == m_pixelRatio) return;
    m_colors = colors;
    m_font = font;
    m_pixelRatio = pixelRatio;
    m_unit = std::clamp(QFontMetricsF(font).height() / 17, 0.85, 2.5);
    m_signs.clear();
    m_names.clear();
}

double SignSheet::scaleAt(double metresPerPixel) const {
    const double share = metresPerPixel > 8      ? 0.5
                         : metresPerPixel > 3.5  ? 0.68
                         : metresPerPixel > 1.4  ? 0.88
                         : metresPerPixel > 0.25 ? 1.1
                                                 : 1.3;
    return share * m_unit;
}

template <class Draw>
void SignSheet::put(QPainter& p, QPointF at, quint64 key, double side, Draw&& draw) {
    QPixmap& picture = m_signs[key];
    if (picture.isNull()) {
        const int px = static_cast<int>(std::ceil(side * m_pixelRatio / 2)) * 2;
        picture = QPixmap(px, px);
        picture.setDevicePixelRatio(m_pixelRatio);
        picture.fill(Qt::transparent);
        QPainter q(&picture);
        q.setRenderHint(QPainter::Antialiasing);
        q.translate(px / m_pixelRatio / 2, px / m_pixelRatio / 2);
        draw(q);
    }
    // On whole pixels of the screen: pictures stay crisp and are copied as they are.
    const double half = picture.width() / m_pixelRatio / 2;
    const QPointF corner((std::round((at.x() - half) * m_pixelRatio)) / m_pixelRatio,
                         (std::round((at.y() - half) * m_pixelRatio)) / m_pixelRatio);
    p.drawPixmap(corner, picture);
}

void SignSheet::support(QPainter& p, QPointF at, const MountSign& mount, double scale, bool faint) {
    const bool turns = mount.kind == MountKind::wall || mount.kind == MountKind::parapet;
    const int step = turns ? turnStep(mount.facesGridDeg.value_or(0)) : 0;
    const int state = faint ? 3 : mount.radios.empty() ? 0 : mount.chosen() ? 2 : 1;
    const quint64 key = quint64(1) << 60 | quint64(scale * 100) << 32 | quint64(mount.kind) << 24 |
                        quint64(state) << 16 | quint64(step);
    put(p, at, key, 24 * scale, [&](QPainter& q) {
        q.scale(scale, scale);
        q.rotate(step * kTurnStep);
        if (faint) q.setOpacity(0.4);
        const QPainterPath shape = supportShape(mount.kind);
        q.setPen(QPen(m_colors.labelHalo, 4));
        q.drawPath(shape);
        const bool hollow = state == 0 || state == 3;
        q.setPen(QPen(hollow ? m_colors.inkSoft : m_colors.ink, hollow ? 1.3 : 1.1));
        q.setBrush(hollow ? m_colors.base : m_colors.ink);
        q.drawPath(shape);
    });
}

void SignSheet::plate(QPainter& p, QPointF at, const RadioSign& radio, double scale) {
    const int step = turnStep(radio.gridDeg);
    const quint64 key =
        quint64(2) << 60 | quint64(scale * 100) << 32 | quint64(radio.state) << 16 | quint64(step);
    const QPointF middle = at + screenDirection(radio.gridDeg) * (kPlateOff * scale);
    put(p, middle, key, 24 * scale, [&](QPainter& q) {
        q.scale(scale, scale);
        q.rotate(step * kTurnStep);
        const QPainterPath shape = plateShape();
        q.setPen(QPen(m_colors.labelHalo, 4, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
        q.drawPath(shape);
        const QColor line = radio.state == RadioState::bare ? m_colors.inkFaint : m_colors.accent;
        q.setPen(QPen(line, 1.6, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
        q.setBrush(radio.state == RadioState::chosen ? m_colors.accent : m_colors.base);
        q.drawPath(shape);
    });
}

void SignSheet::macro(QPainter& p, QPointF at, const MacroSign& site, double scale) {
    quint64 key = quint64(scale * 100);
    for (const SectorSign& s : site.sectors)
        key = key * 1099511628211ULL + quint64(turnStep(s.gridDeg)) * 512 + quint64(s.beamDeg);
    constexpr double radius = kArcRadius;
    put(p, at, quint64(3) << 60 | key >> 4, 2 * (radius + 4) * scale, [&](QPainter& q) {
        q.scale(scale, scale);
        const QLineF parts[] = {{0, -7, 0, 6}, {-4, 6, 4, 6}, {-2.6, -4, 2.6, -4}};
        const QRectF round(-radius, -radius, 2 * radius, 2 * radius);
        for (const bool halo : {true, false}) {
            q.setPen(halo ? QPen(m_colors.labelHalo, 5, Qt::SolidLine, Qt::RoundCap)
                          : QPen(m_colors.mast, 2, Qt::SolidLine, Qt::RoundCap));
            q.drawLines(parts, 3);
            for (const SectorSign& s : site.sectors) {
                const double width = std::clamp(s.beamDeg, 4.0, 360.0),
                             start = 90 - turnStep(s.gridDeg) * kTurnStep - width / 2;
                q.drawArc(round, static_cast<int>(start * 16), static_cast<int>(width * 16));
            }
        }
    });
}

void SignSheet::finding(QPainter& p, QPointF at, int kind, double scale) {
    put(p, at, quint64(5) << 60 | quint64(scale * 100) << 8 | quint64(kind), 20 * scale, [&](QPainter& q) {
        const double r = 4.5 * scale;
        const QRectF square(-r, -r, 2 * r, 2 * r);
        q.setPen(QPen(m_colors.labelHalo, 4 * scale));
        q.drawRect(square);
        q.fillRect(square, m_colors.base);
        if (kind == 2) q.fillRect(square, m_colors.ink);
        if (kind == 1) q.fillRect(QRectF(-r, 0, 2 * r, r), m_colors.ink);
        q.setPen(QPen(m_colors.ink, 1.4 * scale));
        q.drawRect(square);
    });
}

void SignSheet::owner(QPainter& p, QPointF at, ConsentState answer, double scale) {
    put(p, at, quint64(6) << 60 | quint64(scale * 100) << 8 | quint64(answer), 18 * scale, [&](QPainter& q) {
        q.scale(scale, scale);
        constexpr double r = 4.2;
        const auto pen = [](const QColor& color, double wide) {
            return QPen(color, wide, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin);
        };
        const auto ring = [&](double radius, const QColor& line, const QColor& fill) {
            q.setPen(pen(m_colors.labelHalo, 3.6));
            q.drawEllipse(QPointF(0, 0), radius, radius);
            q.setPen(pen(line, 1.3));
            q.setBrush(fill);
            q.drawEllipse(QPointF(0, 0), radius, radius);
        };
        switch (answer) {
        case ConsentState::unknown:
            ring(2.4, m_colors.inkSoft, m_colors.base);
            break;
        case ConsentState::asked:
            ring(r, m_colors.ink, m_colors.base);
            q.setPen(Qt::NoPen);
            q.setBrush(m_colors.ink);
            for (const double x : {-2.0, 0.0, 2.0}) q.drawEllipse(QPointF(x, 0), 0.75, 0.75);
            break;
        case ConsentState::given:
            ring(r, m_colors.less, m_colors.less);
            q.setPen(pen(m_colors.base, 1.6));
            q.drawPolyline(QPolygonF({{-2.1, 0.1}, {-0.6, 1.7}, {2.2, -1.6}}));
            break;
        case ConsentState::refused:
            for (const bool halo : {true, false}) {
                q.setPen(halo ? pen(m_colors.labelHalo, 4.8) : pen(m_colors.more, 2.2));
                q.drawLine(QPointF(-3.2, -3.2), QPointF(3.2, 3.2));
                q.drawLine(QPointF(-3.2, 3.2), QPointF(3.2, -3.2));
            }
            break;
        }
    });
}

const QPixmap& SignSheet::name(const QString& text, NameStyle style, double elideAt) {
    const QString key = QString::number(static_cast<int>(style)) + text;
    QPixmap& picture = m_names[key];
    if (!picture.isNull()) return picture;
    if (m_names.size() > 4000) { // names that were seen once do not stay for ever
        m_names.clear();
        return name(text, style, elideAt);
    }
    QFont font = m_font;
    font.setBold(style == NameStyle::strong);
    font.setItalic(style == NameStyle::area);
    const QFontMetricsF metrics(font);
    const QString shown = metrics.elidedText(text, Qt::ElideRight, elideAt * m_unit);
    const double pad = 2.5, w = std::ceil(metrics.horizontalAdvance(shown)) + 2 * pad,
                 h = std::ceil(metrics.height()) + 2;
    picture =
        QPixmap(static_cast<int>(std::ceil(w * m_pixelRatio)), static_cast<int>(std::ceil(h * m_pixelRatio)));
    picture.setDevicePixelRatio(m_pixelRatio);
    picture.fill(Qt::transparent);
    QPainter q(&picture);
    q.setRenderHint(QPainter::Antialiasing);
    QPainterPath path;
    path.addText(QPointF(pad, 1 + metrics.ascent()), font, shown);
    q.strokePath(path, QPen(m_colors.labelHalo, 3.2, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
    q.setFont(font);
    q.setPen(style == NameStyle::area ? m_colors.area : m_colors.ink);
    q.drawText(QPointF(pad, 1 + metrics.ascent()), shown);
    return picture;
}

} // namespace fw
