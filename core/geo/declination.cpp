// SPDX-License-Identifier: GPL-3.0-or-later
#include "geo/declination.h"

#include <GeographicLib/MagneticModel.hpp>

#include <chrono>
#include <cmath>
#include <exception>
#include <fmt/format.h>
#include <mutex>
#include <optional>

namespace fw {

namespace {

constexpr const char* kModelName = "wmm2025";

std::chrono::year_month_day calendar(const Date& d) {
    return std::chrono::year(d.year) / std::chrono::month(static_cast<unsigned>(d.month)) /
           std::chrono::day(static_cast<unsigned>(d.day));
}

/// Exactly digits, from a part of a date.
std::optional<int> digits(std::string_view text) {
    int v = 0;
    for (const char c : text) {
        if (c < '0' || c > '9') return std::nullopt;
        v = v * 10 + (c - '0');
    }
    return v;
}

} // namespace

double Date::decimalYear() const {
    using namespace std::chrono;
    const sys_days first{std::chrono::year(year) / January / 1},
        next{std::chrono::year(year + 1) / January / 1};
    const auto gone = sys_days{calendar(*this)} - first;
    return year + static_cast<double>(gone.count()) / static_cast<double>((next - first).count());
}

std::string Date::iso() const { return fmt::format("{:04}-{:02}-{:02}", year, month, day); }

Result<Date> Date::parse(const std::string& text) {
    const Error bad{
        ErrorCode::badInput,
        fmt::format("'{}' is not a date. Write it as year-month-day, for example 2026-05-31.", text)};
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return bad;
    const std::string_view t = text;
    const auto y = digits(t.substr(0, 4)), m = digits(t.substr(5, 2)), d = digits(t.substr(8, 2));
    if (!y || !m || !d) return bad;
    const Date date{*y, *m, *d};
    if (!calendar(date).ok()) return bad;
    return date;
}

struct MagneticField::Impl {
    GeographicLib::MagneticModel model;
    explicit Impl(const std::string& directory) : model(kModelName, directory) {}
};

Result<MagneticField> MagneticField::load(const std::filesystem::path& directory) {
    // The library fills a table shared by all models while it reads one.
    static std::mutex oneAtATime;
    const std::scoped_lock hold(oneAtATime);
    try {
        MagneticField field;
        field.m_impl = std::make_shared<const Impl>(directory.string());
        return field;
    } catch (const std::exception& e) {
        return Error{ErrorCode::cannotRead,
                     fmt::format("The World Magnetic Model cannot be read ({}). Compass bearings need "
                                 "{}.wmm and {}.wmm.cof there.",
                                 e.what(), kModelName, kModelName),
                     directory.string()};
    }
}

Result<double> MagneticField::declinationDeg(GeoPoint at, HeightAmsl height, double decimalYear) const {
    if (!(decimalYear >= firstYear() && decimalYear <= lastYear()))
        return Error{ErrorCode::badInput,
                     fmt::format("{} holds from {:.0f} to {:.0f}; the date {:.2f} is outside. Set the plan's "
                                 "date within, or install a newer model.",
                                 name(), firstYear(), lastYear(), decimalYear)};
    if (!(std::fabs(at.latDeg) <= 90) || !std::isfinite(at.lonDeg) || !std::isfinite(height.m))
        return Error{ErrorCode::badInput, "Declination needs a latitude within 90 deg, a longitude and a "
                                          "height that are numbers."};
    // The model asks for the height above the ellipsoid; the geoid is within 110 m of it, which turns the
    // needle by less than 0.001 deg away from the magnetic poles.
    double east = 0, north = 0, up = 0;
    m_impl->model(decimalYear, at.latDeg, at.lonDeg, height.m, east, north, up);
    double horizontal = 0, total = 0, declination = 0, inclination = 0;
    GeographicLib::MagneticModel::FieldComponents(east, north, up, horizontal, total, declination,
                                                  inclination);
    return declination;
}

Result<double> MagneticField::declinationDeg(GeoPoint at, HeightAmsl height, Date date) const {
    return declinationDeg(at, height, date.decimalYear());
}

std::string MagneticField::name() const { return m_impl->model.Description(); }
double MagneticField::firstYear() const { return m_impl->model.MinTime(); }
double MagneticField::lastYear() const { return m_impl->model.MaxTime(); }

MagneticBearing toMagnetic(TrueAzimuth a, double declinationDeg) {
    return MagneticBearing::of(a.deg - declinationDeg);
}

} // namespace fw
