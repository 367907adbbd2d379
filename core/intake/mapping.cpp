// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/mapping.h"

#include <algorithm>
#include <fmt/format.h>
#include <fmt/ranges.h>

namespace fw {

namespace {

std::vector<std::string_view> wordsOf(std::string_view list) {
    std::vector<std::string_view> out;
    for (std::size_t from = 0; from < list.size();) {
        const std::size_t end = std::min(list.find(' ', from), list.size());
        if (end > from) out.push_back(list.substr(from, end - from));
        from = end + 1;
    }
    return out;
}

// How well a header names a field: 0 not at all; earlier synonyms and the field's own name count more.
int likeness(const IntakeField& field, const SourceColumn& column) {
    const FoldedHeader cut = foldedHeader(column.name), own = foldedHeader(field.name);
    if (column.name == field.name) return 1000;
    if (!cut.name.empty() && cut.name == own.name) return 900;
    const auto words = wordsOf(field.headers);
    const std::string whole = cut.unit.empty() ? cut.name : foldedHeader(column.name + " ").name;
    for (std::size_t k = 0; k < words.size(); ++k)
        if (words[k] == cut.name || words[k] == whole) return 800 - static_cast<int>(k);
    return 0;
}

bool takesUnit(const IntakeField& field, const std::string& unit) {
    const auto units = unitsOf(field);
    return std::find(units.begin(), units.end(), unit) != units.end();
}

void giveColumn(MappedField& to, const IntakeField& field, const SourceHead& head, int column,
                MappedField::By by) {
    to.column = column;
    to.by = by;
    to.unit = field.unit;
    to.unitSaid = false;
    if (column < 0) return;
    const SourceColumn& taken = head.columns[static_cast<std::size_t>(column)];
    const std::string unit = taken.unit.empty() ? foldedHeader(taken.name).unit : taken.unit;
    if (unit.empty() || !takesUnit(field, unit)) return;
    to.unit = unit;
    to.unitSaid = true;
}

Mapping guessed(const IntakeKindInfo& info, const SourceHead& head) {
    struct Guess {
        int likeness, field, column;
    };
    std::vector<Guess> guesses;
    for (int f = 0; f < static_cast<int>(info.fields.size()); ++f)
        for (int c = 0; c < static_cast<int>(head.columns.size()); ++c)
            if (const int l = likeness(info.fields[static_cast<std::size_t>(f)],
                                       head.columns[static_cast<std::size_t>(c)]))
                guesses.push_back({l, f, c});
    std::stable_sort(guesses.begin(), guesses.end(),
                     [](const Guess& a, const Guess& b) { return a.likeness > b.likeness; });
    Mapping out(info.fields.size());
    std::vector<bool> taken(head.columns.size(), false);
    for (std::size_t f = 0; f < out.size(); ++f) {
        out[f].field = static_cast<int>(f);
        out[f].unit = info.fields[f].unit;
    }
    for (const Guess& g : guesses) {
        MappedField& to = out[static_cast<std::size_t>(g.field)];
        if (to.column >= 0 || taken[static_cast<std::size_t>(g.column)]) continue;
        taken[static_cast<std::size_t>(g.column)] = true;
        giveColumn(to, info.fields[static_cast<std::size_t>(g.field)], head, g.column,
                   MappedField::By::header);
    }
    return out;
}

std::string listOf(const std::vector<std::string>& names) {
    constexpr std::size_t kShown = 30;
    std::vector<std::string> some(
        names.begin(), names.begin() + static_cast<std::ptrdiff_t>(std::min(kShown, names.size())));
    const char* more = names.size() > kShown ? ", ..." : "";
    return fmt::format("{}{}", fmt::join(some, ", "), more);
}

Result<int> columnCalled(const SourceHead& head, const std::string& name) {
    std::vector<std::string> names;
    for (std::size_t c = 0; c < head.columns.size(); ++c) {
        if (head.columns[c].name == name) return static_cast<int>(c);
        names.push_back(head.columns[c].name);
    }
    for (std::size_t c = 0; c < head.columns.size(); ++c) // then without looking at case and signs
        if (foldedHeader(head.columns[c].name + " ").name == foldedHeader(name + " ").name)
            return static_cast<int>(c);
    return Error{ErrorCode::badInput, names.empty() ? std::string("The file has no columns.")
                                                    : fmt::format("There is no column \"{}\"; there are {}.",
                                                                  name, listOf(names))};
}

Status follow(const IntakeKindInfo& info, const SourceHead& head, const MapWords& words, MappedField::By by,
              Mapping& mapping) {
    for (const auto& [name, word] : words) {
        const int f = fieldNumber(info, name);
        if (f < 0) {
            std::vector<std::string> names;
            for (const IntakeField& field : info.fields) names.emplace_back(field.name);
            return Error{ErrorCode::badInput, fmt::format("{} have no field \"{}\"; they have {}.",
                                                          info.words, name, listOf(names))};
        }
        const IntakeField& field = info.fields[static_cast<std::size_t>(f)];
        MappedField& to = mapping[static_cast<std::size_t>(f)];
        if (!word.column.empty() || word.unit.empty()) {
            int column = -1;
            if (!word.column.empty()) {
                const auto found = columnCalled(head, word.column);
                if (!found) return found.error();
                column = *found;
                for (MappedField& other : mapping) // a column that was guessed for another field is free now
                    if (&other != &to && other.column == column && other.by != MappedField::By::user)
                        giveColumn(other, info.fields[static_cast<std::size_t>(other.field)], head, -1,
                                   MappedField::By::nobody);
            }
            giveColumn(to, field, head, column, by);
        }
        if (word.unit.empty()) continue;
        if (!takesUnit(field, word.unit))
            return Error{ErrorCode::badInput,
                         unitsOf(field).empty()
                             ? fmt::format("The field \"{}\" has no unit.", name)
                             : fmt::format("\"{}\" is no unit for the field \"{}\"; it takes {}.", word.unit,
                                           name, listOf(unitsOf(field)))};
        to.unit = word.unit;
        to.unitSaid = true;
    }
    return Done{};
}

} // namespace

Result<std::pair<std::string, MapWord>> mapWordFrom(std::string_view text) {
    const std::size_t equals = text.find('=');
    if (equals == std::string_view::npos || equals == 0)
        return Error{ErrorCode::badInput,
                     fmt::format("\"{}\" maps nothing; write field=column or field=column:unit.", text)};
    MapWord word;
    std::string_view rest = text.substr(equals + 1);
    // A column's name may hold colons; a unit is short and the last part.
    const std::size_t colon = rest.rfind(':');
    if (colon != std::string_view::npos && rest.size() - colon <= 7 &&
        rest.find(' ', colon) == std::string_view::npos) {
        word.unit = std::string(rest.substr(colon + 1));
        rest = rest.substr(0, colon);
    }
    word.column = std::string(rest);
    return std::pair{std::string(text.substr(0, equals)), std::move(word)};
}

std::vector<std::string> unitsOf(const IntakeField& field) {
    switch (field.type) {
    case FieldType::length:
        return {"m", "ft", "km", "cm"};
    case FieldType::azimuth:
    case FieldType::tilt:
        return {"deg", "rad"};
    case FieldType::level:
        return {"dBm", "dBW", "W", "mW"};
    case FieldType::share:
        return {"1", "%"};
    default:
        break;
    }
    const std::string_view unit = field.unit;
    if (unit == "Mbit/s") return {"Mbit/s", "kbit/s"};
    if (unit == "kV") return {"kV", "V"};
    if (unit == "MHz") return {"MHz", "kHz"};
    if (unit.empty()) return {};
    return {std::string(unit)};
}

Result<Mapping> mappingFor(const IntakeKindInfo& info, const SourceHead& head, const MapWords& said,
                           const MapWords& remembered) {
    Mapping out = guessed(info, head);
    // What is remembered may be of an older version: what does not fit any more is passed over.
    Mapping recalled = out;
    if (follow(info, head, remembered, MappedField::By::memory, recalled).ok()) out = std::move(recalled);
    if (Status s = follow(info, head, said, MappedField::By::user, out); !s.ok()) return s.error();
    return out;
}

std::vector<int> missingFields(const IntakeKindInfo& info, const Mapping& mapping) {
    std::vector<int> out;
    for (const MappedField& m : mapping)
        if (info.fields[static_cast<std::size_t>(m.field)].needed && m.column < 0) out.push_back(m.field);
    return out;
}

} // namespace fw
