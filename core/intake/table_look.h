// SPDX-License-Identifier: GPL-3.0-or-later
// What the beginning of a text file says of its table: delimiter, lines before the header, header.
#pragma once

#include "intake/source.h"
#include "intake/value_reader.h"

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace fw {

struct TableLook {
    char delimiter = ',';
    bool delimiterSaid = false;        ///< by a line "sep=;"
    std::int64_t firstLine = 1;        ///< of the header, or of the first row where there is none
    bool hasHeader = false;            ///< the row at firstLine names the columns
    std::vector<std::string> preamble; ///< lines before it, blank ones left out
    std::vector<std::string> names;    ///< of the columns, told apart, none empty
    std::vector<std::string> samples;  ///< values of the first rows, for the decimal sign
    std::vector<std::vector<std::string>> columnSamples; ///< the first ones
    std::vector<std::vector<std::string>> columnValues;  ///< of as many rows as were looked at
    std::vector<std::string> notes;
};

/// `start` is UTF-8, a bounded stretch; `whole` says that the file ends with it. Delimiters tried: comma,
/// semicolon, tab, pipe. Chosen is the one under which most rows have the same number of fields and fields
/// hold no other delimiter. The header is the first row of that width whose fields are words, while those
/// below hold numbers or hours; a row of ascending whole numbers with a word in front counts as well (steps
/// of a histogram). Refused: a file without any row.
Result<TableLook> lookAtTable(std::string_view start, bool whole, const SourceOptions& options);

} // namespace fw
