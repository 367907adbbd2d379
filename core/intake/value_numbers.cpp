// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers, lengths, shares, yes and no.
#include "base/ascii.h"
#include "base/text.h"
#include "base/units.h"
#include "intake/field_text.h"
#include "intake/value_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace fw {
namespace {

// Spellings of signs and blanks that typography has beside ASCII's.
std::string plainSigns(std::string_view text) {
    struct Spelling {
        std::string_view typed;
        char plain;
    };
    constexpr std::array<Spelling, 6> kSpellings = {{{"\xE2\x88\x92", '-'},
                                                     {"\xE2\x80\x93", '-'},
                                                     {"\xC2\xA0", ' '},
                                                     {"\xE2\x80\xAF", ' '},
                                                     {"\xE2\x80\x89", ' '},
                                                     {"\xE2\x80\x99", '\''}}};
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size();) {
        const Spelling* found = nullptr;
        if (static_cast<unsigned char>(text[i]) >= 0x80)
            for (const Spelling& s : kSpellings)
                if (text.substr(i, s.typed.size()) == s.typed) found = &s;
        out += found ? found->plain : text[i];
        i += found ? found->typed.size() : 1;
    }
    return out;
}

// The number at the beginning of a text in C notation, and how many characters of the text it took.
struct Scan {
    std::string number;
    std::size_t used = 0;
    bool badGroups = false; ///< separators of thousands stand where none belong
};
Scan scanNumber(std::string_view s, NumberStyle style) {
    Scan scan;
    std::size_t i = 0;
    if (i < s.size() && (s[i] == '+' || s[i] == '-')) {
        if (s[i] == '-') scan.number = "-";
        ++i;
    }
    std::size_t digits = 0, group = 0, groups = 0;
    for (; i < s.size(); ++i) {
        if (isDigit(s[i])) {
            scan.number += s[i];
            ++digits;
            ++group;
        } else if (style.thousands && s[i] == style.thousands && digits > 0 && i + 1 < s.size() &&
                   isDigit(s[i + 1])) {
            if (groups > 0 ? group != 3 : group > 3) scan.badGroups = true;
            ++groups;
            group = 0;
        } else {
            break;
        }
    }
    if (groups > 0 && group != 3) scan.badGroups = true;
    if (i < s.size() && s[i] == style.decimal && (digits > 0 || (i + 1 < s.size() && isDigit(s[i + 1])))) {
        if (digits == 0) scan.number += '0';
        scan.number += '.';
        for (++i; i < s.size() && isDigit(s[i]); ++i, ++digits) scan.number += s[i];
        if (scan.number.back() == '.') scan.number += '0';
    }
    if (digits == 0) return {};
    if (i < s.size() && (s[i] == 'e' || s[i] == 'E')) {
        std::size_t k = i + 1;
        if (k < s.size() && (s[k] == '+' || s[k] == '-')) ++k;
        if (k < s.size() && isDigit(s[k])) {
            scan.number += 'e';
            for (k = i + 1; k < s.size() && (isDigit(s[k]) || k == i + 1); ++k)
                if (s[k] != '+') scan.number += s[k];
            i = k;
        }
    }
    scan.used = i;
    return scan;
}

std::optional<double> valueOf(const std::string& number) {
    double v = 0;
    const char* end = number.data() + number.size();
    const auto [at, fault] = std::from_chars(number.data(), end, v);
    if (fault != std::errc{} || at != end || !std::isfinite(v)) return std::nullopt;
    return v;
}

constexpr const char* kNoNumber = CORE_TEXT("is not a number");

// Why a text is no number: the other sign is what most often stands in the way.
const char* noNumber(std::string_view s, NumberStyle style) {
    const char other = style.decimal == ',' ? '.' : ',';
    if (style.thousands == other || scanNumber(s, {other, '\0'}).used != s.size()) return kNoNumber;
    return other == ',' ? CORE_TEXT("has a decimal comma, where the file has points")
                        : CORE_TEXT("has a decimal point, where the file has commas");
}

// What a sample says about the signs of its file.
struct Votes {
    int commaDecimal = 0, pointDecimal = 0, commaGroups = 0, pointGroups = 0, blankGroups = 0,
        quoteGroups = 0;
};

bool grouped(std::string_view s, char sign) {
    const Scan scan = scanNumber(s, {'\0', sign});
    return !scan.badGroups && scan.used == s.size();
}

