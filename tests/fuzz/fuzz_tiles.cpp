// SPDX-License-Identifier: GPL-3.0-or-later
// Any bytes as one tile of a background map, or as a whole set of tiles: a picture or a sentence, and the
// file as it was. From the seeds a minute on two busy cores reaches 2000 edges.
#include "fuzz/fuzz_folder.h"
#include "geo/frame.h"
#include "intake/basemap.h"
#include "store/folder.h"

#include <cstdint>
#include <cstdlib>
#include <filesystem>

using namespace fw;
namespace fs = std::filesystem;

namespace {

void check(const Picture& p) {
    if (p.rgba.size() !=
        std::size_t{4} * static_cast<std::size_t>(p.width) * static_cast<std::size_t>(p.height))
        std::abort();
}

void checkSentence(const Error& e) {
    if (e.code != ErrorCode::cancelled && e.text.size() < 10) std::abort();
}

void readSet(const BasemapFile& what) {
    static const Frame plan = Frame::fromEpsg(32627).value();
    const auto head = lookAtBasemap(what, plan);
    if (!head) return checkSentence(head.error());
    const auto reader = BasemapReader::open(what, plan);
    if (!reader) return checkSentence(reader.error());
    for (const Box& box : {head->extent, Box{553000, 4084000, 553200, 4084100}}) {
        if (box.empty()) continue;
        const auto picture = (*reader)->read(box, 48, 32);
        if (!picture) {
            checkSentence(picture.error());
            continue;
        }
        if (picture->width != 48 || picture->height != 32) std::abort();
        check(*picture);
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string bytes(reinterpret_cast<const char*>(data), size);
    if (!bytes.starts_with("SQLite")) {
        const auto tile = tileFrom(bytes);
        if (!tile)
            checkSentence(tile.error());
        else if (tile->width > kMostTileSide || tile->height > kMostTileSide)
            std::abort();
        else
            check(*tile);
        return 0;
    }
    // The application's number (SQLite file format, 1.3): what the file is called has to fit it.
    const bool package = bytes.size() > 72 && bytes.compare(68, 3, "GPK") == 0;
    const fs::path file = testing::fuzzFolder() / (package ? "in.gpkg" : "in.mbtiles");
    testing::writeBytes(file, bytes);
    BasemapFile what;
    what.file = file;
    readSet(what);
    if (testing::bytesOf(file) != bytes) std::abort();
    return 0;
}
