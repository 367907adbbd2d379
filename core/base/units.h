// SPDX-License-Identifier: GPL-3.0-or-later
// Types where a mix-up would be silent: levels, angles by their north, heights by their zero.
#pragma once

#include <cmath>
#include <compare>

namespace fw {

inline constexpr double kFootM = 0.3048; ///< the international foot, exactly (NIST SP 811, B.8)

/// A ratio in decibels: gains are positive, losses are written as positive losses and subtracted.
struct Db {
    double v = 0;
    auto operator<=>(const Db&) const = default;
};
/// A power level in dB over one milliwatt.
struct Dbm {
    double v = 0;
    auto operator<=>(const Dbm&) const = default;
};

constexpr Db operator+(Db a, Db b) { return {a.v + b.v}; }
constexpr Db operator-(Db a, Db b) { return {a.v - b.v}; }
constexpr Db operator-(Db a) { return {-a.v}; }
constexpr Dbm operator+(Dbm level, Db gain) { return {level.v + gain.v}; }
constexpr Dbm operator-(Dbm level, Db loss) { return {level.v - loss.v}; }
constexpr Db operator-(Dbm a, Dbm b) { return {a.v - b.v}; }
/// 10 dBm + 10 dBm is not 20 dBm: powers are added in milliwatts.
Dbm operator+(Dbm, Dbm) = delete;

struct Hertz {
    double v = 0;
    auto operator<=>(const Hertz&) const = default;
};
constexpr Hertz megahertz(double mhz) { return {mhz * 1e6}; }
constexpr double inMegahertz(Hertz f) { return f.v / 1e6; }
constexpr double inGigahertz(Hertz f) { return f.v / 1e9; }

/// Height above the ground at that place (m).
struct HeightAgl {
    double m = 0;
    auto operator<=>(const HeightAgl&) const = default;
};
/// Height above the vertical datum of the terrain (m).
struct HeightAmsl {
    double m = 0;
    auto operator<=>(const HeightAmsl&) const = default;
};
constexpr HeightAmsl operator+(HeightAmsl ground, HeightAgl h) { return {ground.m + h.m}; }
constexpr HeightAgl operator-(HeightAmsl a, HeightAmsl ground) { return {a.m - ground.m}; }

inline constexpr double kPi = 3.14159265358979323846;
constexpr double radians(double deg) { return deg * (kPi / 180.0); }
constexpr double degrees(double rad) { return rad * (180.0 / kPi); }

/// Any angle brought into [0, 360) degrees.
inline double wrap360(double deg) {
    const double r = std::fmod(deg, 360.0);
    return r < 0 ? (r + 360.0 < 360.0 ? r + 360.0 : 0.0) : r;
}
/// Any angle brought into [-180, 180) degrees: the short way round.
inline double wrap180(double deg) {
    const double r = wrap360(deg + 180.0);
    return r - 180.0;
}

/// Clockwise from true north, [0, 360) degrees. What people read and what is stored.
struct TrueAzimuth {
    double deg = 0;
    static TrueAzimuth of(double degrees) { return {wrap360(degrees)}; }
    auto operator<=>(const TrueAzimuth&) const = default;
};
/// Clockwise from the plan's grid north, [0, 360) degrees. Only Frame converts to and from TrueAzimuth.
struct GridAzimuth {
    double deg = 0;
    static GridAzimuth of(double degrees) { return {wrap360(degrees)}; }
    auto operator<=>(const GridAzimuth&) const = default;
};
/// What a compass reads, [0, 360) degrees: true minus declination.
struct MagneticBearing {
    double deg = 0;
    static MagneticBearing of(double degrees) { return {wrap360(degrees)}; }
    auto operator<=>(const MagneticBearing&) const = default;
};

/// Hundredths of a decibel, halves upwards.
inline int centiOf(double db) { return static_cast<int>(std::floor(db * 100 + 0.5)); }

} // namespace fw
