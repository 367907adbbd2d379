// SPDX-License-Identifier: GPL-3.0-or-later
// Tiles that lie in an SQLite file: MBTiles and GeoPackage, through SQLite alone, so that nothing the file
// carries is computed. Sources: MBTiles 1.3; OGC 12-128r18, 2.2.
#pragma once

#include "gpkg/sqlite.h"
#include "intake/file_gate.h"
#include "intake/source_system.h"
#include "intake/tile_pyramid.h"

#include <optional>

namespace fw {

struct PackageTiles {
    std::vector<TileLevel> levels; ///< the coarsest first
    FoundSystem system;
    std::string layer; ///< the table
    std::string title, attribution;
    Box bounds;                      ///< in the tiles' system, of what there is; empty: not said
    std::vector<std::string> layers; ///< tables with tiles that the file has
};

/// One connection, for one thread.
class TileBase {
public:
    /// @param layer  of a GeoPackage; empty: the first one.
    /// Refused by a sentence: no tiles, tiles with lines and areas in place of pictures, tiles that are
    /// computed when looked at, measures that make no sense.
    static Result<TileBase> open(const AdmittedFile& file, const std::string& layer);

    [[nodiscard]] const PackageTiles& about() const { return m_about; }
    /// Null where there is none, or it is damaged.
    std::shared_ptr<const Picture> tile(const TileLevel& level, std::int64_t col, std::int64_t row);

private:
    explicit TileBase(Database db) : m_db(std::move(db)) {}
    Status openMbTiles();
    Status openPackage(const std::string& layer);
    Status readMatrices(const std::string& table, std::int64_t srsId);
    Result<std::string> metadata(const char* name);
    Status lookAtFirst();

    Database m_db;
    Statement m_find;
    bool m_fromSouth = false; ///< rows are counted from the south
    PackageTiles m_about;
};

/// Words of a text in HTML: without elements, entities as the characters they stand for; at most 300
/// characters.
std::string plainWords(const std::string& html);

} // namespace fw
