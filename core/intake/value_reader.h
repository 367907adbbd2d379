// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers, places, angles, lengths and hours as people write them in tables. Each either reads the whole text
// or says in a clause why not: "\"12,5x\" is not a number".
#pragma once

#include "base/result.h"

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

/// How a file writes numbers.
struct NumberStyle {
    char decimal = '.';
    char thousands = '\0';   ///< '.', ',', ' ', '\'', or none; no-break and thin spaces count as ' '
    bool decimalSeen = true; ///< a value tells the decimal sign; else it is the likelier one
};
/// From samples of a file whose columns are parted by `delimiter`; '.' and none where nothing speaks against.
/// A single "1,234" is ambiguous: a comma is a decimal sign unless other samples show that it parts
/// thousands.
NumberStyle numberStyleOf(const std::vector<std::string>& samples, char delimiter);

/// Whether the numbers of one column fit either meaning of `sign`: each has it once, before just three
/// digits.
bool eitherMeaning(const std::vector<std::string>& column, char sign);

/// A finite number; NaN, inf, empty text and trailing words are refused. Takes a leading +, an exponent, and
/// a minus sign of typography.
Result<double> numberFrom(std::string_view text, NumberStyle style = {});
/// The same, and what follows it as a unit ("12.5 m", "40ft", "43 dBm", "71 %"); empty where there is none.
struct NumberWithUnit {
    double value = 0;
    std::string unit;
};
Result<NumberWithUnit> quantityFrom(std::string_view text, NumberStyle style = {});

/// A length in metres: "m", "ft", "'", "feet", "km", "cm"; without a unit as `unit` says ("" is metres).
Result<double> lengthFrom(std::string_view text, NumberStyle style, std::string_view unit = "");
/// Latitude or longitude in degrees: decimal, or degrees-minutes-seconds in any usual spelling, hemisphere
/// letter or sign ("53°20'41.5\"N", "53 20 41.5 N", "-6:15:10", "N53.3448"). Refused: minutes or seconds of
/// 60 and more, a letter of the other axis, a sign beside a letter, the letter O (east or west by language),
/// out of range. A comma is taken as decimal sign as well as a point, whatever the style: degrees have no
/// thousands.
enum class Axis : std::uint8_t { latitude, longitude };
Result<double> coordinateFrom(std::string_view text, NumberStyle style, Axis axis);
/// A share 0..1: "71 %" is 0.71; without a sign as `percent` says. What is below 0 or above 1 is refused.
Result<double> shareFrom(std::string_view text, NumberStyle style, bool percent);
/// "yes", "true", "1", "x", "ja", "oui", ... or "no" and their like.
Result<bool> yesFrom(std::string_view text);

/// An hour of measurement as the file has it, in its own clock.
struct LocalHour {
    std::int32_t day = 0;  ///< days since 1970-01-01
    std::int32_t hour = 0; ///< 0..23
    std::int32_t minute = 0;
    std::optional<std::int32_t> offsetMinutes; ///< from UTC, where the text says so
    auto operator<=>(const LocalHour&) const = default;
};
/// Order of day and month in dates such as 03/04/2026; settled for a whole column, never value by value.
enum class DateOrder : std::uint8_t { yearFirst, dayFirst, monthFirst };
/// From samples of a column; nothing where both orders fit all of them, or none does (the user is asked).
/// Dates with points begin with the day where that fits. yearFirst too when nothing has an order to settle.
std::optional<DateOrder> dateOrderOf(const std::vector<std::string>& samples);
/// "2026-03-29 14:00", "2026-03-29T14:00:00+01:00", "29.03.2026 14", "03/29/2026 2:00 PM", a serial number of
/// a spreadsheet (days since 1899-12-30, fraction of a day), seconds or milliseconds since 1970 (offset 0),
/// digits alone ("2026032914"), months by English name, a span of an hour or less (its beginning), a zone
/// behind it (an offset, UTC, GMT, WET, CET, EET and their summer times). Forms that begin with the year, or
/// name the month, need no order. A date alone is hour 0; 24:00 is hour 0 of the next day.
Result<LocalHour> hourFrom(std::string_view text, DateOrder order);
/// The same out of two columns, date and hour ("14", "14:00", "H14").
Result<LocalHour> hourFrom(std::string_view date, std::string_view hour, DateOrder order);
/// Day number back to YYYY-MM-DD; 0 = Monday .. 6 = Sunday.
std::string dayText(std::int32_t day);
int weekday(std::int32_t day);

} // namespace fw
