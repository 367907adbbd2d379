// SPDX-License-Identifier: GPL-3.0-or-later
// Dates and hours.
#include "base/ascii.h"
#include "base/text.h"
#include "intake/field_text.h"
#include "intake/value_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cmath>

namespace fw {
namespace {

constexpr const char* kNoDate = CORE_TEXT("is no date and hour that is known here");

bool letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

std::optional<std::int32_t> dayOf(int year, int month, int day) {
    const std::chrono::year_month_day ymd{std::chrono::year(year),
                                          std::chrono::month(static_cast<unsigned>(month)),
                                          std::chrono::day(static_cast<unsigned>(day))};
    if (month < 1 || day < 1 || year < 1900 || year > 2200 || !ymd.ok()) return std::nullopt;
    return static_cast<std::int32_t>(std::chrono::sys_days(ymd).time_since_epoch().count());
}

// A text cut into numbers and words; what stands between is kept as one character.
struct Token {
    std::string_view text;
    bool number = false;
    [[nodiscard]] int value() const {
        int v = -1;
        if (text.size() <= 8) std::from_chars(text.data(), text.data() + text.size(), v);
        return v;
    }
};

class Cursor {
public:
    explicit Cursor(std::string_view s) : m_s(s) {}
    [[nodiscard]] bool end() const { return m_s.empty(); }
    [[nodiscard]] char peek() const { return m_s.empty() ? '\0' : m_s.front(); }
    [[nodiscard]] std::string_view rest() const { return m_s; }
    void skip(std::size_t n = 1) { m_s.remove_prefix(n); }
    void blanks() {
        while (peek() == ' ') skip();
    }
    bool take(char c) {
        if (peek() != c) return false;
        skip();
        return true;
    }
    std::string_view digits() { return run(isDigit); }
    std::string_view letters() { return run(letter); }

private:
    std::string_view run(bool (*is)(char)) {
        std::size_t n = 0;
        while (n < m_s.size() && is(m_s[n])) ++n;
        const std::string_view found = m_s.substr(0, n);
        skip(n);
        return found;
    }
    std::string_view m_s;
};

int numberOf(std::string_view digits) { return Token{digits, true}.value(); }

int monthNamed(std::string_view word) {
    constexpr std::array<std::string_view, 12> kMonths = {"january",   "february", "march",    "april",
                                                          "may",       "june",     "july",     "august",
                                                          "september", "october",  "november", "december"};
    const std::string w = lowered(word);
    if (w.size() < 3) return 0;
    for (std::size_t k = 0; k < kMonths.size(); ++k)
        if (kMonths[k].substr(0, w.size()) == w) return static_cast<int>(k) + 1;
    return 0;
}

// The three parts of a date as they stand, before their order is settled.
struct DateParts {
    std::array<int, 3> part{};
    std::array<std::size_t, 3> digits{};
    int namedAt = -1; ///< which of them is a month's name
    char sign = '-';
};
std::optional<DateParts> datePartsOf(Cursor& at) {
    DateParts out;
    for (std::size_t k = 0; k < 3; ++k) {
        if (k > 0) {
            const char c = at.peek();
            if (c != '-' && c != '/' && c != '.' && !(c == ' ' && (out.namedAt >= 0 || k == 1)) && c != ',')
                return std::nullopt;
            if (k == 1) out.sign = c;
            at.skip();
            at.blanks();
        }
        if (letter(at.peek())) {
            out.part[k] = monthNamed(at.letters());
            if (out.part[k] == 0 || out.namedAt >= 0) return std::nullopt;
            out.namedAt = static_cast<int>(k);
        } else {
            const std::string_view digits = at.digits();
            if (digits.empty() || digits.size() > 4) return std::nullopt;
            out.part[k] = numberOf(digits);
            out.digits[k] = digits.size();
        }
    }
    return out;
}

int fullYear(int year, std::size_t digits) { return digits <= 2 ? 2000 + year : year; }

std::optional<std::int32_t> dayFrom(const DateParts& d, DateOrder order) {
    if (d.digits[0] >= 3) return dayOf(d.part[0], d.part[1], d.part[2]);
    if (d.digits[2] == 3) return std::nullopt;
    const int year = fullYear(d.part[2], d.digits[2]);
    if (d.namedAt == 0) return dayOf(year, d.part[0], d.part[1]);
    if (d.namedAt == 1) return dayOf(year, d.part[1], d.part[0]);
    if (order == DateOrder::dayFirst) return dayOf(year, d.part[1], d.part[0]);
    if (order == DateOrder::monthFirst) return dayOf(year, d.part[0], d.part[1]);
    if (d.digits[2] == 4) return std::nullopt;
    return dayOf(fullYear(d.part[0], d.digits[0]), d.part[1], d.part[2]);
}

// Digits alone: 20260329, with hour, minute and second behind. ISO 8601, basic format.
std::optional<LocalHour> packed(std::string_view s) {
    if (s.size() != 8 && s.size() != 10 && s.size() != 12 && s.size() != 14) return std::nullopt;
    const auto day = dayOf(numberOf(s.substr(0, 4)), numberOf(s.substr(4, 2)), numberOf(s.substr(6, 2)));
    if (!day) return std::nullopt;
    LocalHour out{*day, 0, 0, {}};
    if (s.size() >= 10) out.hour = numberOf(s.substr(8, 2));
    if (s.size() >= 12) out.minute = numberOf(s.substr(10, 2));
    if (out.hour > 23 || out.minute > 59) return std::nullopt;
    return out;
}

LocalHour fromMinutes(std::int64_t minutes, std::optional<std::int32_t> offset) {
    const std::int64_t day = minutes >= 0 ? minutes / 1440 : -((-minutes + 1439) / 1440);
    const auto left = static_cast<std::int32_t>(minutes - day * 1440);
    return {static_cast<std::int32_t>(day), left / 60, left % 60, offset};
}

// A spreadsheet's day number, or seconds and milliseconds since 1970 (UTC).
std::optional<LocalHour> serial(std::string_view s) {
    std::string text(s);
    std::replace(text.begin(), text.end(), ',', '.');
    double v = 0;
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), v);
    if (fault != std::errc{} || end != text.data() + text.size() || !std::isfinite(v)) return std::nullopt;
    constexpr double kDay1970 = 25569; // 1970-01-01 counted from 1899-12-30
    if (v >= 20000 && v < 80000)
        return fromMinutes(static_cast<std::int64_t>(std::llround((v - kDay1970) * 1440)), std::nullopt);
    const bool whole = s.find_first_not_of("0123456789") == std::string_view::npos;
    if (whole && s.size() == 10) return fromMinutes(static_cast<std::int64_t>(v) / 60, 0);
    if (whole && s.size() == 13) return fromMinutes(static_cast<std::int64_t>(v) / 60000, 0);
    return std::nullopt;
}

