// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/units_row.h"

#include "base/ascii.h"
#include "intake/field_text.h"
#include "intake/kinds.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace fw {
namespace {

constexpr std::size_t kRowsForUnits = 20;

// A cell of such a line: "m", "[m]", "(deg)".
std::string unitIn(const SourceValue& value) {
    const auto* text = std::get_if<std::string>(&value);
    if (!text) return {};
    std::string_view word = *text;
    if (word.size() > 2 &&
        ((word.front() == '[' && word.back() == ']') || (word.front() == '(' && word.back() == ')')))
        word = word.substr(1, word.size() - 2);
    return unitOfWord(word);
}

// What such a line says of columns that have no unit.
bool isTypeWord(const SourceValue& value) {
    static constexpr std::array<std::string_view, 12> kWords{
        "text", "string", "number", "integer", "count", "#", "id", "name", "date", "time", "h", "hour"};
    const auto* text = std::get_if<std::string>(&value);
    return text && std::find(kWords.begin(), kWords.end(), lowered(*text)) != kWords.end();
}

bool says(const SourceValue& value) {
    const auto* text = std::get_if<std::string>(&value);
    return text ? !isNothing(*text) : value.index() != 0;
}

bool holdsNumber(const SourceValue& value) {
    const auto* text = std::get_if<std::string>(&value);
    return text ? text->find_first_of("0123456789") != std::string::npos : value.index() != 0;
}

// By column; empty where the first row is no line of units.
std::vector<std::string> unitsIn(const std::vector<SourceRow>& rows) {
    if (rows.size() < 2) return {};
    std::vector<std::string> units;
    bool any = false;
    for (std::size_t c = 0; c < rows[0].values.size(); ++c) {
        units.push_back(unitIn(rows[0].values[c]));
        if (units.back().empty() && says(rows[0].values[c]) && !isTypeWord(rows[0].values[c])) return {};
        if (units.back().empty()) continue;
        any = true;
        std::size_t numbers = 0, filled = 0;
        for (std::size_t r = 1; r < rows.size(); ++r) {
            if (c >= rows[r].values.size() || !says(rows[r].values[c])) continue;
            ++filled;
            numbers += holdsNumber(rows[r].values[c]);
        }
        if (numbers * 2 < filled) return {}; // "W" over "N" and "S" is a direction
    }
    return any ? units : std::vector<std::string>{};
}

class WithUnitsRow final : public Source {
public:
    WithUnitsRow(std::unique_ptr<Source> inner, std::vector<std::string> units, std::int64_t row)
        : m_inner(std::move(inner)), m_units(std::move(units)), m_row(row) {
        takeHead();
    }
    [[nodiscard]] const SourceHead& head() const override { return m_head; }
    Status forEachRow(const Job& job, const std::function<bool(SourceRow&)>& f) override {
        Status done = m_inner->forEachRow(job, [&](SourceRow& row) { return row.number == m_row || f(row); });
        takeHead(); // its notes may be others now
        return done;
    }

private:
    void takeHead() {
        m_head = m_inner->head();
        if (m_head.rowCount && *m_head.rowCount > 0) --*m_head.rowCount;
        for (std::size_t c = 0; c < m_head.columns.size() && c < m_units.size(); ++c) {
            SourceColumn& column = m_head.columns[c];
            column.unit = m_units[c];
            if (!column.samples.empty() && unitIn(column.samples.front()) == m_units[c])
                column.samples.erase(column.samples.begin());
        }
        m_head.notes.push_back(fmt::format("Row {} holds the units of the columns.", m_row));
    }

    std::unique_ptr<Source> m_inner;
    std::vector<std::string> m_units;
    std::int64_t m_row;
    SourceHead m_head;
};

bool hasNames(const SourceHead& head) {
    for (std::size_t c = 0; c < head.columns.size(); ++c)
        if (head.columns[c].name != fmt::format("column {}", c + 1)) return true;
    return false;
}

} // namespace

std::unique_ptr<Source> withUnitsRow(std::unique_ptr<Source> source) {
    if (source->head().hasShapes || !hasNames(source->head())) return source;
    std::vector<SourceRow> first;
    const Status looked = source->forEachRow({}, [&](SourceRow& row) {
        first.push_back(row);
        return first.size() < kRowsForUnits;
    });
    std::vector<std::string> units;
    if (looked.ok() && !first.empty() && first[0].fault.empty()) units = unitsIn(first);
    if (units.empty()) return source;
    return std::make_unique<WithUnitsRow>(std::move(source), std::move(units), first[0].number);
}

} // namespace fw
