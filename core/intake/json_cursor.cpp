// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/json_cursor.h"

#include <charconv>
#include <cstdint>
#include <cstring>
#include <limits>
#include <optional>
#include <system_error>

namespace fw {
namespace {

std::optional<std::uint32_t> hexAt(const char* at, const char* end) {
    if (end - at < 4) return std::nullopt;
    std::uint32_t v = 0;
    const auto [stop, error] = std::from_chars(at, at + 4, v, 16);
    if (error != std::errc() || stop != at + 4) return std::nullopt;
    return v;
}

void addUtf8(std::string& to, std::uint32_t c) {
    const auto put = [&](std::uint32_t byte) { to += static_cast<char>(byte); };
    if (c < 0x80) {
        put(c);
    } else if (c < 0x800) {
        put(0xc0 | c >> 6);
        put(0x80 | (c & 0x3f));
    } else if (c < 0x10000) {
        put(0xe0 | c >> 12);
        put(0x80 | (c >> 6 & 0x3f));
        put(0x80 | (c & 0x3f));
    } else {
        put(0xf0 | c >> 18);
        put(0x80 | (c >> 12 & 0x3f));
        put(0x80 | (c >> 6 & 0x3f));
        put(0x80 | (c & 0x3f));
    }
}

constexpr std::uint32_t kUnknown = 0xfffd;

/// RFC 8259, 7: what stands behind \u, with its second half where it has one. Moves `at` past it.
std::optional<std::uint32_t> codePoint(const char*& at, const char* end) {
    const auto high = hexAt(at, end);
    if (!high) return std::nullopt;
    at += 4;
    if (*high == 0 || (*high >= 0xdc00 && *high <= 0xdfff)) return kUnknown;
    if (*high < 0xd800 || *high > 0xdbff) return high;
    const auto low = end - at >= 6 && at[0] == '\\' && at[1] == 'u' ? hexAt(at + 2, end) : std::nullopt;
    if (!low || *low < 0xdc00 || *low > 0xdfff) return kUnknown;
    at += 6;
    return 0x10000 + ((*high - 0xd800) << 10) + (*low - 0xdc00);
}

/// Past the range of a double: by its exponent far too large or far too small.
double beyond(std::string_view text) {
    const bool tiny = text.find("e-") != text.npos || text.find("E-") != text.npos ||
                      text.find_first_not_of("-0.") > text.find('.');
    const double v = tiny ? 0 : std::numeric_limits<double>::infinity();
    return text[0] == '-' ? -v : v;
}

} // namespace

bool JsonCursor::string(std::string_view& inside) {
    if (!take('"')) return false;
    const char* from = m_at;
    while (*m_at != '"' && *m_at != '\\') {
        if (m_at >= m_end) return fail(kEnds);
        ++m_at;
    }
    if (*m_at == '\\') {
        m_text.assign(from, m_at);
        return escaped(inside);
    }
    inside = {from, static_cast<std::size_t>(m_at - from)};
    ++m_at;
    return true;
}

bool JsonCursor::escaped(std::string_view& inside) {
    constexpr std::string_view kFrom = "\"\\/bfnrt", kTo = "\"\\/\b\f\n\r\t";
    while (*m_at != '"') {
        if (m_at >= m_end) return fail(kEnds);
        if (*m_at != '\\') {
            m_text += *m_at++;
            continue;
        }
        // The longest escape has 12 characters; a part of it at the end of what is there waits for the rest.
        if (m_end - m_at < 12 && !m_whole) {
            m_at = m_end;
            return fail(kEnds);
        }
        ++m_at;
        if (*m_at == 'u') {
            ++m_at;
            const auto c = codePoint(m_at, m_end);
            if (!c) return fail("an escape is broken");
            addUtf8(m_text, *c);
            continue;
        }
        const std::size_t k = m_at < m_end ? kFrom.find(*m_at) : kFrom.npos;
        if (k == kFrom.npos) return fail("an escape is broken");
        m_text += kTo[k];
        ++m_at;
    }
    ++m_at;
    inside = m_text;
    return true;
}

bool JsonCursor::number(double& v, std::string_view& text) {
    const char first = peek();
    const char* from = m_at;
    const char* digits = from + (first == '-' ? 1 : 0);
    if (*digits >= '0' && *digits <= '9') {
        const auto [stop, error] = std::from_chars(from, m_end, v);
        m_at = stop;
        // It may go on, and an exponent that is cut off is left unread.
        if (!m_whole && m_end - stop <= 2 &&
            std::string_view(stop, m_end).find_first_not_of("eE+-.") == text.npos) {
            m_at = m_end;
            return fail(kEnds);
        }
        text = {from, static_cast<std::size_t>(stop - from)};
        if (error == std::errc::result_out_of_range) v = beyond(text);
        return true;
    }
    const bool nan = first == 'N';
    m_at = digits;
    if (!word(nan ? "NaN" : "Infinity")) return false;
    text = {from, static_cast<std::size_t>(m_at - from)};
    v = nan ? std::numeric_limits<double>::quiet_NaN() : std::numeric_limits<double>::infinity();
    if (first == '-') v = -v;
    return true;
}

bool JsonCursor::word(std::string_view w) {
    peek();
    const auto there = static_cast<std::size_t>(m_end - m_at);
    if (there < w.size() && std::memcmp(m_at, w.data(), there) == 0) {
        m_at = m_end;
        return fail(kEnds);
    }
    if (there < w.size() || std::memcmp(m_at, w.data(), w.size()) != 0)
        return fail("a value is none that JSON knows");
    m_at += w.size();
    return true;
}

bool JsonCursor::skipScalar() {
    const char c = peek();
    std::string_view text;
    double v = 0;
    if (c == '"') return string(text);
    if (beginsNumber(c)) return number(v, text);
    return word(c == 't' ? "true" : c == 'f' ? "false" : "null");
}

bool JsonCursor::skip() {
    constexpr std::size_t kDeepest = 500;
    std::string closing; // of the arrays and objects that are open
    for (;;) {
        const char c = peek();
        if (c == '{' || c == '[') {
            if (closing.size() == kDeepest) return fail("it is nested too deeply");
            ++m_at;
            const char close = c == '{' ? '}' : ']';
            closing += close;
            if (peek() != close) {
                std::string_view key;
                if (c == '{' && (!string(key) || !take(':'))) return false;
                continue;
            }
        } else if (!skipScalar()) {
            return false;
        }
        // Behind a value, or before the end of an empty array.
        for (bool next = false; !next;) {
            if (closing.empty()) return true;
            const char d = peek();
            if (d == ',') {
                ++m_at;
                std::string_view key;
                if (closing.back() == '}' && (!string(key) || !take(':'))) return false;
                next = true;
            } else if (d == closing.back()) {
                ++m_at;
                closing.pop_back();
            } else {
                return fail(m_at < m_end ? "a comma is missing" : kEnds);
            }
        }
    }
}

bool JsonCursor::raw(std::string_view& text) {
    peek();
    const char* from = m_at;
    if (!skip()) return false;
    text = {from, static_cast<std::size_t>(m_at - from)};
    return true;
}

} // namespace fw