// "Z", "+01:00", "+0100", "+1", "UTC", "CEST"; nothing where the text goes on otherwise.
std::optional<std::int32_t> zoneFrom(Cursor& at) {
    struct Zone {
        std::string_view name;
        std::int32_t minutes;
    };
    // Names that mean one offset alone.
    constexpr std::array<Zone, 9> kZones = {{{"z", 0},
                                             {"utc", 0},
                                             {"gmt", 0},
                                             {"wet", 0},
                                             {"west", 60},
                                             {"cet", 60},
                                             {"cest", 120},
                                             {"eet", 120},
                                             {"eest", 180}}};
    std::int32_t base = 0;
    bool named = false;
    if (letter(at.peek())) {
        const std::string word = lowered(at.letters());
        for (const Zone& z : kZones)
            if (z.name == word) {
                base = z.minutes;
                named = true;
            }
        if (!named) return std::nullopt;
        if (at.end() || (word != "utc" && word != "gmt")) return base;
    }
    const bool minus = at.peek() == '-';
    if (!minus && at.peek() != '+') return std::nullopt;
    at.skip();
    const std::string_view digits = at.digits();
    int hours = 0, minutes = 0;
    if (digits.size() == 4) {
        hours = numberOf(digits.substr(0, 2));
        minutes = numberOf(digits.substr(2));
    } else if (digits.size() == 1 || digits.size() == 2) {
        hours = numberOf(digits);
        if (at.take(':')) {
            const std::string_view more = at.digits();
            if (more.size() != 2) return std::nullopt;
            minutes = numberOf(more);
        }
    } else {
        return std::nullopt;
    }
    if (hours > 14 || minutes > 59) return std::nullopt;
    return minus ? -(hours * 60 + minutes) : hours * 60 + minutes;
}

