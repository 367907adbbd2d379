// SPDX-License-Identifier: GPL-3.0-or-later
// The one door between places on the ellipsoid and places in the plan.
#pragma once

#include "base/result.h"
#include "base/units.h"
#include "geo/point.h"

#include <memory>
#include <string>
#include <vector>

namespace fw {

/// A plan's projected reference system. A cheap value (shared inside); safe to use from several threads at
/// once.
///
/// Only conformal systems in metres are taken: one scale for all directions at a point, so that angles on the
/// plane are angles on the ground. Systems whose axes run north-first or south-west are normalised here and
/// nowhere else.
class Frame {
public:
    /// From an EPSG code. Refused by a sentence: unknown codes, geographic systems, units other than the
    /// metre, axes that do not run east and north once normalised, projections that are not conformal, and
    /// the spherical web map projection (its scale is not that of the ground).
    static Result<Frame> fromEpsg(int code);
    /// The WGS 84 / UTM zone of a place (with the exceptions of Norway and Svalbard). Refused above 84 N,
    /// below 80 S.
    static Result<Frame> utmFor(GeoPoint centre);

    [[nodiscard]] int epsg() const;
    [[nodiscard]] const std::string& name() const; ///< as the EPSG registry writes it
    [[nodiscard]] std::string wkt() const;         ///< WKT 1 (GDAL flavour), for files

    /// Fails outside the projection's domain and more than 10 deg beyond the system's area of use. Plane
    /// places are kept to 2^-20 m, so that the last bits of a processor's sine reach no result.
    [[nodiscard]] Result<PlanePoint> toPlane(GeoPoint p) const;
    [[nodiscard]] Result<GeoPoint> toGeo(PlanePoint p) const;
    /// toPlane() of many places in one go; false, and nothing in `to`, when one of them fails.
    [[nodiscard]] bool toPlane(const std::vector<GeoPoint>& from, std::vector<PlanePoint>& to) const;

    /// Meridian convergence (deg): true azimuth = grid azimuth + convergence. NaN outside the domain.
    [[nodiscard]] double convergenceDeg(PlanePoint at) const;
    /// Point scale: plane metres per ground metre. NaN outside the domain.
    [[nodiscard]] double scale(PlanePoint at) const;

    [[nodiscard]] GridAzimuth toGrid(TrueAzimuth a, PlanePoint at) const;
    [[nodiscard]] TrueAzimuth toTrue(GridAzimuth a, PlanePoint at) const;

    /// Distance on the ellipsoid of the system's datum by the scale at mid-line (m); relative error below
    /// 1e-6 up to 5 km. Costs some microseconds, as scale and convergence do: not for inner loops.
    [[nodiscard]] double groundDistance(PlanePoint a, PlanePoint b) const;
    /// Azimuth at `from` towards `to`, with the arc-to-chord correction left out; error below 0.01 deg up to
    /// 5 km.
    [[nodiscard]] TrueAzimuth trueAzimuth(PlanePoint from, PlanePoint to) const;

private:
    struct Impl;
    std::shared_ptr<const Impl> m_impl;
};

/// Azimuth on the plane from one point to another; 0 where they coincide.
GridAzimuth gridAzimuth(PlanePoint from, PlanePoint to);

} // namespace fw
