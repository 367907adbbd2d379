// SPDX-License-Identifier: GPL-3.0-or-later
// The only place that speaks with PROJ. Private to geo/frame: everybody else uses Frame.
#pragma once

#include "base/result.h"
#include "geo/point.h"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace fw {

/// How one step on the ground looks on the plane at one place.
struct PlaneFactors {
    double scale = 1;          ///< plane metres per ground metre, mean of both directions
    double convergenceDeg = 0; ///< true azimuth = grid azimuth + convergence
    double distortion = 0;     ///< how far from conformal (rad): 0 where one scale holds for all directions
};

/// A projected system of the EPSG registry and the way to it from WGS 84, east before north whatever order
/// the registry gives. Safe to use from several threads: PROJ's contexts are not, so each call takes one out
/// of a store for its own use.
class Crs {
public:
    /// Refuses what Frame::fromEpsg says.
    static Result<std::shared_ptr<const Crs>> open(int epsg);
    ~Crs();
    Crs(const Crs&) = delete;
    Crs& operator=(const Crs&) = delete;

    [[nodiscard]] int epsg() const;
    [[nodiscard]] const std::string& name() const;
    [[nodiscard]] std::string wkt() const;

    /// Nothing outside the projection's domain: where PROJ fails, where there and back does not meet, or more
    /// than 10 deg beyond the system's area of use.
    [[nodiscard]] std::optional<PlanePoint> forward(GeoPoint p) const;
    [[nodiscard]] std::optional<GeoPoint> inverse(PlanePoint p) const;
    /// The same for many places in one go; false, and nothing in `to`, when one of them is outside.
    [[nodiscard]] bool forward(const std::vector<GeoPoint>& from, std::vector<PlanePoint>& to) const;
    /// Of the map projection alone, on the ellipsoid of the system's own datum. Errors below 4e-8 in
    /// scale and 3e-6 deg in convergence, most of it rounding that keeps processors alike.
    [[nodiscard]] std::optional<PlaneFactors> factors(PlanePoint p) const;

private:
    struct Impl;
    explicit Crs(std::unique_ptr<Impl> impl);
    std::unique_ptr<Impl> m_impl;
};

} // namespace fw
