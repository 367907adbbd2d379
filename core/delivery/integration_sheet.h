// SPDX-License-Identifier: GPL-3.0-or-later
// The identity plan as tables, for whoever brings the small cells into the network.
#pragma once

#include "siting/identity.h"

#include <filesystem>
#include <string>
#include <vector>

namespace fw {

struct SheetColumn {
    std::string head; ///< with unit: "Cell radius (km)"; terms of the standards
    bool number = false;
};
struct SheetTable {
    std::string name; ///< "cells", "neighbours", "notes"
    std::vector<SheetColumn> columns;
    std::vector<std::vector<std::string>> rows; ///< as long as columns; C locale; empty: not known
};

/// Three tables: one row per small cell with everything it is to be set to, one row per neighbour and
/// direction, and notes: remarks, conflicts that are left, options, sources.
std::vector<SheetTable> integrationTables(const Study& study, const IdentityPlan& identities);

/// CSV after RFC 4180 as in export_works.h.
std::string tableCsv(const SheetTable& table);
/// The first table to `file`, the others beside it as NAME-neighbours.csv and NAME-notes.csv.
Status writeIntegrationCsv(const std::filesystem::path& file, const std::vector<SheetTable>& tables);
/// Office Open XML (ECMA-376): a sheet a table, heads in bold and kept in view. The time inside is the plan's
/// date, so that the same plan gives the same bytes. An existing file is replaced.
Status writeIntegrationXlsx(const std::filesystem::path& file, const std::vector<SheetTable>& tables,
                            const Plan& plan);

} // namespace fw
