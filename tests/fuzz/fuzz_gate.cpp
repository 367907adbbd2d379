// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes as a file of unknown format: what it is, or a sentence; and as the table of an archive.
// From the seeds a minute on two busy cores reaches 520 edges.
#include "fuzz/fuzz_folder.h"
#include "intake/file_format.h"
#include "intake/zip_look.h"
#include "store/folder.h"

#include <cstdint>
#include <cstdlib>
#include <filesystem>

using namespace fw;
namespace fs = std::filesystem;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    static const auto& file = *new fs::path(testing::fuzzFolder() / "in.zip");
    const std::string bytes(reinterpret_cast<const char*>(data), size);
    for (const char* extension : {".csv", ".shp", ".gpkg", ""}) {
        const FormatGuess guess = guessFormat(bytes, extension);
        if (guess.kind == FormatGuess::Kind::refused && guess.refusal.size() < 10) std::abort();
        if (guess.kind != FormatGuess::Kind::archive) continue;
        testing::writeBytes(file, bytes);
        const auto entries = zipEntries(file);
        if (!entries && entries.error().text.size() < 10) std::abort();
        if (!entries) continue;
        for (const ZipEntry& e : *entries)
            if (e.name.empty() || e.name[0] == '/' || e.name.find("..\\") != e.name.npos) std::abort();
    }
    return 0;
}
