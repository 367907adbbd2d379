// SPDX-License-Identifier: GPL-3.0-or-later
// One row through its mapping: values by field, in the plan's units, or the reason why the row is refused.
#pragma once

#include "intake/mapping.h"
#include "intake/value_reader.h"
#include "plan/enum_names.h"

#include <optional>
#include <set>
#include <string>
#include <vector>

namespace fw {

/// Why a row cannot be used.
struct RefusedRow {
    std::int64_t row = 0;
    std::string column;              ///< empty: the row as a whole
    std::string value;               ///< as in the file
    std::string reason;              ///< a clause: "is not a number"
    std::vector<std::string> values; ///< the whole row, to be saved and mended
};

/// Fields are asked for by their number in the kind's list. The first fault of a row is kept; what is asked
/// for afterwards is nothing.
class RowReader {
public:
    RowReader(const IntakeKindInfo& info, Mapping mapping, const SourceHead& head);

    void start(SourceRow& row);
    [[nodiscard]] SourceRow& row() { return *m_row; }
    [[nodiscard]] const IntakeKindInfo& info() const { return m_info; }
    [[nodiscard]] const SourceHead& head() const { return m_head; }
    [[nodiscard]] const MappedField& mapped(int field) const {
        return m_mapping[static_cast<std::size_t>(field)];
    }
    [[nodiscard]] bool holds(int field) const { return field >= 0 && mapped(field).column >= 0; }

    /// Trimmed; empty where there is nothing.
    [[nodiscard]] std::string text(int field) const;
    /// A number in the field's own unit; nothing where the cell is empty or says that it is ("-", "n/a",
    /// "null"). A text that is no number refuses the row.
    std::optional<double> number(int field);
    /// The same, refused outside [low, high].
    std::optional<double> number(int field, double low, double high);
    std::optional<std::int32_t> whole(int field, std::int32_t low, std::int32_t high);
    std::optional<bool> yes(int field);
    std::vector<double> list(int field);
    /// One of `words`, whatever its case, or its first letters where that is enough; its place in the list.
    std::optional<std::size_t> choice(int field, const std::vector<std::string>& words);
    /// The same by the written names of an enumeration.
    template <class E>
    std::optional<E> choice(int field) {
        if (!holds(field)) return std::nullopt;
        static const std::vector<std::string> kWords(EnumNames<E>::names.begin(), EnumNames<E>::names.end());
        const auto chosen = choice(field, kWords);
        return chosen ? std::optional<E>(static_cast<E>(*chosen)) : std::nullopt;
    }

    /// LTE or NR by what people write: "4G", "LTE800", "5G NR", "sub6", "FR1". Refused: words of neither, of
    /// both, and of others.
    std::optional<Technology> technology(int field);

    void refuse(int field, std::string reason);
    /// The row as a whole, or a column by its name.
    void refuse(std::string reason, std::string column = {}, const std::string& value = {});
    [[nodiscard]] bool refused() const { return m_refused.has_value(); }
    /// Of the row at hand, with its values.
    [[nodiscard]] RefusedRow refusal() const;
    /// The row's values as text, by column.
    [[nodiscard]] std::vector<std::string> texts() const;

private:
    [[nodiscard]] const SourceValue& value(int field) const;
    Result<double> read(const IntakeField& field, const MappedField& m, const std::string& text) const;
    [[nodiscard]] double inOwnUnit(double v, const IntakeField& field, const std::string& unit) const;

    const IntakeKindInfo& m_info;
    Mapping m_mapping;
    const SourceHead& m_head;
    NumberStyle m_style;
    SourceRow* m_row = nullptr;
    std::optional<RefusedRow> m_refused;
};

/// "-", "n/a", "NULL", ... and blanks: the cell says nothing.
bool saysNothing(std::string_view text);
/// A value as its file would write it.
std::string textOf(const SourceValue& value);

} // namespace fw
