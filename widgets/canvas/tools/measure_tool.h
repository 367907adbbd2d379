// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/map_view.h"
#include "canvas/tool.h"
#include "geo/declination.h"
#include "geo/shape.h"

#include <QCoreApplication>
#include <QStringList>

#include <memory>
#include <optional>
#include <vector>

namespace fw {

/// Measures between places on the map: each click puts one; a click after a double click or Enter begins
/// anew. Distance on the ellipsoid, azimuth at the first of two places (true, and magnetic on the plan's
/// date), ground heights. Backspace takes the last place back; copyText() has the figures. Stays until Esc.
class MeasureTool : public Tool {
    Q_DECLARE_TR_FUNCTIONS(MeasureTool)
public:
    /// @param field  for magnetic bearings; may be null, then `why` says why there are none. Outlives the
    /// tool.
    explicit MeasureTool(MapView& map, const MagneticField* field = nullptr, QString why = {});

    void press(const MapPointer& p) override;
    void move(const MapPointer& p) override;
    void doubleClick(const MapPointer& p) override;
    bool key(QKeyEvent& e) override;
    bool cancel() override;
    void paint(QPainter& p) override;
    [[nodiscard]] QCursor cursor() const override { return Qt::CrossCursor; }
    [[nodiscard]] QString hint() const override;
    /// A line for each leg and one for the whole, in the user's figures.
    [[nodiscard]] QString copyText() const override;

    /// From one place to the next.
    struct Leg {
        PlanePoint from, to;
        double distanceM = 0; ///< on the ellipsoid
        TrueAzimuth azimuth;
        std::optional<MagneticBearing> magnetic;
        double riseM = 0; ///< of the ground, from the first to the second
        bool operator==(const Leg&) const = default;
    };
    /// Of the places put down and, while it goes on, of the pointer.
    [[nodiscard]] const std::vector<Leg>& legs() const { return m_legs; }
    [[nodiscard]] double totalM() const;

private:
    void measure();
    [[nodiscard]] Leg legOf(PlanePoint from, PlanePoint to);
    [[nodiscard]] QStringList linesOf(const Leg& leg) const;

    const MagneticField* m_field;
    QString m_why; ///< no magnetic bearing
    std::vector<PlanePoint> m_places;
    std::optional<PlanePoint> m_at;
    std::vector<Leg> m_legs;
    bool m_done = false;
    std::shared_ptr<bool> m_alive = std::make_shared<bool>(true);
};

} // namespace fw
