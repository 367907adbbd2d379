// SPDX-License-Identifier: GPL-3.0-or-later
// Where in a sheet the names of the columns stand: exports put titles and dates above them.
#pragma once

#include "intake/source.h"

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace fw {

class SheetHead {
public:
    static constexpr std::size_t kRowsToLookAt = 30;
    /// The row (1-based) with the names, 0 for none: the one asked for, else the first, unless it fills less
    /// than half of the columns that a later one among `rows` fills with text alone.
    /// @param names  of the columns when the first row is taken for them.
    static std::int64_t lineOf(const std::vector<SourceColumn>& names, const std::vector<SourceRow>& rows,
                               std::optional<std::int64_t> asked);

    explicit SheetHead(std::int64_t line) : m_line(line) {}
    /// Takes in a row at or above the names.
    void look(const SourceRow& row);
    [[nodiscard]] std::vector<SourceColumn> columns(std::size_t count) const;
    [[nodiscard]] const std::vector<std::string>& preamble() const { return m_preamble; }
    /// False for the rows at and above the names.
    [[nodiscard]] bool takes(const SourceRow& row) const { return row.number > m_line; }

private:
    std::int64_t m_line;
    std::vector<std::string> m_names, m_preamble;
};

} // namespace fw
