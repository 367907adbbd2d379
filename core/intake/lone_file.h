// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>
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

} // namespace fw
