// SPDX-License-Identifier: GPL-3.0-or-later
// The band under a map: how long, which way is north, which system, what the signs mean.
#include "print/map_drawing.h"
#include "print/symbols.h"

namespace fw {

double MapDrawing::drawScaleBar(QPointF at) {
    QPainter& p = m_paper.painter();
    const double groundM = scaleBarM(mmPerGroundM(), 45);
    const double mm = groundM * mmPerGroundM();
    const double h = 1.1;
    p.setPen(m_paper.pen(m_paper.colors().ink, 0.15));
    p.setBrush(m_paper.colors().paper);
    p.drawRect(QRectF(at.x(), at.y(), mm, h));
    p.fillRect(QRectF(at.x(), at.y(), mm / 2, h), m_paper.colors().ink);
    p.setBrush(Qt::NoBrush);
    m_paper.record().scaleBars.push_back({groundM, mm, at, m_map.bounds.width(), m_frame.width()});
    const TextStyle style{7, false, m_paper.colors().ink};
    const auto tick = [&](double x, double value, const char* unit) {
        const QString text = QString::number(value, 'g', 6) + QString::fromLatin1(unit);
        const double w = Paper::textWidth(text, style);
        m_paper.text({x - w / 2, at.y() + h + 0.3}, w + 1, text, style, "scale bar");
    };
    tick(at.x() + 0.8, 0, "");
    tick(at.x() + mm / 2, groundM / 2, "");
    tick(at.x() + mm, groundM, " m");
    return mm;
}

void MapDrawing::drawSigns(double x, double y, double right) {
    QPainter& p = m_paper.painter();
    const TextStyle style{7, false, m_paper.colors().inkSoft};
    const auto sign = [&](const QString& text, double room, auto&& draw) {
        const double w = Paper::textWidth(text, style);
        if (x + room + w > right) return;
        draw(QPointF(x + room / 2, y + 1.6));
        m_paper.text({x + room + 0.5, y}, w + 1, text, style, "map sign");
        x += room + w + 5;
    };
    sign(Pack::tr("small cell, number as in the list"), 5,
         [&](QPointF c) { drawPlate(m_paper, c + QPointF(0, 1), 2.6, 0, MountKind::wall); });
    sign(Pack::tr("macro, arcs as wide as its beams"), 7, [&](QPointF c) {
        drawMast(m_paper, c + QPointF(0, 1), 2.6, {{60, 65}, {300, 65}});
    });
    if (!m_map.congestion.empty())
        sign(Pack::tr("congestion area"), 7, [&](QPointF c) {
            QPen edge = m_paper.pen(m_paper.colors().accent, 0.3);
            edge.setDashPattern({2, 3});
            p.setPen(edge);
            p.drawRect(QRectF(c.x() - 2.5, c.y() - 1.2, 5, 2.4));
        });
    if (m_lowGround)
        sign(Pack::tr("ground at or below 0 m"), 7, [&](QPointF c) {
            p.setPen(m_paper.pen(m_paper.colors().inkFaint, 0.1));
            for (const double dy : {-1.1, 0.0, 1.1}) p.drawLine(c + QPointF(-2.5, dy), c + QPointF(2.5, dy));
        });
}

double MapDrawing::drawFoot(double top, double width) {
    const double left = m_frame.left();
    const double bar = drawScaleBar({left + 1, top + 2.4});
    double x = left + bar + 9;
    drawNorth(m_paper, {x, top + 4.2}, 5.6, -m_map.convergenceDeg);
    const TextStyle style{7, false, m_paper.colors().inkSoft};
    const QString north = Pack::tr("true north");
    m_paper.text({x + 2.4, top + 2.2}, 20, north, style, "north");
    x += 2.4 + Paper::textWidth(north, style) + 4;
    QString about = QString::fromStdString(m_map.crs);
    if (m_contourStep > 0) about += Pack::tr("; contours every %1 m").arg(m_contourStep);
    // Under the bar where the map is narrow, beside it where there is room.
    const bool beside = x + Paper::textWidth(about, style) < left + width;
    const double h = beside ? m_paper.text({x, top + 2.2}, left + width - x, about, style, "map system") : 0;
    double used = std::max(7.6, h + 2.4);
    if (!beside) used += m_paper.text({left, top + used - 0.4}, width, about, style, "map system");
    if (!m_style.inset) {
        drawSigns(left, top + used + 0.6, left + width);
        used += 5;
    }
    return used;
}

} // namespace fw
