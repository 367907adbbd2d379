// SPDX-License-Identifier: GPL-3.0-or-later
// A file of rows that somebody hands in: what it says of itself, and its rows one after the other. What the
// values mean for a plan is the matter of the kinds of intake (intake/kinds.h).
#pragma once

#include "base/job.h"
#include "base/result.h"
#include "geo/shape.h"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace fw {

/// A value as the file has it: nothing, a number where the format has types, else text (UTF-8, trimmed).
/// Text files have text alone; value_reader.h makes numbers of it.
using SourceValue = std::variant<std::monostate, double, std::string>;

/// Geometry of one row in the file's own system: x is east or longitude, y north or latitude, whatever order
/// the format writes. Of multi-geometries every part is here; Z and M are dropped.
struct SourceShape {
    std::vector<PlanePoint> points;
    std::vector<Line> lines;
    std::vector<Polygon> areas; ///< rings without the repeated corner, either way round, not yet valid
    std::string fault;          ///< why there is none, as a clause: "its geometry is empty"

    [[nodiscard]] bool empty() const { return points.empty() && lines.empty() && areas.empty(); }
};

struct SourceRow {
    std::int64_t number = 0; ///< as the user finds it: line of a text file, row of a sheet, feature id
    std::vector<SourceValue> values; ///< by column of the head
    SourceShape shape;
    std::string
        fault; ///< why the row as a whole is to be refused, as a clause: "it has 9 fields, the header 7"
};

struct SourceColumn {
    std::string name;                 ///< as in the file, trimmed
    bool numeric = false;             ///< the format itself says that it holds numbers
    std::vector<std::string> samples; ///< up to five values from the first rows, as text, empty ones left out
    std::string unit = {};            ///< as a line under the header says (units_row.h); mostly empty
};

/// What a file says of itself.
struct SourceHead {
    std::filesystem::path file;
    std::string format; ///< "text", "XLSX", "GeoPackage", "GeoJSON", ...
    std::string layer;  ///< empty where the format has none
    std::vector<SourceColumn> columns;
    bool hasShapes = false;
    std::string shapes;                   ///< in words: "polygons", "points and lines"
    std::string wkt;                      ///< the file's reference system (WKT); empty: it names none
    int epsg = 0;                         ///< its code, 0: unknown
    std::string crsName;                  ///< as the file or the registry calls it
    std::optional<std::int64_t> rowCount; ///< where the format knows it without reading all
    char delimiter = '\0';                ///< of text files: parts the columns
    char decimal = '.';                   ///< of text files: decimal sign
    char thousands = '\0';                ///< of text files: separator of thousands, none
    std::vector<std::string> preamble;    ///< lines of a text file before its header
    std::vector<std::string> notes;       ///< sentences for the preview: "Read as UTF-16, semicolons."
    struct Doubt {
        std::string text;        ///< a sentence
        char decimal = '\0';     ///< the decimal sign that would make it otherwise
        std::int32_t column = 0; ///< of which it is
    };
    std::vector<Doubt> doubts = {}; ///< what somebody should look at before the rows are used
};

/// What the user settles where a file leaves it open. Unset: found by looking at the file.
struct SourceOptions {
    std::string layer;
    std::optional<char> delimiter;
    std::string encoding; ///< "utf-8", "utf-16le", "utf-16be", "latin-1"
    std::optional<char> decimal;
    std::optional<std::int64_t> headerLine; ///< 1-based; 0: there is none
};

/// An opened file. For one thread at a time.
class Source {
public:
    Source() = default;
    virtual ~Source() = default;
    Source(const Source&) = delete;
    Source& operator=(const Source&) = delete;

    [[nodiscard]] virtual const SourceHead& head() const = 0;
    /// Calls f with each row in the order of the file; the row is reused, f may move out of it. Ends early
    /// when f gives false. May be called again. An error with ErrorCode::cancelled when the job was stopped;
    /// looks at that at least every 50 ms, and reports its share 0..1 where it can tell.
    virtual Status forEachRow(const Job& job, const std::function<bool(SourceRow&)>& f) = 0;
};

/// A layer of a file, with the number of rows where it is known.
struct SourceLayer {
    std::string name;
    std::optional<std::int64_t> rows;
    std::string shapes;
};

/// Opens a file by what is in it and what it is called. Refused by a sentence: what file_gate.h refuses,
/// files of no format on the list, several layers where none is named (the sentence lists them). The job can
/// stop it where opening reads the whole file.
/// @param layers  becomes what layersOf() gives, also where several layers are why there is no source.
Result<std::unique_ptr<Source>> openSource(const std::filesystem::path& file,
                                           const SourceOptions& options = {}, const Job& job = {},
                                           std::vector<SourceLayer>* layers = nullptr);

/// The layers a file has; none for text files.
Result<std::vector<SourceLayer>> layersOf(const std::filesystem::path& file, const Job& job = {});

} // namespace fw
