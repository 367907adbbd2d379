// SPDX-License-Identifier: GPL-3.0-or-later
// A plan file for tests: PlanFile with its failures as exceptions.
#pragma once

#include "store/plan_file.h"

#include <filesystem>
#include <memory>
#include <stdexcept>

namespace fw::testing {

class CountedFile {
public:
    CountedFile(const Plan& plan, const std::filesystem::path& file)
        : m_file(needed(PlanFile::create(plan, file))) {}
    explicit CountedFile(const std::filesystem::path& file) {
        OpenPlan opened;
        m_file = needed(PlanFile::open(file, opened));
    }

    [[nodiscard]] std::int64_t count() const { return m_file->saveCount(); }
    [[nodiscard]] const std::filesystem::path& path() const { return m_file->path(); }
    void save(const Plan& plan) {
        const Status s = m_file->save(plan);
        if (!s.ok()) throw std::runtime_error(s.error().sentence());
    }

private:
    static std::unique_ptr<PlanFile> needed(Result<std::unique_ptr<PlanFile>> file) {
        if (!file) throw std::runtime_error(file.error().sentence());
        return std::move(*file);
    }
    std::unique_ptr<PlanFile> m_file;
};

} // namespace fw::testing
