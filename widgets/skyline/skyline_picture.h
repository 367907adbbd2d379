// SPDX-License-Identifier: GPL-3.0-or-later
// The panorama's parts that stay as they are while a beam is dragged, drawn once into pixmaps; and the beam.
#pragma once

#include "skyline/skyline_scale.h"
#include "skyline/skyline_scene.h"
#include "theme/window_palette.h"

#include <QFont>
#include <QPainter>

#include <vector>

namespace fw {

struct SkylineStyle {
    WindowPalette colors;
    QFont font;     ///< of labels
    int fontHeight; ///< line height of it
    int bandHeight; ///< of the PRB cost along the foot
    bool operator==(const SkylineStyle&) const = default;
};

/// Tops, blocked bearings, PRB cost along the foot, axes with bearings and elevations. Fills `whole`.
void drawBackdrop(QPainter& p, const QRectF& whole, const SkylineScale& scale, const SkylineScene& scene,
                  const BlockedBearings* blocked, const SkylineStyle& style);

/// Where a named mark stands; one that shows at both ends stands twice.
struct SkylineMark {
    std::size_t thing = 0; ///< index into SkylineScene::things
    QPointF foot;
    QRectF sign, label; ///< label: null where there was no room
};
std::vector<SkylineMark> placeMarks(const SkylineScale& scale, const SkylineScene& scene,
                                    const SkylineStyle& style);
void drawMarks(QPainter& p, const std::vector<SkylineMark>& marks, const SkylineScene& scene,
               const SkylineStyle& style);

struct SkylineBeam {
    TrueAzimuth azimuth;
    double tiltDeg = 0; ///< down positive
    double hBeamDeg = 65, vBeamDeg = 30;
    bool operator==(const SkylineBeam&) const = default;
};
/// Outlines of the window on screen; two where it shows at both ends.
std::vector<QRectF> windowsOf(const SkylineBeam& beam, const SkylineScale& scale);
/// Over the backdrop: what lies beside the window steps back, so that the window is bright.
void drawVeil(QPainter& p, const SkylineScale& scale, const SkylineStyle& style);
/// Frame, boresight and glow of the window.
void drawBeam(QPainter& p, const SkylineBeam& beam, const SkylineScale& scale, const SkylineStyle& style,
              bool held);

/// Points of PRB cost in a bin from which on the band has its strongest colour.
inline constexpr double kFullCostPoints = 0.6;

} // namespace fw
