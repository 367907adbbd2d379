// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_amend.h"

#include "store/plan_file.h"
#include "store/plan_write.h"
#include "store/rows.h"
#include "store/settings_rows.h"

#include <array>
#include <bit>
#include <cstring>

namespace fw {

namespace {

// Calls f.template operator()<T>() for the kind whose table it is; false when it is none's.
template <class F, std::size_t... I>
bool withKindOf(const std::string& table, F&& f, std::index_sequence<I...>) {
    bool found = false;
    const auto one = [&]<class T>() {
        if (found || layerOf(kindOfType<T>()).table != table) return;
        found = true;
        f.template operator()<T>();
    };
    (one.template operator()<std::variant_alternative_t<I, Item>>(), ...);
    return found;
}
template <class F>
bool withKindOf(const std::string& table, F&& f) {
    return withKindOf(table, std::forward<F>(f), std::make_index_sequence<std::variant_size_v<Item>>());
}

PackageLayer layerCalled(const std::string& table) {
    if (table == kSettingsTable) return {kSettingsTable, "Settings", ""};
    for (std::size_t k = 0; k < std::variant_size_v<Item>; ++k)
        if (PackageLayer layer = layerOf(static_cast<Kind>(k)); layer.table == table) return layer;
    return {};
}

class Amender {
public:
    Amender(Database& db, const Plan& plan) : m_db(db), m_follow(db), m_plan(plan) {}

    Status all(const std::vector<PlanFault>& faults) {
        // What is hung on a table goes first, then the tables are made whole, then the rows.
        for (const Mend each : {Mend::drop, Mend::addTable, Mend::addColumn})
            for (const PlanFault& fault : faults)
                if (fault.mend == each)
                    if (Status s = one(fault); !s.ok()) return s;
        for (const PlanFault& fault : faults)
            if (fault.mend != Mend::drop && fault.mend != Mend::addTable && fault.mend != Mend::addColumn)
                if (Status s = one(fault); !s.ok()) return s;
        if (m_settings)
            if (Status s = writeSettings(m_db, *m_plan.settings); !s.ok()) return s;
        return m_counters ? writeCounters() : Status{Done{}};
    }

private:
    Status one(const PlanFault& fault) {
        switch (fault.mend) {
        case Mend::nothing:
        case Mend::byHand:
        case Mend::rebuild:
            return Done{};
        case Mend::removeRow:
            return onRow(fault, "DELETE FROM {}");
        case Mend::clearField:
            return onRow(fault, "UPDATE {} SET " + sqlName(fault.field) + "=NULL");
        case Mend::newNumber:
            m_counters = true;
            return onRow(fault, fmt::format("UPDATE {{}} SET uid={}", fault.number));
        case Mend::writeSystem:
            return writeSystem(fault);
        case Mend::writeSettings:
            m_settings = true;
            return Done{};
        case Mend::writeCounters:
            m_counters = true;
            return Done{};
        case Mend::registerTables:
            return fault.field.empty() ? writeOwnSystem() : registerAnew(layerCalled(fault.field));
        case Mend::addTable:
            return addTable(fault.table);
        case Mend::addColumn:
            return addColumn(fault);
        case Mend::drop:
            return drop(fault.field);
        }
        return Done{};
    }

    Status onRow(const PlanFault& fault, const std::string& what) {
        const std::string where =
            fault.row ? fmt::format(" WHERE _rowid_={}", fault.row) : fmt::format(" WHERE uid={}", fault.uid);
        return m_db.execute(fmt::format(fmt::runtime(what), sqlName(fault.table)) + where);
    }

    // Bytes 4 to 7 of a geometry name its system, in the order of bytes that bit 0 of byte 3 tells
    // (OGC 12-128r18, 2.1.3).
    Status writeSystem(const PlanFault& fault) {
        auto read = m_db.prepare(
            fmt::format("SELECT geom FROM {} WHERE _rowid_={}", sqlName(fault.table), fault.row));
        if (!read) return read.error();
        const auto row = read->step();
        if (!row) return row.error();
        std::string bytes(*row ? read->blob(0) : std::string_view());
        read->reset();
        if (bytes.size() < 8) return Done{}; // the row has gone meanwhile
        std::array<char, 4> id{};
        const std::int32_t wanted = srsId();
        std::memcpy(id.data(), &wanted, id.size());
        const bool little = (static_cast<unsigned char>(bytes[3]) & 1u) != 0;
        if (little != (std::endian::native == std::endian::little)) std::reverse(id.begin(), id.end());
        bytes.replace(4, id.size(), id.data(), id.size());
        auto write = m_db.prepare(
            fmt::format("UPDATE {} SET geom=?1 WHERE _rowid_={}", sqlName(fault.table), fault.row));
        if (!write) return write.error();
        write->bindBlob(1, bytes);
        return write->run();
    }

