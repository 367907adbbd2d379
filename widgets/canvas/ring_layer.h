// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/camera.h"
#include "siting/alternates.h"
#include "theme/window_palette.h"

#include <QPainter>
#include <QString>

#include <optional>
#include <vector>

namespace fw {

/// The search ring of a small cell on the map: what each place near it would give up of its relief, as dots
/// along its wall, on its roof or about its foot, the more the darker; hollow where nothing is given up. The
/// alternates stand by with their rank.
class RingLayer {
public:
    struct Rank {
        PlanePoint at;
        QString text; ///< "1: fit 62"
    };
    void setRing(std::optional<SearchRing> ring, PlanePoint at, const QString& name);
    void setRanks(std::vector<Rank> ranks) { m_ranks = std::move(ranks); }
    void clear();
    [[nodiscard]] bool empty() const { return !m_ring && m_ranks.empty(); }
    [[nodiscard]] const std::optional<SearchRing>& ring() const { return m_ring; }

    /// Classes of relief given up, from 1; 0 is nothing or a gain.
    [[nodiscard]] int classOf(double lostPoints) const;
    [[nodiscard]] int classes() const { return m_classes; }
    /// "0.5 to 1"; of 0 "nothing, or a gain".
    [[nodiscard]] QString classText(int cls) const;

    /// In device-independent pixels of the map.
    void paint(QPainter& painter, const Camera& camera, const WindowPalette& colors) const;
    /// In the lower corner where reading ends.
    void paintLegend(QPainter& painter, const Camera& camera, const WindowPalette& colors,
                     Qt::LayoutDirection direction) const;
    /// "20 m to the north: gives up 0.8 points of relief"; empty away from the dots.
    [[nodiscard]] QString textAt(const Camera& camera, PlanePoint at) const;

private:
    void paintDot(QPainter& p, QPointF at, int cls, const WindowPalette& colors, double radius) const;
    std::optional<SearchRing> m_ring;
    PlanePoint m_at; ///< where it stands
    QString m_name;
    std::vector<Rank> m_ranks;
    double m_step = 1; ///< points between classes
    int m_classes = 1;
};

} // namespace fw
