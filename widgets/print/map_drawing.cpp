// SPDX-License-Identifier: GPL-3.0-or-later
#include "print/map_drawing.h"

#include "print/symbols.h"

#include <QPainterPath>

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

namespace fw {

namespace {

constexpr double kTallM = 15, kSmallestMm = 0.12, kRulingMm = 1.1;

QRectF shaped(const QRectF& room, const Box& b) {
    const double aspect = b.width() / b.height();
    const double w = std::min(room.width(), room.height() * aspect);
    return {room.topLeft(), QSizeF(w, w / aspect)};
}

// Degrees clockwise from up for text that runs along a way, turned so that it never stands on its head.
double readable(double deg) {
    double d = std::fmod(deg, 180.0);
    if (d < -90) d += 180;
    if (d > 90) d -= 180;
    return d;
}

} // namespace

double scaleBarM(double mmPerGroundM, double mostMm) {
    double best = 0;
    for (int k = -2; k < 7; ++k)
        for (const double n : {1.0, 2.0, 5.0}) {
            const double m = n * std::pow(10.0, k);
            if (m * mmPerGroundM <= mostMm) best = m;
        }
    return best;
}

MapDrawing::MapDrawing(Paper& paper, const MapContent& map, const QRectF& room, MapStyle style)
    : m_paper(paper), m_map(map), m_style(std::move(style)), m_frame(shaped(room, map.bounds)) {
    m_mmPerM = m_frame.width() / m_map.bounds.width();
}

QPointF MapDrawing::at(PlanePoint p) const {
    return {m_frame.left() + (p.x - m_map.bounds.x0) * m_mmPerM,
            m_frame.bottom() - (p.y - m_map.bounds.y0) * m_mmPerM};
}

QPolygonF MapDrawing::polygon(const Ring& ring) const {
    QPolygonF out;
    out.reserve(static_cast<int>(ring.size()) + 1);
    for (const PlanePoint p : ring) out << at(p);
    if (!out.isEmpty()) out << out.first();
    return out;
}

void MapDrawing::draw() {
    QPainter& p = m_paper.painter();
    m_paper.place(m_frame, "map");
    m_paper.beginDrawing(m_frame);
    p.save();
    p.setClipRect(m_frame);
    p.fillRect(m_frame, m_paper.colors().wash);
    if (m_style.hillshade) drawHillshade();
    if (m_style.tint.isNull()) {
        drawLowGround();
        drawContours();
        drawWays();
    } else {
        drawTint();
    }
    drawBlocks();
    drawGround();
    drawMasts();
    drawPlates();
    drawMarks();
    if (m_style.tint.isNull()) drawMastNames();
    if (m_style.inset) drawWayNames();
    p.restore();
    p.setPen(m_paper.pen(m_paper.colors().inkFaint, 0.2));
    p.setBrush(Qt::NoBrush);
    p.drawRect(m_frame);
}

// Light from the north-west, as maps are shaded.
void MapDrawing::drawHillshade() {
    const Grid<float>& g = m_map.ground;
    if (g.width < 3 || g.height < 3) return;
    QImage image(g.width - 2, g.height - 2, QImage::Format_Grayscale8);
    for (int r = 1; r + 1 < g.height; ++r)
        for (int c = 1; c + 1 < g.width; ++c) {
            const auto h = [&](int dc, int dr) { return static_cast<double>(g.at(c + dc, r + dr)); };
            const double dx = (h(1, 0) - h(-1, 0)) / (2 * g.cellM), dy = (h(0, 1) - h(0, -1)) / (2 * g.cellM);
            const double light = (1 + 0.7 * (dx - dy)) / std::sqrt(1 + dx * dx + dy * dy);
            image.scanLine(g.height - 2 - r)[c - 1] =
                static_cast<uchar>(std::clamp(168 + 70 * light, 170.0, 250.0));
        }
    const QPointF nw = at({g.x0 + g.cellM, g.y0 + (g.height - 1) * g.cellM});
    const QPointF se = at({g.x0 + (g.width - 1) * g.cellM, g.y0 + g.cellM});
    m_paper.painter().drawImage(QRectF(nw, se), image);
}

void MapDrawing::drawTint() {
    QPainter& p = m_paper.painter();
    p.save();
    p.setRenderHint(QPainter::LosslessImageRendering); // flat colours: a photograph's compression blurs them
    const Box& b = m_style.tintBox;
    p.drawImage(QRectF(at({b.x0, b.y1}), at({b.x1, b.y0})), m_style.tint);
    p.restore();
}

void MapDrawing::drawContours() {
    if (m_map.ground.empty()) return;
    QPainter& p = m_paper.painter();
    m_contourStep = contourStep(m_map.ground, m_style.inset ? 6 : 10);
    QColor quiet = m_paper.colors().hairline;
    p.setBrush(Qt::NoBrush);
    for (const Contour& c : contoursOf(m_map.ground, m_contourStep)) {
        // The zero of the datum is the shore on a coast, so it is drawn to be found.
        const bool zero = c.heightM == 0;
        p.setPen(m_paper.pen(zero ? m_paper.colors().inkFaint : quiet, zero ? 0.35 : 0.12));
        QPolygonF line;
        for (const PlanePoint q : c.line) line << at(q);
        p.drawPolyline(line);
    }
}

// Ground at or below the datum is ruled, as old maps rule the sea; nothing more is claimed of it.
void MapDrawing::drawLowGround() {
    const Grid<float>& g = m_map.ground;
    if (g.width < 2 || g.height < 2) return;
    const auto low = [&g](PlanePoint p) {
        const double x = std::clamp((p.x - g.x0) / g.cellM - 0.5, 0.0, g.width - 1.001);
        const double y = std::clamp((p.y - g.y0) / g.cellM - 0.5, 0.0, g.height - 1.001);
        const int c = static_cast<int>(x), r = static_cast<int>(y);
        const auto h = [&](int dc, int dr) { return static_cast<double>(g.at(c + dc, r + dr)); };
        const double u = x - c, v = y - r;
        return (h(0, 0) * (1 - u) + h(1, 0) * u) * (1 - v) + (h(0, 1) * (1 - u) + h(1, 1) * u) * v <= 0.01;
    };
    QPainter& p = m_paper.painter();
    p.setPen(m_paper.pen(m_paper.colors().inkFaint, 0.1));
    const double lineM = kRulingMm / m_mmPerM, stepM = 0.4 / m_mmPerM;
    for (double y = m_map.bounds.y0 + lineM / 2; y < m_map.bounds.y1; y += lineM) {
        std::optional<double> from;
        for (double x = m_map.bounds.x0;; x += stepM) {
            const bool end = x >= m_map.bounds.x1;
            if (!end && low({x, y})) {
                if (!from) from = x;
                continue;
            }
            if (from) {
                p.drawLine(at({*from, y}), at({std::min(x, m_map.bounds.x1), y}));
                m_lowGround = true;
            }
            from.reset();
            if (end) break;
        }
    }
}

void MapDrawing::drawWays() {
    QPainter& p = m_paper.painter();
    QPainterPath path;
    std::vector<std::pair<double, QPolygonF>> lines;
    for (const MapWay& w : m_map.ways) {
        QPolygonF line;
        for (const PlanePoint q : w.path) line << at(q);
        lines.emplace_back(std::max(w.widthM * m_mmPerM, 0.25), std::move(line));
    }
    p.setBrush(Qt::NoBrush);
    for (const auto& [width, line] : lines) {
        p.setPen(QPen(m_paper.colors().paper, width, Qt::SolidLine, Qt::RoundCap, Qt::RoundJoin));
        p.drawPolyline(line);
    }
}

void MapDrawing::drawBlocks() {
    QPainter& p = m_paper.painter();
    const PaperPalette& c = m_paper.colors();
    QPainterPath low, tall, own;
    for (const MapBlock& b : m_map.blocks) {
        const Box box = boundsOf(b.footprint);
        if (std::max(box.width(), box.height()) * m_mmPerM < kSmallestMm) continue;
        QPainterPath& into = b.id && b.id == m_style.ownBuilding ? own : b.heightM >= kTallM ? tall : low;
        into.addPolygon(polygon(b.footprint.outer));
        for (const Ring& hole : b.footprint.holes) into.addPolygon(polygon(hole));
    }
    const bool edges = m_style.inset;
    for (const auto& [path, fill] :
         {std::pair<const QPainterPath&, QColor>{low, c.block}, {tall, c.blockTall}, {own, c.blockOwn}}) {
        p.setPen(edges ? m_paper.pen(c.inkFaint, 0.1) : QPen(Qt::NoPen));
        p.setBrush(fill);
        p.drawPath(path);
    }
}

void MapDrawing::drawGround() {
    QPainter& p = m_paper.painter();
    QPen edge = m_paper.pen(m_paper.colors().accent, 0.3);
    edge.setDashPattern({2, 3});
    p.setPen(edge);
    p.setBrush(Qt::NoBrush);
    for (const Polygon& a : m_map.congestion) p.drawPolygon(polygon(a.outer));
    if (!m_style.inset) return;
    QPen line = m_paper.pen(m_paper.colors().ink, 0.2);
    line.setDashPattern({10, 3, 1, 3});
    p.setPen(line);
    for (const Line& l : m_map.overheadLines) {
        QPolygonF path;
        for (const PlanePoint q : l) path << at(q);
        p.drawPolyline(path);
    }
}

void MapDrawing::drawWayNames() {
    std::set<std::string> done;
    const TextStyle style{6.5, false, m_paper.colors().inkSoft};
    for (const MapWay& w : m_map.ways) {
        if (w.name.empty() || done.count(w.name)) continue;
        const QString name = QString::fromStdString(w.name);
        const double need = Paper::textWidth(name, style) + 2;
        for (std::size_t i = 0; i + 1 < w.path.size(); ++i) {
            const QPointF a = at(w.path[i]), b = at(w.path[i + 1]);
            const double len = std::hypot(b.x() - a.x(), b.y() - a.y());
            if (len < need) continue;
            const double turn = readable(degrees(std::atan2(b.y() - a.y(), b.x() - a.x())));
            bool placed = false;
            for (const double t : {0.5, 0.3, 0.7, 0.15, 0.85}) {
                placed = m_paper.label(a + (b - a) * t, name, style, turn);
                if (placed) break;
            }
            if (placed) {
                done.insert(w.name);
                break;
            }
        }
    }
}

void MapDrawing::drawMasts() {
    const double size = m_style.inset ? 5 : 3.6;
    for (const MapMast& m : m_map.masts) {
        std::vector<std::pair<double, double>> beams;
        beams.reserve(m.beams.size());
        for (const MapBeam& b : m.beams) beams.emplace_back(b.gridDeg, b.widthDeg);
        drawMast(m_paper, at(m.at), size, beams);
        m_paper.keepClear(QRectF(at(m.at) - QPointF(size, size), QSizeF(2 * size, 2 * size)));
    }
}

void MapDrawing::drawMastNames() {
    const double size = m_style.inset ? 5 : 3.6;
    const TextStyle style{6.5, false, m_paper.colors().ink};
    for (const MapMast& m : m_map.masts)
        for (const double dy : {size + 1.6, -size - 1.6})
            if (m_paper.label(at(m.at) + QPointF(0, dy), QString::fromStdString(m.name), style)) break;
}

void MapDrawing::drawPlates() {
    const double size = m_style.inset ? 4 : 2.8;
    for (const MapPlate& plate : m_map.plates) {
        const bool focus = plate.mount == m_style.focus;
        if (m_style.inset && focus)
            for (const MapBeam& b : plate.beams)
                drawBeam(m_paper, at(plate.at), m_style.beamM * mmPerGroundM(), b.gridDeg, b.widthDeg);
    }
    for (const MapPlate& plate : m_map.plates) {
        for (const MapBeam& b : plate.beams) drawPlate(m_paper, at(plate.at), size, b.gridDeg, plate.kind);
        m_paper.keepClear(QRectF(at(plate.at) - QPointF(size, size), QSizeF(2 * size, 2 * size)));
    }
    for (const auto& [mount, text] : m_style.numbers)
        for (const MapPlate& plate : m_map.plates) {
            if (plate.mount != mount) continue;
            // Behind the first plate's back, where its beam is not; else to a side, else farther off.
            const double back = plate.beams.empty() ? 180 : plate.beams.front().gridDeg + 180;
            const auto spot = [&](double turn, double away) {
                const double a = radians(back + turn);
                return at(plate.at) + QPointF(std::sin(a), -std::cos(a)) * (size + away);
            };
            std::optional<QPointF> chosen;
            for (const double away : {2.6, 5.0, 7.5, 10.0})
                for (const double turn : {0.0, 50.0, -50.0, 100.0, -100.0, 150.0, -150.0}) {
                    const QRectF box(spot(turn, away) - QPointF(2, 2), QSizeF(4, 4));
                    if (!chosen && m_frame.contains(box) && m_paper.isClear(box)) chosen = box.center();
                }
            const QPointF c = chosen.value_or(spot(0, 2.6));
            if (std::hypot(c.x() - at(plate.at).x(), c.y() - at(plate.at).y()) > size + 3) {
                m_paper.painter().setPen(m_paper.pen(m_paper.colors().accentText, 0.2));
                m_paper.painter().drawLine(at(plate.at), c);
            }
            drawBadge(m_paper, c, text, 3.8, true);
            m_paper.keepClear(QRectF(c - QPointF(2, 2), QSizeF(4, 4)));
        }
}

void MapDrawing::drawMarks() {
    QPainter& p = m_paper.painter();
    const auto focus = std::find_if(m_map.plates.begin(), m_map.plates.end(),
                                    [&](const MapPlate& x) { return x.mount == m_style.focus; });
    for (const MapMark& mark : m_style.marks) {
        QPointF c = at(mark.at);
        if (focus == m_map.plates.end()) break;
        const QPointF from = at(focus->at);
        // A corner off the map gets its number where the sight line leaves it.
        const QRectF inside = m_frame.adjusted(3, 3, -3, -3);
        if (!inside.contains(c)) {
            double t = 1;
            const QPointF d = c - from;
            if (d.x() > 0) t = std::min(t, (inside.right() - from.x()) / d.x());
            if (d.x() < 0) t = std::min(t, (inside.left() - from.x()) / d.x());
            if (d.y() > 0) t = std::min(t, (inside.bottom() - from.y()) / d.y());
            if (d.y() < 0) t = std::min(t, (inside.top() - from.y()) / d.y());
            c = from + d * t;
        }
        QPen line = m_paper.pen(m_paper.colors().accentText, 0.15);
        line.setDashPattern({4, 4});
        p.setPen(line);
        p.drawLine(from, c);
        drawBadge(m_paper, c, mark.text, 3.6, false);
        m_paper.keepClear(QRectF(c - QPointF(2, 2), QSizeF(4, 4)));
    }
}

} // namespace fw
