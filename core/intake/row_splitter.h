// SPDX-License-Identifier: GPL-3.0-or-later
// Delimited text to rows of fields.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

/// A row as the text has it: fields without their quotes, blanks at their ends kept.
struct TextRow {
    std::int64_t line = 0; ///< at which it begins, 1 is the first
    std::size_t count = 0; ///< of fields
    std::string fault;     ///< why it cannot be trusted, as a clause
    [[nodiscard]] const std::string& field(std::size_t k) const { return m_fields[k]; }
    [[nodiscard]] std::string& field(std::size_t k) { return m_fields[k]; }

private:
    friend class RowSplitter;
    std::vector<std::string> m_fields; ///< reused; the first `count` are those of this row
};

/// Splits text after RFC 4180 and what programs make of it: fields parted by one character, a quoted field
/// holds delimiters, line ends and doubled quotes; lines end in LF, CR or CRLF. A quote inside an unquoted
/// field is an ordinary character. Blanks around a quoted field are dropped.
/// A quote that is never closed, or closed in the middle of a later line, does not swallow what follows: its
/// row ends at its line's end with a fault, and reading goes on at the next line. So a quoted field has at
/// most kQuoteLines lines and kQuoteBytes beyond its first line, and kFieldBytes in all. What is read a
/// second time holds no quote that could open again, so work stays proportional to the text. Where text is
/// cut into pieces does not change the rows.
class RowSplitter {
public:
    static constexpr std::size_t kFieldBytes = 4u << 20, kFields = 16384, kQuoteBytes = 256u << 10;
    static constexpr std::int64_t kQuoteLines = 200;
    /// Takes a row, which is reused; false ends the splitting.
    using Take = std::function<bool(TextRow&)>;

    RowSplitter(char delimiter, std::int64_t firstLine, Take take);
    /// False when `take` ended it.
    bool feed(std::string_view text);
    /// The text ends; a last line without its end is a row too.
    bool finish();
    [[nodiscard]] std::int64_t line() const { return m_line; } ///< which the next character belongs to

private:
    enum class State : std::uint8_t { start, plain, quoted, quoteSeen, closed };
    std::size_t plainRun(std::string_view text, std::size_t at) const;
    std::size_t quotedRun(std::string_view text, std::size_t at) const;
    void step(char c);
    void stepQuoted(char c);
    void stepClosed(char c);
    void putPlain(std::string_view run);
    void openQuote();
    void reopenAsText();
    void endField();
    void endRow();
    void lineEnd(char c);
    void fail(const char* clause);

    char m_delimiter;
    Take m_take;
    State m_state = State::start;
    bool m_afterCr = false, m_ended = false, m_any = false;
    std::int64_t m_line, m_quoteLine = 0;
    std::string m_field, m_raw; ///< m_raw: what followed the opening quote, as written
    std::size_t m_firstLineBytes = 0;
    TextRow m_row;
};

} // namespace fw
