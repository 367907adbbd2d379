// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
#include <stop_token>
#include <string>

namespace fw {

/// While it lives, the library sees a file under a path where nothing lies beside it: a reader that looks for
/// schemas and templates of its format, which can point anywhere, finds none.
class LoneFile {
public:
    explicit LoneFile(const std::filesystem::path& file);
    ~LoneFile();
    LoneFile(LoneFile&& from) noexcept;
    LoneFile& operator=(LoneFile&&) = delete;

    [[nodiscard]] const std::string& path() const { return m_path; }

private:
    std::string m_path;
};

/// While it lives, what this thread reads of lone files comes to its end once a stop is asked for: a reader
/// that takes in the whole file before it answers gives up soon.
class LoneReadsUntil {
public:
    explicit LoneReadsUntil(std::stop_token stop);
    ~LoneReadsUntil();
    LoneReadsUntil(const LoneReadsUntil&) = delete;
    LoneReadsUntil& operator=(const LoneReadsUntil&) = delete;

private:
    std::stop_token m_stop;
    const std::stop_token* m_before;
};

} // namespace fw
