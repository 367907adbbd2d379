// SPDX-License-Identifier: GPL-3.0-or-later
#include "geo/crs.h"

#include "base/log_exp.h"
#include "base/units.h"

#include <proj.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>
#include <mutex>
#include <vector>

namespace fw {

namespace {

struct ContextEnd {
    void operator()(PJ_CONTEXT* c) const { proj_context_destroy(c); }
};
struct ObjectEnd {
    void operator()(PJ* p) const { proj_destroy(p); }
};
using Object = std::unique_ptr<PJ, ObjectEnd>;

/// A PROJ context with what was made in it. Members go in the reverse order, the context last.
struct Worker {
    std::unique_ptr<PJ_CONTEXT, ContextEnd> context;
    Object crs;
    Object transform;  ///< from WGS 84
    Object projection; ///< from the geographic system of the same datum: the map projection alone
};

Worker newContext() {
    Worker w;
    w.context.reset(proj_context_create());
    // Failures come back as results; nothing is printed, nothing is fetched.
    proj_log_level(w.context.get(), PJ_LOG_NONE);
    proj_context_set_enable_network(w.context.get(), 0);
    return w;
}

/// From a geographic to a projected system, longitude before latitude and east before north.
Object path(PJ_CONTEXT* c, PJ* from, PJ* to) {
    if (!from || !to) return nullptr;
    const Object asListed(proj_create_crs_to_crs_from_pj(c, from, to, nullptr, nullptr));
    return asListed ? Object(proj_normalize_for_visualization(c, asListed.get())) : nullptr;
}

bool addPaths(Worker& w) {
    PJ_CONTEXT* const c = w.context.get();
    const Object wgs84(proj_create_from_database(c, "EPSG", "4326", PJ_CATEGORY_CRS, 0, nullptr));
    const Object base(w.crs ? proj_crs_get_geodetic_crs(c, w.crs.get()) : nullptr);
    w.transform = path(c, wgs84.get(), w.crs.get());
    w.projection = path(c, base.get(), w.crs.get());
    return w.transform && w.projection;
}

Worker openWorker(int epsg) {
    Worker w = newContext();
    w.crs.reset(proj_create_from_database(w.context.get(), "EPSG", std::to_string(epsg).c_str(),
                                          PJ_CATEGORY_CRS, 0, nullptr));
    return w;
}

Error refused(int epsg, const std::string& why) {
    return {ErrorCode::badInput, why + " Choose a conformal system in metres, for example a UTM zone.",
            fmt::format("EPSG:{}", epsg)};
}

std::optional<Error> checkKind(int epsg, PJ* crs) {
    if (!crs)
        return Error{ErrorCode::notFound,
                     "This code is not a reference system in the EPSG registry. Check the number.",
                     fmt::format("EPSG:{}", epsg)};
    const PJ_TYPE type = proj_get_type(crs);
    if (type == PJ_TYPE_PROJECTED_CRS) return std::nullopt;
    if (type == PJ_TYPE_GEOGRAPHIC_2D_CRS || type == PJ_TYPE_GEOGRAPHIC_3D_CRS)
        return refused(epsg, fmt::format("{} is in degrees; a plan is drawn in metres.", proj_get_name(crs)));
    return refused(epsg, fmt::format("{} is not a projected system in the plane.", proj_get_name(crs)));
}

std::optional<Error> checkAxes(int epsg, PJ_CONTEXT* context, PJ* crs) {
    const std::string name = proj_get_name(crs);
    const Object normalised(proj_normalize_for_visualization(context, crs));
    const Object cs(normalised ? proj_crs_get_coordinate_system(context, normalised.get()) : nullptr);
    if (!cs) return refused(epsg, name + " has axes that cannot be read.");
    constexpr std::array<const char*, 2> kWanted{"east", "north"};
    for (int axis = 0; axis < 2; ++axis) {
        const char *direction = nullptr, *unit = nullptr;
        double metres = 0;
        if (!proj_cs_get_axis_info(context, cs.get(), axis, nullptr, nullptr, &direction, &metres, &unit,
                                   nullptr, nullptr))
            return refused(epsg, name + " has axes that cannot be read.");
        if (metres != 1.0) return refused(epsg, fmt::format("{} is in {}, not in metres.", name, unit));
        if (std::string(direction) != kWanted[static_cast<std::size_t>(axis)])
            return refused(epsg, fmt::format("{} has an axis that runs {}; a plan's axes run east and north.",
                                             name, direction));
    }
    return std::nullopt;
}

std::optional<Error> checkMethod(int epsg, PJ_CONTEXT* context, PJ* crs) {
    const Object conversion(proj_crs_get_coordoperation(context, crs));
    const char* code = nullptr;
    // EPSG method 1024: Popular Visualisation Pseudo Mercator.
    if (conversion &&
        proj_coordoperation_get_method_info(context, conversion.get(), nullptr, nullptr, &code) && code &&
        std::string(code) == "1024")
        return refused(epsg, fmt::format("{} is the spherical web map projection: its metres are stretched "
                                         "against the ground and its angles are not those of the ground.",
                                         proj_get_name(crs)));
    return std::nullopt;
}

/// Bits of a trigonometric function differ between processors in the last place. Rounding to a step far below
/// what matters keeps that out of results.
double rounded(double v, double step) { return std::round(v / step) * step; }
constexpr double kGeoStepDeg = 1.0 / (1ull << 36); // about 1.6 micrometres on the ground

std::optional<PlanePoint> forwardBy(PJ* transform, GeoPoint p) {
    const PJ_COORD out = proj_trans(transform, PJ_FWD, proj_coord(p.lonDeg, p.latDeg, 0, HUGE_VAL));
    if (!std::isfinite(out.xy.x) || !std::isfinite(out.xy.y)) return std::nullopt;
    return PlanePoint{out.xy.x, out.xy.y};
}

std::optional<GeoPoint> inverseBy(PJ* transform, PlanePoint p) {
    const PJ_COORD out = proj_trans(transform, PJ_INV, proj_coord(p.x, p.y, 0, HUGE_VAL));
    if (!std::isfinite(out.xy.x) || !std::isfinite(out.xy.y)) return std::nullopt;
    return GeoPoint{out.xy.y, out.xy.x};
}

constexpr double kScaleStep = 1.0 / (1 << 24);          // 6e-8: far below the 1e-6 of a distance
constexpr double kConvergenceStepDeg = 1.0 / (1 << 18); // 4e-6 deg: far below the 0.01 deg of an azimuth

GeoPoint kept(GeoPoint p) { return {rounded(p.latDeg, kGeoStepDeg), rounded(p.lonDeg, kGeoStepDeg)}; }

/// Nothing where there and back does not meet.
std::optional<PlanePoint> checkedForward(PJ* transform, GeoPoint p) {
    const auto out = forwardBy(transform, p);
    if (!out) return std::nullopt;
    const auto back = inverseBy(transform, *out);
    // A tenth of a metre in degrees: a projection outside its domain is off by far more.
    constexpr double kMeets = 1e-6;
    if (!back || std::fabs(back->latDeg - p.latDeg) > kMeets ||
        std::fabs(wrap180(back->lonDeg - p.lonDeg)) * sinCosDegFixed(p.latDeg).cos > kMeets)
        return std::nullopt;
    return kept(*out);
}

std::optional<PlanePoint> keptForward(PJ* path, GeoPoint p) {
    const auto out = forwardBy(path, p);
    return out ? std::optional(kept(*out)) : std::nullopt;
}
std::optional<GeoPoint> keptInverse(PJ* path, PlanePoint p) {
    const auto out = inverseBy(path, p);
    return out ? std::optional(kept(*out)) : std::nullopt;
}

/// What the projection stands on: its ellipsoid, and how its geographic system writes angles (some count
/// grads from Paris).
struct Ground {
    double a = 0, e2 = 0; ///< semi-major axis (m), eccentricity squared
    double radPerUnit = 0;
    double meridianDeg = 0; ///< of its zero longitude, east of Greenwich
};

std::optional<Ground> groundOf(const Worker& w) {
    PJ_CONTEXT* const c = w.context.get();
    const Object base(proj_crs_get_geodetic_crs(c, w.crs.get()));
    const Object ellipsoid(proj_get_ellipsoid(c, w.crs.get()));
    const Object meridian(base ? proj_get_prime_meridian(c, base.get()) : nullptr);
    const Object cs(base ? proj_crs_get_coordinate_system(c, base.get()) : nullptr);
    double a = 0, inverseFlattening = 0, longitude = 0, longitudeUnit = 0, unit = 0;
    if (!ellipsoid || !meridian || !cs ||
        !proj_ellipsoid_get_parameters(c, ellipsoid.get(), &a, nullptr, nullptr, &inverseFlattening) ||
        !proj_prime_meridian_get_parameters(c, meridian.get(), &longitude, &longitudeUnit, nullptr) ||
        !proj_cs_get_axis_info(c, cs.get(), 0, nullptr, nullptr, nullptr, &unit, nullptr, nullptr, nullptr))
        return std::nullopt;
    const double f = inverseFlattening > 0 ? 1 / inverseFlattening : 0; // zero stands for a sphere
    if (!(a > 0) || !(unit > 0)) return std::nullopt;
    return Ground{a, f * (2 - f), unit, degrees(longitude * longitudeUnit)};
}

/// The ellipsoid's metres in one radian of latitude and of longitude. Source: EPSG Guidance Note 7-2, the
/// radii of curvature rho and nu, nu taken with the cosine of latitude.
struct Radii {
    double north, east;
};
Radii radiiAt(const Ground& g, double latDeg) {
    const SinCos s = sinCosDegFixed(latDeg);
    const double w2 = 1 - g.e2 * s.sin * s.sin, w = std::sqrt(w2);
    return {g.a * (1 - g.e2) / (w2 * w), g.a * s.cos / w};
}

/// @param at  in the units and from the meridian of the projection's own geographic system.
std::optional<PlaneFactors> factorsBy(PJ* projection, const Ground& g, GeoPoint at) {
    // 640 m: truncation h^2/6 = 2e-9; the rounding of places, which keeps processors alike, 1e-9 at mid
    // latitudes and 7e-9 at 84 deg.
    constexpr double h = 1e-4; // rad
    const double step = h / g.radPerUnit, latDeg = degrees(at.latDeg * g.radPerUnit);
    if (!(std::fabs(latDeg) < 89.99)) return std::nullopt;
    const auto n = keptForward(projection, {at.latDeg + step, at.lonDeg});
    const auto s = keptForward(projection, {at.latDeg - step, at.lonDeg});
    const auto e = keptForward(projection, {at.latDeg, at.lonDeg + step});
    const auto w = keptForward(projection, {at.latDeg, at.lonDeg - step});
    if (!n || !s || !e || !w) return std::nullopt;
    const Radii r = radiiAt(g, latDeg);
    const PlanePoint north = (*n - *s) * (1 / (2 * h * r.north)), east = (*e - *w) * (1 / (2 * h * r.east));
    const double kn = length(north), ke = length(east);
    if (!(kn > 0) || !(ke > 0)) return std::nullopt;
    const double stretch = (kn - ke) / ((kn + ke) / 2), skew = dot(north, east) / (kn * ke);
    return PlaneFactors{(kn + ke) / 2, -atan2DegFixed(north.x, north.y),
                        std::sqrt(stretch * stretch + skew * skew)};
}

/// Where the registry says the system is used, in degrees from Greenwich; east may pass 180.
struct Area {
    double west = 0, south = 0, east = 0, north = 0;

