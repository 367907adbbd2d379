// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/text_source.h"

#include "base/text.h"
#include "intake/field_text.h"
#include "intake/row_splitter.h"
#include "intake/table_look.h"
#include "intake/text_encoding.h"
#include "intake/value_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>

namespace fw {
namespace {

constexpr std::size_t kBlock = 64u << 10;

// What one pass over the rows met.
struct Met {
    std::int64_t empty = 0, headers = 0, shorter = 0;
    std::int64_t faultLine = 0, faults = 0;
};

class TextSource final : public Source {
public:
    TextSource(SourceHead head, EncodingFound encoding, std::int64_t firstLine, bool hasHeader)
        : m_head(std::move(head)), m_opened(m_head.notes), m_encoding(encoding), m_firstLine(firstLine),
          m_hasHeader(hasHeader) {}

    [[nodiscard]] const SourceHead& head() const override { return m_head; }
    Status forEachRow(const Job& job, const std::function<bool(SourceRow&)>& f) override;

private:
    bool give(TextRow& row, Met& met, SourceRow& out, const std::function<bool(SourceRow&)>& f) const;
    void fill(TextRow& row, Met& met, SourceRow& out) const;
    [[nodiscard]] bool isHeader(const TextRow& row) const;
    void note(const Met& met, TextEncoding read);

