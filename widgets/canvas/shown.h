// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "study/indoor_coverage.h"

#include <QObject>
#include <QString>

#include <array>
#include <optional>

namespace fw {

/// What can be drawn on the map, each on or off.
enum class MapLayer : int {
    hillshade,
    buildings,
    streets,
    trees,
    lines,
    areas,   ///< congestion areas
    fringes, ///< outlines of computed fringes
    macros,
    smallCells, ///< mounts with their radios
    beams,
    footprint, ///< of the chosen small cell
    aimRose,
    findings,
    names,
    owners, ///< what the owner of a mount answered
    count
};
/// What colours the ground: one at a time.
enum class GroundTint : int { none, prbCost, rsrp, bestServer, demandFringe, sinr, rate, indoor, count };
/// Of a tint that small cells change: with macros alone, with the chosen small cells, or the difference.
enum class TintMoment : int { before, after, change, count };
/// Whether small cells change what a tint shows.
inline bool hasMoments(GroundTint tint) {
    return tint != GroundTint::none && tint != GroundTint::demandFringe;
}

/// What of the map is switched on. View state: not undone, kept between sessions.
class Shown : public QObject {
    Q_OBJECT
public:
    explicit Shown(QObject* parent = nullptr);
    [[nodiscard]] bool on(MapLayer layer) const { return m_on[static_cast<std::size_t>(layer)]; }
    void setOn(MapLayer layer, bool on);
    [[nodiscard]] GroundTint tint() const { return m_tint; }
    void setTint(GroundTint tint);
    /// Macro layer (index into Study::layers()) that tints are for; -1: the strongest, all together.
    [[nodiscard]] int carrier() const { return m_carrier; }
    void setCarrier(int layer);
    [[nodiscard]] TintMoment moment() const { return m_moment; }
    void setMoment(TintMoment moment);
    /// Before and after side by side, parted by a divider; not kept between sessions.
    [[nodiscard]] bool swipe() const { return m_swipe; }
    void setSwipe(bool on);
    /// Of indoor coverage: which storeys, and the RSRP (dBm) that counts; empty: the plan's.
    [[nodiscard]] Storey storey() const { return m_storey; }
    void setStorey(Storey storey);
    [[nodiscard]] std::optional<int> indoorFromDbm() const { return m_indoorFrom; }
    void setIndoorFromDbm(std::optional<int> dbm);
    /// As one line of text, and back; anything that cannot be read is left as it is.
    [[nodiscard]] QString state() const;
    void setState(const QString& text);

signals:
    void changed();

private:
    std::array<bool, static_cast<std::size_t>(MapLayer::count)> m_on{};
    GroundTint m_tint = GroundTint::prbCost;
    int m_carrier = -1;
    TintMoment m_moment = TintMoment::before;
    bool m_swipe = false;
    Storey m_storey = Storey::all;
    std::optional<int> m_indoorFrom;
};

} // namespace fw