    [[nodiscard]] bool nearby(GeoPoint p) const {
        constexpr double kBeyond = 10; // deg: no plan reaches that far, swapped coordinates mostly do
        return p.latDeg >= south - kBeyond && p.latDeg <= north + kBeyond &&
               wrap360(p.lonDeg - (west - kBeyond)) <= east - west + 2 * kBeyond;
    }
};

std::optional<Area> areaOf(const Worker& w) {
    Area a;
    if (!proj_get_area_of_use(w.context.get(), w.crs.get(), &a.west, &a.south, &a.east, &a.north, nullptr) ||
        a.west < -360)
        return std::nullopt;
    if (a.east < a.west) a.east += 360;
    return a;
}

/// Azimuths are promised to 0.01 deg (1.7e-4 rad) and distances to 1e-6. Conformal projections stay below
/// 1e-8 here; the others pass 1e-6 within ten kilometres of their centre.
constexpr double kMostDistortion = 1e-6;

std::optional<Error> checkConformal(int epsg, const Worker& w, const Ground& g, const Area& area) {
    const std::string name = proj_get_name(w.crs.get());
    constexpr int kSteps = 8;
    double worst = 0;
    int seen = 0;
    for (int i = 0; i <= kSteps; ++i) {
        for (int k = 0; k <= kSteps; ++k) {
            // Just inside the edges: some projections end there.
            const double u = 0.01 + 0.98 * i / kSteps, v = 0.01 + 0.98 * k / kSteps;
            const double latDeg = area.south + (area.north - area.south) * u;
            const double lonDeg = area.west + (area.east - area.west) * v - g.meridianDeg;
            const auto f = factorsBy(w.projection.get(), g,
                                     {radians(latDeg) / g.radPerUnit, radians(lonDeg) / g.radPerUnit});
            if (!f) continue;
            ++seen;
            worst = std::max(worst, f->distortion);
        }
    }
    if (seen == 0) return refused(epsg, name + " cannot be computed anywhere in its area of use.");
    if (worst > kMostDistortion)
        return refused(epsg, name + " is not conformal: its scale differs between directions, so angles on "
                                    "the plan would not be those on the ground.");
    return std::nullopt;
}

} // namespace

struct Crs::Impl {
    int epsg = 0;
    std::string name, wkt;
    Ground ground;
    Area area;
    std::mutex lock;
    std::vector<Worker> idle;

