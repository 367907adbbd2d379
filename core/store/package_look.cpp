// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/package_look.h"

#include "store/rows.h"
#include "store/settings_rows.h"

namespace fw {

namespace {

class PackageLook {
public:
    PackageLook(Database& db, FaultSink& sink) : m_db(db), m_sink(sink) {}

    Status all(const Plan& plan) {
        for (const char* table : {"gpkg_contents", "gpkg_geometry_columns", "gpkg_spatial_ref_sys"}) {
            const auto there = m_db.hasTable(table);
            if (!there) return there.error();
            if (!*there)
                return warn(table, fmt::format("the table {}, which every GeoPackage has, is missing", table),
                            Mend::rebuild);
        }
        Status s = layer({kSettingsTable, "", ""});
        for (std::size_t k = 0; s.ok() && k < std::variant_size_v<Item>; ++k)
            s = layer(layerOf(static_cast<Kind>(k)));
        return s.ok() ? system(plan.settings->epsg) : s;
    }

private:
    Status layer(const PackageLayer& layer) {
        if (Status s = named("gpkg_contents", layer.table); !s.ok() || layer.geometryType.empty()) return s;
        return named("gpkg_geometry_columns", layer.table);
    }

    Status named(const std::string& list, const std::string& table) {
        auto rows = m_db.prepare(fmt::format("SELECT 1 FROM {} WHERE table_name=?1", list));
        if (!rows) return unreadable(list, rows.error());
        rows->bind(1, std::string_view(table));
        const auto row = rows->step();
        if (!row) return unreadable(list, row.error());
        if (*row) return Done{};
        return warn(list,
                    fmt::format("it does not name {}, so that other programs do not see that table", table),
                    Mend::registerTables, table);
    }

    Status system(int epsg) {
        const char* list = "gpkg_spatial_ref_sys";
        if (epsg == 0) return Done{};
        const auto there = m_db.number(fmt::format("SELECT count(*) FROM {} WHERE srs_id={}", list, epsg));
        if (!there) return unreadable(list, there.error());
        if (*there > 0) return Done{};
        return warn(list, fmt::format("it does not describe the plan's reference system, EPSG:{}", epsg),
                    Mend::registerTables);
    }

    Status unreadable(const std::string& list, const Error& error) {
        std::string what = "it cannot be read: " + error.text;
        if (what.ends_with('.')) what.pop_back();
        return warn(list, std::move(what), Mend::rebuild);
    }

    Status warn(const std::string& table, std::string what, Mend mend, const std::string& field = "") {
        PlanFault fault;
        fault.severity = PlanFault::Severity::warning;
        fault.table = table;
        fault.what = std::move(what);
        fault.mend = mend;
        fault.field = field;
        return m_sink.take(std::move(fault));
    }

    Database& m_db;
    FaultSink& m_sink;
};

} // namespace

Status lookAtPackage(Database& db, const Plan& plan, FaultSink& sink) {
    return PackageLook(db, sink).all(plan);
}

} // namespace fw