void vote(std::string_view whole, Votes& votes) {
    if (!whole.empty() && (whole.front() == '+' || whole.front() == '-')) whole.remove_prefix(1);
    // A unit may follow: "12,5 m", "71 %".
    auto end = whole.find_first_not_of("0123456789.,' ");
    std::string_view s = trimmedField(whole.substr(0, end));
    if (s.empty() || !isDigit(s.back()) || !(isDigit(s.front()) || s.front() == '.' || s.front() == ','))
        return;
    if (end != std::string_view::npos && whole.find_first_of("0123456789", end) != std::string_view::npos)
        return;
    const auto blank = s.find_first_of(" '");
    const auto last = s.find_last_of(".,");
    if (blank != std::string_view::npos) {
        const char sign = s[blank];
        const std::string_view front = s.substr(0, last == std::string_view::npos ? s.size() : last);
        if (!grouped(front, sign)) return;
        ++(sign == ' ' ? votes.blankGroups : votes.quoteGroups);
        if (last != std::string_view::npos) ++(s[last] == ',' ? votes.commaDecimal : votes.pointDecimal);
        return;
    }
    if (last == std::string_view::npos) return;
    const char sign = s[last], other = sign == ',' ? '.' : ',';
    int& decimal = sign == ',' ? votes.commaDecimal : votes.pointDecimal;
    const auto signs = std::count(s.begin(), s.end(), sign);
    if (s.find(other) != std::string_view::npos) {
        if (signs != 1 || !grouped(s.substr(0, last), other)) return;
        ++decimal;
        ++(other == ',' ? votes.commaGroups : votes.pointGroups);
    } else if (signs > 1) {
        if (grouped(s, sign)) ++(sign == ',' ? votes.commaGroups : votes.pointGroups);
    } else if (s.size() - last - 1 != 3 || last == 0 || last > 3 || s.front() == '0') {
        ++decimal;
    }
}

} // namespace

NumberStyle numberStyleOf(const std::vector<std::string>& samples, char delimiter) {
    Votes votes;
    bool anyComma = false;
    for (const std::string& sample : samples) {
        const std::string plain = plainSigns(trimmedField(sample));
        vote(plain, votes);
        const Scan scan = scanNumber(plain, {',', '\0'});
        anyComma = anyComma || (scan.used == plain.size() && plain.find(',') != std::string::npos);
    }
    NumberStyle style;
    if (votes.commaDecimal != votes.pointDecimal)
        style.decimal = votes.commaDecimal > votes.pointDecimal ? ',' : '.';
    else if (votes.commaDecimal == 0 && votes.commaGroups == 0 && (votes.pointGroups > 0 || anyComma))
        style.decimal = ','; // "1.234.567", or "1,234" alone
    style.decimalSeen = votes.commaDecimal != votes.pointDecimal || votes.commaGroups + votes.pointGroups > 0;
    const int otherGroups = style.decimal == ',' ? votes.pointGroups : votes.commaGroups;
    if (otherGroups > 0)
        style.thousands = style.decimal == ',' ? '.' : ',';
    else if (votes.blankGroups > 0 && delimiter != ' ')
        style.thousands = ' ';
    else if (votes.quoteGroups > 0)
        style.thousands = '\'';
    else if (style.decimal == '.' && votes.pointDecimal > 0 && votes.commaDecimal == 0 && anyComma)
        style.thousands = ','; // "1,234" beside "0.5"
    else if (style.decimal == ',' && votes.commaDecimal > 0 && votes.pointDecimal == 0 &&
             std::any_of(samples.begin(), samples.end(), [](const std::string& s) {
                 return s.find('.') != std::string::npos && grouped(trimmedField(s), '.');
             }))
        style.thousands = '.'; // "1.234" beside "0,5"
    return style;
}

bool eitherMeaning(const std::vector<std::string>& column, char sign) {
    bool any = false;
    for (const std::string& sample : column) {
        std::string s = plainSigns(trimmedField(sample));
        s.resize(std::min(s.size(), s.find_first_not_of("+-0123456789.,' ")));
        const std::string_view plain = trimmedField(s);
        if (plain.empty()) continue; // words
        const bool less = plain.front() == '-' || plain.front() == '+';
        const std::string_view digits = plain.substr(less ? 1 : 0);
        const auto at = digits.find_first_not_of("0123456789");
        if (at == std::string_view::npos || at == 0 || at > 3 || digits[at] != sign || digits[0] == '0' ||
            digits.size() != at + 4 ||
            digits.find_first_not_of("0123456789", at + 1) != std::string_view::npos)
            return false;
        any = true;
    }
    return any;
}

Result<double> numberFrom(std::string_view text, NumberStyle style) {
    const std::string s = plainSigns(trimmedField(text));
    const Scan scan = scanNumber(s, style);
    if (scan.used == 0 || scan.used != s.size()) return badValue(text, noNumber(s, style));
    if (scan.badGroups) return badValue(text, CORE_TEXT("has its thousands parted in the wrong place"));
    const auto v = valueOf(scan.number);
    if (!v) return badValue(text, CORE_TEXT("is beyond what a number can hold"));
    return *v;
}