struct Clock {
    int hour = 0, minute = 0;
    std::optional<std::int32_t> offset;
};

// Hour, minute and second of "14", "1400", "14:00", "14.00.00", "14h30", "14:00:00.000"; the second.
std::optional<int> digitsOf(Cursor& at, Clock& out) {
    const std::string_view hours = at.digits();
    if (hours.empty() || (hours.size() > 2 && hours.size() != 4 && hours.size() != 6)) return std::nullopt;
    out.hour = numberOf(hours.substr(0, 2));
    if (hours.size() >= 4) out.minute = numberOf(hours.substr(2, 2));
    if (hours.size() == 6) return numberOf(hours.substr(4));
    const char sign = at.peek();
    if (hours.size() > 2 || (sign != ':' && sign != '.' && sign != 'h')) return 0;
    at.skip();
    const std::string_view minutes = at.digits();
    if (sign != 'h' && minutes.size() != 2) return std::nullopt;
    if (!minutes.empty()) out.minute = numberOf(minutes);
    if (sign == 'h' || !at.take(sign)) return 0;
    const std::string_view seconds = at.digits();
    if (seconds.size() != 2) return std::nullopt;
    if (at.take('.') || at.take(',')) at.digits();
    return numberOf(seconds);
}

bool takeHalf(Cursor& at, Clock& out) {
    const std::string word = lowered(at.rest().substr(0, 2));
    if (word != "am" && word != "pm") return true;
    at.skip(2);
    if (out.hour < 1 || out.hour > 12) return false;
    out.hour = out.hour % 12 + (word == "pm" ? 12 : 0);
    return true;
}

std::optional<Clock> clockFrom(std::string_view text);

// "14:00-15:00" is a span, "14:00-05:00" could be a zone: a span ends an hour or less after its beginning.
bool isSpan(const Clock& begin, std::string_view rest) {
    if (rest.front() != '-') return false;
    Cursor span(rest.substr(1));
    span.blanks();
    const auto end = clockFrom(span.rest());
    if (!end || end->offset) return false;
    const int minutes = ((end->hour - begin.hour) * 60 + end->minute - begin.minute + 1440) % 1440;
    return minutes > 0 && minutes <= 60;
}

// As above, with "H" before it or AM, PM, a zone or the end of a span behind.
std::optional<Clock> clockFrom(std::string_view text) {
    Cursor at(text);
    at.blanks();
    if (letter(at.peek()) && lowered(at.letters()) != "h") return std::nullopt;
    Clock out;
    const auto second = digitsOf(at, out);
    if (!second) return std::nullopt;
    at.blanks();
    if (!takeHalf(at, out)) return std::nullopt;
    at.blanks();
    if (out.minute > 59 || *second > 60 || out.hour > 24 || (out.hour == 24 && out.minute + *second > 0))
        return std::nullopt;
    if (at.end() || isSpan(out, at.rest())) return out;
    out.offset = zoneFrom(at);
    if (!out.offset || !at.end()) return std::nullopt;
    return out;
}

LocalHour joined(std::int32_t day, const Clock& clock) {
    if (clock.hour == 24) return {day + 1, 0, 0, clock.offset};
    return {day, clock.hour, clock.minute, clock.offset};
}

