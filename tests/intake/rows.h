// SPDX-License-Identifier: GPL-3.0-or-later
// All rows of a source.
#pragma once

#include "catch.h"
#include "intake/rows_text.h"
#include "intake/source.h"

#include <vector>

namespace fw::testing {

inline std::vector<SourceRow> rowsOf(Source& source) {
    std::vector<SourceRow> rows;
    const Status read = source.forEachRow({}, [&](SourceRow& row) {
        rows.push_back(row);
        return true;
    });
    INFO((read ? "" : read.error().sentence()));
    REQUIRE(read.ok());
    return rows;
}

} // namespace fw::testing
