// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/package_source.h"

#include "base/text.h"
#include "gpkg/sqlite.h"
#include "intake/ogr_row.h"
#include "intake/package_shape.h"
#include "intake/source_system.h"
#include "intake/vector_source.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <fmt/format.h>

namespace fw {
namespace {

struct Layer {
    std::string table;
    std::string geometry, kind; ///< name of the column and of its type; empty: a table without places
    std::int64_t srsId = 0;
    std::optional<std::int64_t> rows;
};

std::string capitals(std::string s) {
    std::transform(s.begin(), s.end(), s.begin(),
                   [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
    return s;
}

/// OGC 12-128r18, table 4 and annex G: what a declared type holds.
enum class Holds { number, yesNo, text, bytes };
Holds holdsOf(const std::string& declared) {
    const std::string type = capitals(declared);
    if (type == "BOOLEAN") return Holds::yesNo;
    if (type.starts_with("BLOB") || type.empty()) return type.empty() ? Holds::text : Holds::bytes;
    for (const char* number : {"TINYINT", "SMALLINT", "MEDIUMINT", "INT", "INTEGER", "FLOAT", "DOUBLE",
                               "REAL", "NUMERIC", "BIGINT"})
        if (type == number) return Holds::number;
    return Holds::text;
}

std::string shapesOf(const std::string& kind) {
    const std::string k = capitals(kind);
    return shapeWords(k.ends_with("POINT"), k.ends_with("LINESTRING"), k.ends_with("POLYGON"));
}

/// OGR keeps the number of features beside; else the rows are counted.
std::optional<std::int64_t> rowsOf(Database& db, const std::string& table) {
    if (auto kept = db.prepare("SELECT feature_count FROM gpkg_ogr_contents WHERE table_name=?")) {
        kept->bind(1, std::string_view(table));
        const auto row = kept->step();
        if (row && *row && kept->isInteger(0) && kept->integer(0) >= 0) return kept->integer(0);
    }
    const auto counted = db.number("SELECT count(*) FROM " + sqlName(table));
    return counted ? std::optional(*counted) : std::nullopt;
}

Result<std::vector<Layer>> layersIn(Database& db, std::vector<std::string>& passedOver) {
    auto rows =
        db.prepare("SELECT c.table_name, g.column_name, g.geometry_type_name, g.srs_id, c.data_type "
                   "FROM gpkg_contents c LEFT JOIN gpkg_geometry_columns g ON g.table_name=c.table_name");
    if (!rows) return rows.error();
    std::vector<Layer> layers;
    for (;;) {
        const auto row = rows->step();
        if (!row) return row.error();
        if (!*row) break;
        Layer layer{rows->text(0), rows->text(1), rows->text(2), rows->integer(3), {}};
        const std::string type = rows->text(4);
        const auto real = db.hasTable(layer.table);
        if (!real) return real.error();
        if (!*real || (type != "features" && type != "attributes" && type != "aspatial")) {
            passedOver.push_back(layer.table);
            continue;
        }
        layer.rows = rowsOf(db, layer.table);
        layers.push_back(std::move(layer));
    }
    return layers;
}

std::vector<SourceLayer> shown(const std::vector<Layer>& layers) {
    std::vector<SourceLayer> all;
    all.reserve(layers.size());
    for (const Layer& l : layers) all.push_back({l.table, l.rows, shapesOf(l.kind)});
    return all;
}

Error inFile(const AdmittedFile& file, Error e) {
    e.context = file.whole.string();
    return e;
}

Result<std::vector<Layer>> openLayers(const AdmittedFile& file, Database& db, const std::string& asked) {
    const auto has = db.hasTable("gpkg_contents");
    if (!has) return inFile(file, has.error());
    const auto geometries = db.hasTable("gpkg_geometry_columns");
    if (!*has || !geometries || !*geometries)
        return Error{ErrorCode::badInput,
                     CORE_TEXT("The GeoPackage has no list of layers with rows; it may hold pictures alone."),
                     file.whole.string()};
    std::vector<std::string> passedOver;
    auto layers = layersIn(db, passedOver);
    if (!layers) return inFile(file, layers.error());
    if (!asked.empty() && std::find(passedOver.begin(), passedOver.end(), asked) != passedOver.end())
        return Error{
            ErrorCode::badInput,
            fmt::format(CORE_TEXT("\"{}\" is no table but is computed when it is looked at, or holds "
                                  "pictures. Save it as a layer of its own first."),
                        asked),
            file.whole.string()};
    if (layers->empty())
        return Error{
            ErrorCode::badInput,
            CORE_TEXT("The GeoPackage has no layer with rows: what is in it is computed, or pictures."),
            file.whole.string()};
    return layers;
}

/// One column that is read.
struct Column {
    std::string name;
    Holds holds = Holds::text;
};

/// Drops the thousandths of a second where there are none, as everybody else writes it.
std::string timeless(std::string s) {
    if (s.size() > 5 && s.ends_with(".000Z")) s.erase(s.size() - 5, 4);
    return s;
}

class PackageSource final : public Source {
public:
    PackageSource(const AdmittedFile& file, Database db, Layer layer)
        : m_file(file), m_db(std::move(db)), m_layer(std::move(layer)) {}

    Status look(const Job& job) {
        if (Status s = readColumns(); !s) return s;
        m_head.file = m_file.whole;
        m_head.format = nameOf(FileFormat::geoPackage);
        m_head.layer = m_layer.table;
        m_head.hasShapes = !m_layer.geometry.empty();
        m_head.rowCount = m_layer.rows;
        m_head.notes = m_file.warnings;
        for (const Column& c : m_columns)
            m_head.columns.push_back({cleanText(c.name.c_str()), c.holds == Holds::number, {}});
        if (m_head.hasShapes) putInto(m_head, packageSystem(m_db, m_layer.srsId));
        return lookAtRows(job);
    }

    [[nodiscard]] const SourceHead& head() const override { return m_head; }

    Status forEachRow(const Job& job, const std::function<bool(SourceRow&)>& f) override {
        auto rows = m_db.prepare(m_query);
        if (!rows) return inFile(m_file, rows.error());
        SourceRow row;
        for (std::int64_t n = 0;; ++n) {
            if (job.stopped())
                return Error{ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), m_file.whole.string()};
            const auto there = rows->step();
            if (!there) return inFile(m_file, there.error());
            if (!*there) break;
            read(*rows, row);
            if (n % 1024 == 0 && m_layer.rows.value_or(0) > 0)
                job.report(std::min(1.0, static_cast<double>(n) / static_cast<double>(*m_layer.rows)),
                           CORE_TEXT("Reading rows"));
            if (!f(row)) return Done{};
        }
        job.report(1, CORE_TEXT("Reading rows"));
        return Done{};
    }

private:
    Status readColumns() {
        auto rows = m_db.prepare("PRAGMA table_info(" + sqlName(m_layer.table) + ")");
        if (!rows) return inFile(m_file, rows.error());
        std::string key = "rowid", list;
        for (;;) {
            const auto row = rows->step();
            if (!row) return inFile(m_file, row.error());
            if (!*row) break;
            Column column{rows->text(1), holdsOf(rows->text(2))};
            if (rows->integer(5) == 1 && capitals(rows->text(2)) == "INTEGER") {
                key = sqlName(column.name);
            } else if (capitals(column.name) != capitals(m_layer.geometry) && column.holds != Holds::bytes) {
                list += ", " + sqlName(column.name);
                m_columns.push_back(std::move(column));
            }
        }
        m_query = fmt::format("SELECT {}, {}{} FROM {}", key,
                              m_layer.geometry.empty() ? "NULL" : sqlName(m_layer.geometry), list,
                              sqlName(m_layer.table));
        return Done{};
    }
    void read(const Statement& from, SourceRow& row) const {
        row.number = from.integer(0);
        row.fault.clear();
        row.values.resize(m_columns.size());
        for (std::size_t k = 0; k < m_columns.size(); ++k)
            row.values[k] = value(from, static_cast<int>(k) + 2, m_columns[k].holds);
        if (m_head.hasShapes)
            shapeFromPackage(from.isBlob(1) ? from.blob(1) : std::string_view(), row.shape);
        else
            row.shape = {};
    }
    static SourceValue value(const Statement& from, int at, Holds holds) {
        if (from.isInteger(at)) {
            const std::int64_t v = from.integer(at);
            if (holds == Holds::yesNo) return std::string(v != 0 ? "true" : "false");
            constexpr std::int64_t kExact = std::int64_t{1} << 53;
            if (v > kExact || v < -kExact) return fmt::format("{}", v); // an identifier
            return static_cast<double>(v);
        }
        if (from.isNumber(at)) {
            const double v = from.real(at);
            return std::isfinite(v) ? SourceValue(v) : SourceValue(fmt::format("{}", v));
        }
        if (!from.isText(at)) return {};
        std::string text = cleanText(from.text(at).c_str());
        return text.empty() ? SourceValue() : SourceValue(timeless(std::move(text)));
    }
    Status lookAtRows(const Job& job) {
        constexpr int kRows = 200;
        int n = 0;
        bool points = false, lines = false, areas = false;
        Status s = forEachRow({job.stop, {}}, [&](SourceRow& row) {
            addSamples(row, m_head.columns);
            points = points || !row.shape.points.empty();
            lines = lines || !row.shape.lines.empty();
            areas = areas || !row.shape.areas.empty();
            return ++n < kRows;
        });
        if (!s) return s;
        if (n == 0) m_head.notes.emplace_back(CORE_TEXT("The layer has no rows."));
        if (!m_head.hasShapes) return Done{};
        const bool mixed = int(points) + int(lines) + int(areas) > 1;
        const std::string declared = shapesOf(m_layer.kind);
        m_head.shapes = mixed || declared.empty() ? shapeWords(points, lines, areas) : declared;
        if (mixed) m_head.notes.push_back(fmt::format(CORE_TEXT("The layer mixes {}."), m_head.shapes));
        return Done{};
    }

    AdmittedFile m_file;
    Database m_db;
    Layer m_layer;
    std::vector<Column> m_columns;
    std::string m_query;
    SourceHead m_head;
};

} // namespace

FoundSystem packageSystem(Database& db, std::int64_t srsId) {
    auto row = db.prepare("SELECT organization, organization_coordsys_id, definition, srs_name FROM "
                          "gpkg_spatial_ref_sys WHERE srs_id=?");
    FoundSystem none;
    none.notes.emplace_back(CORE_TEXT("It does not say which coordinate system it is in."));
    if (!row) return none;
    row->bind(1, srsId);
    const auto found = row->step();
    if (!found || !*found || srsId == -1 || srsId == 0) return none;
    const std::int64_t code = row->integer(1);
    if (capitals(row->text(0)) == "EPSG" && code > 0 && code < 1000000) {
        FoundSystem system = systemFromCode(static_cast<int>(code));
        if (!system.wkt.empty()) return system;
    }
    return systemFromWkt(row->text(2));
}

Result<std::unique_ptr<Source>> openPackageSource(const AdmittedFile& file, const SourceOptions& options,
                                                  const Job& job, std::vector<SourceLayer>* found) {
    auto db = Database::open(file.whole, Database::Mode::read);
    if (!db) return inFile(file, db.error());
    const auto layers = openLayers(file, *db, options.layer);
    if (!layers) return layers.error();
    std::vector<SourceLayer> all = shown(*layers);
    const auto meant = layerMeant(all, options, file.whole);
    if (found) *found = std::move(all);
    if (!meant) return meant.error();
    auto source = std::make_unique<PackageSource>(file, std::move(*db), (*layers)[*meant]);
    if (Status s = source->look(job); !s) return s.error();
    return std::unique_ptr<Source>(std::move(source));
}

Result<std::vector<SourceLayer>> packageLayers(const AdmittedFile& file) {
    auto db = Database::open(file.whole, Database::Mode::read);
    if (!db) return inFile(file, db.error());
    const auto layers = openLayers(file, *db, {});
    if (!layers) return layers.error();
    return shown(*layers);
}

} // namespace fw
