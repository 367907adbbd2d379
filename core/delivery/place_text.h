// SPDX-License-Identifier: GPL-3.0-or-later
// How places, angles and levels are written on sheets and in files: C locale, fixed decimals.
#pragma once

#include "base/units.h"
#include "geo/point.h"

#include <string>

namespace fw {

/// A number with so many decimals, no "-0.0".
std::string fixedText(double v, int decimals);
/// Decimal degrees with six digits (0.1 m), no "-0.000000": "36.904321".
std::string degreesText(double deg);
/// Degrees, minutes and seconds with two decimals (0.3 m), rounded with carry: 36°54'15.56" N.
std::string latitudeDms(double latDeg);
std::string longitudeDms(double lonDeg);
/// "geo:36.904321,-20.412345": latitude first, WGS 84, no height. Longitude 0 at the poles.
/// Source: RFC 5870, 3.3 and 3.4.2.
std::string geoUri(GeoPoint p);
/// Whole degrees 0..359; 359.6 gives 0.
int wholeDegrees(double azimuthDeg);
/// "034": three digits, so that a column of azimuths lines up and nobody takes 34 for 340.
std::string azimuthText(int wholeDeg);
/// "down", "up" or "level"; tilt is down positive, anything under 0.05 deg is level.
std::string tiltWord(double tiltDeg);
/// Watts of a level in dBm.
double wattsOf(double dbm);
/// A name that may be empty, with what stands in for it.
std::string nameOr(const std::string& name, const std::string& instead);

} // namespace fw
