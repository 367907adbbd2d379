// SPDX-License-Identifier: GPL-3.0-or-later
// What can be taken in, and which fields each kind has: the one table that mapping, preview, templates and
// documentation are made from.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace fw {

enum class IntakeKind : std::uint8_t {
    sites,
    sectors,
    cells,
    counters,
    timingAdvance,
    cqi,
    mounts,
    areas,
    buildings,
    obstructions,
    trees,
    lines,
    fibre,
    power,
    streets,
    antennas,
    measurements,
    terrain,
    demand,
    landCover,
};
inline constexpr int kIntakeKinds = static_cast<int>(IntakeKind::landCover) + 1;

/// How the text of a field is read, and which units it may come in; the first unit is the plan's.
enum class FieldType : std::uint8_t {
    text,
    number,    ///< unit as the field says
    whole,     ///< a whole number
    length,    ///< m, ft, km, cm
    azimuth,   ///< deg, rad; clockwise from true north
    tilt,      ///< deg, rad; down positive
    latitude,  ///< deg, any spelling
    longitude, ///< deg, any spelling
    plane,     ///< east or north in the file's system
    level,     ///< dBm, dBW, W, mW
    share,     ///< 1 (a share 0..1), %
    yes,       ///< yes or no
    choice,    ///< one of a few words
    hour,      ///< day and hour
    list,      ///< numbers parted by spaces, commas, semicolons or bars
};

struct IntakeField {
    const char* name;  ///< as users write it in --map: as in plan/fields.h where it is one of those
    const char* words; ///< "height"
    FieldType type;
    const char* unit;    ///< "m", or ""
    bool needed;         ///< without it no row can be used
    const char* headers; ///< what columns that hold it are called, folded (foldedHeader), parted by blanks
    const char* example; ///< for templates
    const char* note;    ///< one clause for templates and help
};

/// What a row's place may be given by.
enum class PlaceNeed : std::uint8_t { none, point, line, area, pointMaybe };

struct IntakeKindInfo {
    IntakeKind kind;
    const char* name;  ///< as commands take it: "fibre-points"
    const char* words; ///< "fibre points"
    const char* what;  ///< one sentence: what a row is
    PlaceNeed place;
    bool raster;
    std::span<const IntakeField> fields;
};

const IntakeKindInfo& infoOf(IntakeKind kind);
/// By the name that commands take; nothing for others.
std::optional<IntakeKind> intakeKindNamed(std::string_view name);
/// Place of a field in its kind's list, -1 for none.
int fieldNumber(const IntakeKindInfo& info, std::string_view name);

/// Lower-case letters and digits of a column's name, common accents taken off; what stands in brackets at the
/// end, or after the last underscore where it is a unit, is cut off and handed out as `unit`.
struct FoldedHeader {
    std::string name;
    std::string unit; ///< "m", "ft", "deg", "%", ... or empty
};
FoldedHeader foldedHeader(std::string_view column);
/// The unit that a word means, as the fields write it: "metres" is "m". Empty for other words.
std::string unitOfWord(std::string_view word);

/// A table with the headers and an example, as CSV: what `template KIND` prints. One row; of antennas the
/// rows of a whole antenna. Taken in, nothing of it looks doubtful. Empty for rasters.
std::string templateOf(IntakeKind kind);

} // namespace fw
