// SPDX-License-Identifier: GPL-3.0-or-later
#include "gpkg/trigger_guard.h"

#include "gpkg/geometry.h"

#include <algorithm>
#include <array>
#include <optional>
#include <sqlite3.h>
#include <string_view>

namespace fw {

namespace {

bool keepsIndexOrCount(std::string_view table) {
    return table.substr(0, 6) == "rtree_" || table == "gpkg_ogr_contents";
}

bool servesIndexOrCount(const char* function) {
    constexpr std::array<const char*, 7> kNames{"ST_MinX",    "ST_MaxX", "ST_MinY", "ST_MaxY",
                                                "ST_IsEmpty", "lower",   "upper"};
    return std::any_of(kNames.begin(), kNames.end(),
                       [&](const char* name) { return sqlite3_stricmp(name, function) == 0; });
}

// SQLite asks this for each thing that a statement would do, while it is prepared; `trigger` names the
// innermost trigger or view that wants it.
int allowed(void*, int action, const char* what, const char* function, const char*, const char* trigger) {
    if (!trigger) return SQLITE_OK;
    switch (action) {
    case SQLITE_READ: // of its row; more needs SQLITE_SELECT
        return SQLITE_OK;
    case SQLITE_FUNCTION:
        return function && servesIndexOrCount(function) ? SQLITE_OK : SQLITE_DENY;
    case SQLITE_INSERT:
    case SQLITE_UPDATE:
    case SQLITE_DELETE:
        return what && keepsIndexOrCount(what) ? SQLITE_OK : SQLITE_DENY;
    default:
        return SQLITE_DENY;
    }
}

std::optional<Box> boundsFrom(std::string_view bytes) {
    if (const auto p = pointFrom(bytes)) {
        Box box;
        box.add(*p);
        return box;
    }
    if (const auto line = lineFrom(bytes)) return boundsOf(*line);
    if (const auto polygon = polygonFrom(bytes)) return boundsOf(*polygon);
    return std::nullopt;
}

std::optional<Box> argument(sqlite3_value** values) {
    const auto* bytes = static_cast<const char*>(sqlite3_value_blob(values[0]));
    if (!bytes) return std::nullopt;
    return boundsFrom({bytes, static_cast<std::size_t>(sqlite3_value_bytes(values[0]))});
}

template <double Box::*edge>
void edgeOf(sqlite3_context* context, int, sqlite3_value** values) {
    if (const auto box = argument(values))
        sqlite3_result_double(context, *box.*edge);
    else
        sqlite3_result_null(context);
}

void isEmpty(sqlite3_context* context, int, sqlite3_value** values) {
    // No geometry at all is unknown, as with the standard's function: the index then looks at "IS NOT NULL".
    if (sqlite3_value_type(values[0]) == SQLITE_NULL)
        sqlite3_result_null(context);
    else
        sqlite3_result_int(context, argument(values) ? 0 : 1);
}

} // namespace

void guardTriggers(sqlite3* db) {
    struct Function {
        const char* name;
        void (*call)(sqlite3_context*, int, sqlite3_value**);
    };
    constexpr std::array<Function, 5> kFunctions{{{"ST_MinX", edgeOf<&Box::x0>},
                                                  {"ST_MaxX", edgeOf<&Box::x1>},
                                                  {"ST_MinY", edgeOf<&Box::y0>},
                                                  {"ST_MaxY", edgeOf<&Box::y1>},
                                                  {"ST_IsEmpty", isEmpty}}};
    constexpr int kFlags = SQLITE_UTF8 | SQLITE_DETERMINISTIC | SQLITE_INNOCUOUS;
    for (const Function& f : kFunctions)
        sqlite3_create_function_v2(db, f.name, 1, kFlags, nullptr, f.call, nullptr, nullptr, nullptr);
    sqlite3_set_authorizer(db, allowed, nullptr);
}

} // namespace fw
