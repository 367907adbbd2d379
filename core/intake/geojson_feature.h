// SPDX-License-Identifier: GPL-3.0-or-later
// One feature of GeoJSON as a row. Source: RFC 7946, 3.1 and 3.2.
#pragma once

#include "intake/json_cursor.h"
#include "intake/source.h"

#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace fw {

/// Columns by the names of properties.
class GeoJsonColumns {
public:
    /// Index of a name that mostly follows the one before it; nothing when it is new and none may be added.
    std::optional<std::size_t> find(std::string_view name, std::size_t likely);
    void close() { m_open = false; }
    [[nodiscard]] std::size_t size() const { return m_columns.size(); }
    /// Takes note of a value, for samples and for what the column holds.
    void look(const SourceRow& row);
    /// With `numeric` for those that held numbers alone.
    [[nodiscard]] std::vector<SourceColumn> columns() const;

private:
    struct Column {
        SourceColumn head;
        bool numbers = false, others = false;
    };
    std::vector<Column> m_columns;
    std::unordered_map<std::string, std::size_t> m_byName;
    bool m_open = true;
};

/// Reads features; keeps its buffers from one to the next.
class GeoJsonFeatures {
public:
    explicit GeoJsonFeatures(GeoJsonColumns& columns) : m_columns(columns) {}

    /// The value at the cursor as a row. What is no feature is a row with a fault. False where the JSON is
    /// broken or ends.
    /// @param ordinal  its number in the file, which a whole number as id replaces.
    bool read(JsonCursor& c, std::int64_t ordinal, SourceRow& row);
    /// The same of a geometry alone.
    bool readGeometry(JsonCursor& c, std::int64_t ordinal, SourceRow& row);

private:
    struct Mark {
        int depth;
        std::size_t points;
    };
    void clear(std::int64_t ordinal, SourceRow& row) const;
    bool member(JsonCursor& c, std::string_view key, SourceRow& row);
    bool properties(JsonCursor& c, SourceRow& row);
    bool value(JsonCursor& c, SourceValue& to);
    bool id(JsonCursor& c, SourceRow& row);
    bool geometry(JsonCursor& c, SourceShape& shape, int depth);
    bool geometries(JsonCursor& c, SourceShape& shape, int depth);
    bool coordinates(JsonCursor& c, int depth);
    bool position(JsonCursor& c, int depth);
    void build(std::string_view type, SourceShape& shape);
    void buildAreas(int ringDepth, SourceShape& shape);
    [[nodiscard]] Line slice(std::size_t from, std::size_t to) const;

    GeoJsonColumns& m_columns;
    std::vector<PlanePoint> m_points;
    std::vector<Mark> m_marks; ///< where an array that is no position ended
    int m_depth = -1;          ///< of the positions; -2 where they differ
    const char* m_bad = nullptr;
    bool m_isFeature = false, m_hasGeometry = false;
    std::string m_key;
};

} // namespace fw
