// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tools/measure_tool.h"

#include "canvas/tools/place_tool.h"
#include "canvas/tools/tool_marks.h"
#include "text/figures.h"

#include <QClipboard>
#include <QGuiApplication>
#include <QLocale>

#include <cmath>

namespace fw {

namespace {

// Tape and total station read to the decimetre; above a kilometre the eye wants fewer figures.
QString taped(double metres) {
    return metres < 999.95 ? figure(metres, QStringLiteral("m"), 1) : distance(metres);
}

QString placeText(const Frame& frame, PlanePoint at) {
    const auto geo = frame.toGeo(at);
    if (!geo) return figure(at.x, {}, 1) + QLatin1Char(' ') + figure(at.y, {}, 1);
    return QStringLiteral("%1, %2").arg(geo->latDeg, 0, 'f', 7).arg(geo->lonDeg, 0, 'f', 7);
}

} // namespace

MeasureTool::MeasureTool(MapView& map, const MagneticField* field, QString why)
    : Tool(map), m_field(field), m_why(std::move(why)) {
    if (!m_field && m_why.isEmpty()) m_why = tr("Magnetic bearings need the magnetic model.");
}

MeasureTool::Leg MeasureTool::legOf(PlanePoint from, PlanePoint to) {
    const PlanDocument& document = m_map.space().document;
    const Frame& frame = document.frame();
    Leg leg{from, to, frame.groundDistance(from, to), frame.trueAzimuth(from, to), std::nullopt, 0};
    Terrain flat;
    flat.flatM = document.plan().settings->terrain.flatM;
    const Terrain& terrain = document.terrain() ? *document.terrain() : flat;
    leg.riseM = terrain.at(to) - terrain.at(from);
    const auto geo = frame.toGeo(from);
    if (!m_field || !geo) return leg;
    const auto declination =
        m_field->declinationDeg(*geo, HeightAmsl{terrain.at(from)}, document.plan().settings->date);
    if (declination) {
        leg.magnetic = toMagnetic(leg.azimuth, *declination);
        m_why.clear();
    } else {
        m_why = coreText(declination.error().sentence());
    }
    return leg;
}

void MeasureTool::measure() {
    std::vector<PlanePoint> places = m_places;
    if (!m_done && m_at && (places.empty() || planeDistance(places.back(), *m_at) > 0))
        places.push_back(*m_at);
    // Legs that stand are not measured again with every move of the pointer.
    std::vector<Leg> legs;
    for (std::size_t k = 1; k < places.size(); ++k) {
        const bool known =
            k - 1 < m_legs.size() && m_legs[k - 1].from == places[k - 1] && m_legs[k - 1].to == places[k];
        legs.push_back(known ? m_legs[k - 1] : legOf(places[k - 1], places[k]));
    }
    m_legs = std::move(legs);
}

double MeasureTool::totalM() const {
    double sum = 0;
    for (const Leg& leg : m_legs) sum += leg.distanceM;
    return sum;
}

void MeasureTool::press(const MapPointer& p) {
    if (m_done) {
        m_places.clear();
        m_done = false;
    }
    m_at = p.at;
    if (m_places.empty() || planeDistance(m_places.back(), p.at) > 0) m_places.push_back(p.at);
    measure();
}

void MeasureTool::move(const MapPointer& p) {
    m_at = p.at;
    if (m_done) return;
    measure();
    m_map.update();
}

void MeasureTool::doubleClick(const MapPointer&) {
    m_done = m_places.size() > 1;
    measure();
}

bool MeasureTool::key(QKeyEvent& e) {
    if (e.matches(QKeySequence::Copy)) {
        if (m_legs.empty()) return false;
        QGuiApplication::clipboard()->setText(copyText());
        return true;
    }
    switch (e.key()) {
    case Qt::Key_Backspace:
    case Qt::Key_Delete:
        if (m_places.empty()) return false;
        m_places.pop_back();
        m_done = false;
        break;
    case Qt::Key_Return:
    case Qt::Key_Enter:
        if (m_places.size() < 2) return false;
        m_done = true;
        break;
    default:
        return false;
    }
    measure();
    return true;
}

bool MeasureTool::cancel() {
    if (m_places.empty()) {
        leaveTool(m_map, m_alive);
        return true;
    }
    m_places.clear();
    m_legs.clear();
    m_done = false;
    return true;
}

QStringList MeasureTool::linesOf(const Leg& leg) const {
    QStringList lines{taped(leg.distanceM)};
    lines << (leg.magnetic
                  ? tr("%1 true, %2 magnetic").arg(bearing(leg.azimuth.deg, 1), bearing(leg.magnetic->deg, 1))
                  : tr("%1 true").arg(bearing(leg.azimuth.deg, 1)));
    lines << tr("ground %1").arg(signedFigure(leg.riseM, QStringLiteral("m")));
    return lines;
}

QString MeasureTool::hint() const {
    if (m_legs.empty())
        return m_places.empty() ? tr("Click a place to measure from. Esc: done.")
                                : tr("Click the place to measure to. Esc: drop it.");
    const Leg& last = m_legs.back();
    QString text = tr("%1, %2. Ctrl+C copies the figures, Enter ends the line.")
                       .arg(taped(last.distanceM), linesOf(last)[1]);
    if (m_legs.size() > 1)
        text = tr("%1, %2; %3 in all. Ctrl+C copies the figures, Enter ends the line.")
                   .arg(taped(last.distanceM), linesOf(last)[1], taped(totalM()));
    return m_why.isEmpty() ? text : tr("%1 %2").arg(text, m_why);
}

QString MeasureTool::copyText() const {
    const Frame& frame = m_map.space().document.frame();
    QStringList out;
    for (const Leg& leg : m_legs)
        out << tr("%1 to %2: %3")
                   .arg(placeText(frame, leg.from), placeText(frame, leg.to),
                        linesOf(leg).join(QStringLiteral(", ")));
    if (m_legs.size() > 1) out << tr("%1 in all").arg(taped(totalM()));
    return out.join(QLatin1Char('\n'));
}

void MeasureTool::paint(QPainter& p) {
    if (m_places.empty()) return;
    const WindowPalette& colors = windowPalette(m_map.palette());
    const Camera& camera = m_map.camera();
    p.setRenderHint(QPainter::Antialiasing);
    QPolygonF line{camera.toScreen(m_places.front())};
    for (const Leg& leg : m_legs) line << camera.toScreen(leg.to);
    p.setBrush(Qt::NoBrush);
    p.setPen(QPen(colors.labelHalo, 5));
    p.drawPolyline(line);
    p.setPen(QPen(colors.measure, 2));
    p.drawPolyline(line);
    for (const QPointF& at : line) {
        p.setPen(QPen(colors.measure, 2));
        p.setBrush(colors.base);
        p.drawEllipse(at, 4, 4);
    }
    for (std::size_t k = 0; k + 1 < m_legs.size(); ++k)
        drawTag(p, camera, (line[static_cast<int>(k)] + line[static_cast<int>(k) + 1]) / 2,
                {taped(m_legs[k].distanceM)}, colors);
    if (m_legs.empty()) return;
    QStringList lines = linesOf(m_legs.back());
    if (m_legs.size() > 1) lines << tr("%1 in all").arg(taped(totalM()));
    drawTag(p, camera, line.last(), lines, colors);
}

} // namespace fw
