// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/camera.h"
#include "document/workspace.h"
#include "study/rasters.h"
#include "theme/window_palette.h"

#include <QImage>
#include <QLineF>
#include <QPainter>

#include <functional>
#include <memory>
#include <vector>

namespace fw {

/// What the chosen small cell takes, under the signs: one hue, the stronger the larger the share of users
/// that it takes from the macros; a line round the ground where it is stronger than every macro. Of the study
/// in view, so that it follows a drag frame by frame.
class FootprintLayer {
public:
    explicit FootprintLayer(Workspace& space) : m_space(space) {}
    /// In device-independent pixels of the map. Draws nothing where no small cell is chosen or the layer is
    /// off.
    void paint(QPainter& painter, const Camera& camera, const WindowPalette& colors);

    /// Looks at the next frame of a drag before it is drawn, as LiveStudy::computeAhead() asks; empty where
    /// nothing will be drawn.
    [[nodiscard]] std::function<void()> lookAhead(const std::shared_ptr<const Study>& study);

    /// Of the small cell drawn last; empty where none was.
    [[nodiscard]] const SmallFootprint& footprint() const { return m_footprint; }

private:
    [[nodiscard]] ItemId wanted() const;
    bool look();
    bool take(const std::shared_ptr<const Study>& study, ItemId small);
    void colour(QRgb hue);
    void trace();

    Workspace& m_space;
    std::weak_ptr<const Study> m_study;
    SmallFootprint m_footprint;
    std::vector<QLineF> m_rim; ///< where the lead crosses zero, plane metres
    std::vector<QLineF> m_onScreen;
    QImage m_image;
    QRect m_used; ///< of the image: pixels with any share
    QRgb m_hue = 0;
    bool m_coloured = false;
};

} // namespace fw
