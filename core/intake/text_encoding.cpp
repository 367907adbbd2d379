// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/text_encoding.h"

#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace fw {
namespace {

constexpr std::string_view kReplacement = "\xEF\xBF\xBD";

// 0x80 to 0x9F of windows-1252; the five bytes without a letter stay controls (WHATWG Encoding, index
// windows-1252).
constexpr std::array<char16_t, 32> kWindows = {
    0x20AC, 0x0081, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0x008D, 0x017D, 0x008F, 0x0090, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0x009D, 0x017E, 0x0178};

unsigned byteAt(std::string_view s, std::size_t at) { return static_cast<unsigned char>(s[at]); }

void append(std::string& out, char32_t c) {
    const auto put = [&](char32_t v) { out.push_back(static_cast<char>(v)); };
    if (c < 0x80) {
        put(c);
    } else if (c < 0x800) {
        put(0xC0 | c >> 6);
        put(0x80 | (c & 0x3F));
    } else if (c < 0x10000) {
        put(0xE0 | c >> 12);
        put(0x80 | (c >> 6 & 0x3F));
        put(0x80 | (c & 0x3F));
    } else {
        put(0xF0 | c >> 18);
        put(0x80 | (c >> 12 & 0x3F));
        put(0x80 | (c >> 6 & 0x3F));
        put(0x80 | (c & 0x3F));
    }
}

struct Sequence {
    std::size_t bytes = 1; ///< that belong together: all of a good one, the maximal part of a bad one
    bool good = false;
    bool cut = false; ///< good so far, and the bytes end
};
// One sequence that begins with a byte of 0x80 or more. Unicode 15, table 3-7.
Sequence sequenceAt(std::string_view s, std::size_t at) {
    const unsigned first = byteAt(s, at);
    unsigned low = 0x80, high = 0xBF;
    std::size_t length = 0;
    if (first >= 0xC2 && first <= 0xDF) length = 2;
    if (first >= 0xE0 && first <= 0xEF) length = 3;
    if (first >= 0xF0 && first <= 0xF4) length = 4;
    if (length == 0) return {};
    if (first == 0xE0) low = 0xA0;
    if (first == 0xED) high = 0x9F;
    if (first == 0xF0) low = 0x90;
    if (first == 0xF4) high = 0x8F;
    for (std::size_t k = 1; k < length; ++k) {
        if (at + k == s.size()) return {k, false, true};
        const unsigned next = byteAt(s, at + k);
        if (next < low || next > high) return {k, false, false};
        low = 0x80;
        high = 0xBF;
    }
    return {length, true, false};
}

bool control(unsigned c) { return c < 0x20 && c != '\t' && c != '\n' && c != '\r' && c != '\f'; }

struct Look {
    std::size_t zeroEven = 0, zeroOdd = 0, controls = 0;
    std::size_t good = 0, bad = 0; ///< sequences of UTF-8
};
Look lookAt(std::string_view s, bool whole) {
    Look look;
    for (std::size_t i = 0; i < s.size(); ++i) {
        const unsigned c = byteAt(s, i);
        if (c == 0) ++(i % 2 ? look.zeroOdd : look.zeroEven);
        if (control(c)) ++look.controls;
    }
    for (std::size_t i = 0; i < s.size();) {
        if (byteAt(s, i) < 0x80) {
            ++i;
            continue;
        }
        const Sequence q = sequenceAt(s, i);
        i += q.bytes;
        if (q.good) ++look.good;
        if (!q.good && (whole || !q.cut)) ++look.bad;
    }
    return look;
}

// Whether the bytes read as UTF-16: pairs of surrogates, and no control characters.
bool readsAsUtf16(std::string_view s, bool little) {
    bool high = false;
    for (std::size_t i = 0; i + 1 < s.size(); i += 2) {
        const unsigned a = byteAt(s, i), b = byteAt(s, i + 1);
        const unsigned unit = little ? b << 8 | a : a << 8 | b;
        if (high != (unit >= 0xDC00 && unit <= 0xDFFF)) return false;
        high = unit >= 0xD800 && unit <= 0xDBFF;
        if (control(unit) || unit >= 0xFFFE) return false;
    }
    return true;
}

Error noText() {
    return {ErrorCode::cannotRead,
            CORE_TEXT("It is no text file: it holds bytes that texts do not have. Save the table as CSV and "
                      "import that.")};
}

Result<EncodingFound> encodingNamed(std::string_view start, std::string_view named) {
    const auto marked = [&](std::string_view mark) {
        return start.substr(0, mark.size()) == mark ? mark.size() : 0;
    };
    if (named == "utf-8") return EncodingFound{TextEncoding::utf8, marked("\xEF\xBB\xBF"), false};
    if (named == "utf-16le") return EncodingFound{TextEncoding::utf16le, marked("\xFF\xFE"), false};
    if (named == "utf-16be") return EncodingFound{TextEncoding::utf16be, marked("\xFE\xFF"), false};
    if (named == "latin-1") return EncodingFound{TextEncoding::latin1, 0, false};
    return Error{ErrorCode::badInput, fmt::format("\"{}\" is no encoding known here; name utf-8, utf-16le, "
                                                  "utf-16be or latin-1.",
                                                  named)};
}

} // namespace

