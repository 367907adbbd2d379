// SPDX-License-Identifier: GPL-3.0-or-later
// Which column of a file holds which field.
#pragma once

#include "intake/kinds.h"
#include "intake/source.h"

#include <filesystem>
#include <map>

namespace fw {

/// One field of a kind and where it comes from.
struct MappedField {
    int field = -1;   ///< in the kind's list
    int column = -1;  ///< in the head's list, -1: no column holds it
    std::string unit; ///< of the column: as the user said, as its header says, else the field's own
    enum class By : std::uint8_t { nobody, header, memory, user } by = By::nobody;
    bool unitSaid = false; ///< the unit stands in the header or came from the user
};
/// One entry a field, in the order of the kind's list.
using Mapping = std::vector<MappedField>;

/// What a user may say of one field: a column by its name, and its unit.
struct MapWord {
    std::string column; ///< empty with `unit` empty too: this field shall not be taken from the file
    std::string unit;
};
using MapWords = std::map<std::string, MapWord>;
/// From "height_m=HOEHE", "height_m=HOEHE:ft", "height_m=:ft" (the unit alone), "height_m=" (leave out).
/// Refused: anything without an equals sign.
Result<std::pair<std::string, MapWord>> mapWordFrom(std::string_view text);

/// Guesses by the headers, every column once; then what is remembered for just these headers, then what the
/// user says. Refused by a sentence that lists what there is: fields and columns that do not exist, units
/// that the field cannot have.
Result<Mapping> mappingFor(const IntakeKindInfo& info, const SourceHead& head, const MapWords& said,
                           const MapWords& remembered = {});
/// Units a field may come in; the plan's first.
std::vector<std::string> unitsOf(const IntakeField& field);
/// Fields without which no row can be used and that no column holds.
std::vector<int> missingFields(const IntakeKindInfo& info, const Mapping& mapping);

/// Mappings that users made, by the headers they were made for; one JSON file. Errors are never fatal: a
/// memory that cannot be read is empty.
class MappingMemory {
public:
    explicit MappingMemory(std::filesystem::path file) : m_file(std::move(file)) {}
    [[nodiscard]] MapWords recall(const IntakeKindInfo& info, const SourceHead& head) const;
    Status remember(const IntakeKindInfo& info, const SourceHead& head, const Mapping& mapping);

private:
    std::filesystem::path m_file;
};
/// fringewright/mappings.json in $XDG_CONFIG_HOME, or in ~/.config where that is not set.
std::filesystem::path mappingMemoryFile();

} // namespace fw
