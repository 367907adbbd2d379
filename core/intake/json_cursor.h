// SPDX-License-Identifier: GPL-3.0-or-later
// Steps through a JSON text that may be there only in part. Source: RFC 8259; beside it NaN and Infinity are
// taken as numbers, as several writers put them.
#pragma once

#include <string>
#include <string_view>

namespace fw {

/// Every call moves on past what it read, or gives false: then `why` says what is wrong, or `starved` that
/// the text ends too early and more of it may come.
class JsonCursor {
public:
    /// @param text   a byte of zero has to stand at its end.
    /// @param whole  nothing comes after it.
    JsonCursor(std::string_view text, bool whole)
        : m_begin(text.data()), m_at(text.data()), m_end(text.data() + text.size()), m_whole(whole) {}

    /// The next character that is no blank; 0 at the end.
    char peek() {
        while (*m_at == ' ' || *m_at == '\n' || *m_at == '\r' || *m_at == '\t') ++m_at;
        return *m_at;
    }
    bool take(char c) {
        if (peek() != c) return fail(m_at < m_end ? "a sign is missing" : kEnds);
        ++m_at;
        return true;
    }
    /// After a value in an object or array: true at a comma, false at `close`; both are taken.
    bool more(char close, bool& ok) {
        const char c = peek();
        ok = c == ',' || c == close;
        if (!ok) return fail(m_at < m_end ? "a comma is missing" : kEnds);
        ++m_at;
        return c == ',';
    }
    /// What stands between the quotes; valid as long as the text, or until the next call when it has escapes.
    bool string(std::string_view& inside);
    /// @param text  as written.
    bool number(double& v, std::string_view& text);
    [[nodiscard]] static bool beginsNumber(char c) {
        return (c >= '0' && c <= '9') || c == '-' || c == 'N' || c == 'I';
    }
    bool word(std::string_view w); ///< true, false, null
    /// A value of any kind and depth up to 500.
    bool skip();
    /// The same, as written.
    bool raw(std::string_view& text);

    bool fail(const char* why) {
        if (!m_why) {
            m_why = why;
            m_starved = m_at >= m_end && !m_whole;
        }
        return false;
    }
    [[nodiscard]] bool starved() const { return m_starved; }
    [[nodiscard]] const char* why() const { return m_why; }
    [[nodiscard]] bool atEnd() const { return m_at >= m_end; }
    [[nodiscard]] std::size_t offset() const { return static_cast<std::size_t>(m_at - m_begin); }

    static constexpr const char* kEnds = "it ends too early";

private:
    bool escaped(std::string_view& inside);
    bool skipScalar();

    const char *m_begin, *m_at, *m_end;
    const char* m_why = nullptr;
    bool m_whole, m_starved = false;
    std::string m_text;
};

} // namespace fw
