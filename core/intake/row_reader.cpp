// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/row_reader.h"

#include "base/ascii.h"
#include "base/units.h"
#include "intake/technology_words.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <fmt/format.h>

namespace fw {

namespace {

std::string shortened(const std::string& text) {
    constexpr std::size_t kShown = 80;
    if (text.size() <= kShown) return text;
    std::size_t end = kShown;
    while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0u) == 0x80u) --end; // no cut in a letter
    return text.substr(0, end) + "...";
}

} // namespace

bool saysNothing(std::string_view text) {
    static constexpr std::array kNothing{"",    "-",    "--",  "n/a",  "na", "null",
                                         "nil", "none", "nan", "#n/a", "?"};
    const std::string low = lowered(text);
    return std::any_of(kNothing.begin(), kNothing.end(), [&](const char* each) { return low == each; });
}

std::string textOf(const SourceValue& value) {
    if (const auto* text = std::get_if<std::string>(&value)) return *text;
    if (const auto* number = std::get_if<double>(&value)) return fmt::format("{}", *number);
    return {};
}

RowReader::RowReader(const IntakeKindInfo& info, Mapping mapping, const SourceHead& head)
    : m_info(info), m_mapping(std::move(mapping)), m_head(head), m_style{head.decimal, head.thousands} {}

void RowReader::start(SourceRow& row) {
    m_row = &row;
    m_refused.reset();
}

const SourceValue& RowReader::value(int field) const {
    static const SourceValue kNothing;
    if (field < 0) return kNothing;
    const int column = mapped(field).column;
    if (column < 0 || static_cast<std::size_t>(column) >= m_row->values.size()) return kNothing;
    return m_row->values[static_cast<std::size_t>(column)];
}

std::string RowReader::text(int field) const {
    std::string text = textOf(value(field));
    return saysNothing(text) ? std::string() : text;
}

double RowReader::inOwnUnit(double v, const IntakeField& field, const std::string& unit) const {
    if (unit.empty() || unit == field.unit) return v;
    if (unit == "ft") return v * kFootM;
    if (unit == "km") return v * 1000;
    if (unit == "cm") return v / 100;
    if (unit == "rad") return degrees(v);
    if (unit == "%") return v / 100;
    if (unit == "dBW") return v + 30;
    if (unit == "W") return 10 * std::log10(v) + 30;
    if (unit == "mW") return 10 * std::log10(v);
    if (unit == "kbit/s" || unit == "kHz" || unit == "V") return v / 1000;
    return v;
}

Result<double> RowReader::read(const IntakeField& field, const MappedField& m,
                               const std::string& text) const {
    switch (field.type) {
    case FieldType::length:
        return lengthFrom(text, m_style, m.unit);
    case FieldType::latitude:
        return coordinateFrom(text, m_style, Axis::latitude);
    case FieldType::longitude:
        return coordinateFrom(text, m_style, Axis::longitude);
    case FieldType::share:
        return shareFrom(text, m_style, m.unit == "%");
    default:
        break;
    }
    const auto got = quantityFrom(text, m_style);
    if (!got) return got.error();
    std::string unit = m.unit;
    if (!got->unit.empty()) {
        unit = foldedHeader(fmt::format("x [{}]", got->unit)).unit;
        const auto units = unitsOf(field);
        if (std::find(units.begin(), units.end(), unit) == units.end())
            return Error{ErrorCode::badInput,
                         fmt::format("\"{}\" is no unit of this field{}", got->unit,
                                     units.empty() ? "" : fmt::format(", which is in {}", field.unit))};
    }
    return inOwnUnit(got->value, field, unit);
}

std::optional<double> RowReader::number(int field) {
    if (refused() || field < 0) return std::nullopt;
    const SourceValue& v = value(field);
    if (std::holds_alternative<std::monostate>(v)) return std::nullopt;
    const IntakeField& f = m_info.fields[static_cast<std::size_t>(field)];
    const MappedField& m = mapped(field);
    double result = 0;
    if (const auto* number = std::get_if<double>(&v)) {
        result = inOwnUnit(*number, f, m.unit);
    } else {
        const std::string& text = std::get<std::string>(v);
        if (saysNothing(text)) return std::nullopt;
        const auto got = read(f, m, text);
        if (!got) {
            refuse(field, got.error().text);
            return std::nullopt;
        }
        result = *got;
    }
    if (std::isfinite(result)) return result;
    refuse(field, "is not a number that can be used");
    return std::nullopt;
}

