// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/place_text.h"

#include "base/log_exp.h"

#include <fmt/format.h>

#include <cmath>

namespace fw {

std::string fixedText(double v, int decimals) {
    const std::string s = fmt::format("{:.{}f}", v, decimals);
    return s.find_first_not_of("-0.") == std::string::npos && s.front() == '-' ? s.substr(1) : s;
}

std::string degreesText(double deg) {
    std::string s = fmt::format("{:.6f}", deg);
    return s == "-0.000000" ? "0.000000" : s;
}

namespace {

std::string dms(double deg, const char* positive, const char* negative) {
    // Whole hundredths of a second first, so that 59.999" carries into the minutes.
    const auto hundredths = static_cast<long long>(std::llround(std::fabs(deg) * 360000.0));
    const long long d = hundredths / 360000, m = hundredths / 6000 % 60, s = hundredths % 6000;
    return fmt::format("{}°{:02}'{:02}.{:02}\" {}", d, m, s / 100, s % 100,
                       deg < 0 && hundredths > 0 ? negative : positive);
}

} // namespace

std::string latitudeDms(double latDeg) { return dms(latDeg, "N", "S"); }
std::string longitudeDms(double lonDeg) { return dms(lonDeg, "E", "W"); }

std::string geoUri(GeoPoint p) {
    const bool pole = std::fabs(p.latDeg) >= 90.0;
    return "geo:" + degreesText(p.latDeg) + "," + degreesText(pole ? 0.0 : p.lonDeg);
}

int wholeDegrees(double azimuthDeg) { return static_cast<int>(std::lround(wrap360(azimuthDeg))) % 360; }

std::string azimuthText(int wholeDeg) { return fmt::format("{:03}", wholeDeg); }

std::string tiltWord(double tiltDeg) {
    if (std::fabs(tiltDeg) < 0.05) return "level";
    return tiltDeg > 0 ? "down" : "up";
}

double wattsOf(double dbm) { return powerRatio(dbm) / 1000.0; }

std::string nameOr(const std::string& name, const std::string& instead) {
    return name.empty() ? instead : name;
}

} // namespace fw
