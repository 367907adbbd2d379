// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/file_format.h"

#include "base/text.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

namespace fw {
namespace {

using namespace std::string_view_literals;

FormatGuess found(FileFormat format) { return {FormatGuess::Kind::format, format, {}}; }
FormatGuess refused(std::string sentence) {
    return {FormatGuess::Kind::refused, FileFormat::text, std::move(sentence)};
}

bool startsWith(std::string_view s, std::string_view with) { return s.substr(0, with.size()) == with; }

bool startsWithLetters(std::string_view s, std::string_view small) {
    return s.size() >= small.size() && std::equal(small.begin(), small.end(), s.begin(), [](char a, char b) {
               return a == (b >= 'A' && b <= 'Z' ? static_cast<char>(b - 'A' + 'a') : b);
           });
}

// SQLite file format, 1.3; OGC 12-128r18, 1.1.1.1.1: "GPKG", and "GP10", "GP11" of earlier editions.
FormatGuess guessDatabase(std::string_view head, std::string_view extension) {
    const std::string_view id = head.substr(std::min<std::size_t>(68, head.size()), 4);
    if (id == "GPKG" || id == "GP10" || id == "GP11" || extension == ".gpkg")
        return found(FileFormat::geoPackage);
    // MBTiles 1.3, "Database": the application id may be set to "MPBX".
    if (id == "MPBX" || extension == ".mbtiles") return found(FileFormat::mbTiles);
    return refused(CORE_TEXT("This is a database of another program. Export its layers as GeoPackage."));
}

// What is recognised at its first bytes alone.
std::optional<FormatGuess> guessByMagic(std::string_view head, std::string_view extension) {
    if (startsWith(head, "SQLite format 3\0"sv)) return guessDatabase(head, extension);
    if (startsWith(head, "PK\x03\x04")) return FormatGuess{FormatGuess::Kind::archive};
    if (startsWith(head, "fgb\x03"
                         "fgb"))
        return found(FileFormat::flatGeobuf);
    if (startsWith(head, "II*\0"sv) || startsWith(head, "MM\0*"sv) || startsWith(head, "II+\0"sv) ||
        startsWith(head, "MM\0+"sv))
        return found(FileFormat::geoTiff);
    if (startsWith(head, "\0\0\x27\x0a"sv)) {
        if (extension == ".shp") return found(FileFormat::shapefile);
        return refused(CORE_TEXT("This is a part of a Shapefile. Choose the file that ends in .shp."));
    }
    // A length of less than 64 KiB, then the kind of the first block as a field of protocol buffers.
    if (head.size() > 16 && startsWith(head, "\0\0"sv) && head.substr(4, 11) == "\x0a\x09OSMHeader")
        return found(FileFormat::osmPbf);
    if (startsWith(head, "UHL1") ||
        ((startsWith(head, "VOL") || startsWith(head, "HDR")) && head.size() > 240 &&
         (head.substr(80, 4) == "UHL1" || head.substr(160, 4) == "UHL1")))
        return found(FileFormat::dted);
    if (startsWithLetters(head, "ncols") || startsWithLetters(head, "nrows"))
        return found(FileFormat::asciiGrid);
    return std::nullopt;
}

struct Known {
    std::string_view bytes;
    const char* what;
};
constexpr std::array kOthers{
    Known{"\xd0\xcf\x11\xe0"sv,
          CORE_TEXT("This is a spreadsheet or document of an old kind. Save it as XLSX or CSV.")},
    Known{"\x1f\x8b"sv, CORE_TEXT("The file is packed by gzip. Unpack it first.")},
    Known{"BZh"sv, CORE_TEXT("The file is packed by bzip2. Unpack it first.")},
    Known{"\xfd"
          "7zXZ"sv,
          CORE_TEXT("The file is packed by xz. Unpack it first.")},
    Known{"7z\xbc\xaf"sv, CORE_TEXT("The file is a 7z archive. Unpack it first.")},
    Known{"Rar!"sv, CORE_TEXT("The file is a RAR archive. Unpack it first.")},
    Known{"PK\x05\x06"sv, CORE_TEXT("The archive is empty.")},
    Known{"%PDF"sv,
          CORE_TEXT("This is a PDF: it holds a picture of a map or table. Ask for the data behind it.")},
    Known{"EHFA_HEADER_TAG"sv,
          CORE_TEXT("An IMG raster may keep its cells in other files. Convert it to GeoTIFF.")},
    Known{"\0\0\0\x0cjP"sv, CORE_TEXT("JPEG 2000 rasters are not read. Convert it to GeoTIFF.")},
    Known{"\x89PNG"sv, CORE_TEXT("This is a picture without a place. Georeference it as GeoTIFF.")},
    Known{"\xff\xd8\xff"sv, CORE_TEXT("This is a picture without a place. Georeference it as GeoTIFF.")},
    Known{"AC10"sv, CORE_TEXT("This is a CAD drawing. Export its layers as GeoPackage or Shapefile.")},
};

std::string_view withoutBom(std::string_view s) {
    if (startsWith(s, "\xef\xbb\xbf")) s.remove_prefix(3);
    const std::size_t at = s.find_first_not_of(" \t\r\n");
    return at == s.npos ? std::string_view() : s.substr(at);
}

bool inUtf16(std::string_view head) {
    if (startsWith(head, "\xff\xfe") || startsWith(head, "\xfe\xff")) return true;
    std::array<std::size_t, 2> zeros{};
    for (std::size_t k = 0; k < head.size(); ++k) zeros[k % 2] += head[k] == '\0';
    const auto [few, many] = std::minmax(zeros[0], zeros[1]);
    return few == 0 && many > head.size() / 6;
}

/// Of UTF-16 what is plain ASCII: enough for the names of elements.
std::string asciiOf(std::string_view head) {
    std::string s;
    for (const char c : head)
        if (c > 0 || c == '\n') s += c;
    return s;
}

struct XmlLook {
    std::string root; ///< name of the first element without its prefix; empty: none in sight
    bool hasDtd = false;
};

XmlLook lookAtXml(std::string_view s) {
    XmlLook look;
    const auto skipPast = [&](std::string_view end) {
        const std::size_t at = s.find(end);
        s = at == s.npos ? std::string_view() : s.substr(at + end.size());
    };
    while (!s.empty()) {
        skipPast("<");
        if (startsWith(s, "!--"))
            skipPast("-->");
        else if (startsWith(s, "!"))
            return {{}, true};
        else if (startsWith(s, "?"))
            skipPast("?>");
        else
            break;
    }
    std::string_view name = s.substr(0, s.find_first_of(" \t\r\n/>"));
    name.remove_prefix(name.rfind(':') + 1);
    look.root = name.substr(0, 60);
    return look;
}

FormatGuess guessXml(std::string_view text) {
    const XmlLook look = lookAtXml(text);
    constexpr std::array kPointers{"VRTDataset"sv,       "OGRVRTDataSource"sv, "GDAL_WMS"sv,
                                   "GDAL_WMTS"sv,        "OGRWFSDataSource"sv, "OGRCSWDataSource"sv,
                                   "WMS_Capabilities"sv, "WMS_Tile_Service"sv, "GDALTileIndexDataset"sv,
                                   "TileMap"sv,          "Capabilities"sv};
    if (look.hasDtd)
        return refused(CORE_TEXT("The file begins with a document type definition, which can pull in other "
                                 "files. It is not read; export it without."));
    if (std::find(kPointers.begin(), kPointers.end(), look.root) != kPointers.end())
        return refused(CORE_TEXT("This is a virtual data set: it holds no data and points to other files or "
                                 "servers. Choose the files themselves."));
    if (look.root == "kml") return found(FileFormat::kml);
    if (look.root == "osm") return found(FileFormat::osmXml);
    if (look.root == "FeatureCollection" || text.find("http://www.opengis.net/gml") != text.npos)
        return found(FileFormat::gml);
    return refused(fmt::format(CORE_TEXT("This XML (\"{}\") is neither KML, GML nor an OSM extract. Export "
                                         "the data as one of these, or as GeoPackage."),
                               look.root));
}

} // namespace

FormatGuess guessFormat(std::string_view head, std::string_view extension) {
    if (const auto guess = guessByMagic(head, extension)) return *guess;
    for (const Known& other : kOthers)
        if (startsWith(head, other.bytes)) return refused(other.what);
    for (const std::string_view part : {".dbf"sv, ".shx"sv, ".prj"sv, ".cpg"sv, ".sbn"sv, ".sbx"sv, ".qix"sv})
        if (extension == part)
            return refused(CORE_TEXT("This is a part of a Shapefile. Choose the file that ends in .shp."));
    if (extension == ".hgt") return found(FileFormat::srtm);
    const bool utf16 = inUtf16(head);
    const std::string ascii = utf16 ? asciiOf(head) : std::string();
    const std::string_view text = withoutBom(utf16 ? std::string_view(ascii) : head);
    if (startsWith(text, "<")) return guessXml(text);
    if (!utf16 && !text.empty() && (text[0] == '{' || text[0] == '[' || text[0] == '\x1e'))
        return found(FileFormat::geoJson);
    if (!utf16 && head.find('\0') != head.npos)
        return refused(
            CORE_TEXT("The file is in none of the formats that are read: CSV and other text, XLSX, "
                      "GeoPackage, GeoJSON, Shapefile, FlatGeobuf, KML, KMZ, GML, OSM extracts; of "
                      "rasters GeoTIFF, ASCII grid, HGT, DTED."));
    if (startsWith(text, "0\n") || startsWith(text, "0\r\n"))
        if (text.substr(0, 12).find("SECTION") != text.npos)
            return refused(CORE_TEXT("This is a CAD drawing. Export its layers as GeoPackage or Shapefile."));
    return found(FileFormat::text);
}

} // namespace fw
