// SPDX-License-Identifier: GPL-3.0-or-later
// Random tables, written by a plain writer after RFC 4180 in random encodings, come back equal.
#include "base/random.h"
#include "intake/row_splitter.h"
#include "intake/table_text.h"

using namespace fw;
using namespace fwtest;

namespace {

struct PlainTable {
    Names names;
    Fields rows;
};

// Letters of the four encodings' common stock, delimiters, quotes, line ends.
std::u32string randomField(Random& random, bool first) {
    static const std::u32string kLetters = U"abcXYZ0123456789 .-_/\u00e9\u00df\u20ac\u2019,;|\t\"\n\r";
    std::u32string out;
    const auto length = random.below(12);
    for (std::uint32_t k = 0; k < length; ++k)
        out += kLetters[random.below(static_cast<std::uint32_t>(kLetters.size()))];
    // Blanks at the ends are not kept, and a row begins with something.
    const auto blank = [](char32_t c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; };
    while (!out.empty() && blank(out.back())) out.pop_back();
    while (!out.empty() && blank(out.front())) out.erase(0, 1);
    if (first && out.empty()) out = U"x";
    return out;
}

std::string utf8(const std::u32string& text) {
    std::string out;
    for (const char32_t c : text) {
        if (c < 0x80) {
            out += static_cast<char>(c);
        } else if (c < 0x800) {
            out += static_cast<char>(0xC0 + c / 64);
            out += static_cast<char>(0x80 + c % 64);
        } else {
            out += static_cast<char>(0xE0 + c / 4096);
            out += static_cast<char>(0x80 + c / 64 % 64);
            out += static_cast<char>(0x80 + c % 64);
        }
    }
    return out;
}

std::string encoded(const std::u32string& text, int encoding) {
    if (encoding == 0) return utf8(text);
    if (encoding == 1) return "\xEF\xBB\xBF" + utf8(text);
    std::string out = encoding == 2 ? "\xFF\xFE" : encoding == 3 ? "\xFE\xFF" : "";
    for (const char32_t c : text) {
        const char high = static_cast<char>(c / 256), low = static_cast<char>(c % 256);
        // In windows-1252 two of the letters have places of their own.
        if (encoding == 4)
            out += c == 0x20ac ? '\x80' : c == 0x2019 ? '\x92' : low;
        else
            out += encoding == 2 ? std::string{low, high} : std::string{high, low};
    }
    return out;
}

std::u32string written(Random& random, const std::u32string& field, char32_t delimiter) {
    const bool needs = field.find_first_of(std::u32string(U"\"\r\n") + delimiter) != std::u32string::npos;
    if (!needs && random.chance(0.7)) return field;
    std::u32string out = U"\"";
    for (const char32_t c : field) {
        out += c;
        if (c == '"') out += c;
    }
    return out + U'"';
}

} // namespace

TEST_CASE("random tables in random writing come back equal", "[text][random]") {
    const std::uint64_t seed = 20260406;
    CAPTURE(seed);
    Random random(seed);
    for (int round = 0; round < 400; ++round) {
        const char32_t delimiter = U",;\t|"[random.below(4)];
        const std::u32string end = std::u32string(round % 3 == 0 ? U"\r\n" : round % 3 == 1 ? U"\n" : U"\r");
        const auto columns = 2 + random.below(6), rows = 1 + random.below(30);
        const int encoding = static_cast<int>(random.below(5));
        std::u32string text;
        PlainTable plain;
        for (std::uint32_t r = 0; r <= rows; ++r) {
            Names fields;
            for (std::uint32_t c = 0; c < columns; ++c) {
                const std::u32string field =
                    r > 0 ? randomField(random, c == 0) : U"name" + std::u32string(c + 1, U'q');
                fields.push_back(utf8(field));
                text += (c > 0 ? std::u32string(1, delimiter) : U"") + written(random, field, delimiter);
            }
            if (r < rows || random.chance(0.5)) text += end;
            if (r == 0)
                plain.names = fields;
            else
                plain.rows.push_back(fields);
        }
        SourceOptions options;
        options.delimiter = static_cast<char>(delimiter);
        options.headerLine = 1;
        // A few letters of Latin-1 may read as UTF-8 by chance; then the user has to say so.
        if (encoding == 4) options.encoding = "latin-1";
        const auto t = readTable(encoded(text, encoding), options);
        CAPTURE(round, encoding, utf8(text), t.notes(), t.error);
        REQUIRE(t.names() == plain.names);
        REQUIRE(t.fields() == plain.rows);
        for (const auto& row : t.rows) REQUIRE(row.fault.empty());
    }
}

TEST_CASE("where a text is cut into pieces does not change its rows", "[text][random]") {
    const std::uint64_t seed = 20260407;
    CAPTURE(seed);
    Random random(seed);
    const std::string letters = "ab,\"\"\"\n\r ";
    for (int round = 0; round < 3000; ++round) {
        std::string text;
        for (auto n = random.below(60); n > 0; --n)
            text += letters[random.below(static_cast<std::uint32_t>(letters.size()))];
        const auto rows = [&](std::size_t piece) {
            std::vector<ReadRow> out;
            RowSplitter splitter(',', 1, [&](TextRow& row) {
                ReadRow read{row.line, {}, row.fault};
                for (std::size_t k = 0; k < row.count; ++k) read.fields.push_back(row.field(k));
                out.push_back(read);
                return true;
            });
            for (std::size_t at = 0; at < text.size(); at += piece)
                splitter.feed(std::string_view(text).substr(at, piece));
            splitter.finish();
            return out;
        };
        CAPTURE(text);
        const auto whole = rows(1000);
        REQUIRE(rows(1) == whole);
        REQUIRE(rows(1 + random.below(7)) == whole);
        // Every line belongs to one row: lines ascend, and no row begins beyond the last line.
        std::int64_t before = 0;
        for (const auto& row : whole) {
            REQUIRE(row.number > before);
            before = row.number;
        }
    }
}
