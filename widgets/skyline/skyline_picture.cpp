// SPDX-License-Identifier: GPL-3.0-or-later
#include "skyline/skyline_picture.h"

#include "text/figures.h"
#include "text/line_of_words.h"

#include <algorithm>
#include <array>

namespace fw {

namespace {

double signSize(const SkylineStyle& style) { return style.fontHeight * 0.34; }

// A macro is a mast with its antenna at the top, a small cell a plate on its point: shape before colour.
void drawSign(QPainter& p, const QPointF& at, const SkylineThing& t, const SkylineStyle& style) {
    const double s = signSize(style);
    const WindowPalette& c = style.colors;
    const bool macro = t.what == SkylineThing::What::macro;
    const QColor color = macro ? c.mast : c.accent;
    p.setPen(QPen(color, 1.5));
    p.setBrush(t.inSight ? QBrush(color) : QBrush(c.base));
    if (macro)
        p.drawPolygon(QPolygonF({at, at + QPointF(-s * 0.85, -1.7 * s), at + QPointF(s * 0.85, -1.7 * s)}));
    else
        p.drawPolygon(
            QPolygonF({at + QPointF(0, -s), at + QPointF(s, 0), at + QPointF(0, s), at + QPointF(-s, 0)}));
    p.setBrush(Qt::NoBrush);
}

QRectF signRect(const QPointF& at, bool macro, double s) {
    return macro ? QRectF(at.x() - s, at.y() - 1.8 * s, 2 * s, 1.9 * s)
                 : QRectF(at.x() - s, at.y() - s, 2 * s, 2 * s);
}

QRectF freeLabel(const QRectF& sign, const QSizeF& size, const QRectF& plot,
                 const std::vector<QRectF>& taken) {
    const double x =
        std::clamp(sign.center().x() - size.width() / 2, plot.left() + 1, plot.right() - size.width() - 1);
    const double beside = sign.center().y() - size.height() / 2;
    const std::array<QPointF, 6> tries = {QPointF(x, sign.top() - size.height() - 1),
                                          QPointF(sign.right() + 3, beside),
                                          QPointF(sign.left() - 3 - size.width(), beside),
                                          QPointF(x, sign.top() - 2 * size.height() - 1),
                                          QPointF(x, sign.bottom() + 1),
                                          QPointF(x, sign.bottom() + 1 + size.height())};
    for (const QPointF& at : tries) {
        const QRectF r(at, size);
        if (!plot.contains(r)) continue;
        if (std::none_of(taken.begin(), taken.end(), [&](const QRectF& t) { return t.intersects(r); }))
            return r;
    }
    return {};
}

} // namespace

std::vector<SkylineMark> placeMarks(const SkylineScale& scale, const SkylineScene& scene,
                                    const SkylineStyle& style) {
    std::vector<SkylineMark> marks;
    std::vector<QRectF> taken;
    const double s = signSize(style);
    const QRectF inside = scale.plot.adjusted(0, 2 * s, 0, 0);
    for (std::size_t i = 0; i < scene.things.size(); ++i) {
        const SkylineThing& t = scene.things[i];
        const double y = std::clamp(scale.y(t.elevationDeg), inside.top(), inside.bottom());
        scale.everywhere(t.azimuthTrueDeg, 0, [&](double x) {
            SkylineMark m;
            m.thing = i;
            m.foot = {x, y};
            m.sign = signRect(m.foot, t.what == SkylineThing::What::macro, s);
            marks.push_back(m);
            taken.push_back(m.sign);
        });
    }
    // Nearest first: where names meet, the farther one goes without.
    const QFontMetricsF metrics(style.font);
    const double most = style.fontHeight * 9;
    for (SkylineMark& m : marks) {
        const double wide = widthOfWords(style.font, QString::fromStdString(scene.things[m.thing].name));
        m.label = freeLabel(m.sign, {std::min(wide, most) + 4, metrics.height()}, scale.plot, taken);
        if (!m.label.isNull()) taken.push_back(m.label);
    }
    return marks;
}

void drawMarks(QPainter& p, const std::vector<SkylineMark>& marks, const SkylineScene& scene,
               const SkylineStyle& style) {
    p.setRenderHint(QPainter::Antialiasing);
    p.setFont(style.font);
    for (const SkylineMark& m : marks) {
        const SkylineThing& t = scene.things[m.thing];
        if (!m.label.isNull()) {
            p.setPen(Qt::NoPen);
            p.setBrush(style.colors.labelHalo);
            p.drawRoundedRect(m.label, 2, 2);
            p.setPen(t.inSight ? style.colors.ink : style.colors.inkSoft);
            drawWords(p, m.label, Qt::AlignCenter, QString::fromStdString(t.name));
        }
        drawSign(p, m.foot, t, style);
    }
}

std::vector<QRectF> windowsOf(const SkylineBeam& beam, const SkylineScale& s) {
    std::vector<QRectF> out;
    const double half = std::min(beam.hBeamDeg, 359.0) / 2;
    const double top = s.y(std::min(s.topDeg, -beam.tiltDeg + beam.vBeamDeg / 2));
    const double bottom = s.y(std::max(s.bottomDeg, -beam.tiltDeg - beam.vBeamDeg / 2));
    s.everywhere(beam.azimuth.deg, half, [&](double x) {
        out.emplace_back(x - half * s.pixelsPerDeg(), top, 2 * half * s.pixelsPerDeg(), bottom - top);
    });
    return out;
}

void drawVeil(QPainter& p, const SkylineScale& s, const SkylineStyle& style) {
    QColor veil = style.colors.dark ? style.colors.base : style.colors.ink;
    veil.setAlphaF(style.colors.dark ? 0.42F : 0.08F);
    // In low pieces: Qt wakes threads for a fill of many rows, which costs more than the fill.
    constexpr double kRows = 32;
    for (double y = s.plot.top(); y < s.plot.bottom(); y += kRows)
        p.fillRect(QRectF(s.plot.left(), y, s.plot.width(), std::min(kRows, s.plot.bottom() - y)), veil);
}

void drawBeam(QPainter& p, const SkylineBeam& beam, const SkylineScale& s, const SkylineStyle& style,
              bool held) {
    const WindowPalette& c = style.colors;
    const auto windows = windowsOf(beam, s);
    p.save();
    p.setClipRect(s.plot);
    QColor glow = c.accent;
    glow.setAlphaF(held ? 0.17F : 0.11F);
    const double arm = style.fontHeight * 0.3, boresight = s.y(-beam.tiltDeg);
    for (const QRectF& w : windows) {
        p.fillRect(w, glow);
        p.setPen(QPen(c.accent, held ? 2.5 : 1.5));
        p.drawRect(w);
        const double x = w.center().x();
        QColor line = c.accent;
        line.setAlphaF(0.55F);
        p.setPen(QPen(line, 0));
        p.drawLine(QPointF(x, w.top()), QPointF(x, w.bottom()));
        p.setPen(QPen(c.accent, 2));
        p.drawLine(QPointF(x - arm, boresight), QPointF(x + arm, boresight));
        p.drawLine(QPointF(x, boresight - arm), QPointF(x, boresight + arm));
    }
    p.restore();
}

} // namespace fw
