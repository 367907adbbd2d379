// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/pack_content.h"
#include "print/flow.h"

#include <QImage>

#include <functional>

namespace fw {

/// SINR before and after side by side, then its change, each with the steps of its colours. Nothing where
/// there is no map of it.
void printChangeMaps(Flow& flow, const PackContent& content);

/// Colour of a value (0.01 dB); one without alpha leaves the place clear.
using StepColor = std::function<QRgb(double centi)>;
/// A map's cells as a picture, north up, at least `dotsPerMm` fine where a cell measures `cellMm`; clear
/// where nothing is.
QImage stepPicture(const Grid<std::int16_t>& cells, double cellMm, double dotsPerMm, const StepColor& color);

} // namespace fw