    [[nodiscard]] bool takes(GeoPoint p) const {
        return std::isfinite(p.lonDeg) && std::fabs(p.latDeg) <= 90 && area.nearby(p);
    }

    /// Runs f(worker) with a context of its own and puts it back. Making one costs milliseconds, so
    /// they outlive the threads that use them.
    template <class F>
    auto with(F&& f) -> decltype(f(std::declval<const Worker&>())) {
        Worker w;
        {
            const std::scoped_lock hold(lock);
            if (!idle.empty()) {
                w = std::move(idle.back());
                idle.pop_back();
            }
        }
        if (!w.context) {
            w = openWorker(epsg);
            if (!addPaths(w)) return {};
        }
        auto result = f(w);
        const std::scoped_lock hold(lock);
        idle.push_back(std::move(w));
        return result;
    }
};

Crs::Crs(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
Crs::~Crs() = default;

Result<std::shared_ptr<const Crs>> Crs::open(int epsg) {
    Worker w = openWorker(epsg);
    if (auto e = checkKind(epsg, w.crs.get())) return *e;
    if (auto e = checkMethod(epsg, w.context.get(), w.crs.get())) return *e;
    if (auto e = checkAxes(epsg, w.context.get(), w.crs.get())) return *e;
    if (!addPaths(w))
        return refused(epsg, "There is no way from WGS 84 to this system with the data at hand.");
    const auto ground = groundOf(w);
    const auto area = areaOf(w);
    if (!ground || !area)
        return refused(epsg, "The registry gives no ellipsoid or no area of use, so it cannot be checked.");
    if (auto e = checkConformal(epsg, w, *ground, *area)) return *e;
    auto impl = std::make_unique<Impl>();
    impl->ground = *ground;
    impl->area = *area;
    impl->epsg = epsg;
    impl->name = proj_get_name(w.crs.get());
    const char* const wkt = proj_as_wkt(w.context.get(), w.crs.get(), PJ_WKT1_GDAL, nullptr);
    if (!wkt) return refused(epsg, impl->name + " cannot be written down for files.");
    impl->wkt = wkt;
    impl->idle.push_back(std::move(w));
    return std::shared_ptr<const Crs>(new Crs(std::move(impl)));
}

int Crs::epsg() const { return m_impl->epsg; }
const std::string& Crs::name() const { return m_impl->name; }
std::string Crs::wkt() const { return m_impl->wkt; }

std::optional<PlanePoint> Crs::forward(GeoPoint p) const {
    if (!m_impl->takes(p)) return std::nullopt;
    return m_impl->with([p](const Worker& w) { return checkedForward(w.transform.get(), p); });
}

bool Crs::forward(const std::vector<GeoPoint>& from, std::vector<PlanePoint>& to) const {
    to.clear();
    return m_impl->with([&](const Worker& w) {
        for (const GeoPoint& p : from) {
            const auto out = m_impl->takes(p) ? checkedForward(w.transform.get(), p) : std::nullopt;
            if (!out) {
                to.clear();
                return false;
            }
            to.push_back(*out);
        }
        return true;
    });
}

std::optional<GeoPoint> Crs::inverse(PlanePoint p) const {
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) return std::nullopt;
    const Area& area = m_impl->area;
    return m_impl->with([p, &area](const Worker& w) -> std::optional<GeoPoint> {
        const auto out = inverseBy(w.transform.get(), p);
        if (!out || std::fabs(out->latDeg) > 90 || !area.nearby(*out)) return std::nullopt;
        const auto back = forwardBy(w.transform.get(), *out);
        if (!back || planeDistance(*back, p) > 0.1) return std::nullopt;
        return kept(*out);
    });
}

std::optional<PlaneFactors> Crs::factors(PlanePoint p) const {
    if (!std::isfinite(p.x) || !std::isfinite(p.y)) return std::nullopt;
    const Ground& ground = m_impl->ground;
    auto f = m_impl->with([p, &ground](const Worker& w) -> std::optional<PlaneFactors> {
        const auto at = keptInverse(w.projection.get(), p);
        return at ? factorsBy(w.projection.get(), ground, *at) : std::nullopt;
    });
    if (!f) return std::nullopt;
    f->scale = rounded(f->scale, kScaleStep);
    f->convergenceDeg = rounded(f->convergenceDeg, kConvergenceStepDeg);
    return f;
}

} // namespace fw