Result<NumberWithUnit> quantityFrom(std::string_view text, NumberStyle style) {
    const std::string s = plainSigns(trimmedField(text));
    const Scan scan = scanNumber(s, style);
    if (scan.used == 0) return badValue(text, kNoNumber);
    const std::string_view unit = trimmedField(std::string_view(s).substr(scan.used));
    const bool blankThenDigit = [&] {
        for (std::size_t i = 0; i + 1 < unit.size(); ++i)
            if (!std::isalpha(static_cast<unsigned char>(unit[i])) && isDigit(unit[i + 1])) return true;
        return false;
    }();
    const bool begins = unit.empty() || std::isalpha(static_cast<unsigned char>(unit[0])) ||
                        static_cast<unsigned char>(unit[0]) >= 0x80 || unit[0] == '%' || unit[0] == '\'' ||
                        unit[0] == '"' || unit[0] == '(' || unit[0] == '[';
    if (!begins || blankThenDigit || unit.size() > 20) return badValue(text, noNumber(s, style));
    if (scan.badGroups) return badValue(text, CORE_TEXT("has its thousands parted in the wrong place"));
    const auto v = valueOf(scan.number);
    if (!v) return badValue(text, CORE_TEXT("is beyond what a number can hold"));
    return NumberWithUnit{*v, std::string(unit)};
}

Result<double> lengthFrom(std::string_view text, NumberStyle style, std::string_view unit) {
    auto quantity = quantityFrom(text, style);
    if (!quantity) return quantity.error();
    std::string said = lowered(quantity->unit.empty() ? unit : std::string_view(quantity->unit));
    if (!said.empty() && said.back() == '.') said.pop_back();
    struct Unit {
        std::string_view name;
        double metres;
    };
    // The foot is the international one, 0.3048 m exactly (NIST SP 811, B.6).
    constexpr std::array<Unit, 24> kUnits = {{{"", 1},
                                              {"m", 1},
                                              {"metre", 1},
                                              {"metres", 1},
                                              {"meter", 1},
                                              {"meters", 1},
                                              {"mtr", 1},
                                              {"ft", kFootM},
                                              {"feet", kFootM},
                                              {"foot", kFootM},
                                              {"'", kFootM},
                                              {"\xE2\x80\xB2", kFootM},
                                              {"km", 1000},
                                              {"kilometres", 1000},
                                              {"kilometers", 1000},
                                              {"cm", 0.01},
                                              {"mm", 0.001},
                                              {"in", 0.0254},
                                              {"inch", 0.0254},
                                              {"inches", 0.0254},
                                              {"\"", 0.0254},
                                              {"yd", 0.9144},
                                              {"mi", 1609.344},
                                              {"m agl", 1}}};
    for (const Unit& u : kUnits)
        if (u.name == said) return quantity->value * u.metres;
    return badValue(text, fmt::format("is in \"{}\", which is no length known here", said));
}

Result<double> shareFrom(std::string_view text, NumberStyle style, bool percent) {
    auto quantity = quantityFrom(text, style);
    if (!quantity) return quantity.error();
    const bool signedPercent = quantity->unit == "%";
    if (!signedPercent && !quantity->unit.empty()) return badValue(text, CORE_TEXT("is not a share"));
    const double share = signedPercent || percent ? quantity->value / 100 : quantity->value;
    if (share < 0) return badValue(text, CORE_TEXT("is less than nothing"));
    if (share > 1)
        return badValue(text, signedPercent || percent
                                  ? CORE_TEXT("is more than 100 %")
                                  : CORE_TEXT("is more than the whole, 1; say percent if it is percent"));
    return share;
}

Result<bool> yesFrom(std::string_view text) {
    constexpr std::array<std::string_view, 15> kYes = {
        "yes", "y", "true", "t", "1", "x", "on", "ja", "j", "oui", "o", "si", "s\xC3\xAD", "wahr", "vrai"};
    constexpr std::array<std::string_view, 10> kNo = {"no",  "n",    "false", "f",      "0",
                                                      "off", "nein", "non",   "falsch", "faux"};
    const std::string word = lowered(trimmedField(text));
    if (std::find(kYes.begin(), kYes.end(), word) != kYes.end()) return true;
    if (std::find(kNo.begin(), kNo.end(), word) != kNo.end()) return false;
    return badValue(text, CORE_TEXT("is neither yes nor no"));
}

} // namespace fw
