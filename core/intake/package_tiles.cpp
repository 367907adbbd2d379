// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/package_tiles.h"

#include "base/ascii.h"
#include "base/text.h"
#include "geo/web_grid.h"
#include "intake/package_source.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

namespace fw {
namespace {

Error noTiles() {
    return badInput(
        CORE_TEXT("The file holds no tiles of a picture. Choose one that does, or take its rows in "
                  "as a file."));
}

Error computed() {
    return badInput(
        CORE_TEXT("The tiles of this file are computed when they are looked at, which is not done. Write "
                  "them anew as GeoPackage or MBTiles."));
}

/// "left,bottom,right,top" in degrees (MBTiles 1.3, "Content").
Box webBoundsFrom(const std::string& text) {
    std::array<double, 4> v{};
    const char *at = text.data(), *end = at + text.size();
    for (double& x : v) {
        while (at < end && (*at == ' ' || *at == ',')) ++at;
        const auto read = std::from_chars(at, end, x);
        if (read.ec != std::errc{}) return {};
        at = read.ptr;
    }
    const auto clampLat = [](double lat) { return std::clamp(lat, -85.05, 85.05); };
    const auto a = toWeb({clampLat(v[1]), v[0]}), b = toWeb({clampLat(v[3]), v[2]});
    return a && b ? Box{a->x, a->y, b->x, b->y} : Box{};
}

} // namespace

std::string plainWords(const std::string& html) {
    constexpr std::array<std::pair<const char*, const char*>, 7> kEntities{{{"&copy;", "\xc2\xa9"},
                                                                            {"&#169;", "\xc2\xa9"},
                                                                            {"&nbsp;", " "},
                                                                            {"&lt;", "<"},
                                                                            {"&gt;", ">"},
                                                                            {"&quot;", "\""},
                                                                            {"&amp;", "&"}}};
    std::string words;
    constexpr std::size_t kMostRead = 10000; // of what a file of unknown origin may make long
    std::size_t end = std::min(html.size(), kMostRead);
    const auto within = [](char c) { return (static_cast<unsigned char>(c) & 0xc0) == 0x80; }; // a character
    while (end > 0 && end < html.size() && within(html[end])) --end;
    for (std::size_t at = 0; at < end; ++at) {
        const char c = html[at];
        if (c == '<') {
            at = std::min(html.find('>', at), html.size());
            continue;
        }
        const bool space = static_cast<unsigned char>(c) <= ' ';
        if (space && (words.empty() || words.back() == ' ')) continue;
        words += space ? ' ' : c;
    }
    for (const auto& [entity, character] : kEntities)
        for (std::size_t at = words.find(entity); at != words.npos; at = words.find(entity, at + 1))
            words.replace(at, std::string_view(entity).size(), character);
    while (!words.empty() && words.back() == ' ') words.pop_back();
    constexpr std::size_t kMost = 300;
    if (words.size() <= kMost) return words;
    std::size_t cut = kMost;
    while (cut > 0 && within(words[cut])) --cut;
    return words.substr(0, cut) + "...";
}

Result<TileBase> TileBase::open(const AdmittedFile& file, const std::string& layer) {
    const auto here = [&](Error e) {
        e.context = file.whole.string();
        return e;
    };
    auto db = Database::open(file.whole, Database::Mode::read);
    if (!db) return here(db.error());
    TileBase base(std::move(*db));
    Status s = file.format == FileFormat::mbTiles ? base.openMbTiles() : base.openPackage(layer);
    if (s.ok()) s = base.lookAtFirst();
    if (!s) return here(s.error());
    return base;
}

Result<std::string> TileBase::metadata(const char* name) {
    const auto has = m_db.hasTable("metadata");
    if (!has) return has.error();
    if (!*has) return std::string();
    auto find = m_db.prepare("SELECT value FROM metadata WHERE name=?");
    if (!find) return find.error();
    find->bind(1, std::string_view(name));
    const auto row = find->step();
    if (!row) return row.error();
    return *row ? find->text(0) : std::string();
}

Status TileBase::openMbTiles() {
    for (const auto& [name, to] :
         {std::pair{"name", &m_about.title}, {"attribution", &m_about.attribution}}) {
        const auto value = metadata(name);
        if (!value) return value.error();
        *to = plainWords(*value);
    }
    const auto format = metadata("format"), bounds = metadata("bounds");
    if (format && lowered(*format) == "pbf")
        return badInput(
            CORE_TEXT("The tiles of this file hold lines and areas, not pictures. Choose a file with "
                      "PNG, JPEG or WebP tiles."));
    const auto tiles = m_db.hasTable("tiles"), map = m_db.hasTable("map"), images = m_db.hasTable("images");
    for (const auto* has : {&tiles, &map, &images})
        if (!*has) return has->error();
    // Many writers keep each picture once and join by a view: the same is asked of the tables themselves.
    const std::string from = *tiles ? "tiles" : "map";
    if (!*tiles && !(*map && *images)) {
        const auto any = m_db.number("SELECT count(*) FROM sqlite_master WHERE name='tiles'");
        return any && *any > 0 ? computed() : noTiles();
    }
    const auto first = m_db.number("SELECT min(zoom_level) FROM " + from),
               last = m_db.number("SELECT max(zoom_level) FROM " + from),
               none = m_db.number("SELECT count(*) FROM (SELECT 1 FROM " + from + " LIMIT 1)");
    if (!first || !last || !none || *none == 0) return noTiles();
    if (*first < 0 || *last > kMostWebZoom)
        return badInput(
            fmt::format(CORE_TEXT("The file has tiles of zoom {} to {}; 0 to 24 are read."), *first, *last));
    auto find =
        m_db.prepare(*tiles ? "SELECT tile_data FROM tiles WHERE zoom_level=? AND tile_column=? AND "
                              "tile_row=?"
                            : "SELECT i.tile_data FROM map m JOIN images i ON i.tile_id=m.tile_id WHERE "
                              "m.zoom_level=? AND m.tile_column=? AND m.tile_row=?");
    if (!find) return find.error();
    m_find = std::move(*find);
    m_fromSouth = true; // as in the Tile Map Service
    m_about.levels = webLevels(static_cast<int>(*first), static_cast<int>(*last));
    m_about.system = systemFromCode(3857);
    m_about.layer = from;
    m_about.layers = {from};
    if (bounds) m_about.bounds = webBoundsFrom(*bounds);
    return Done{};
}

Status TileBase::openPackage(const std::string& layer) {
    for (const char* table : {"gpkg_contents", "gpkg_tile_matrix_set", "gpkg_tile_matrix"}) {
        const auto has = m_db.hasTable(table);
        if (!has) return has.error();
        if (!*has) return noTiles();
    }
    auto rows =
        m_db.prepare("SELECT s.table_name, s.srs_id, s.min_x, s.max_y, c.identifier, c.min_x, c.min_y, "
                     "c.max_x, c.max_y FROM gpkg_tile_matrix_set s JOIN gpkg_contents c ON "
                     "c.table_name=s.table_name WHERE c.data_type='tiles' ORDER BY s.table_name");
    if (!rows) return rows.error();
    std::int64_t srsId = 0;
    double left = 0, top = 0;
    for (;;) {
        const auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        const std::string table = rows->text(0);
        m_about.layers.push_back(table);
        if (!m_about.layer.empty() || (!layer.empty() && layer != table)) continue;
        m_about.layer = table;
        m_about.title = plainWords(rows->text(4));
        srsId = rows->integer(1);
        left = rows->real(2);
        top = rows->real(3);
        if (rows->isNumber(5) && rows->isNumber(8))
            m_about.bounds = {rows->real(5), rows->real(6), rows->real(7), rows->real(8)};
    }
    if (m_about.layers.empty()) return noTiles();
    if (m_about.layer.empty())
        return badInput(
            fmt::format(CORE_TEXT("The file has no tiles named \"{}\". Choose others of it."), layer));
    const auto real = m_db.hasTable(m_about.layer);
    if (!real) return real.error();
    if (!*real) return computed();
    if (Status s = readMatrices(m_about.layer, srsId); !s) return s;
    for (TileLevel& l : m_about.levels) {
        l.left = left;
        l.top = top;
    }
    auto find = m_db.prepare(
        fmt::format("SELECT tile_data FROM {} WHERE zoom_level=? AND tile_column=? AND tile_row=?",
                    sqlName(m_about.layer)));
    if (!find) return find.error();
    m_find = std::move(*find);
    return Done{};
}

Status TileBase::readMatrices(const std::string& table, std::int64_t srsId) {
    m_about.system = packageSystem(m_db, srsId);
    auto rows = m_db.prepare("SELECT zoom_level, matrix_width, matrix_height, tile_width, tile_height, "
                             "pixel_x_size, pixel_y_size FROM gpkg_tile_matrix WHERE table_name=?");
    if (!rows) return rows.error();
    rows->bind(1, std::string_view(table));
    for (;;) {
        const auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        constexpr std::int64_t kMostTiles = std::int64_t{1} << 40;
        const std::int64_t cols = rows->integer(1), count = rows->integer(2), w = rows->integer(3),
                           h = rows->integer(4);
        const double perX = rows->real(5), perY = rows->real(6);
        if (cols < 1 || count < 1 || cols > kMostTiles || count > kMostTiles || w < 1 || h < 1 ||
            w > kMostTileSide || h > kMostTileSide || !(perX > 0 && perY > 0 && std::isfinite(perX + perY)))
            return badInput(
                fmt::format(CORE_TEXT("Zoom {} of the tiles has measures that are not read: tiles have 1 "
                                      "to 1024 pixels a side, and a size on the ground."),
                            rows->integer(0)));
        m_about.levels.push_back({static_cast<int>(rows->integer(0)), 0, 0, perX, perY, static_cast<int>(w),
                                  static_cast<int>(h), cols, count});
        constexpr std::size_t kMostLevels = 60;
        if (m_about.levels.size() > kMostLevels) return noTiles();
    }
    if (m_about.levels.empty()) return noTiles();
    std::sort(m_about.levels.begin(), m_about.levels.end(),
              [](const TileLevel& a, const TileLevel& b) { return a.perX > b.perX; });
    return Done{};
}

/// A tile tells how many pixels one has, and whether they are pictures at all.
Status TileBase::lookAtFirst() {
    const bool joined = m_about.layer == "map";
    auto any = m_db.prepare(
        fmt::format("SELECT tile_data FROM {} LIMIT 1", joined ? "images" : sqlName(m_about.layer)));
    if (!any) return any.error();
    const auto row = any->step();
    if (!row) return row.error();
    if (!*row) return noTiles();
    const auto picture = tileFrom(any->blob(0));
    if (!picture) return picture.error();
    if (!m_fromSouth) return Done{}; // a GeoPackage says so itself
    for (TileLevel& l : m_about.levels) {
        l.perX *= double{1} * l.tileWidth / picture->width;
        l.perY *= double{1} * l.tileHeight / picture->height;
        l.tileWidth = picture->width;
        l.tileHeight = picture->height;
    }
    return Done{};
}

std::shared_ptr<const Picture> TileBase::tile(const TileLevel& level, std::int64_t col, std::int64_t row) {
    m_find.reset();
    m_find.bind(1, std::int64_t{level.zoom});
    m_find.bind(2, col);
    m_find.bind(3, m_fromSouth ? level.rows - 1 - row : row);
    const auto found = m_find.step();
    if (!found || !*found) return nullptr;
    auto picture = tileFrom(m_find.blob(0));
    return picture ? std::make_shared<const Picture>(std::move(*picture)) : nullptr;
}

} // namespace fw
