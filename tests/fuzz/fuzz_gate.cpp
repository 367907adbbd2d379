// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes as a file of unknown format: what it is, or a sentence; and as the table of an archive.
#include "intake/file_format.h"
#include "intake/zip_look.h"
#include "store/folder.h"

#include <cstdint>
#include <cstdlib>
#include <filesystem>

using namespace fw;
namespace fs = std::filesystem;

namespace {

const fs::path& file() {
    // Never destroyed: what removes it runs after the end of statics.
    static const fs::path& path = *new fs::path([] {
        std::string pattern =
            (fs::is_directory("/dev/shm") ? "/dev/shm/" : "/tmp/") + std::string("fw-fuzz-XXXXXX");
        if (!mkdtemp(pattern.data())) std::abort();
        std::atexit([] { fs::remove_all(file().parent_path()); });
        return fs::path(pattern) / "in.zip";
    }());
    return path;
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string bytes(reinterpret_cast<const char*>(data), size);
    for (const char* extension : {".csv", ".shp", ".gpkg", ""}) {
        const FormatGuess guess = guessFormat(bytes, extension);
        if (guess.kind == FormatGuess::Kind::refused && guess.refusal.size() < 10) std::abort();
        if (guess.kind != FormatGuess::Kind::archive) continue;
        testing::writeBytes(file(), bytes);
        const auto entries = zipEntries(file());
        if (!entries && entries.error().text.size() < 10) std::abort();
        if (!entries) continue;
        for (const ZipEntry& e : *entries)
            if (e.name.empty() || e.name[0] == '/' || e.name.find("..\\") != e.name.npos) std::abort();
    }
    return 0;
}
