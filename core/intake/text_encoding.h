// SPDX-License-Identifier: GPL-3.0-or-later
// Bytes of a text file to UTF-8.
#pragma once

#include "base/result.h"

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

namespace fw {

enum class TextEncoding : std::uint8_t {
    utf8,
    utf16le,
    utf16be,
    latin1, ///< with the letters that windows-1252 has at 0x80 to 0x9F, as browsers read it (WHATWG Encoding)
};
/// "UTF-8", "UTF-16", "Latin-1".
const char* nameOf(TextEncoding encoding);

struct EncodingFound {
    TextEncoding encoding = TextEncoding::utf8;
    std::size_t markBytes = 0; ///< of the byte order mark, to be skipped
    bool guessed = true;       ///< neither a mark nor the user said so
};
/// From the first bytes of a file; `whole` says that there are no more. `named` is what the user settled
/// ("utf-8", "utf-16le", "utf-16be", "latin-1"; empty: nothing). Refused by a sentence: UTF-32, bytes that
/// are no text (zeros, control characters), an unknown name.
Result<EncodingFound> encodingOf(std::string_view start, bool whole, std::string_view named = {});

/// Streams bytes to UTF-8. What the encoding does not allow becomes U+FFFD, one for each maximal part of a
/// sequence (Unicode 15, 3.9, U+FFFD Substitution of Maximal Subparts), and is counted; so are zeros. A
/// UTF-8 that was only guessed, from bytes below 0x80 alone, turns into Latin-1 at the first byte that
/// speaks against it.
class TextDecoder {
public:
    explicit TextDecoder(EncodingFound found) : m_encoding(found.encoding), m_guessed(found.guessed) {}
    /// Appends to `out`; `last` ends a sequence that is cut off. The mark is not for here.
    void decode(std::string_view bytes, bool last, std::string& out);

    [[nodiscard]] std::int64_t faults() const { return m_faults; }
    /// Where in the `out` of the last call the first fault of that call stands; npos: there was none.
    [[nodiscard]] std::size_t faultAt() const { return m_faultAt; }
    [[nodiscard]] TextEncoding encoding() const { return m_encoding; }

private:
    void fault(std::string& out);
    std::size_t utf8(std::string_view bytes, bool last, std::string& out);
    std::size_t utf16(std::string_view bytes, bool last, std::string& out);
    void latin1(std::string_view bytes, std::string& out);

    TextEncoding m_encoding;
    bool m_guessed;
    bool m_beyondAscii = false; ///< a sequence of UTF-8 was seen
    std::string m_rest;         ///< a sequence that the next bytes continue
    std::int64_t m_faults = 0;
    std::size_t m_faultAt = std::string::npos;
};

} // namespace fw
