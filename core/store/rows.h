// SPDX-License-Identifier: GPL-3.0-or-later
// Items as rows: columns, parameters and values, all from plan/fields.h.
#pragma once

#include "gpkg/geometry.h"
#include "gpkg/package.h"
#include "plan/enum_names.h"
#include "plan/fields.h"
#include "plan/tables.h"
#include "store/number_list.h"

#include <cstring>
#include <fmt/format.h>
#include <limits>
#include <utility>

namespace fw {

/// Table, title and geometry of a kind.
PackageLayer layerOf(Kind kind);

/// Kinds that lie where the item lies on which they hang; their column `geom` is for others to look at and is
/// not read.
template <class T>
inline constexpr bool kBorrowsPlace =
    std::is_same_v<T, Sector> || std::is_same_v<T, Cell> || std::is_same_v<T, Radio> ||
    std::is_same_v<T, SmallCell> || std::is_same_v<T, SiteWorks>;

inline PlanePoint placeIn(const Plan& plan, const Sector& s) { return plan.macroSites.find(s.site)->at; }
inline PlanePoint placeIn(const Plan& plan, const Cell& c) {
    return placeIn(plan, *plan.sectors.find(c.sector));
}
inline PlanePoint placeIn(const Plan& plan, const Radio& r) { return plan.mounts.find(r.mount)->at; }
inline PlanePoint placeIn(const Plan& plan, const SmallCell& c) {
    return placeIn(plan, *plan.radios.find(c.radio));
}
inline PlanePoint placeIn(const Plan& plan, const SiteWorks& w) { return plan.mounts.find(w.mount)->at; }

template <class V>
constexpr const char* sqlTypeOf() {
    if constexpr (std::is_same_v<V, bool>)
        return "BOOLEAN";
    else if constexpr (std::is_same_v<V, std::int32_t> || std::is_same_v<V, ItemId> ||
                       std::is_same_v<V, std::optional<std::int64_t>>)
        return "INTEGER";
    else if constexpr (std::is_same_v<V, double> || std::is_same_v<V, std::optional<double>> ||
                       std::is_same_v<V, std::optional<TrueAzimuth>>)
        return "REAL";
    else
        return "TEXT";
}

inline bool isGeometry(const char* field) { return std::strcmp(field, "geom") == 0; }

/// Names of the columns that are read, after uid: geometry first where the kind has its own.
template <class T>
std::vector<std::string> columnsOf() {
    std::vector<std::string> names;
    const T item{};
    forEachField(item, [&](const char* name, const auto&) { names.emplace_back(name); });
    return names;
}

template <class T>
std::string createTableSql() {
    const PackageLayer layer = layerOf(kindOfType<T>());
    std::string sql = "CREATE TABLE " + sqlName(layer.table) + " (fid INTEGER PRIMARY KEY NOT NULL";
    if (!layer.geometryType.empty()) sql += ", geom " + layer.geometryType;
    sql += ", uid INTEGER UNIQUE";
    const T item{};
    forEachField(item, [&](const char* name, const auto& value) {
        using V = std::remove_cvref_t<decltype(value)>;
        if (!isGeometry(name)) sql += fmt::format(", {} {}", sqlName(name), sqlTypeOf<V>());
    });
    return sql + ")";
}

/// Binds one value after another.
class ValueBinder {
public:
    ValueBinder(Statement& statement, int first, std::int32_t srsId)
        : m_s(statement), m_at(first), m_srsId(srsId) {}

    void operator()(const char*, const std::string& v) { m_s.bind(m_at++, std::string_view(v)); }
    void operator()(const char*, const double& v) { m_s.bind(m_at++, v); }
    void operator()(const char*, const std::int32_t& v) { m_s.bind(m_at++, std::int64_t{v}); }
    void operator()(const char*, const bool& v) { m_s.bind(m_at++, std::int64_t{v}); }
    void operator()(const char*, const ItemId& v) {
        if (v)
            m_s.bind(m_at++, std::int64_t{v.v});
        else
            m_s.bindNull(m_at++);
    }
    template <class E>
    requires std::is_enum_v<E>
    void operator()(const char*, const E& v) { m_s.bind(m_at++, std::string_view(enumName(v))); }
    void operator()(const char*, const std::optional<double>& v) {
        if (v)
            m_s.bind(m_at++, *v);
        else
            m_s.bindNull(m_at++);
    }
    void operator()(const char*, const std::optional<std::int64_t>& v) {
        if (v)
            m_s.bind(m_at++, *v);
        else
            m_s.bindNull(m_at++);
    }
    void operator()(const char* name, const std::optional<TrueAzimuth>& v) {
        (*this)(name, v ? std::optional<double>(v->deg) : std::nullopt);
    }
    void operator()(const char* name, const std::vector<double>& v) { (*this)(name, listText(v)); }
    void operator()(const char* name, const std::vector<ItemId>& v) {
        std::vector<double> numbers; // ids have 32 bits: exact
        numbers.reserve(v.size());
        for (const ItemId id : v) numbers.push_back(id.v);
        (*this)(name, numbers);
    }
    void operator()(const char*, const PlanePoint& v) { m_s.bindBlob(m_at++, geometryBytes(v, m_srsId)); }
    void operator()(const char*, const Line& v) { m_s.bindBlob(m_at++, geometryBytes(v, m_srsId)); }
    void operator()(const char*, const Polygon& v) { m_s.bindBlob(m_at++, geometryBytes(v, m_srsId)); }

private:
    Statement& m_s;
    int m_at;
    std::int32_t m_srsId;
};

/// Reads one column after another; keeps the faults as one clause.
class ValueReader {
public:
    ValueReader(const Statement& row, int first) : m_row(row), m_at(first) {}

