// SPDX-License-Identifier: GPL-3.0-or-later
// What was put where: every block on paper says so while it is drawn, so that a test can tell whether
// anything lies over another or outside the margins.
#pragma once

#include <QRectF>
#include <QString>
#include <QVector>

namespace fw {

struct PlacedBlock {
    QRectF rect; ///< mm from the page's upper left corner
    QString what;
};

/// Labels inside a drawing: they must stay in it and off each other.
struct PlacedLabels {
    QRectF frame;
    QVector<PlacedBlock> labels;
};

struct PlacedScaleBar {
    double groundM = 0;                   ///< what the bar says
    double paperMm = 0;                   ///< how long it is
    QPointF at;                           ///< its upper left corner; the left half is dark
    double mapPlaneM = 0, mapPaperMm = 0; ///< width of the map it belongs to
};

struct PageRecord {
    QSizeF sheetMm;
    QRectF contentMm; ///< inside the margins
    QVector<PlacedBlock> blocks;
    QVector<PlacedLabels> drawings;
    QVector<PlacedScaleBar> scaleBars;
    QVector<double> northsDeg; ///< of each arrow, clockwise from the top of the page
};

struct PackRecord {
    QVector<PageRecord> pages;
};

} // namespace fw