const char* nameOf(TextEncoding encoding) {
    switch (encoding) {
    case TextEncoding::utf16le:
    case TextEncoding::utf16be:
        return "UTF-16";
    case TextEncoding::latin1:
        return "Latin-1";
    case TextEncoding::utf8:
        break;
    }
    return "UTF-8";
}

Result<EncodingFound> encodingOf(std::string_view start, bool whole, std::string_view named) {
    using namespace std::string_view_literals;
    if (!named.empty()) return encodingNamed(start, named);
    const auto begins = [&](std::string_view mark) { return start.substr(0, mark.size()) == mark; };
    if (begins("\xFF\xFE\0\0"sv) || begins("\0\0\xFE\xFF"sv))
        return Error{ErrorCode::cannotRead, CORE_TEXT("It is written in UTF-32; save it as UTF-8.")};
    if (begins("\xEF\xBB\xBF")) return EncodingFound{TextEncoding::utf8, 3, false};
    if (begins("\xFF\xFE")) return EncodingFound{TextEncoding::utf16le, 2, false};
    if (begins("\xFE\xFF")) return EncodingFound{TextEncoding::utf16be, 2, false};
    const Look look = lookAt(start, whole);
    if (look.zeroEven + look.zeroOdd > 0) {
        // Digits, separators and line ends have a zero byte, on the same side every time.
        const bool little = look.zeroOdd > look.zeroEven;
        const bool evenSize = !whole || start.size() % 2 == 0;
        if (std::min(look.zeroEven, look.zeroOdd) * 50 <= std::max(look.zeroEven, look.zeroOdd) && evenSize &&
            readsAsUtf16(start, little))
            return EncodingFound{little ? TextEncoding::utf16le : TextEncoding::utf16be, 0, true};
        return noText();
    }
    if (look.controls * 100 > start.size()) return noText();
    const bool latin = look.bad > look.good;
    return EncodingFound{latin ? TextEncoding::latin1 : TextEncoding::utf8, 0, true};
}

void TextDecoder::fault(std::string& out) {
    ++m_faults;
    if (m_faultAt == std::string::npos) m_faultAt = out.size();
    out += kReplacement;
}

void TextDecoder::decode(std::string_view bytes, bool last, std::string& out) {
    m_faultAt = std::string::npos;
    std::string joined;
    if (!m_rest.empty()) {
        joined = m_rest;
        joined += bytes;
        bytes = joined;
        m_rest.clear();
    }
    if (m_encoding == TextEncoding::utf8) {
        bytes.remove_prefix(utf8(bytes, last, out));
        if (m_encoding == TextEncoding::utf8) m_rest = bytes;
    } else if (m_encoding != TextEncoding::latin1) {
        bytes.remove_prefix(utf16(bytes, last, out));
        m_rest = bytes;
    }
    if (m_encoding == TextEncoding::latin1) latin1(bytes, out);
}

// Gives the bytes used: fewer than there are where a sequence is cut, or Latin-1 begins.
std::size_t TextDecoder::utf8(std::string_view bytes, bool last, std::string& out) {
    std::size_t i = 0;
    while (i < bytes.size()) {
        std::size_t plain = i;
        while (plain < bytes.size() && byteAt(bytes, plain) - 1u < 0x7Fu) ++plain;
        out.append(bytes.substr(i, plain - i));
        i = plain;
        if (i == bytes.size()) break;
        if (bytes[i] == '\0') {
            fault(out);
            ++i;
            continue;
        }
        const Sequence q = sequenceAt(bytes, i);
        if (q.cut && !last) return i;
        if (q.good) {
            m_beyondAscii = true;
            out.append(bytes.substr(i, q.bytes));
        } else if (m_guessed && !m_beyondAscii) {
            m_encoding = TextEncoding::latin1;
            return i;
        } else {
            fault(out);
        }
        i += q.bytes;
    }
    return i;
}

std::size_t TextDecoder::utf16(std::string_view bytes, bool last, std::string& out) {
    const auto unitAt = [&](std::size_t i) {
        const unsigned a = byteAt(bytes, i), b = byteAt(bytes, i + 1);
        return static_cast<char32_t>(m_encoding == TextEncoding::utf16le ? b << 8 | a : a << 8 | b);
    };
    std::size_t i = 0;
    for (; i + 1 < bytes.size(); i += 2) {
        const char32_t unit = unitAt(i);
        const bool high = unit >= 0xD800 && unit <= 0xDBFF;
        if (high && i + 3 >= bytes.size() && !last) return i;
        const char32_t next = high && i + 3 < bytes.size() ? unitAt(i + 2) : 0;
        if (high && next >= 0xDC00 && next <= 0xDFFF) {
            append(out, 0x10000 + ((unit - 0xD800) << 10) + (next - 0xDC00));
            i += 2;
        } else if ((unit >= 0xD800 && unit <= 0xDFFF) || unit == 0) {
            fault(out);
        } else {
            append(out, unit);
        }
    }
    if (last && i < bytes.size()) {
        fault(out);
        i = bytes.size();
    }
    return i;
}

void TextDecoder::latin1(std::string_view bytes, std::string& out) {
    for (std::size_t i = 0; i < bytes.size(); ++i) {
        const unsigned c = byteAt(bytes, i);
        if (c == 0)
            fault(out);
        else
            append(out, c >= 0x80 && c < 0xA0 ? kWindows[c - 0x80] : c);
    }
}

} // namespace fw