    [[nodiscard]] const std::string& fault() const { return m_fault; }

    void operator()(const char* name, std::string& v) {
        if (need(name, m_row.isText(m_at) || m_row.isNull(m_at), "text")) v = m_row.text(m_at);
        ++m_at;
    }
    void operator()(const char* name, double& v) {
        if (need(name, m_row.isNumber(m_at), "a number")) v = m_row.real(m_at);
        ++m_at;
    }
    void operator()(const char* name, std::int32_t& v) {
        const std::int64_t wide = m_row.integer(m_at);
        if (need(name, m_row.isInteger(m_at) && std::in_range<std::int32_t>(wide), "a whole number"))
            v = static_cast<std::int32_t>(wide);
        ++m_at;
    }
    void operator()(const char* name, bool& v) {
        const std::int64_t wide = m_row.integer(m_at);
        if (need(name, m_row.isInteger(m_at) && (wide == 0 || wide == 1), "0 or 1")) v = wide == 1;
        ++m_at;
    }
    void operator()(const char* name, ItemId& v) {
        const std::int64_t wide = m_row.integer(m_at);
        const bool given = m_row.isInteger(m_at) && std::in_range<std::uint32_t>(wide);
        if (need(name, given || m_row.isNull(m_at), "an item's number"))
            v.v = static_cast<std::uint32_t>(wide);
        ++m_at;
    }
    template <class E>
    requires std::is_enum_v<E>
    void operator()(const char* name, E& v) {
        const auto value = enumFrom<E>(m_row.text(m_at));
        if (need(name, value.has_value(), "one of the known words")) v = *value;
        ++m_at;
    }
    void operator()(const char* name, std::optional<double>& v) {
        v.reset();
        if (need(name, m_row.isNumber(m_at) || m_row.isNull(m_at), "a number") && !m_row.isNull(m_at))
            v = m_row.real(m_at);
        ++m_at;
    }
    void operator()(const char* name, std::optional<std::int64_t>& v) {
        v.reset();
        if (need(name, m_row.isInteger(m_at) || m_row.isNull(m_at), "a whole number") && !m_row.isNull(m_at))
            v = m_row.integer(m_at);
        ++m_at;
    }
    void operator()(const char* name, std::optional<TrueAzimuth>& v) {
        std::optional<double> deg;
        (*this)(name, deg);
        v.reset();
        if (deg) v = TrueAzimuth{*deg};
    }
    void operator()(const char* name, std::vector<double>& v) {
        const auto list = m_row.isNull(m_at) ? std::vector<double>{} : listFrom(m_row.text(m_at));
        if (need(name, list.has_value(), "a list of numbers like [0,3,6]")) v = *list;
        ++m_at;
    }
    void operator()(const char* name, std::vector<ItemId>& v) {
        std::vector<double> numbers;
        (*this)(name, numbers);
        v.clear();
        for (const double n : numbers) {
            const bool whole = n >= 0 && n <= std::numeric_limits<std::uint32_t>::max() &&
                               n == static_cast<double>(static_cast<std::uint32_t>(n));
            if (!need(name, whole, "a list of items' numbers")) return;
            v.push_back({static_cast<std::uint32_t>(n)});
        }
    }
    void operator()(const char*, PlanePoint& v) {
        geometry(pointFrom(m_row.blob(m_at)), v, GeometryType::point);
    }
    void operator()(const char*, Line& v) { geometry(lineFrom(m_row.blob(m_at)), v, GeometryType::line); }
    void operator()(const char*, Polygon& v) {
        geometry(polygonFrom(m_row.blob(m_at)), v, GeometryType::polygon);
    }

private:
    bool need(const char* name, bool fits, const char* wanted) {
        if (!fits) add(fmt::format("{} is not {}", name, wanted));
        return fits;
    }
    template <class G>
    void geometry(std::optional<G> read, G& v, GeometryType wanted) {
        if (read)
            v = std::move(*read);
        else
            add(fmt::format("its geometry is broken: {}", geometryFault(m_row.blob(m_at), wanted)));
        ++m_at;
    }
    void add(const std::string& fault) { m_fault += (m_fault.empty() ? "" : "; ") + fault; }

    const Statement& m_row;
    int m_at;
    std::string m_fault;
};

} // namespace fw
