// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/result.h"
#include "base/units.h"
#include "geo/point.h"

#include <filesystem>
#include <memory>
#include <string>

namespace fw {

/// A calendar day, proleptic Gregorian.
struct Date {
    int year = 2026, month = 1, day = 1;
    auto operator<=>(const Date&) const = default;
    /// Year with its fraction, e.g. 2026.5; leap years counted.
    [[nodiscard]] double decimalYear() const;
    [[nodiscard]] std::string iso() const; ///< YYYY-MM-DD
    /// From YYYY-MM-DD; anything else, and days that do not exist, are refused.
    static Result<Date> parse(const std::string& text);
};

/// The World Magnetic Model, read from a directory that holds wmm2025.wmm and wmm2025.wmm.cof. Thread-safe.
class MagneticField {
public:
    static Result<MagneticField> load(const std::filesystem::path& directory);

    /// Angle from true to magnetic north (deg, east positive). Refused outside the model's years: the model
    /// itself would answer without a word. Source: NOAA/NCEI and BGS, World Magnetic Model 2025; error about
    /// 0.3 deg.
    [[nodiscard]] Result<double> declinationDeg(GeoPoint at, HeightAmsl height, Date date) const;
    /// For a fractional year, as the model's published test values are given.
    [[nodiscard]] Result<double> declinationDeg(GeoPoint at, HeightAmsl height, double decimalYear) const;
    [[nodiscard]] std::string name() const; ///< for sheets: "World Magnetic Model 2025"
    [[nodiscard]] double firstYear() const;
    [[nodiscard]] double lastYear() const;

private:
    struct Impl;
    std::shared_ptr<const Impl> m_impl;
};

/// magnetic = true - declination.
MagneticBearing toMagnetic(TrueAzimuth a, double declinationDeg);

} // namespace fw
