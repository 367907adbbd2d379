// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/sheet_head.h"

#include "intake/ogr_row.h"

#include <fmt/format.h>

#include <algorithm>

namespace fw {
namespace {

std::size_t filled(const SourceRow& row) {
    return static_cast<std::size_t>(std::count_if(row.values.begin(), row.values.end(),
                                                  [](const SourceValue& v) { return v.index() != 0; }));
}

bool textAlone(const SourceRow& row) {
    return std::none_of(row.values.begin(), row.values.end(), [](const SourceValue& v) {
        const auto* text = std::get_if<std::string>(&v);
        return v.index() != 0 && (!text || text->find_first_not_of("0123456789.,+-: ") == text->npos);
    });
}

/// The library calls a column without a name "Field" and its number.
std::size_t named(const std::vector<SourceColumn>& names) {
    std::size_t n = 0;
    for (std::size_t k = 0; k < names.size(); ++k)
        n += !names[k].name.empty() && names[k].name != fmt::format("Field{}", k + 1);
    return n;
}

} // namespace

std::int64_t SheetHead::lineOf(const std::vector<SourceColumn>& names, const std::vector<SourceRow>& rows,
                               std::optional<std::int64_t> asked) {
    if (asked) return *asked;
    std::int64_t line = 1;
    std::size_t most = 2 * named(names);
    for (const SourceRow& row : rows)
        if (const std::size_t n = filled(row); n > most && n > 1 && textAlone(row)) {
            line = row.number;
            most = n;
        }
    return line;
}

void SheetHead::look(const SourceRow& row) {
    std::string text;
    for (const SourceValue& v : row.values) {
        const std::string one = sampleText(v);
        if (row.number == m_line) m_names.push_back(one);
        if (!one.empty()) text += (text.empty() ? "" : "; ") + one;
    }
    if (row.number < m_line && !text.empty()) m_preamble.push_back(std::move(text));
}

std::vector<SourceColumn> SheetHead::columns(std::size_t count) const {
    std::vector<SourceColumn> columns(count);
    for (std::size_t k = 0; k < count; ++k)
        columns[k].name =
            k < m_names.size() && !m_names[k].empty() ? m_names[k] : fmt::format("Field{}", k + 1);
    return columns;
}

} // namespace fw
