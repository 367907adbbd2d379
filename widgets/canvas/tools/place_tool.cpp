// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/tools/place_tool.h"

#include "canvas/tools/select_tool.h"
#include "canvas/tools/tool_marks.h"
#include "canvas/tools/wall_finder.h"
#include "radio/carrier.h"
#include "text/figures.h"

#include <QTimer>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

constexpr double kUsualM = 7;        // middle of the street's window of 6 to 9 m [prac]
constexpr double kBelowEavesM = 0.8; // a wall has to reach past the antenna [own]
constexpr double kOverParapetM = 1.0, kOverRoofM = 1.5;

double lowestUnder(const Building& b, const Terrain& terrain) {
    double low = terrain.at(centroidOf(b.footprint));
    for (const PlanePoint& p : b.footprint.outer) low = std::min(low, terrain.at(p));
    return low;
}

// As the computation counts it: along the way a wall looks, or all round.
double lowestAhead(const Footing& s, const Terrain& terrain) {
    double low = terrain.at(s.at);
    const auto faces = s.faces();
    for (int k = 0; k < (faces ? 1 : 8); ++k) {
        const double a = radians((faces ? faces->deg : 0) + 45.0 * k);
        for (const double d : {2.5, 5.0, 7.5, 10.0})
            low = std::min(low, terrain.at(s.at + PlanePoint{std::sin(a), std::cos(a)} * d));
    }
    return low;
}

} // namespace

HeightAgl sensibleHeight(const Footing& footing, const Building* building, const Terrain& terrain) {
    if (footing.kind == MountKind::pole || !building) return {kUsualM};
    const double roof = lowestUnder(*building, terrain) + building->heightM - lowestAhead(footing, terrain);
    double height = kUsualM;
    if (footing.kind == MountKind::wall)
        height = std::clamp(roof - kBelowEavesM, 2.5, kUsualM);
    else if (footing.kind == MountKind::parapet)
        height = std::max(2.5, roof + building->parapetM + kOverParapetM);
    else
        height = std::max(2.5, roof + building->parapetM + kOverRoofM);
    return {std::round(height * 10) / 10};
}

void leaveTool(MapView& map, const std::weak_ptr<bool>& alive) {
    QTimer::singleShot(0, &map, [&map, alive] {
        if (!alive.expired()) map.setTool(std::make_unique<SelectTool>(map));
    });
}

PlaceTool::PlaceTool(MapView& map) : Tool(map), m_carrier(firstCarrier()) {}

Carrier PlaceTool::firstCarrier() const {
    const PlanDocument& document = m_map.space().document;
    if (!document.isOpen()) return {};
    const Plan& plan = document.plan();
    if (const auto& study = m_map.space().live.study())
        for (const MacroCell& cell : study->macroCells())
            if (cell.congested)
                if (const Cell* c = plan.cells.find(cell.id)) return c->carrier;
    if (!plan.smallCells.empty()) return plan.smallCells.begin()->carrier;
    if (!plan.cells.empty()) return plan.cells.begin()->carrier;
    return {};
}

void PlaceTool::follow(const MapPointer& p) {
    const bool free = p.modifiers & Qt::AltModifier;
    const WallIndex* walls = WallFinder::of(m_map).walls();
    if (!walls) {
        m_footing = Footing{MountKind::pole, p.at, std::nullopt, {}};
    } else {
        const double reach = free ? 0 : std::min(kSnapPx * m_map.camera().metresPerPixel, kSnapFarthestM);
        m_footing = footingAt(*walls, p.at, reach, p.modifiers & Qt::ShiftModifier);
    }
    m_map.update();
}

GridAzimuth PlaceTool::looks() const {
    if (m_footing)
        if (const auto faces = m_footing->faces()) return *faces;
    return m_turn;
}

HeightAgl PlaceTool::height() const {
    const PlanDocument& document = m_map.space().document;
    const auto building = m_footing->building ? document.plan().scenery.building(m_footing->building)
                                              : std::optional<Building>();
    Terrain flat;
    flat.flatM = document.plan().settings->terrain.flatM;
    return sensibleHeight(*m_footing, building ? &*building : nullptr,
                          document.terrain() ? *document.terrain() : flat);
}

void PlaceTool::move(const MapPointer& p) { follow(p); }

