// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/header_look.h"

#include "base/ascii.h"
#include "intake/field_text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <map>
#include <optional>

namespace fw {
namespace {

enum class FieldKind : std::uint8_t { nothing, word, number, hour, quantity };

// "2026-03-29 14:00", "29.03.2026", "14:00", "29-Mar-26 2:00 PM".
bool hourLike(std::string_view f) {
    std::size_t signs = 0, letters = 0;
    for (std::size_t i = 0; i + 1 < f.size(); ++i) {
        const char c = f[i];
        if ((c == '-' || c == '/' || c == ':') && i > 0) ++signs;
        if ((c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z')) ++letters;
    }
    const auto last = f.find_last_of('.');
    const bool points =
        std::count(f.begin(), f.end(), '.') == 2 && f.find('.') <= 2 && last > 0 && last + 4 != f.size();
    return isDigit(f.front()) && letters <= 5 &&
           (signs >= 2 || points || f.find(':') != std::string_view::npos);
}

FieldKind kindOf(std::string_view f) {
    if (isNothing(f)) return FieldKind::nothing;
    const bool begins = std::string_view("+-.0123456789\xE2").find(f.front()) != std::string_view::npos;
    if (!begins || f.size() > 40 || f.find_first_of("0123456789") == std::string_view::npos)
        return FieldKind::word;
    if (hourLike(f)) return FieldKind::hour;
    // No-break blanks and the typographic minus and apostrophe are of the bytes behind the quote.
    if (f.find_first_not_of("0123456789+-.,'eE% \xC2\xA0\xE2\x80\xAF\x89\x88\x92\x99") ==
        std::string_view::npos)
        return FieldKind::number;
    const auto letters = std::count_if(f.begin(), f.end(), [](char c) {
        return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || static_cast<unsigned char>(c) >= 0x80;
    });
    return letters <= 4 ? FieldKind::quantity : FieldKind::word;
}

// What nine of ten fields of a column below a row are; nothing where they differ.
FieldKind kindBelow(const LookRows& rows, std::size_t at, std::size_t column) {
    std::array<std::size_t, 5> count{};
    std::size_t filled = 0;
    for (std::size_t r = at + 1; r < rows.size() && r < at + 100; ++r) {
        if (column >= rows[r].fields.size()) continue;
        const FieldKind kind = kindOf(rows[r].fields[column]);
        if (kind == FieldKind::nothing) continue;
        ++filled;
        ++count[static_cast<std::size_t>(kind)];
    }
    for (std::size_t k = 1; k < count.size(); ++k)
        if (filled > 0 && count[k] * 10 >= filled * 9) return static_cast<FieldKind>(k);
    return FieldKind::nothing;
}

bool countsUp(const LookRow& row) {
    std::optional<long> before;
    std::size_t steps = 0;
    for (std::size_t k = 0; k < row.fields.size(); ++k) {
        const std::string& f = row.fields[k];
        long v = 0;
        const auto [end, fault] = std::from_chars(f.data(), f.data() + f.size(), v);
        if (fault != std::errc{} || end != f.data() + f.size()) {
            if (before) return false;
            continue;
        }
        if (before && v <= *before) return false;
        before = v;
        ++steps;
    }
    return steps >= 3 && steps < row.fields.size();
}

// Whether a row names the columns of those after it.
bool namesColumns(const LookRows& rows, std::size_t at) {
    const LookRow& row = rows[at];
    if (countsUp(row)) return true;
    int other = 0, same = 0;
    bool values = false, words = false;
    for (std::size_t k = 0; k < row.fields.size(); ++k) {
        const FieldKind own = kindOf(row.fields[k]), below = kindBelow(rows, at, k);
        if (own == FieldKind::nothing) continue;
        (own == FieldKind::word ? words : values) = true;
        if (below == FieldKind::nothing || below == FieldKind::word) continue;
        ++(own == below ? same : other);
    }
    return other + same > 0 ? other > same : words && !values;
}

bool anyValue(const LookRow& row) {
    return std::any_of(row.fields.begin(), row.fields.end(), [](const std::string& f) {
        const FieldKind kind = kindOf(f);
        return kind == FieldKind::number || kind == FieldKind::hour;
    });
}

// Whether in this column digits begin below row `at`, and not above it already.
bool bringsNumbers(const LookRows& rows, std::size_t first, std::size_t at, std::size_t column) {
    const auto digitsIn = [&](const LookRow& x) {
        return column < x.fields.size() && x.fields[column].find_first_of("0123456789") != std::string::npos;
    };
    if (digitsIn(rows[at]) || at + 1 >= rows.size()) return false;
    for (std::size_t q = at + 1; q < rows.size() && q < at + 50; ++q)
        if (!digitsIn(rows[q])) return false;
    return !std::all_of(rows.begin() + static_cast<std::ptrdiff_t>(first),
                        rows.begin() + static_cast<std::ptrdiff_t>(at), digitsIn);
}

// The first row as wide as the table that is not mostly empty.
std::size_t firstFullRow(const LookRows& rows, std::size_t width) {
    for (std::size_t r = 0; r < rows.size(); ++r) {
        const std::size_t filled = rows[r].filled();
        if (rows[r].fields.size() == width && (width < 2 || filled >= 2) && filled * 2 >= width) return r;
    }
    return rows.size();
}

// Whether a row below pairs of "name; value", which are as wide as the table, is its header.
bool endsPairs(const LookRows& rows, std::size_t first, std::size_t at, std::size_t width) {
    const LookRow& row = rows[at];
    if (row.fields.size() != width || row.filled() < width || anyValue(row)) return false;
    for (std::size_t k = 0; k < width; ++k)
        if (bringsNumbers(rows, first, at, k)) return true;
    return false;
}

} // namespace

std::size_t LookRow::filled() const {
    return static_cast<std::size_t>(
        std::count_if(fields.begin(), fields.end(), [](const std::string& f) { return !isNothing(f); }));
}

std::size_t widthOf(const LookRows& rows) {
    std::map<std::size_t, std::size_t> votes;
    for (const LookRow& row : rows)
        if (row.fields.size() > 1) ++votes[row.fields.size()];
    std::size_t width = 1, most = 0;
    for (const auto& [fields, count] : votes)
        if (count >= most) {
            most = count;
            width = fields;
        }
    return width;
}

HeaderAt headerIn(const LookRows& rows) {
    const std::size_t width = widthOf(rows), first = firstFullRow(rows, width);
    if (first == rows.size()) return {0, false};
    if (namesColumns(rows, first)) return {first, true};
    // A header one field narrower or wider than its rows: their ends or its own have a delimiter too many.
    if (first > 0) {
        const LookRow& above = rows[first - 1];
        const bool near = above.fields.size() + 1 == width || above.fields.size() == width + 1;
        if (near && above.filled() >= 2 && !anyValue(above)) return {first - 1, true};
    }
    for (std::size_t r = first + 1; r < rows.size() && r < first + 20; ++r)
        if (endsPairs(rows, first, r, width)) return {r, true};
    return {first, false};
}

} // namespace fw
