// SPDX-License-Identifier: GPL-3.0-or-later
// The pack's signs: shape first, colour second.
#pragma once

#include "plan/items.h"
#include "print/paper.h"
#include "review/finding.h"

#include <vector>

namespace fw {

/// block: filled square; warn: half-filled; note: hollow. All in ink.
void drawSeverity(Paper& paper, const QRectF& box, Severity severity);

/// A macro: a tick with a foot, and per sector an open arc as wide as its beam truly is.
/// @param gridDegs  azimuth and width of each beam on the map (deg, clockwise from up)
void drawMast(Paper& paper, QPointF at, double sizeMm, const std::vector<std::pair<double, double>>& beams);

/// A small cell: a pointed plate that looks along `upDeg` (deg clockwise from up), with what carries it
/// behind.
void drawPlate(Paper& paper, QPointF at, double sizeMm, double upDeg, MountKind kind);

/// A beam as a sector from the antenna, with its boresight.
void drawBeam(Paper& paper, QPointF at, double reachMm, double upDeg, double widthDeg);

/// A number in a ring.
void drawBadge(Paper& paper, QPointF centre, const QString& text, double sizeMm, bool filled);

/// True north: an arrow turned by the convergence, with the word. @param upDeg  of true north, clockwise from
/// up
void drawNorth(Paper& paper, QPointF centre, double sizeMm, double upDeg);

/// QR code as vector squares with its quiet zone of four modules. False when the text is too long.
/// Error correction M. Source: ISO/IEC 18004, quiet zone 4X.
bool drawQr(Paper& paper, const QRectF& box, const std::string& text);

/// Modules of the code, row by row, true is dark; empty when the text does not fit.
struct QrModules {
    int side = 0;
    std::vector<bool> dark;
};
QrModules qrModules(const std::string& text);

} // namespace fw
