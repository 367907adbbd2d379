// SPDX-License-Identifier: GPL-3.0-or-later
// What a map of a pack shows: plain shapes in plane metres, north of the grid up.
#pragma once

#include "geo/grid.h"
#include "geo/shape.h"
#include "plan/items.h"

#include <memory>
#include <string>
#include <vector>

namespace fw {

class Study;

struct MapBlock {
    Polygon footprint;
    double heightM = 0;
    ItemId id;
};
struct MapWay {
    Line path;
    double widthM = 8;
    std::string name;
};
/// A beam to draw: where it points and how wide it truly is.
struct MapBeam {
    double gridDeg = 0, widthDeg = 65;
};
struct MapMast {
    PlanePoint at;
    std::string name;
    std::vector<MapBeam> beams;
};
struct MapPlate {
    ItemId mount;
    PlanePoint at;
    MountKind kind = MountKind::pole;
    std::string label;
    std::vector<MapBeam> beams;
};

struct MapContent {
    Box bounds;
    double convergenceDeg = 0; ///< at the middle: true = grid + convergence
    double scale = 1;          ///< plane metres per ground metre, at the middle
    std::string crs;           ///< "WGS 84 / UTM zone 27N (EPSG:32627)"
    std::vector<MapBlock> blocks;
    std::vector<MapWay> ways;
    std::vector<Polygon> congestion;
    std::vector<Line> overheadLines;
    std::vector<MapMast> masts;
    std::vector<MapPlate> plates; ///< chosen sites
    Grid<float> ground;           ///< heights (m), thinned; empty where flat
};

/// Everything within `bounds` (plane metres). @param groundCellM  cell of the thinned heights
MapContent mapContent(const Study& study, const Box& bounds, double groundCellM);

/// Bounds for an overview: all sites and the congested macros, with room around, at least 1.55 times as
/// wide as high; never empty.
Box overviewBounds(const Study& study, const std::vector<PlanePoint>& sites);

/// A line of equal height: open or closed, in plane metres.
struct Contour {
    double heightM = 0;
    Line line;
};
/// Lines through the centres of the grid's cells, each height in turn, joined as far as they run; order and
/// points are the same on every run.
std::vector<Contour> contoursOf(const Grid<float>& ground, double stepM);
/// A step of 1, 2, 5, 10, 20, 50 ... m that gives at most `most` heights.
double contourStep(const Grid<float>& ground, int most);

} // namespace fw
