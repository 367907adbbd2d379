// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/site_sheet.h"
#include "print/paper.h"

namespace fw {

/// What the antenna sees all round: tops by elevation, darker is nearer, the beam as a window, sight marks
/// and other antennas at their bearing. Azimuths are true.
class SkylineStrip {
public:
    SkylineStrip(Paper& paper, const SiteSheet& sheet, const QRectF& frame);
    void draw();
    /// Position of a bearing and an elevation, mm; elevation clamped to the strip.
    [[nodiscard]] QPointF at(double azimuthTrueDeg, double elevationDeg) const;

private:
    void drawTops();
    void drawOwnName();
    void drawWindows();
    void drawThings();
    void drawMarks();
    void drawAxes();
    void drawKey();

    Paper& m_paper;
    const SiteSheet& m_sheet;
    QRectF m_frame, m_plot;
    double m_middleDeg = 0, m_topDeg = 30;
};

/// "1", or "A1" where a site has several radios.
QString markText(const SiteSheet& sheet, std::size_t radio, int number);
/// "A", "B", ...
QString radioLetter(std::size_t radio);

} // namespace fw
