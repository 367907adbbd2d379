// SPDX-License-Identifier: GPL-3.0-or-later
// Latitudes and longitudes.
#include "base/ascii.h"
#include "base/text.h"
#include "intake/field_text.h"
#include "intake/value_reader.h"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <cmath>

namespace fw {
namespace {

// One sign of each meaning: d m s for the marks, a blank for blanks and colons, '-' for minus.
std::string plainMarks(std::string_view text) {
    struct Spelling {
        std::string_view typed;
        char plain;
    };
    constexpr std::array<Spelling, 19> kSpellings = {{{"\xC2\xB0", 'd'},     // degree sign
                                                      {"\xC2\xBA", 'd'},     // masculine ordinal
                                                      {"\xCB\x9A", 'd'},     // ring above
                                                      {"\xE2\x80\xB2", 'm'}, // prime
                                                      {"\xE2\x80\x99", 'm'}, // right single quote
                                                      {"\xC2\xB4", 'm'},     // acute accent
                                                      {"\xE2\x80\xB3", 's'}, // double prime
                                                      {"\xE2\x80\x9D", 's'}, // right double quote
                                                      {"''", 's'},
                                                      {"'", 'm'},
                                                      {"\"", 's'},
                                                      {"\xE2\x88\x92", '-'},
                                                      {"\xE2\x80\x93", '-'},
                                                      {"\xC2\xA0", ' '},
                                                      {"\xE2\x80\xAF", ' '},
                                                      {"\xE2\x80\x89", ' '},
                                                      {":", ' '},
                                                      {"\t", ' '},
                                                      {"*", 'd'}}};
    std::string out;
    for (std::size_t i = 0; i < text.size();) {
        const Spelling* found = nullptr;
        for (const Spelling& s : kSpellings)
            if (!found && text.substr(i, s.typed.size()) == s.typed) found = &s;
        out += found ? found->plain : text[i];
        i += found ? found->typed.size() : 1;
    }
    return out;
}

struct Angle3 {
    std::array<double, 3> part{}; ///< degrees, minutes, seconds
    std::size_t parts = 0;
    bool fraction = false; ///< the last part read has one
    bool minus = false, plus = false;
    char letter = 0; ///< N, S, E, W
    const char* fault = nullptr;
};

constexpr const char* kNoAngle = CORE_TEXT("is neither decimal degrees nor degrees, minutes and seconds");

class AngleScan {
public:
    AngleScan(std::string_view s, Axis axis) : m_s(s), m_axis(axis) {}
    Angle3 run() {
        while (m_at < m_s.size() && !m_out.fault) step();
        if (!m_out.fault && m_out.parts == 0) m_out.fault = kNoAngle;
        return m_out;
    }

private:
    void fail(const char* why = kNoAngle) { m_out.fault = why; }

    void step() {
        const char c = m_s[m_at];
        if (c == ' ') {
            ++m_at;
        } else if (isDigit(c) ||
                   ((c == '.' || c == ',') && m_at + 1 < m_s.size() && isDigit(m_s[m_at + 1]))) {
            number();
        } else if (c == '+' || c == '-') {
            sign(c);
        } else if (c == 'd' || c == 'm' || c == 's') {
            mark();
        } else {
            letter();
        }
    }

    void sign(char c) {
        ++m_at;
        // Between parts a hyphen may part them: "53-20-41.5 N".
        if (m_out.parts > 0 && c == '-' && m_at < m_s.size() && isDigit(m_s[m_at]) && m_s[m_at - 2] != ' ')
            return;
        if (m_out.parts > 0 || m_out.minus || m_out.plus) return fail();
        (c == '-' ? m_out.minus : m_out.plus) = true;
    }

    void number() {
        if (m_out.parts == 3 || m_out.fraction) return fail();
        std::string text;
        for (; m_at < m_s.size(); ++m_at) {
            const char c = m_s[m_at];
            const bool sign = (c == '.' || c == ',') && !m_out.fraction;
            if (!isDigit(c) && !sign) break;
            m_out.fraction = m_out.fraction || sign;
            text += sign ? '.' : c;
        }
        if (text.front() == '.') text.insert(0, 1, '0');
        double v = 0;
        const auto [end, fault] = std::from_chars(text.data(), text.data() + text.size(), v);
        if (fault != std::errc{} || (end != text.data() + text.size() && *end != '.')) return fail();
        m_out.part[m_out.parts++] = v;
        m_marked = false;
    }

    // d, m or s after the number it belongs to; words such as "deg" and "min" too.
    void mark() {
        const char c = m_s[m_at];
        constexpr std::string_view kOrder = "dms";
        const std::string word = wordAt();
        const bool south = c == 's' && word.size() == 1 && m_out.parts > 0 && m_marked && !m_out.letter;
        if (south) return letter();
        if (m_out.parts == 0 || m_marked || kOrder[m_out.parts - 1] != c) return fail();
        m_marked = true;
        m_at += word == "deg" || word == "min" || word == "sec" ? 3 : 1;
    }

    void letter() {
        const std::string word = wordAt();
        if (word == "o")
            return fail(CORE_TEXT(
                "has the letter O, which is east in one language and west in another; write E or W"));
        const auto which = std::string_view("nsew").find(word.empty() ? '?' : word[0]);
        if (word.size() != 1 || which == std::string_view::npos || m_out.letter) return fail();
        m_out.letter = "NSEW"[which];
        if ((which < 2) != (m_axis == Axis::latitude))
            return fail(m_axis == Axis::latitude ? CORE_TEXT("is a longitude where a latitude belongs")
                                                 : CORE_TEXT("is a latitude where a longitude belongs"));
        ++m_at;
        // After the last number nothing else may come.
        if (m_out.parts > 0 && m_s.find_first_not_of(' ', m_at) != std::string_view::npos) fail();
    }

    [[nodiscard]] std::string wordAt() const {
        std::size_t end = m_at;
        while (end < m_s.size() &&
               ((m_s[end] >= 'a' && m_s[end] <= 'z') || (m_s[end] >= 'A' && m_s[end] <= 'Z')))
            ++end;
        return lowered(m_s.substr(m_at, end - m_at));
    }

    std::string_view m_s;
    Axis m_axis;
    std::size_t m_at = 0;
    bool m_marked = false; ///< the last number has its mark
    Angle3 m_out;
};

} // namespace

Result<double> coordinateFrom(std::string_view text, NumberStyle /*style*/, Axis axis) {
    const std::string s = plainMarks(trimmedField(text));
    const Angle3 a = AngleScan(s, axis).run();
    if (a.fault) return badValue(text, a.fault);
    if (a.parts > 1 && a.part[1] >= 60) return badValue(text, CORE_TEXT("has 60 minutes or more"));
    if (a.parts > 2 && a.part[2] >= 60) return badValue(text, CORE_TEXT("has 60 seconds or more"));
    const bool backward = a.letter == 'S' || a.letter == 'W';
    if (a.letter && (a.minus || (a.plus && backward)))
        return badValue(text, CORE_TEXT("has both a sign and a letter; leave one of them out"));
    const double degrees = a.part[0] + (a.part[1] + a.part[2] / 60) / 60;
    if (degrees > (axis == Axis::latitude ? 90 : 180))
        return badValue(text, axis == Axis::latitude
                                  ? CORE_TEXT("is no latitude: it lies beyond 90 degrees")
                                  : CORE_TEXT("is no longitude: it lies beyond 180 degrees"));
    return a.minus || backward ? -degrees : degrees;
}

} // namespace fw
