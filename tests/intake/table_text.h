// SPDX-License-Identifier: GPL-3.0-or-later
// A text as the file of a table, and what a source reads from it.
#pragma once

#include "catch.h"
#include "intake/text_source.h"
#include "store/folder.h"

#include <string>
#include <vector>

namespace fwtest {

struct ReadRow {
    std::int64_t number = 0;
    std::vector<std::string> fields; ///< nothing is ""
    std::string fault;
    bool operator==(const ReadRow&) const = default;
};
struct ReadTable {
    fw::SourceHead head; ///< after the pass
    std::vector<ReadRow> rows;
    std::string error; ///< sentence of the opening or the pass

    [[nodiscard]] std::vector<std::string> names() const {
        std::vector<std::string> out;
        for (const auto& c : head.columns) out.push_back(c.name);
        return out;
    }
    [[nodiscard]] std::string notes() const {
        std::string out;
        for (const auto& n : head.notes) out += n + "\n";
        return out;
    }
    [[nodiscard]] bool says(const std::string& words) const {
        return notes().find(words) != std::string::npos;
    }
    [[nodiscard]] std::vector<std::vector<std::string>> fields() const {
        std::vector<std::vector<std::string>> out;
        for (const auto& r : rows) out.push_back(r.fields);
        return out;
    }
};

inline std::vector<ReadRow> rowsOf(fw::Source& source, std::string& error) {
    std::vector<ReadRow> rows;
    const auto status = source.forEachRow({}, [&](fw::SourceRow& row) {
        ReadRow read{row.number, {}, row.fault};
        for (const auto& v : row.values) {
            const auto* text = std::get_if<std::string>(&v);
            read.fields.push_back(text ? *text : "");
        }
        rows.push_back(std::move(read));
        return true;
    });
    if (!status) error = status.error().sentence();
    return rows;
}

inline ReadTable readTable(const std::string& bytes, const fw::SourceOptions& options = {}) {
    const fw::testing::TestFolder folder;
    fw::testing::writeBytes(folder / "table.csv", bytes);
    ReadTable out;
    auto source = fw::openTextSource(folder / "table.csv", options);
    if (!source) {
        out.error = source.error().sentence();
        return out;
    }
    out.rows = rowsOf(**source, out.error);
    out.head = (*source)->head();
    return out;
}

using Fields = std::vector<std::vector<std::string>>;
using Names = std::vector<std::string>;

} // namespace fwtest
