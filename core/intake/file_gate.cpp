// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/file_gate.h"

#include "base/ascii.h"
#include "base/text.h"
#include "gpkg/sqlite.h"
#include "intake/file_format.h"
#include "intake/gdal_scope.h"
#include "intake/zip_look.h"

#include <cpl_vsi.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <fstream>
#include <memory>
#include <optional>

namespace fw {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t kMostRatio = 250, kSmall = 16u << 20;

Error refusal(const fs::path& file, ErrorCode code, std::string text) {
    return {code, std::move(text), file.string()};
}

std::string extensionOf(const fs::path& name) { return lowered(name.extension().string()); }

/// The first bytes. A database is looked at through SQLite, which keeps its locks.
std::optional<std::string> headFrom(const fs::path& file) {
    if (const auto head = headOf(file); head && std::string_view(head->data(), 15) == "SQLite format 3")
        return std::string(head->data(), head->size());
    std::ifstream in(file, std::ios::binary);
    std::string head(kHeadBytes, '\0');
    in.read(head.data(), static_cast<std::streamsize>(head.size()));
    if (in.bad() || (!in && !in.eof())) return std::nullopt;
    head.resize(static_cast<std::size_t>(in.gcount()));
    return head;
}

/// Unpacks to nowhere; false where more comes than `most`, or the data are broken.
bool unpacksTo(const std::string& path, std::uint64_t most) {
    const std::unique_ptr<VSILFILE, void (*)(VSILFILE*)> in(VSIFOpenL(path.c_str(), "rb"),
                                                            [](VSILFILE* f) { VSIFCloseL(f); });
    if (!in) return false;
    std::string block(1 << 16, '\0');
    for (std::uint64_t sum = 0;;) {
        const std::size_t n = VSIFReadL(block.data(), 1, block.size(), in.get());
        sum += n;
        if (sum > most) return false;
        if (n < block.size()) return sum == most;
    }
}

std::optional<std::string> boundsProblem(const std::vector<ZipEntry>& entries) {
    std::uint64_t sum = 0;
    for (const ZipEntry& e : entries) {
        sum += std::min(e.unpacked, kMostUnpacked + 1);
        if (e.locked)
            return CORE_TEXT("The archive is locked by a password. Unpack it yourself and choose the file.");
        if (e.unpacked > kSmall && e.unpacked / kMostRatio > e.packed)
            return fmt::format(CORE_TEXT("The archive holds a file that unpacks to more than {} times its "
                                         "size, as no data do. It is not unpacked."),
                               kMostRatio);
    }
    if (sum > kMostUnpacked)
        return CORE_TEXT("The archive unpacks to more than 1 GiB. Unpack it yourself, or export its data as "
                         "GeoPackage or CSV.");
    return std::nullopt;
}

struct Contents {
    FileFormat format = FileFormat::zippedShapefile;
    std::vector<std::string> members; ///< that are opened
    std::vector<std::string> read;    ///< all that is unpacked on the way
};

std::optional<Contents> contentsOf(const std::vector<ZipEntry>& entries) {
    std::vector<std::string> kml, shp;
    Contents all;
    bool workbook = false;
    for (const ZipEntry& e : entries) {
        const std::string name = lowered(e.name);
        if (name.starts_with("__macosx/")) continue;
        workbook = workbook || name == "xl/workbook.xml";
        const std::string ext = extensionOf(name);
        if (ext == ".kml") kml.push_back(e.name);
        if (ext == ".shp") shp.push_back(e.name);
        constexpr std::array kRead{".kml", ".xml", ".rels", ".shp", ".shx", ".dbf", ".prj", ".cpg"};
        if (std::find(kRead.begin(), kRead.end(), ext) != kRead.end()) all.read.push_back(e.name);
    }
    if (workbook) {
        all.format = FileFormat::xlsx;
    } else if (!kml.empty()) {
        all.format = FileFormat::kmz;
        all.members = kml;
    } else if (!shp.empty()) {
        all.members = shp;
    } else {
        return std::nullopt;
    }
    return all;
}

Status admitArchive(AdmittedFile& file) {
    const auto entries = zipEntries(file.whole);
    if (!entries) return entries.error();
    if (const auto problem = boundsProblem(*entries))
        return refusal(file.whole, ErrorCode::badInput, *problem);
    auto contents = contentsOf(*entries);
    if (!contents)
        return refusal(file.whole, ErrorCode::badInput,
                       CORE_TEXT("The archive is neither an XLSX table, a KMZ nor a zipped Shapefile. Unpack "
                                 "it and choose the file that is wanted."));
    if (contents->format == FileFormat::xlsx && !extensionOf(file.whole).starts_with(".xls"))
        return refusal(file.whole, ErrorCode::badInput,
                       CORE_TEXT("This is a workbook by what is in it. Name it .xlsx."));
    const GdalScope scope;
    for (const ZipEntry& e : *entries)
        if (std::find(contents->read.begin(), contents->read.end(), e.name) != contents->read.end() &&
            !unpacksTo(fmt::format("/vsizip/{{{}}}/{}", file.whole.string(), e.name), e.unpacked))
            return refusal(file.whole, ErrorCode::cannotRead,
                           fmt::format(CORE_TEXT("\"{}\" in the archive is damaged, or larger than the "
                                                 "archive says. Fetch or export it again."),
                                       e.name));
    file.format = contents->format;
    file.members = std::move(contents->members);
    return Done{};
}

/// A file beside another one, with the ending in small or capital letters.
std::optional<fs::path> beside(const fs::path& file, std::string ending) {
    std::error_code failed;
    for (int round = 0; round < 2; ++round) {
        fs::path part = file;
        part.replace_extension(ending);
        if (fs::exists(fs::symlink_status(part, failed))) return part;
        std::transform(ending.begin(), ending.end(), ending.begin(),
                       [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
    }
    return std::nullopt;
}

/// Files that a reader will open without asking us have to be files, too.
Status checkBeside(const fs::path& file, std::initializer_list<const char*> endings) {
    std::error_code failed;
    for (const char* ending : endings)
        if (const auto part = beside(file, ending); part && !fs::is_regular_file(*part, failed))
            return refusal(
                *part, ErrorCode::badInput,
                CORE_TEXT("This lies beside the chosen file and is no regular file. Move it away."));
    return Done{};
}

Status admitShapefile(AdmittedFile& file) {
    if (Status s = checkBeside(file.whole, {".shx", ".dbf", ".prj", ".cpg", ".qix", ".sbn", ".idm", ".ind"});
        !s)
        return s;
    if (!beside(file.whole, ".shx"))
        return refusal(
            file.whole, ErrorCode::badInput,
            CORE_TEXT("The .shx that belongs to this Shapefile is missing. Put it beside the .shp: "
                      "a Shapefile is at least .shp, .shx and .dbf."));
    if (!beside(file.whole, ".dbf"))
        file.warnings.emplace_back(CORE_TEXT("There is no .dbf beside the .shp: the shapes come without any "
                                             "values."));
    else if (!beside(file.whole, ".cpg"))
        file.warnings.emplace_back(CORE_TEXT("There is no .cpg beside the .shp: its text is taken for what "
                                             "the .dbf says, or Latin-1. Look at names with accents."));
    if (!beside(file.whole, ".prj"))
        file.warnings.emplace_back(CORE_TEXT("There is no .prj beside the .shp: it does not say which "
                                             "coordinate system it is in."));
    return Done{};
}

Status admitFormat(AdmittedFile& file) {
    switch (file.format) {
    case FileFormat::shapefile:
        return admitShapefile(file);
    case FileFormat::asciiGrid:
        return checkBeside(file.whole, {".prj"});
    case FileFormat::geoTiff:
        return checkBeside(file.whole, {".tfw", ".tifw", ".wld"});
    default:
        return Done{};
    }
}

} // namespace

const char* nameOf(FileFormat format) {
    constexpr std::array kNames{"text",       "GeoPackage", "GeoJSON", "Shapefile",  "zipped Shapefile",
                                "FlatGeobuf", "KML",        "KMZ",     "GML",        "OSM XML",
                                "OSM PBF",    "XLSX",       "GeoTIFF", "ASCII grid", "HGT",
                                "DTED",       "MBTiles"};
    return kNames[static_cast<std::size_t>(format)];
}

bool isRaster(FileFormat format) { return format >= FileFormat::geoTiff; }

Result<AdmittedFile> admitFile(const fs::path& file) {
    std::error_code failed;
    const fs::file_status status = fs::status(file, failed);
    if (status.type() == fs::file_type::not_found)
        return refusal(file, ErrorCode::notFound,
                       CORE_TEXT("There is no such file. Choose one that is there."));
    if (status.type() == fs::file_type::directory)
        return refusal(file, ErrorCode::badInput, CORE_TEXT("This is a folder. Choose a file in it."));
    if (status.type() != fs::file_type::regular)
        return refusal(file, ErrorCode::badInput,
                       CORE_TEXT("This is no regular file but a device, a pipe or the like. Choose a file."));
    AdmittedFile admitted;
    admitted.whole = fs::absolute(file, failed);
    if (failed) return refusal(file, ErrorCode::cannotRead, CORE_TEXT("The file's path cannot be resolved."));
    if (admitted.whole.string().starts_with("/vsi"))
        return refusal(file, ErrorCode::badInput,
                       CORE_TEXT("The reading library takes a path that begins with /vsi for its own. Move "
                                 "the file to another folder."));
    const auto head = headFrom(admitted.whole);
    if (!head)
        return refusal(file, ErrorCode::cannotRead,
                       CORE_TEXT("The file cannot be read. Look at its permissions."));
    if (head->empty()) return refusal(file, ErrorCode::badInput, CORE_TEXT("The file is empty."));
    FormatGuess guess = guessFormat(*head, extensionOf(admitted.whole));
    if (guess.kind == FormatGuess::Kind::refused)
        return refusal(file, ErrorCode::badInput, std::move(guess.refusal));
    admitted.format = guess.format;
    const Status fine =
        guess.kind == FormatGuess::Kind::archive ? admitArchive(admitted) : admitFormat(admitted);
    if (!fine) return fine.error();
    return admitted;
}

} // namespace fw
