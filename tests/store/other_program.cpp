// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/other_program.h"

#include "catch.h"

#include <ogrsf_frmts.h>
#include <sqlite3.h>

namespace fw::testing {

namespace {

std::unique_ptr<GDALDataset> openWithGdal(const std::filesystem::path& file, unsigned flags) {
    GDALAllRegister();
    static const char* const drivers[] = {"GPKG", nullptr};
    std::unique_ptr<GDALDataset> data(
        GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_VERBOSE_ERROR | flags, drivers));
    REQUIRE(data);
    return data;
}

} // namespace

void OtherProgram::Close::operator()(sqlite3* db) const { sqlite3_close(db); }

OtherProgram::OtherProgram(const std::filesystem::path& file) {
    sqlite3* db = nullptr;
    REQUIRE(sqlite3_open(file.c_str(), &db) == SQLITE_OK);
    m_db.reset(db);
    sqlite3_busy_timeout(db, 2000); // as every well-behaved one waits its turn
}

void OtherProgram::run(const std::string& sql) {
    char* fault = nullptr;
    const int r = sqlite3_exec(m_db.get(), sql.c_str(), nullptr, nullptr, &fault);
    INFO(sql << ": " << (fault ? fault : ""));
    CHECK(r == SQLITE_OK);
    sqlite3_free(fault);
}

std::vector<std::string> OtherProgram::column(const std::string& sql) {
    std::vector<std::string> rows;
    sqlite3_stmt* s = nullptr;
    INFO(sql);
    REQUIRE(sqlite3_prepare_v2(m_db.get(), sql.c_str(), -1, &s, nullptr) == SQLITE_OK);
    while (sqlite3_step(s) == SQLITE_ROW) {
        const auto* text = reinterpret_cast<const char*>(sqlite3_column_text(s, 0));
        rows.emplace_back(text ? text : "");
    }
    sqlite3_finalize(s);
    return rows;
}

std::string OtherProgram::value(const std::string& sql) {
    const auto rows = column(sql);
    return rows.empty() ? "nothing" : rows.front();
}

void indexWithGdal(const std::filesystem::path& file, const std::string& layer) {
    const auto data = openWithGdal(file, GDAL_OF_UPDATE);
    data->ReleaseResultSet(
        data->ExecuteSQL(("SELECT CreateSpatialIndex('" + layer + "', 'geom')").c_str(), nullptr, nullptr));
}

std::set<std::uint32_t> idsAround(const std::filesystem::path& file, const std::string& layer, PlanePoint at,
                                  double halfM) {
    const auto data = openWithGdal(file, 0);
    OGRLayer* found = data->GetLayerByName(layer.c_str());
    REQUIRE(found);
    found->SetSpatialFilterRect(at.x - halfM, at.y - halfM, at.x + halfM, at.y + halfM);
    std::set<std::uint32_t> ids;
    for (const auto& feature : *found)
        ids.insert(static_cast<std::uint32_t>(feature->GetFieldAsInteger64("uid")));
    return ids;
}

} // namespace fw::testing
