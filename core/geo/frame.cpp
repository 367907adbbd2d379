// SPDX-License-Identifier: GPL-3.0-or-later
#include "geo/frame.h"

#include "base/log_exp.h"
#include "geo/crs.h"

#include <cmath>
#include <fmt/format.h>
#include <limits>

namespace fw {

struct Frame::Impl {
    std::shared_ptr<const Crs> crs;
};

namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

/// UTM zone with the two exceptions of the grid: zone 32 is widened over south-west Norway, and over Svalbard
/// zones 31, 33, 35 and 37 take the room of 32, 34 and 36. Source: NGA.SIG.0012 (2014), 7.5 "UTM zones".
int utmZone(GeoPoint p) {
    const double lon = wrap180(p.lonDeg);
    const int zone = static_cast<int>(std::floor((lon + 180) / 6)) + 1;
    if (p.latDeg >= 56 && p.latDeg < 64 && lon >= 3 && lon < 12) return 32;
    if (p.latDeg >= 72 && lon >= 0 && lon < 42) return lon < 9 ? 31 : lon < 21 ? 33 : lon < 33 ? 35 : 37;
    return zone;
}

} // namespace

Result<Frame> Frame::fromEpsg(int code) {
    auto crs = Crs::open(code);
    if (!crs) return crs.error();
    Frame f;
    f.m_impl = std::make_shared<const Impl>(Impl{*crs});
    return f;
}

Result<Frame> Frame::utmFor(GeoPoint centre) {
    if (!(centre.latDeg >= -80 && centre.latDeg <= 84) || !std::isfinite(centre.lonDeg))
        return Error{
            ErrorCode::badInput,
            fmt::format("UTM zones end at 84 deg north and 80 deg south; latitude {} is outside. Name "
                        "a projected system by its EPSG code instead.",
                        centre.latDeg)};
    return fromEpsg((centre.latDeg < 0 ? 32700 : 32600) + utmZone(centre));
}

int Frame::epsg() const { return m_impl->crs->epsg(); }
const std::string& Frame::name() const { return m_impl->crs->name(); }
std::string Frame::wkt() const { return m_impl->crs->wkt(); }

Result<PlanePoint> Frame::toPlane(GeoPoint p) const {
    if (const auto out = m_impl->crs->forward(p)) return *out;
    return Error{ErrorCode::badInput,
                 fmt::format("The place {:.6f}, {:.6f} (latitude, longitude) lies outside what {} can show. "
                             "Check the coordinates and their order.",
                             p.latDeg, p.lonDeg, name())};
}

bool Frame::toPlane(const std::vector<GeoPoint>& from, std::vector<PlanePoint>& to) const {
    return m_impl->crs->forward(from, to);
}

Result<GeoPoint> Frame::toGeo(PlanePoint p) const {
    if (const auto out = m_impl->crs->inverse(p)) return *out;
    return Error{ErrorCode::badInput,
                 fmt::format("The place {:.1f} m east, {:.1f} m north lies outside what {} can show. Check "
                             "the coordinates and their order.",
                             p.x, p.y, name())};
}

double Frame::convergenceDeg(PlanePoint at) const {
    const auto f = m_impl->crs->factors(at);
    return f ? f->convergenceDeg : kNan;
}

double Frame::scale(PlanePoint at) const {
    const auto f = m_impl->crs->factors(at);
    return f ? f->scale : kNan;
}

GridAzimuth Frame::toGrid(TrueAzimuth a, PlanePoint at) const {
    return GridAzimuth::of(a.deg - convergenceDeg(at));
}

TrueAzimuth Frame::toTrue(GridAzimuth a, PlanePoint at) const {
    return TrueAzimuth::of(a.deg + convergenceDeg(at));
}

double Frame::groundDistance(PlanePoint a, PlanePoint b) const {
    // The scale at one end is off by 2e-5 at the edge of a zone; at mid-line what is left is of second order.
    return planeDistance(a, b) / scale((a + b) * 0.5);
}

TrueAzimuth Frame::trueAzimuth(PlanePoint from, PlanePoint to) const {
    return toTrue(gridAzimuth(from, to), from);
}

GridAzimuth gridAzimuth(PlanePoint from, PlanePoint to) {
    return GridAzimuth::of(atan2DegFixed(to.x - from.x, to.y - from.y));
}

} // namespace fw