void PlaceTool::press(const MapPointer& p) {
    follow(p);
    Workspace& space = m_map.space();
    const Frame& frame = space.document.frame();
    NewSmallCell wanted;
    wanted.at = m_footing->at;
    wanted.kind = m_footing->kind;
    wanted.height = height();
    wanted.carrier = m_carrier;
    // Whole degrees: what a crew can set and a sheet can say.
    const auto whole = [&](GridAzimuth a) {
        return TrueAzimuth::of(std::round(frame.toTrue(a, wanted.at).deg));
    };
    if (const auto faces = m_footing->faces()) wanted.faces = frame.toTrue(*faces, wanted.at);
    wanted.azimuth = whole(looks());
    const auto placed = placeSmallCell(space.document.plan(), wanted);
    if (!placed) return emit space.document.refused(QString::fromStdString(placed.error().sentence()));
    if (space.document.perform(placed->edit).ok()) space.selection.setOne(placed->mount);
}

bool PlaceTool::key(QKeyEvent& e) {
    const bool coarse = e.modifiers() & Qt::ShiftModifier;
    const double step = coarse ? 10 : 1;
    if (e.key() == Qt::Key_BracketLeft || e.key() == Qt::Key_BraceLeft)
        m_turn = GridAzimuth::of(m_turn.deg - step);
    else if (e.key() == Qt::Key_BracketRight || e.key() == Qt::Key_BraceRight)
        m_turn = GridAzimuth::of(m_turn.deg + step);
    else
        return false;
    return true;
}

bool PlaceTool::cancel() {
    leaveTool(m_map, m_alive);
    return true;
}

QString PlaceTool::kindWords() const {
    switch (m_footing->kind) {
    case MountKind::wall:
        return tr("Wall mount");
    case MountKind::parapet:
        return tr("Parapet mount");
    case MountKind::roof:
        return tr("Roof mount");
    case MountKind::pole:
        break;
    }
    return tr("Pole");
}

QString PlaceTool::hint() const {
    if (m_map.space().document.readOnly())
        return tr("This plan is open for reading only. Save it under another name to change it.");
    if (!m_footing) return tr("Point at a wall, a roof or open ground to place a small cell. Esc: done.");
    const QString where = kindWords();
    const QString carrier = tr("%1 %2").arg(m_carrier.technology == Technology::lte ? QStringLiteral("LTE")
                                                                                    : QStringLiteral("NR"),
                                            coreText(bandName(m_carrier.technology, m_carrier.channel)));
    const QString high = figure(height().m, QStringLiteral("m"));
    if (m_footing->faces())
        return tr("%1, %2 high, %3. Click places it. Shift: parapet. Alt: away from walls. Esc: done.")
            .arg(where, high, carrier);
    return tr("%1, %2 high, %3. Click places it, [ and ] turn it. Esc: done.").arg(where, high, carrier);
}

void PlaceTool::paintBeam(QPainter& p, QPointF at) {
    const WindowPalette& colors = windowPalette(m_map.palette());
    const double length = std::clamp(120 / m_map.camera().metresPerPixel, 40.0, 160.0);
    constexpr double kBeamDeg = 65; // of the radio that will be placed
    QColor fill = colors.ghost;
    fill.setAlpha(36);
    p.setPen(QPen(colors.ghost, 1.4, Qt::DashLine));
    p.setBrush(fill);
    p.drawPie(QRectF(at - QPointF(length, length), QSizeF(2 * length, 2 * length)),
              static_cast<int>(std::lround((90 - looks().deg - kBeamDeg / 2) * 16)),
              static_cast<int>(kBeamDeg * 16));
}

void PlaceTool::paint(QPainter& p) {
    if (!m_footing || !m_map.pointer()) return;
    const WindowPalette& colors = windowPalette(m_map.palette());
    const Camera& camera = m_map.camera();
    m_signs.setLook(colors, m_map.font(), m_map.devicePixelRatioF());
    p.setRenderHint(QPainter::Antialiasing);
    const QPointF at = camera.toScreen(m_footing->at);
    paintBeam(p, at);
    if (m_footing->wall && m_footing->faces()) drawSnap(p, camera, *m_footing->wall, colors);
    MountSign sign;
    sign.kind = m_footing->kind;
    if (const auto faces = m_footing->faces()) sign.facesGridDeg = faces->deg;
    const double scale = m_signs.scaleAt(camera.metresPerPixel);
    p.setOpacity(0.75);
    m_signs.support(p, at, sign, scale);
    m_signs.plate(p, at, {{}, looks().deg, 65, RadioState::chosen}, scale);
    p.setOpacity(1);
    QStringList lines{kindWords()};
    if (m_footing->faces()) lines << placeOnWall(*m_footing->wall);
    lines << tr("%1 high, towards %2")
                 .arg(figure(height().m, QStringLiteral("m")),
                      bearing(m_map.space().document.frame().toTrue(looks(), m_footing->at).deg));
    drawTag(p, camera, at, lines, colors);
}

} // namespace fw