std::optional<LocalHour> readAnyHour(std::string_view s, DateOrder order) {
    if (s.find_first_not_of("0123456789") == std::string_view::npos) {
        const auto day = packed(s);
        if (day) return day;
    }
    if (const auto day = serial(s)) return day;
    Cursor at(s);
    std::optional<std::int32_t> day;
    if (s.size() > 9 && (s[8] == 'T' || s[8] == 't' || s[8] == ' ')) {
        const auto date = packed(s.substr(0, 8));
        if (date) {
            day = date->day;
            at.skip(8);
        }
    }
    if (!day) {
        const auto parts = datePartsOf(at);
        if (!parts) return std::nullopt;
        day = dayFrom(*parts, order);
    }
    if (!day) return std::nullopt;
    if (at.end()) return LocalHour{*day, 0, 0, {}};
    const char c = at.peek();
    if (c != ' ' && c != 'T' && c != 't' && c != ',' && c != '_' && c != ':') return std::nullopt;
    at.skip();
    at.blanks();
    const auto clock = clockFrom(at.rest());
    if (!clock) return std::nullopt;
    return joined(*day, *clock);
}

// Years of measurements; what lies beyond is another kind of number.
std::optional<LocalHour> readHour(std::string_view s, DateOrder order) {
    auto hour = readAnyHour(s, order);
    static const std::int32_t kFirst = *dayOf(1900, 1, 1), kLast = *dayOf(2200, 12, 30);
    if (hour && (hour->day < kFirst || hour->day > kLast)) hour.reset();
    return hour;
}

std::string plainBlanks(std::string_view text) {
    std::string s(trimmedField(text));
    for (const std::string_view blank : {"\xC2\xA0", "\xE2\x80\xAF"})
        for (auto at = s.find(blank); at != std::string::npos; at = s.find(blank))
            s.replace(at, blank.size(), 1, ' ');
    return s;
}

} // namespace

std::optional<DateOrder> dateOrderOf(const std::vector<std::string>& samples) {
    bool day = true, month = true, year = true, any = false, dots = true;
    for (const std::string& sample : samples) {
        const std::string s = plainBlanks(sample);
        if (isNothing(s) || serial(s) || packed(s.substr(0, s.find_first_not_of("0123456789")))) continue;
        Cursor at(s);
        const auto parts = datePartsOf(at);
        if (!parts || parts->namedAt >= 0 || parts->digits[0] >= 3) continue;
        any = true;
        day = day && dayFrom(*parts, DateOrder::dayFirst);
        month = month && dayFrom(*parts, DateOrder::monthFirst);
        year =
            year && dayFrom(*parts, DateOrder::yearFirst) && parts->digits[0] == 2 && parts->digits[2] == 2;
        dots = dots && parts->sign == '.';
    }
    if (!any) return DateOrder::yearFirst;
    if (day && dots) return DateOrder::dayFirst;
    if (day + month + year != 1) return std::nullopt;
    return day ? DateOrder::dayFirst : month ? DateOrder::monthFirst : DateOrder::yearFirst;
}

Result<LocalHour> hourFrom(std::string_view text, DateOrder order) {
    const auto hour = readHour(plainBlanks(text), order);
    if (!hour) return badValue(text, kNoDate);
    return *hour;
}

Result<LocalHour> hourFrom(std::string_view date, std::string_view hour, DateOrder order) {
    const auto day = readHour(plainBlanks(date), order);
    if (!day) return badValue(date, kNoDate);
    const std::string s = plainBlanks(hour);
    if (const auto clock = clockFrom(s)) return joined(day->day, *clock);
    // A spreadsheet keeps an hour alone as a part of a day.
    double share = 0;
    std::string text = s;
    std::replace(text.begin(), text.end(), ',', '.');
    const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), share);
    if (fault == std::errc{} && end == text.data() + text.size() && share >= 0 && share < 1)
        return fromMinutes(static_cast<std::int64_t>(day->day) * 1440 + std::llround(share * 1440), {});
    return badValue(hour, CORE_TEXT("is no hour of a day"));
}

std::string dayText(std::int32_t day) {
    const std::chrono::year_month_day ymd{std::chrono::sys_days(std::chrono::days(day))};
    return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(ymd.year()), static_cast<unsigned>(ymd.month()),
                       static_cast<unsigned>(ymd.day()));
}

// 1970-01-01 was a Thursday.
int weekday(std::int32_t day) { return static_cast<int>(((static_cast<std::int64_t>(day) + 3) % 7 + 7) % 7); }

} // namespace fw
