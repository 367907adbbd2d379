// SPDX-License-Identifier: GPL-3.0-or-later
// A plan file whose saves are counted.
#pragma once

#include "gpkg/sqlite.h"
#include "store/plan_file.h"

#include <filesystem>
#include <stdexcept>

namespace fw::testing {

/// Saves as one step that is done or not.
class CountedFile {
public:
    CountedFile(const Plan& plan, std::filesystem::path file) : m_file(std::move(file)) { save(plan); }

    [[nodiscard]] std::int64_t count() const { return m_count; }
    [[nodiscard]] const std::filesystem::path& path() const { return m_file; }
    void save(const Plan& plan) {
        const auto part = std::filesystem::path(m_file) += ".new";
        std::filesystem::remove(part);
        need(savePlan(plan, part));
        {
            auto db = Database::open(part, Database::Mode::change);
            if (!db) throw std::runtime_error(db.error().sentence());
            need(db->execute("INSERT OR REPLACE INTO fringewright_meta VALUES ('save_count', " +
                             std::to_string(m_count + 1) + ")"));
        }
        std::filesystem::rename(part, m_file);
        ++m_count;
    }

private:
    static void need(const Status& s) {
        if (!s.ok()) throw std::runtime_error(s.error().sentence());
    }
    std::filesystem::path m_file;
    std::int64_t m_count = 0;
};

} // namespace fw::testing
