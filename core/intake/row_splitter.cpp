// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/row_splitter.h"

#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace fw {
namespace {

bool blank(char c) { return c == ' ' || c == '\t'; }

bool onlyBlanks(const std::string& s) { return s.find_first_not_of(" \t") == std::string::npos; }

} // namespace

RowSplitter::RowSplitter(char delimiter, std::int64_t firstLine, Take take)
    : m_delimiter(delimiter), m_take(std::move(take)), m_line(firstLine) {
    m_row.line = firstLine;
}

bool RowSplitter::feed(std::string_view text) {
    for (std::size_t i = 0; i < text.size() && !m_ended;) {
        const std::size_t next = m_state == State::plain    ? plainRun(text, i)
                                 : m_state == State::quoted ? quotedRun(text, i)
                                                            : i;
        if (next > i) {
            const std::string_view run = text.substr(i, next - i);
            putPlain(run);
            m_afterCr = false;
            i = next;
            if (m_state == State::quoted) {
                m_raw += run;
                if (m_raw.size() >= kFieldBytes) reopenAsText();
            }
        } else {
            step(text[i++]);
        }
    }
    return !m_ended;
}

std::size_t RowSplitter::plainRun(std::string_view text, std::size_t at) const {
    while (at < text.size() && text[at] != m_delimiter && text[at] != '\n' && text[at] != '\r') ++at;
    return at;
}

std::size_t RowSplitter::quotedRun(std::string_view text, std::size_t at) const {
    const std::size_t end = std::min(text.size(), at + kFieldBytes - m_raw.size());
    while (at < end && text[at] != '"' && text[at] != '\n' && text[at] != '\r') ++at;
    return at;
}

void RowSplitter::putPlain(std::string_view run) {
    const std::size_t room = kFieldBytes - std::min(kFieldBytes, m_field.size());
    if (run.size() > room) fail(CORE_TEXT("it has a field of more than 4 MiB"));
    m_field += run.substr(0, room);
    m_any = true;
}

void RowSplitter::step(char c) {
    if (m_state == State::quoted) {
        stepQuoted(c);
    } else if (m_state == State::quoteSeen || m_state == State::closed) {
        stepClosed(c);
    } else if (c == m_delimiter) {
        m_afterCr = false;
        endField();
    } else if (c == '\n' || c == '\r') {
        lineEnd(c);
    } else {
        m_afterCr = false;
        if (c == '"' && m_state == State::start) {
            openQuote();
            return;
        }
        if (!blank(c)) m_state = State::plain;
        putPlain({&c, 1});
    }
}

void RowSplitter::openQuote() {
    m_state = State::quoted;
    m_any = true;
    m_field.clear();
    m_raw.clear();
    m_firstLineBytes = 0;
    m_quoteLine = m_line;
}

void RowSplitter::stepQuoted(char c) {
    if (c == '"') {
        m_afterCr = false;
        m_state = State::quoteSeen;
        return;
    }
    // Line ends are all that comes here.
    if (m_firstLineBytes == 0) m_firstLineBytes = m_raw.size() + 1;
    m_raw += c;
    if (!(c == '\n' && m_afterCr)) ++m_line;
    m_afterCr = c == '\r';
    putPlain({&c, 1});
    if (m_line - m_quoteLine > kQuoteLines || m_raw.size() > m_firstLineBytes + kQuoteBytes ||
        m_raw.size() >= kFieldBytes)
        reopenAsText();
}

void RowSplitter::stepClosed(char c) {
    if (c == '"' && m_state == State::quoteSeen) {
        m_raw += "\"\"";
        putPlain("\"");
        m_state = State::quoted;
        if (m_raw.size() >= kFieldBytes) reopenAsText();
    } else if (c == m_delimiter) {
        endField();
    } else if (c == '\n' || c == '\r') {
        lineEnd(c);
    } else if (blank(c)) {
        m_raw += m_state == State::quoteSeen ? "\"" : "";
        m_raw += c;
        m_state = State::closed;
    } else {
        m_raw += m_state == State::quoteSeen ? "\"" : "";
        m_raw += c;
        if (m_line != m_quoteLine) {
            reopenAsText();
            return;
        }
        fail(CORE_TEXT("text follows a closing quote; quotes inside a quoted field have to be doubled"));
        m_field = '"' + m_raw;
        m_state = State::plain;
    }
}

// The quote turns out not to be closed: it was text, and what followed is read again.
void RowSplitter::reopenAsText() {
    const std::string again = std::exchange(m_raw, {});
    m_line = m_quoteLine;
    m_afterCr = false;
    m_state = State::plain;
    m_field = '"';
    if (m_row.fault.empty())
        m_row.fault = fmt::format("a quote opens in line {} and is not closed", m_quoteLine);
    feed(again);
}

void RowSplitter::endField() {
    if (m_row.count >= kFields) {
        fail(CORE_TEXT("it has more than 16384 fields"));
    } else {
        if (m_row.m_fields.size() <= m_row.count) m_row.m_fields.emplace_back();
        m_row.m_fields[m_row.count++].swap(m_field);
    }
    m_field.clear();
    m_any = true;
    m_state = State::start;
}

void RowSplitter::lineEnd(char c) {
    const bool secondOfPair = c == '\n' && m_afterCr;
    m_afterCr = c == '\r';
    if (secondOfPair) {
        // The row has ended at the CR.
        m_row.line = m_line;
        return;
    }
    endRow();
    m_row.line = ++m_line;
}

void RowSplitter::endRow() {
    if (m_state == State::start && m_row.count == 0 && onlyBlanks(m_field)) m_field.clear();
    endField();
    m_any = false;
    if (!m_take(m_row)) m_ended = true;
    m_row.count = 0;
    m_row.fault.clear();
}

void RowSplitter::fail(const char* clause) {
    if (m_row.fault.empty()) m_row.fault = clause;
}

bool RowSplitter::finish() {
    // What is read again may open another quote that is never closed.
    while (m_state == State::quoted && !m_ended) reopenAsText();
    if (m_any && !m_ended) endRow();
    return !m_ended;
}

} // namespace fw
