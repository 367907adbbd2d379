// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/zip_look.h"

#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <optional>
#include <string_view>

namespace fw {
namespace {

constexpr std::uint64_t kMostEntries = 10000, kMostTable = 16u << 20;
constexpr std::size_t kEndSize = 22, kEndSize64 = 56, kLocatorSize = 20, kEntrySize = 46;

/// Little-endian numbers at a place of a block; 0 beyond its end.
std::uint64_t numberAt(std::string_view block, std::size_t at, std::size_t bytes) {
    std::uint64_t v = 0;
    if (at > block.size() || block.size() - at < bytes) return 0;
    for (std::size_t k = bytes; k-- > 0;) v = v << 8 | static_cast<unsigned char>(block[at + k]);
    return v;
}

struct Table {
    std::uint64_t at = 0, size = 0, entries = 0;
};

std::string readAt(std::ifstream& in, std::uint64_t at, std::size_t size) {
    std::string block(size, '\0');
    in.clear();
    in.seekg(static_cast<std::streamoff>(at));
    in.read(block.data(), static_cast<std::streamsize>(size));
    block.resize(static_cast<std::size_t>(std::max<std::streamsize>(in.gcount(), 0)));
    return block;
}

/// 4.3.16 to 4.3.14: the end record lies at the end, before a comment of up to 65,535 bytes.
std::optional<Table> tableOf(std::ifstream& in, std::uint64_t fileSize) {
    const std::uint64_t tail = std::min<std::uint64_t>(fileSize, 65535 + kEndSize);
    const std::string block = readAt(in, fileSize - tail, static_cast<std::size_t>(tail));
    const std::size_t end = block.rfind("PK\x05\x06");
    if (end == std::string::npos || block.size() - end < kEndSize) return std::nullopt;
    Table table{numberAt(block, end + 16, 4), numberAt(block, end + 12, 4), numberAt(block, end + 10, 2)};
    if (table.at != 0xffffffff && table.size != 0xffffffff && table.entries != 0xffff) return table;
    if (end < kLocatorSize || block.compare(end - kLocatorSize, 4, "PK\x06\x07") != 0) return table;
    const std::string end64 = readAt(in, numberAt(block, end - kLocatorSize + 8, 8), kEndSize64);
    if (end64.size() < kEndSize64 || end64.compare(0, 4, "PK\x06\x06") != 0) return std::nullopt;
    return Table{numberAt(end64, 48, 8), numberAt(end64, 40, 8), numberAt(end64, 32, 8)};
}

/// 4.5.3: sizes that do not fit into 32 bits stand in an extra field, those that do are left out of it.
void readLargeSizes(ZipEntry& entry, std::string_view extra) {
    for (std::size_t at = 0; at + 4 <= extra.size();) {
        const std::uint64_t id = numberAt(extra, at, 2), size = numberAt(extra, at + 2, 2);
        at += 4;
        if (id == 1) {
            std::size_t field = at;
            if (entry.unpacked == 0xffffffff) {
                entry.unpacked = numberAt(extra, field, 8);
                field += 8;
            }
            if (entry.packed == 0xffffffff) entry.packed = numberAt(extra, field, 8);
            return;
        }
        at += static_cast<std::size_t>(size);
    }
}

bool leadsOut(std::string_view name) {
    if (name.empty() || name.front() == '/' || name.find('\\') != name.npos || name.find('\0') != name.npos)
        return true;
    for (std::size_t at = 0; at <= name.size();) {
        const std::size_t end = std::min(name.find('/', at), name.size());
        if (name.substr(at, end - at) == "..") return true;
        at = end + 1;
    }
    return false;
}

} // namespace

Result<std::vector<ZipEntry>> zipEntries(const std::filesystem::path& file) {
    const auto refusal = [&](std::string text) {
        return Error{ErrorCode::cannotRead, std::move(text), file.string()};
    };
    const char* const broken = CORE_TEXT("The archive is damaged or cut off. Fetch or export it again.");
    std::error_code failed;
    const std::uint64_t size = std::filesystem::file_size(file, failed);
    std::ifstream in(file, std::ios::binary);
    if (failed || !in) return refusal(CORE_TEXT("The file cannot be read. Look at its permissions."));
    const auto table = tableOf(in, size);
    if (!table || table->at > size || table->size > size - table->at) return refusal(broken);
    if (table->entries > kMostEntries || table->size > kMostTable)
        return refusal(fmt::format(CORE_TEXT("The archive has more than {} files. Unpack it and choose the "
                                             "file that is wanted."),
                                   kMostEntries));
    const std::string block = readAt(in, table->at, static_cast<std::size_t>(table->size));
    std::vector<ZipEntry> entries;
    for (std::size_t at = 0; entries.size() < table->entries;) {
        if (at > block.size() || block.size() - at < kEntrySize || block.compare(at, 4, "PK\x01\x02") != 0)
            return refusal(broken);
        const auto nameSize = static_cast<std::size_t>(numberAt(block, at + 28, 2));
        const auto extraSize = static_cast<std::size_t>(numberAt(block, at + 30, 2));
        if (block.size() - at - kEntrySize < nameSize + extraSize) return refusal(broken);
        ZipEntry entry{block.substr(at + kEntrySize, nameSize), numberAt(block, at + 20, 4),
                       numberAt(block, at + 24, 4), (numberAt(block, at + 8, 2) & 1) != 0};
        readLargeSizes(entry, std::string_view(block).substr(at + kEntrySize + nameSize, extraSize));
        if (leadsOut(entry.name))
            return refusal(
                fmt::format(CORE_TEXT("The archive holds a file whose name leads out of it "
                                      "(\"{}\"). It is not read; ask whoever made it for another."),
                            entry.name.substr(0, 80)));
        at += kEntrySize + nameSize + extraSize + static_cast<std::size_t>(numberAt(block, at + 32, 2));
        entries.push_back(std::move(entry));
    }
    return entries;
}

} // namespace fw
