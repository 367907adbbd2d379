// SPDX-License-Identifier: GPL-3.0-or-later
// All rows of a table in the order of their numbers; past unreadable ones when that is wanted.
#pragma once

#include "gpkg/sqlite.h"

#include <functional>
#include <string>

namespace fw {

/// A query over one table by row number: `SELECT columns FROM table` without the rest.
struct RowScan {
    Database& db;
    std::string select;                        ///< begins with "SELECT _rowid_, ..."; parameters from ?3 on
    std::function<void(Statement&)> bind = {}; ///< for those

    /// Calls `visit` for each row, ascending; ends with the first error of either.
    Status each(const std::function<Status(const Statement&)>& visit);
    /// The same for a damaged table: where a row cannot be read, goes on behind it, and comes near from the
    /// other side. Rows then come in no order, each once.
    /// @return what the database said about the first place that could not be read; empty when all could
    Result<std::string> eachReadable(const std::function<Status(const Statement&)>& visit);
};

} // namespace fw
