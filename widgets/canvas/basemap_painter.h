// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "geo/shape.h"

#include <QImage>

#include <functional>

namespace fw {

/// Draws the background map over a tile's ground; false when `goOn` said no. Called from workers.
using BasemapPainter = std::function<bool(QImage& tile, const Box& plane, const std::function<bool()>& goOn)>;

} // namespace fw
