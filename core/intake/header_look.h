// SPDX-License-Identifier: GPL-3.0-or-later
// Where the header of a delimited text stands.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace fw {

/// One of the first rows of a text, fields trimmed.
struct LookRow {
    std::int64_t line = 0;
    std::vector<std::string> fields;
    [[nodiscard]] std::size_t filled() const; ///< fields that say something
};
using LookRows = std::vector<LookRow>;

/// The number of fields that most rows have; rows of one field do not vote where others can.
std::size_t widthOf(const LookRows& rows);

struct HeaderAt {
    std::size_t row = 0; ///< the first of the table
    bool names = false;  ///< it names the columns
};
/// The first row as wide as the table; it is the header when its fields are of other kinds than those below
/// them (words over numbers, numbers over hours) in more columns than of the same kind, or when nothing but
/// words stands anywhere, or when it counts steps upward behind a word. A header may be one field narrower
/// or wider than its rows, and may stand below pairs of "name; value" that are as wide.
HeaderAt headerIn(const LookRows& rows);

} // namespace fw
