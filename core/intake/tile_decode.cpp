// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "intake/gdal_scope.h"
#include "intake/picture.h"
#include "intake/raster_file.h"
#include "intake/raster_picture.h"

#include <cpl_vsi.h>
#include <fmt/format.h>
#include <gdal_priv.h>

#include <atomic>

namespace fw {
namespace {

using namespace std::string_view_literals;

/// PNG (ISO/IEC 15948, 5.2), JPEG (ITU-T T.81, B.1.1), WebP (RFC 9649, 2.4).
const char* driverOf(std::string_view bytes) {
    if (bytes.substr(0, 8) == "\x89PNG\r\n\x1a\n"sv) return "PNG";
    if (bytes.substr(0, 3) == "\xff\xd8\xff"sv) return "JPEG";
    if (bytes.size() > 12 && bytes.substr(0, 4) == "RIFF"sv && bytes.substr(8, 4) == "WEBP"sv) return "WEBP";
    return nullptr;
}

/// The bytes under a name for the library, while it lives.
class MemoryFile {
public:
    explicit MemoryFile(std::string_view bytes) {
        static std::atomic<unsigned long> last{0};
        m_path = fmt::format("/vsimem/fringewright_tile_{}", ++last);
        auto* data = reinterpret_cast<GByte*>(const_cast<char*>(bytes.data())); // read only
        if (VSILFILE* file = VSIFileFromMemBuffer(m_path.c_str(), data, bytes.size(), FALSE))
            VSIFCloseL(file);
    }
    ~MemoryFile() { VSIUnlink(m_path.c_str()); }
    MemoryFile(const MemoryFile&) = delete;
    MemoryFile& operator=(const MemoryFile&) = delete;
    [[nodiscard]] const char* path() const { return m_path.c_str(); }

private:
    std::string m_path;
};

} // namespace

Result<Picture> tileFrom(std::string_view bytes) {
    if (bytes.size() > kMostTileBytes) return badInput(CORE_TEXT("The tile is larger than 4 MB."));
    const char* driver = driverOf(bytes);
    if (!driver) return badInput(CORE_TEXT("The tile is no PNG, JPEG or WebP picture."));
    GdalScope scope;
    scope.set("GDAL_JPEG_TO_RGB", "YES");
    const MemoryFile file(bytes);
    const char* drivers[] = {driver, nullptr};
    const char* noSiblings[] = {nullptr};
    const RasterFile data(
        GDALDataset::Open(file.path(), GDAL_OF_RASTER | GDAL_OF_READONLY, drivers, nullptr, noSiblings));
    if (!data || data->GetRasterCount() == 0) return badInput(CORE_TEXT("The tile is damaged."));
    if (data->GetRasterXSize() > kMostTileSide || data->GetRasterYSize() > kMostTileSide)
        return badInput(fmt::format(CORE_TEXT("The tile has {} x {} pixels, more than 1024 x 1024."),
                                    data->GetRasterXSize(), data->GetRasterYSize()));
    const bool wide = data->GetRasterBand(1)->GetRasterDataType() == GDT_UInt16;
    const ColorReader colors(*data, wide ? std::optional(Stretch{0, 65535}) : std::nullopt);
    Picture picture(data->GetRasterXSize(), data->GetRasterYSize());
    if (!colors.read({0, 0, picture.width, picture.height}, picture, {}))
        return badInput(CORE_TEXT("The tile is damaged."));
    return picture;
}

} // namespace fw
