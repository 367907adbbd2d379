// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/site_sheet.h"
#include "print/paper.h"

namespace fw {

/// The antenna from the side with its tilt at the true angle and the half-power edges of its beam.
void drawTilt(Paper& paper, const RadioSheet& radio, MountKind kind, const QRectF& frame);

} // namespace fw
