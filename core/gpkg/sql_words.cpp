// SPDX-License-Identifier: GPL-3.0-or-later
#include "gpkg/sql_words.h"

#include <algorithm>

namespace fw {

namespace {

// SQLite, "SQL As Understood By SQLite": names hold letters, digits, _, $ and any byte above 127.
bool isNameByte(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '$' || static_cast<unsigned char>(c) >= 0x80;
}

class Splitter {
public:
    explicit Splitter(std::string_view sql) : m_sql(sql) {}

    std::vector<SqlWord> all(std::size_t most) {
        while (m_at < m_sql.size() && m_words.size() < most) next();
        return std::move(m_words);
    }

private:
    void next() {
        const char c = m_sql[m_at];
        if (starts("--"))
            m_at = std::min(m_sql.find('\n', m_at), m_sql.size());
        else if (starts("/*"))
            skipPast("*/");
        else if (c == '\'')
            quoted(SqlWord::Kind::text, '\'');
        else if (c == '"' || c == '`')
            quoted(SqlWord::Kind::quoted, c);
        else if (c == '[')
            quoted(SqlWord::Kind::quoted, ']');
        else if (isNameByte(c))
            bare();
        else {
            if (c != ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f')
                m_words.push_back({SqlWord::Kind::sign, std::string(1, c)});
            ++m_at;
        }
    }

    [[nodiscard]] bool starts(std::string_view what) const { return m_sql.substr(m_at, what.size()) == what; }

    void skipPast(std::string_view end) {
        const std::size_t found = m_sql.find(end, m_at + 2);
        m_at = found == std::string_view::npos ? m_sql.size() : found + end.size();
    }

    // A doubled closing quote stands for itself; a bracket cannot be doubled.
    void quoted(SqlWord::Kind kind, char end) {
        std::string text;
        for (++m_at; m_at < m_sql.size(); ++m_at) {
            if (m_sql[m_at] == end) {
                if (end == ']' || m_at + 1 == m_sql.size() || m_sql[m_at + 1] != end) break;
                ++m_at;
            }
            text += m_sql[m_at];
        }
        if (m_at < m_sql.size()) ++m_at;
        m_words.push_back({kind, std::move(text)});
    }

    void bare() {
        std::string text;
        for (; m_at < m_sql.size() && isNameByte(m_sql[m_at]); ++m_at) {
            const char c = m_sql[m_at];
            text += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
        }
        m_words.push_back({SqlWord::Kind::bare, std::move(text)});
    }

    std::string_view m_sql;
    std::size_t m_at = 0;
    std::vector<SqlWord> m_words;
};

} // namespace

std::vector<SqlWord> sqlWords(std::string_view sql, std::size_t most) { return Splitter(sql).all(most); }

} // namespace fw
