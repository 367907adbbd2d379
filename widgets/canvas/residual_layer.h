// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "canvas/camera.h"
#include "plan/items.h"
#include "theme/window_palette.h"

#include <QImage>
#include <QPainter>

#include <cstdint>
#include <optional>
#include <vector>

namespace fw {

/// One measured point as the map shows it.
struct ResidualMark {
    PlanePoint at;
    double db = 0; ///< measured less predicted
    ItemId cell;
};

/// Steps of the scale: weaker than predicted in one hue, stronger in another, between them what is within 3
/// dB.
inline constexpr int kResidualSteps = 7;
int residualStep(double db);
QColor residualColor(int step, const WindowPalette& colors);
/// "-6 to -3".
QString residualStepText(int step);

/// Measured points over the map, coloured by how far measured and predicted differ, and what the colours
/// mean. Keeps a picture somewhat larger than the view: a frame only blits it, whatever the number of points;
/// it is drawn anew when the scale, the points or the colours change, or the view leaves it.
class ResidualLayer {
public:
    /// Where they crowd, southern ones lie over northern ones, which favours neither small nor large
    /// differences.
    void setMarks(std::vector<ResidualMark> marks);
    [[nodiscard]] const std::vector<ResidualMark>& marks() const { return m_marks; }
    /// @param title  what is shown, over the legend
    void setTitle(const QString& title) { m_title = title; }

    /// In device-independent pixels of the map. Draws nothing while there are no marks.
    void paint(QPainter& painter, const Camera& camera, const WindowPalette& colors);
    /// The legend, in the lower corner where reading ends.
    void paintLegend(QPainter& painter, const Camera& camera, const WindowPalette& colors,
                     Qt::LayoutDirection direction) const;
    /// The mark under a place, the uppermost of the nearest; empty: none within reach of its dot.
    [[nodiscard]] std::optional<ResidualMark> markAt(const Camera& camera, PlanePoint at) const;

    /// How often the picture was drawn (tests, measuring).
    [[nodiscard]] int drawn() const { return m_drawn; }

private:
    void draw(const Camera& camera, const WindowPalette& colors, double ratio);
    std::vector<ResidualMark> m_marks;
    QString m_title;
    QImage m_picture;
    Camera m_of; ///< view that the picture was made for
    double m_ratio = 0;
    bool m_dark = false, m_stale = true;
    int m_drawn = 0;
};

} // namespace fw