std::optional<double> RowReader::number(int field, double low, double high) {
    const auto v = number(field);
    if (!v || (*v >= low && *v <= high)) return v;
    const IntakeField& f = m_info.fields[static_cast<std::size_t>(field)];
    const std::string unit = *f.unit && f.unit != std::string_view("1") ? fmt::format(" {}", f.unit) : "";
    refuse(field, fmt::format("lies outside {:g} to {:g}{}", low, high, unit));
    return std::nullopt;
}

std::optional<std::int32_t> RowReader::whole(int field, std::int32_t low, std::int32_t high) {
    const auto v = number(field, low, high);
    if (!v) return std::nullopt;
    const double rounded = std::round(*v);
    if (std::fabs(*v - rounded) < 1e-9) return static_cast<std::int32_t>(rounded);
    refuse(field, "is not a whole number");
    return std::nullopt;
}

std::optional<bool> RowReader::yes(int field) {
    if (refused()) return std::nullopt;
    const std::string said = text(field);
    if (said.empty()) return std::nullopt;
    const auto got = yesFrom(said);
    if (got) return *got;
    refuse(field, got.error().text);
    return std::nullopt;
}

std::vector<double> RowReader::list(int field) {
    std::vector<double> out;
    if (refused()) return out;
    const std::string all = text(field);
    // Where the comma is the decimal sign it parts nothing.
    const std::string_view parts = m_style.decimal == ',' ? " ;|/" : " ,;|/";
    for (std::size_t from = 0; from < all.size();) {
        const std::size_t end = std::min(all.find_first_of(parts, from), all.size());
        if (end > from) {
            const auto got = numberFrom(std::string_view(all).substr(from, end - from), m_style);
            if (!got) {
                refuse(field, got.error().text);
                return {};
            }
            out.push_back(*got);
        }
        from = end + 1;
    }
    return out;
}

std::optional<std::size_t> RowReader::choice(int field, const std::vector<std::string>& words) {
    if (refused()) return std::nullopt;
    const std::string said = lowered(text(field));
    if (said.empty()) return std::nullopt;
    std::optional<std::size_t> begun;
    int begins = 0;
    for (std::size_t k = 0; k < words.size(); ++k) {
        const std::string word = lowered(words[k]);
        if (said == word) return k;
        if (!word.starts_with(said) && !said.starts_with(word)) continue;
        begun = k;
        ++begins;
    }
    if (begins == 1) return begun;
    std::string list;
    for (const std::string& word : words) list += (list.empty() ? "" : ", ") + word;
    refuse(field, "is none of " + list);
    return std::nullopt;
}

std::optional<Technology> RowReader::technology(int field) {
    if (refused() || !holds(field)) return std::nullopt;
    const std::string said = text(field);
    if (said.empty() || saysNothing(said)) return std::nullopt;
    const auto got = technologyFrom(said);
    if (got) return *got;
    refuse(field, got.error().text);
    return std::nullopt;
}

void RowReader::refuse(int field, std::string reason) {
    if (m_refused) return;
    const int column = field < 0 ? -1 : mapped(field).column;
    const std::string name =
        column < 0 ? std::string() : m_head.columns[static_cast<std::size_t>(column)].name;
    m_refused = RefusedRow{m_row->number, name, shortened(textOf(value(field))), std::move(reason), {}};
}

void RowReader::refuse(std::string reason, std::string column, const std::string& value) {
    if (m_refused) return;
    m_refused = RefusedRow{m_row->number, std::move(column), shortened(value), std::move(reason), {}};
}

std::vector<std::string> RowReader::texts() const {
    std::vector<std::string> out;
    out.reserve(m_row->values.size());
    for (const SourceValue& v : m_row->values) out.push_back(textOf(v));
    return out;
}

RefusedRow RowReader::refusal() const {
    RefusedRow out = *m_refused;
    out.values = texts();
    return out;
}

} // namespace fw
