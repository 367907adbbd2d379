// SPDX-License-Identifier: GPL-3.0-or-later
// A georeferenced raster as a picture of the ground.
#include "base/text.h"
#include "intake/basemap_sheet.h"
#include "intake/gdal_scope.h"
#include "intake/package_tiles.h"
#include "intake/raster_file.h"
#include "intake/raster_picture.h"
#include "intake/raster_source.h"
#include "intake/source_system.h"

#include <fmt/format.h>
#include <gdal_priv.h>

#include <algorithm>
#include <cmath>

namespace fw {
namespace {

constexpr double kMuchWithoutOverviews = 64e6;

class RasterSheet : public BasemapSheet {
public:
    RasterSheet(OpenedRaster raster, std::optional<Stretch> stretch)
        : m_raster(std::move(raster)), m_colors(*m_raster.data, stretch) {
        if (!GDALInvGeoTransform(m_raster.place.data(), m_inverse.data()))
            m_inverse.fill(0); // openRaster() looked
    }

    [[nodiscard]] BasemapHead head() const override;
    [[nodiscard]] Outline outline() const override;
    Result<bool> draw(const Box& plan, const PlaceReader& way, Picture& out,
                      const std::function<bool()>& goOn) override;

private:
    [[nodiscard]] int width() const { return m_raster.data->GetRasterXSize(); }
    [[nodiscard]] int height() const { return m_raster.data->GetRasterYSize(); }
    [[nodiscard]] PlanePoint worldOf(double column, double row) const {
        const auto& p = m_raster.place;
        return {p[0] + column * p[1] + row * p[2], p[3] + column * p[4] + row * p[5]};
    }
    [[nodiscard]] PlanePoint pixelOf(PlanePoint p) const {
        const auto& i = m_inverse;
        return {i[0] + p.x * i[1] + p.y * i[2], i[3] + p.x * i[4] + p.y * i[5]};
    }
    Error unreadable() const {
        return {ErrorCode::damaged,
                fmt::format(CORE_TEXT("The picture cannot be read ({}). Export it again."),
                            GdalScope::lastMessage()),
                m_raster.whole.string()};
    }

    OpenedRaster m_raster;
    std::array<double, 6> m_inverse{};
    ColorReader m_colors;
};

BasemapHead RasterSheet::head() const {
    const GdalScope scope;
    BasemapHead head;
    head.format = nameOf(m_raster.format);
    head.what = fmt::format(CORE_TEXT("{} x {} pixels, {}"), width(), height(), m_colors.kind());
    const FoundSystem system = systemFrom(m_raster.data->GetSpatialRef());
    head.system = {system.epsg, system.wkt};
    head.crsName = system.name;
    head.notes = system.notes;
    if (!head.system.known())
        head.notes.emplace_back(CORE_TEXT("It does not say which coordinate system it is in."));
    for (const char* tag : {"TIFFTAG_COPYRIGHT", "COPYRIGHT"})
        if (const char* said = m_raster.data->GetMetadataItem(tag); said && head.attribution.empty())
            head.attribution = plainWords(said);
    if (const char* said = m_raster.data->GetMetadataItem("TIFFTAG_IMAGEDESCRIPTION"))
        head.title = plainWords(said);
    if (double{1} * width() * height() > kMuchWithoutOverviews && m_raster.band().GetOverviewCount() == 0)
        head.notes.emplace_back(
            CORE_TEXT("It has no overviews, so that it is slow to draw from afar. Add some to "
                      "the file."));
    return head;
}

BasemapSheet::Outline RasterSheet::outline() const {
    Outline out;
    constexpr int kSteps = 16;
    for (int i = 0; i <= kSteps; ++i)
        for (int k = 0; k <= kSteps; ++k)
            out.edge.push_back(worldOf(double{1} * width() * i / kSteps, double{1} * height() * k / kSteps));
    const double column = std::floor(width() / 2.0), row = std::floor(height() / 2.0);
    out.pixel = {worldOf(column, row), worldOf(column + 1, row), worldOf(column, row + 1)};
    return out;
}

Result<bool> RasterSheet::draw(const Box& plan, const PlaceReader& way, Picture& out,
                               const std::function<bool()>& goOn) {
    const Mesh mesh(plan, out.width, out.height, [&](std::vector<PlanePoint>& places) {
        way.fromPlan(places);
        for (PlanePoint& p : places) p = pixelOf(p);
    });
    const Box& b = mesh.bounds();
    // A pixel more on every side, so that the middles of those beside are there to go between.
    const double x0 = std::max(0.0, std::floor(b.x0) - 1), y0 = std::max(0.0, std::floor(b.y0) - 1),
                 x1 = std::min<double>(width(), std::ceil(b.x1) + 1),
                 y1 = std::min<double>(height(), std::ceil(b.y1) + 1);
    if (b.empty() || !(x1 > x0 && y1 > y0)) return true;
    const ColorReader::Window window{static_cast<int>(x0), static_cast<int>(y0), static_cast<int>(x1 - x0),
                                     static_cast<int>(y1 - y0)};
    const double shrink = std::max(1.0, mesh.step());
    Picture source(std::max(1, static_cast<int>(std::ceil(window.width / shrink))),
                   std::max(1, static_cast<int>(std::ceil(window.height / shrink))));
    const GdalScope scope;
    if (!m_colors.read(window, source, goOn)) {
        if (goOn && !goOn()) return false;
        return unreadable();
    }
    mesh.draw(source,
              {x0, y0, double{1} * window.width / source.width, double{1} * window.height / source.height},
              out);
    return true;
}

/// Black and white of values that are no bytes; none for bytes.
Result<std::optional<Stretch>> stretchOf(const OpenedRaster& raster, const Job& job) {
    if (raster.band().GetRasterDataType() == GDT_Byte) return std::optional<Stretch>();
    const auto head = lookAtRaster(raster.whole, job);
    if (!head) return head.error();
    if (!head->least || !head->most)
        return Error{ErrorCode::badInput, CORE_TEXT("No cell of the raster has data."),
                     raster.whole.string()};
    return std::optional(Stretch{*head->least, *head->most});
}

} // namespace

Result<std::unique_ptr<BasemapSheet>> openRasterSheet(const AdmittedFile& file, const Job& job) {
    const GdalScope scope;
    auto raster = openRaster(file.whole);
    if (!raster) return raster.error();
    const auto stretch = stretchOf(*raster, job);
    if (!stretch) return stretch.error();
    return std::unique_ptr<BasemapSheet>(new RasterSheet(std::move(*raster), *stretch));
}

} // namespace fw
