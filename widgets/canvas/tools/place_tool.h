// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/map_view.h"
#include "canvas/sign_sheet.h"
#include "canvas/tool.h"
#include "plan/edit_makers.h"
#include "plan/wall_snap.h"

#include <QCoreApplication>

#include <memory>
#include <optional>

namespace fw {

/// Puts up small cells: a ghost follows the pointer and takes its kind from what it stands on: near a wall a
/// wall mount (Shift: behind the edge, on the parapet), inside a building a roof mount, else a pole; Alt
/// keeps off walls. The radio looks away from the wall; where there is none, [ and ] turn it (Shift: 10 deg).
/// A click places and chooses it. Stays until Esc.
class PlaceTool : public Tool {
    Q_DECLARE_TR_FUNCTIONS(PlaceTool)
public:
    explicit PlaceTool(MapView& map);

    void press(const MapPointer& p) override;
    void move(const MapPointer& p) override;
    void away() override { m_footing.reset(); }
    bool key(QKeyEvent& e) override;
    bool cancel() override;
    void paint(QPainter& p) override;
    [[nodiscard]] QCursor cursor() const override { return Qt::CrossCursor; }
    [[nodiscard]] QString hint() const override;

    /// Of the small cells to come: that of the last one placed, else of the first congested cell, else of the
    /// first small cell or cell of the plan.
    [[nodiscard]] const Carrier& carrier() const { return m_carrier; }
    void setCarrier(const Carrier& carrier) { m_carrier = carrier; }

private:
    void follow(const MapPointer& p);
    [[nodiscard]] Carrier firstCarrier() const;
    [[nodiscard]] GridAzimuth looks() const;
    [[nodiscard]] HeightAgl height() const;
    [[nodiscard]] QString kindWords() const;
    void paintBeam(QPainter& p, QPointF at);

    Carrier m_carrier;
    std::optional<Footing> m_footing; ///< empty until the pointer comes
    GridAzimuth m_turn;               ///< of radios that no wall turns
    SignSheet m_signs;
    std::shared_ptr<bool> m_alive = std::make_shared<bool>(true); ///< gone once another tool has the map
};

/// Height of the radiation centre that fits a place (m above the lowest ground ahead): 7 m on poles and
/// walls, lower on walls that end below; a metre over the parapet's top, a metre and a half over the roof's.
HeightAgl sensibleHeight(const Footing& footing, const Building* building, const Terrain& terrain);

/// Hands the map back to the tool that chooses, once the event at hand is over.
void leaveTool(MapView& map, const std::weak_ptr<bool>& alive);

} // namespace fw