    SourceHead m_head;
    std::vector<std::string> m_opened; ///< notes from the opening
    EncodingFound m_encoding;
    std::int64_t m_firstLine;
    bool m_hasHeader;
    std::vector<std::string> m_header; ///< fields of the header as written, once it was passed
};

// Counts line ends so that the lines before the table are passed over; gives where in `text` the rest begins.
class LineSkip {
public:
    explicit LineSkip(std::int64_t lines) : m_left(lines) {}
    std::size_t pass(std::string_view text) {
        std::size_t i = 0;
        for (; i < text.size(); ++i) {
            const bool secondOfPair = m_cr && text[i] == '\n';
            if (m_left == 0 && !secondOfPair) break;
            m_cr = text[i] == '\r';
            if (!secondOfPair && (text[i] == '\r' || text[i] == '\n')) --m_left;
        }
        if (i < text.size()) m_cr = false;
        return i;
    }

private:
    std::int64_t m_left;
    bool m_cr = false;
};

std::int64_t lineEnds(std::string_view text) {
    std::int64_t lines = 0;
    for (std::size_t i = 0; i < text.size(); ++i)
        if (text[i] == '\n' || (text[i] == '\r' && !(i + 1 < text.size() && text[i + 1] == '\n'))) ++lines;
    return lines;
}

Error unreadable(const std::filesystem::path& file) {
    return {ErrorCode::cannotRead,
            CORE_TEXT("The file cannot be read; look whether it is there and may be read."),
            file.filename().string()};
}

bool TextSource::isHeader(const TextRow& row) const {
    if (row.count != m_header.size()) return false;
    for (std::size_t k = 0; k < row.count; ++k)
        if (row.field(k) != m_header[k]) return false;
    return true;
}

void TextSource::fill(TextRow& row, Met& met, SourceRow& out) const {
    const std::size_t columns = m_head.columns.size();
    out.number = row.line;
    out.shape = {};
    out.fault = row.fault;
    out.values.assign(columns, {});
    std::size_t filled = 0;
    for (std::size_t k = 0; k < row.count; ++k) {
        const std::string_view text = trimmedField(row.field(k));
        if (text.empty()) continue;
        filled = k + 1;
        if (k < columns) out.values[k] = std::string(text);
    }
    if (filled > columns && out.fault.empty())
        out.fault = fmt::format("it has {} fields, the header {}", filled, columns);
    if (row.count < columns) ++met.shorter;
}

bool TextSource::give(TextRow& row, Met& met, SourceRow& out,
                      const std::function<bool(SourceRow&)>& f) const {
    bool any = false;
    for (std::size_t k = 0; k < row.count && !any; ++k) any = !trimmedField(row.field(k)).empty();
    if (!any && row.fault.empty()) {
        if (row.count > 1) ++met.empty;
        return true;
    }
    if (m_hasHeader && row.line > m_firstLine && isHeader(row)) {
        ++met.headers;
        return true;
    }
    fill(row, met, out);
    return f(out);
}

Status TextSource::forEachRow(const Job& job, const std::function<bool(SourceRow&)>& f) {
    std::ifstream in(m_head.file, std::ios::binary);
    std::error_code failed;
    const auto size = static_cast<double>(std::filesystem::file_size(m_head.file, failed));
    if (!in || failed) return unreadable(m_head.file);
    in.seekg(static_cast<std::streamoff>(m_encoding.markBytes));
    TextDecoder decoder(m_encoding);
    LineSkip skip(m_firstLine - 1);
    Met met;
    SourceRow out;
    bool headerLeft = m_hasHeader, stopped = false;
    std::int64_t rows = 0;
    RowSplitter splitter(m_head.delimiter, m_firstLine, [&](TextRow& row) {
        if (++rows % 64 == 0 && job.stopped()) stopped = true;
        if (stopped) return false;
        if (!headerLeft) return give(row, met, out, f);
        headerLeft = false;
        m_header.clear();
        for (std::size_t k = 0; k < row.count; ++k) m_header.push_back(row.field(k));
        return true;
    });
    std::string bytes(kBlock, '\0'), text;
    double done = 0;
    bool more = true;
    while (more && in && !(stopped = stopped || job.stopped())) {
        in.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        const auto got = static_cast<std::size_t>(in.gcount());
        if (in.bad()) return unreadable(m_head.file);
        text.clear();
        decoder.decode({bytes.data(), got}, !in, text);
        const std::size_t from = skip.pass(text);
        if (met.faultLine == 0 && decoder.faultAt() != std::string::npos && decoder.faultAt() >= from)
            met.faultLine =
                splitter.line() + lineEnds(std::string_view(text).substr(from, decoder.faultAt() - from));
        more = splitter.feed(std::string_view(text).substr(from));
        done += static_cast<double>(got);
        if (size > 0) job.report(std::min(1.0, done / size), CORE_TEXT("Reading rows"));
    }
    if (!stopped && more) more = splitter.finish();
    if (stopped) return Error{ErrorCode::cancelled, CORE_TEXT("The reading was stopped."), {}};
    met.faults = decoder.faults();
    if (more) note(met, decoder.encoding());
    return Done{};
}

void TextSource::note(const Met& met, TextEncoding read) {
    m_head.notes = m_opened;
    const auto say = [&](std::string text) { m_head.notes.push_back(std::move(text)); };
    if (read != m_encoding.encoding)
        say(CORE_TEXT("Letters further down are not UTF-8; they were read as Latin-1."));
    if (met.faults > 0)
        say(fmt::format("Byte sequences that are not {}: {}; they stand as U+FFFD, {}.", nameOf(read),
                        met.faults,
                        met.faultLine > 0 ? fmt::format("the first in line {}", met.faultLine)
                                          : std::string("before the table")));
    if (met.empty > 0) say(fmt::format("Rows without any value, left out: {}.", met.empty));
    if (met.headers > 0) say(fmt::format("Rows that repeat the header, left out: {}.", met.headers));
    if (met.shorter > 0)
        say(fmt::format("Rows shorter than the header: {}; what they lack counts as empty.", met.shorter));
}

const char* wordFor(char delimiter) {
    switch (delimiter) {
    case ',':
        return "commas";
    case ';':
        return "semicolons";
    case '\t':
        return "tabs";
    case '|':
        return "pipes";
    default:
        return nullptr;
    }
}

std::string summary(const SourceHead& head, TextEncoding encoding, const TableLook& look) {
    std::string text = fmt::format("Read as {}", nameOf(encoding));
    const char* word = wordFor(look.delimiter);
    if (look.names.size() > 1)
        text += fmt::format(", parted by {}", word ? word : fmt::format("\"{}\"", look.delimiter).c_str());
    text += head.decimal == ',' ? ", decimal comma" : ", decimal point";
    if (head.thousands) {
        const char* sign = head.thousands == ' '    ? "blanks"
                           : head.thousands == '\'' ? "apostrophes"
                           : head.thousands == ','  ? "commas"
                                                    : "points";
        text += fmt::format(", thousands parted by {}", sign);
    }
    if (look.hasHeader) text += fmt::format(", header in line {}", look.firstLine);
    return text + '.';
}

// One style holds for the whole file: what is said of columns that alone would leave it open, or have
// another.
void doubtNumbers(SourceHead& head, const TableLook& look, NumberStyle style) {
    const auto word = [](char sign) { return sign == ',' ? "comma" : "point"; };
    const char other = style.decimal == ',' ? '.' : ',';
    for (std::size_t k = 0; k < look.names.size(); ++k) {
        const auto& values = look.columnValues[k];
        const auto doubt = [&](std::string text) {
            head.doubts.push_back({std::move(text), other, static_cast<std::int32_t>(k)});
        };
        const NumberStyle own = numberStyleOf(values, look.delimiter);
        if (own.decimalSeen && own.decimal == other && own.thousands != style.decimal)
            doubt(fmt::format(CORE_TEXT("\"{}\" has a decimal {}, the rest of the file a decimal {}: its "
                                        "values are refused."),
                              look.names[k], word(other), word(style.decimal)));
        else if (style.thousands == other && eitherMeaning(values, other))
            doubt(fmt::format(CORE_TEXT("In \"{}\" the {} is taken to part thousands, as elsewhere in the "
                                        "file; its own values would fit decimals as well."),
                              look.names[k], word(other)));
        else if (!style.decimalSeen && eitherMeaning(values, style.decimal))
            doubt(fmt::format(CORE_TEXT("In \"{}\" the {} is taken for the decimal sign; no value of the "
                                        "file tells it from one that parts thousands."),
                              look.names[k], word(style.decimal)));
    }
}

void settleNumbers(SourceHead& head, const TableLook& look, const SourceOptions& options) {
    NumberStyle style = numberStyleOf(look.samples, look.delimiter);
    if (options.decimal && *options.decimal != style.decimal) {
        style.decimal = *options.decimal;
        if (style.thousands == style.decimal) style.thousands = '\0';
    }
    head.decimal = style.decimal;
    head.thousands = style.thousands;
    if (!options.decimal) doubtNumbers(head, look, style);
}

struct Beginning {
    std::string bytes;
    bool whole = false; ///< there are no more
};
Result<Beginning> beginningOf(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::error_code failed;
    const auto size = std::filesystem::file_size(file, failed);
    if (!in || failed) return unreadable(file);
    Beginning out;
    out.bytes.resize(static_cast<std::size_t>(std::min<std::uintmax_t>(kTextLook, size)));
    in.read(out.bytes.data(), static_cast<std::streamsize>(out.bytes.size()));
    if (in.bad()) return unreadable(file);
    out.bytes.resize(static_cast<std::size_t>(in.gcount()));
    out.whole = out.bytes.size() >= size;
    if (out.bytes.empty()) return Error{ErrorCode::badInput, CORE_TEXT("The file is empty."), {}};
    return out;
}

} // namespace

Result<std::unique_ptr<Source>> openTextSource(const std::filesystem::path& file,
                                               const SourceOptions& options) {
    const auto named = [&](const Error& e) { return Error{e.code, e.text, file.filename().string()}; };
    const auto start = beginningOf(file);
    if (!start) return named(start.error());
    const auto encoding = encodingOf(start->bytes, start->whole, options.encoding);
    if (!encoding) return named(encoding.error());
    std::string text;
    TextDecoder decoder(*encoding);
    decoder.decode(std::string_view(start->bytes).substr(encoding->markBytes), start->whole, text);
    const auto look = lookAtTable(text, start->whole, options);
    if (!look) return named(look.error());
    SourceHead head;
    head.file = file;
    head.format = "text";
    head.delimiter = look->delimiter;
    head.preamble = look->preamble;
    for (std::size_t k = 0; k < look->names.size(); ++k)
        head.columns.push_back({look->names[k], false, look->columnSamples[k]});
    settleNumbers(head, *look, options);
    head.notes.push_back(summary(head, decoder.encoding(), *look));
    if (encoding->guessed && decoder.encoding() == TextEncoding::latin1)
        head.notes.emplace_back(CORE_TEXT("No UTF-8: letters beyond ASCII were read as Latin-1; look whether "
                                          "names read well."));
    head.notes.insert(head.notes.end(), look->notes.begin(), look->notes.end());
    return std::unique_ptr<Source>(
        std::make_unique<TextSource>(std::move(head), *encoding, look->firstLine, look->hasHeader));
}

} // namespace fw
