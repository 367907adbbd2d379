// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/table_look.h"

#include "base/ascii.h"
#include "base/text.h"
#include "intake/field_text.h"
#include "intake/header_look.h"
#include "intake/row_splitter.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <set>

namespace fw {
namespace {

constexpr std::string_view kDelimiters = "\t;|,";
constexpr std::size_t kRows = 2000, kSamples = 5;

LookRows rowsOf(std::string_view text, bool whole, char delimiter, std::int64_t firstLine) {
    LookRows rows;
    RowSplitter splitter(delimiter, firstLine, [&](TextRow& row) {
        LookRow look{row.line, {}};
        for (std::size_t k = 0; k < row.count; ++k) look.fields.emplace_back(trimmedField(row.field(k)));
        if (row.count > 1 || !look.fields[0].empty()) rows.push_back(std::move(look));
        return rows.size() < kRows;
    });
    splitter.feed(text);
    // A cut row would look like a short one.
    if (rows.size() < kRows && (whole || rows.empty())) splitter.finish();
    return rows;
}

// A geometry as well-known text is full of commas that part nothing.
bool isShapeText(std::string_view f) {
    const std::size_t word = f.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz");
    return word != std::string_view::npos && word >= 5 && f.ends_with(')') &&
           f.find_first_not_of(' ', word) == f.find('(');
}

// Whether a field looks as if another delimiter parted it, or this one parted what was in quotes.
bool clean(std::string_view f, char delimiter) {
    if (isShapeText(f)) return true;
    if (std::count(f.begin(), f.end(), '"') % 2 != 0) return false;
    for (std::size_t i = 0; i < f.size(); ++i) {
        const char c = f[i];
        if (c == delimiter || kDelimiters.find(c) == std::string_view::npos) continue;
        if (c != ',') return false;
        const bool inNumber = i > 0 && i + 1 < f.size() &&
                              std::isdigit(static_cast<unsigned char>(f[i - 1])) &&
                              std::isdigit(static_cast<unsigned char>(f[i + 1]));
        const bool inProse = i + 1 < f.size() && f[i + 1] == ' ';
        if (!inNumber && !inProse) return false;
    }
    return true;
}

double scoreOf(const LookRows& rows, char delimiter) {
    const std::size_t width = widthOf(rows);
    if (width < 2) return 0;
    double same = 0, table = 0, pure = 0, fields = 0;
    bool begun = false;
    for (const LookRow& row : rows) {
        begun = begun || row.fields.size() == width;
        if (!begun) continue;
        ++table;
        same += row.fields.size() == width ? 1 : 0;
        for (const std::string& f : row.fields) {
            ++fields;
            pure += clean(f, delimiter) ? 1 : 0;
        }
    }
    // Rows before the table cost little: they may be a preamble, or the header of the true delimiter.
    const double reached = table / static_cast<double>(rows.size());
    const double width01 = 1 - 1.0 / static_cast<double>(width);
    return same / table * (pure / fields) * (0.7 + 0.3 * reached) * (0.9 + 0.1 * width01);
}

std::vector<std::string> namesFrom(const LookRow& row, const LookRows& below,
                                   std::vector<std::string>& notes) {
    std::vector<std::string> names = row.fields;
    // A header line that is also a comment line.
    if (!names.empty() && !names[0].empty() && names[0][0] == '#')
        names[0] = std::string(trimmedField(std::string_view(names[0]).substr(1)));
    const auto usedBelow = [&](std::size_t k) {
        return std::any_of(below.begin(), below.end(), [&](const LookRow& r) {
            return r.line > row.line && k < r.fields.size() && !r.fields[k].empty();
        });
    };
    while (names.size() > 1 && names.back().empty() && !usedBelow(names.size() - 1)) names.pop_back();
    std::set<std::string> taken(names.begin(), names.end());
    std::set<std::string> seen;
    for (std::size_t k = 0; k < names.size(); ++k) {
        std::string& name = names[k];
        const std::string before = name;
        if (name.empty()) name = fmt::format("column {}", k + 1);
        for (int n = 2; seen.count(name) || (name != before && taken.count(name)); ++n)
            name = fmt::format("{} ({})", before.empty() ? fmt::format("column {}", k + 1) : before, n);
        if (before.empty())
            notes.push_back(
                fmt::format("Column {} has no name in the header; it is called \"{}\".", k + 1, name));
        else if (name != before)
            notes.push_back(fmt::format("The header names \"{}\" again; column {} is called \"{}\".", before,
                                        k + 1, name));
        seen.insert(name);
    }
    return names;
}

std::string_view nextLine(std::string_view& text) {
    const auto end = text.find_first_of("\r\n");
    const std::string_view line = text.substr(0, end);
    if (end == std::string_view::npos) {
        text = {};
        return line;
    }
    const bool pair = text[end] == '\r' && end + 1 < text.size() && text[end + 1] == '\n';
    text.remove_prefix(end + (pair ? 2 : 1));
    return line;
}

// "sep=;", which spreadsheets write and heed.
std::optional<char> saidDelimiter(std::string_view line) {
    line = trimmedField(line, false);
    if (line.size() >= 2 && line.front() == '"' && line.back() == '"') line = line.substr(1, line.size() - 2);
    if (line.size() == 5 && lowered(line.substr(0, 4)) == "sep=") return line[4];
    // The delimiter itself may be blank: a tab that was trimmed is none.
    return std::nullopt;
}

bool canPart(char c) {
    return c != '"' && c != '\r' && c != '\n' && c != '\0' && !std::isalnum(static_cast<unsigned char>(c)) &&
           static_cast<unsigned char>(c) < 0x80 && c != '.' && c != '-' && c != '+';
}

void keepPreamble(std::string_view text, TableLook& look) {
    for (std::int64_t line = 1; line < look.firstLine && !text.empty(); ++line) {
        const std::string_view words = trimmedField(nextLine(text));
        const bool blank = words.find_first_not_of("\t;|, ") == std::string_view::npos;
        if (!blank && !(line == 1 && look.delimiterSaid) && look.preamble.size() < 50)
            look.preamble.emplace_back(words.substr(0, 500));
    }
}

void keepSamples(const LookRows& rows, TableLook& look) {
    look.columnSamples.resize(look.names.size());
    look.columnValues.resize(look.names.size());
    for (const LookRow& row : rows) {
        if (row.line < look.firstLine || (look.hasHeader && row.line == look.firstLine)) continue;
        for (std::size_t k = 0; k < row.fields.size(); ++k) {
            const std::string& f = row.fields[k];
            if (f.empty()) continue;
            if (k < look.names.size() && look.columnSamples[k].size() < kSamples)
                look.columnSamples[k].push_back(f.substr(0, 200));
            if (k < look.names.size() && f.size() <= 40) look.columnValues[k].push_back(f);
            if (look.samples.size() < 20000 && f.size() <= 40) look.samples.push_back(f);
        }
    }
}

// What is left of the text, and the line at which it begins.
struct Body {
    std::string_view text;
    std::int64_t line = 1;
};

void passSaid(Body& body, TableLook& look) {
    std::string_view rest = body.text;
    const auto said = saidDelimiter(nextLine(rest));
    if (!said || !canPart(*said)) return;
    look.delimiter = *said;
    look.delimiterSaid = true;
    body = {rest, 2};
}

Status passTo(Body& body, std::int64_t headerLine) {
    for (; body.line < headerLine && !body.text.empty(); ++body.line) nextLine(body.text);
    if (!body.text.empty() || headerLine <= 1) return Done{};
    return Error{
        ErrorCode::badInput,
        fmt::format("The header is said to stand in line {}; the file has no such line near its beginning.",
                    headerLine)};
}

LookRows rowsOfBest(const Body& body, bool whole, char& delimiter) {
    LookRows rows;
    double best = -1;
    for (const char d : kDelimiters) {
        LookRows tried = rowsOf(body.text, whole, d, body.line);
        const double score = scoreOf(tried, d);
        // The comma comes last and holds where none parts anything.
        if (score <= best && !(d == ',' && best <= 0)) continue;
        best = score;
        delimiter = d;
        rows = std::move(tried);
    }
    return rows;
}

void nameColumns(const LookRows& rows, const HeaderAt& header, TableLook& look) {
    if (header.names) {
        look.names = namesFrom(rows[header.row], rows, look.notes);
        return;
    }
    const std::size_t width = widthOf(rows);
    for (std::size_t k = 0; k < width; ++k) look.names.push_back(fmt::format("column {}", k + 1));
    look.notes.emplace_back(
        CORE_TEXT("The file has no line with column names; columns are called by their number."));
}

} // namespace

Result<TableLook> lookAtTable(std::string_view start, bool whole, const SourceOptions& options) {
    TableLook look;
    Body body{start, 1};
    passSaid(body, look);
    if (options.headerLine) {
        if (auto passed = passTo(body, *options.headerLine); !passed) return passed.error();
    }
    if (options.delimiter && !canPart(*options.delimiter))
        return Error{ErrorCode::badInput,
                     CORE_TEXT("The character named cannot part columns; name a comma, a "
                               "semicolon, a tab or a pipe.")};
    if (options.delimiter) look.delimiter = *options.delimiter;
    const LookRows rows = options.delimiter || look.delimiterSaid
                              ? rowsOf(body.text, whole, look.delimiter, body.line)
                              : rowsOfBest(body, whole, look.delimiter);
    if (rows.empty()) return Error{ErrorCode::badInput, CORE_TEXT("The file has no rows.")};
    const HeaderAt header = options.headerLine ? HeaderAt{0, *options.headerLine > 0} : headerIn(rows);
    look.firstLine = rows[header.row].line;
    look.hasHeader = header.names;
    nameColumns(rows, header, look);
    keepPreamble(start, look);
    keepSamples(rows, look);
    return look;
}

} // namespace fw