    Status addTable(const std::string& table) {
        std::string sql = createSettingsSql();
        withKindOf(table, [&]<class T>() { sql = createTableSql<T>(); });
        m_settings = m_settings || table == kSettingsTable;
        if (Status s = m_db.execute(sql); !s.ok()) return s;
        return registerAnew(layerCalled(table));
    }

    Status addColumn(const PlanFault& fault) {
        if (isGeometry(fault.field.c_str())) // no place is a default
            return m_db.execute(fmt::format("ALTER TABLE {} ADD COLUMN geom {}", sqlName(fault.table),
                                            layerCalled(fault.table).geometryType));
        Status status = Done{};
        withKindOf(fault.table, [&]<class T>() {
            const T plain{};
            forEachField(plain, [&](const char* name, const auto& value) {
                if (fault.field == name && status.ok()) status = addColumn(fault, value);
            });
        });
        return status;
    }

    template <class V>
    Status addColumn(const PlanFault& fault, const V& value) {
        const std::string table = sqlName(fault.table), column = sqlName(fault.field);
        if (Status s =
                m_db.execute(fmt::format("ALTER TABLE {} ADD COLUMN {} {}", table, column, sqlTypeOf<V>()));
            !s.ok())
            return s;
        auto fill = m_db.prepare(fmt::format("UPDATE {} SET {}=?1", table, column));
        if (!fill) return fill.error();
        ValueBinder(*fill, 1, 0)(fault.field.c_str(), value);
        return fill->run();
    }

    Status drop(const std::string& name) {
        auto kind =
            m_db.prepare("SELECT type FROM sqlite_master WHERE name=?1 AND type IN ('trigger', 'index')");
        if (!kind) return kind.error();
        kind->bind(1, std::string_view(name));
        const auto row = kind->step();
        if (!row) return row.error();
        if (!*row) return Done{};
        const std::string type = kind->text(0);
        kind->reset();
        return m_db.execute("DROP " + type + " " + sqlName(name));
    }

    Status registerAnew(const PackageLayer& layer) {
        for (const char* list : {"gpkg_geometry_columns", "gpkg_contents"}) {
            auto remove = m_db.prepare(fmt::format("DELETE FROM {} WHERE table_name=?1", list));
            if (!remove) return remove.error();
            remove->bind(1, std::string_view(layer.table));
            if (Status s = remove->run(); !s.ok()) return s;
        }
        return registerLayer(m_db, layer, srsId(), m_plan.settings->date.iso() + "T00:00:00.000Z");
    }

    Status writeOwnSystem() { return putSrs(m_db, systemOf(m_plan.settings->epsg)); }

    Status writeCounters() {
        return m_db.execute(fmt::format(
            "DELETE FROM {0} WHERE name='schema_version' AND (typeof(value)<>'integer' OR value<1);"
            "INSERT OR IGNORE INTO {0} (name, value) VALUES ('schema_version', {1});"
            "DELETE FROM {0} WHERE name='save_count' AND (typeof(value)<>'integer' OR value<0);"
            "INSERT OR IGNORE INTO {0} (name, value) VALUES ('save_count', 0);"
            "INSERT OR REPLACE INTO {0} (name, value) VALUES ('last_id', {2});",
            "fringewright_meta", kPlanSchemaVersion, m_plan.lastId.v));
    }

    [[nodiscard]] std::int32_t srsId() const { return m_plan.settings->epsg ? m_plan.settings->epsg : -1; }

    Database& m_db;
    Database::IndicesFollow m_follow;
    const Plan& m_plan;
    bool m_settings = false, m_counters = false;
};

} // namespace

Status amend(Database& copy, const Plan& plan, const std::vector<PlanFault>& faults) {
    if (Status s = copy.execute("BEGIN IMMEDIATE"); !s.ok()) return s;
    if (Status s = Amender(copy, plan).all(faults); !s.ok()) return s; // closing rolls back
    return copy.execute("COMMIT");
}

} // namespace fw
