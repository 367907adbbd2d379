// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/basemap.h"

#include "base/text.h"
#include "intake/basemap_sheet.h"

#include <fmt/format.h>

#include <cmath>
#include <mutex>

namespace fw {
namespace {

Result<std::unique_ptr<BasemapSheet>> openSheet(const BasemapFile& what, const Job& job) {
    const auto admitted = admitFile(what.file);
    if (!admitted) return admitted.error();
    if (admitted->format == FileFormat::mbTiles || admitted->format == FileFormat::geoPackage)
        return openTileSheet(*admitted, what.layer);
    if (isRaster(admitted->format)) return openRasterSheet(*admitted, job);
    return Error{
        ErrorCode::badInput,
        fmt::format(CORE_TEXT("This is {}, which holds no picture of the ground. Choose a GeoTIFF, "
                              "MBTiles or a GeoPackage with tiles; rows of a table are taken in as a "
                              "file."),
                    admitted->format == FileFormat::text ? "text" : nameOf(admitted->format)),
        admitted->whole.string()};
}

SourceSystem systemOf(const BasemapHead& head, const BasemapFile& what) {
    return what.epsg != 0 ? SourceSystem{what.epsg, {}} : head.system;
}

/// Extent in the plan and size of a pixel there, as far as there are any.
Status placeInPlan(const BasemapSheet& sheet, const PlaceReader& way, BasemapHead& head) {
    const BasemapSheet::Outline outline = sheet.outline();
    for (const PlanePoint& p : outline.edge)
        if (std::vector<PlanePoint> one{p}; way.toPlan(one)) head.extent.add(one[0]);
    if (head.extent.empty())
        head.notes.emplace_back(CORE_TEXT("It lies outside of what the plan's system can show."));
    std::vector<PlanePoint> pixel = outline.pixel;
    if (pixel.size() == 3 && way.toPlan(pixel))
        head.cellM = std::sqrt(std::fabs(cross(pixel[1] - pixel[0], pixel[2] - pixel[0])));
    return Done{};
}

} // namespace

Result<BasemapHead> lookAtBasemap(const BasemapFile& what, const Frame& plan, const Job& job) {
    job.report(0, CORE_TEXT("Looking at the background map"));
    const auto sheet = openSheet(what, job);
    if (!sheet) return sheet.error();
    BasemapHead head = (*sheet)->head();
    if (what.epsg != 0) head.system = systemOf(head, what);
    if (job.stopped())
        return Error{ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), what.file.string()};
    if (!head.system.known()) return head;
    const auto way = PlaceReader::open(head.system, plan);
    if (!way) return way.error();
    if (what.epsg != 0) head.crsName = way->name();
    if (Status s = placeInPlan(**sheet, *way, head); !s) return s.error();
    job.report(1, CORE_TEXT("Looking at the background map"));
    return head;
}

struct BasemapReader::Impl {
    struct Handle {
        std::unique_ptr<BasemapSheet> sheet;
        PlaceReader way;
    };
    Impl(BasemapFile file, Frame frame) : what(std::move(file)), plan(std::move(frame)) {}

    Result<Handle> take() {
        {
            const std::lock_guard hold(mutex);
            if (!idle.empty()) {
                Handle h = std::move(idle.back());
                idle.pop_back();
                return h;
            }
        }
        auto sheet = openSheet(what, {});
        if (!sheet) return sheet.error();
        const auto way = PlaceReader::open(systemOf((*sheet)->head(), what), plan);
        if (!way) return way.error();
        return Handle{std::move(*sheet), *way};
    }
    void giveBack(Handle h) {
        const std::lock_guard hold(mutex);
        idle.push_back(std::move(h));
    }

    const BasemapFile what;
    const Frame plan;
    std::mutex mutex;
    std::vector<Handle> idle;
};

BasemapReader::BasemapReader(std::unique_ptr<Impl> impl) : m_impl(std::move(impl)) {}
BasemapReader::~BasemapReader() = default;

Result<std::shared_ptr<const BasemapReader>> BasemapReader::open(const BasemapFile& what, const Frame& plan) {
    auto impl = std::make_unique<Impl>(what, plan);
    auto first = impl->take();
    if (!first) return first.error();
    impl->giveBack(std::move(*first));
    return std::shared_ptr<const BasemapReader>(new BasemapReader(std::move(impl)));
}

Result<Picture> BasemapReader::read(const Box& plan, int width, int height,
                                    const std::function<bool()>& goOn) const {
    Picture out(std::max(0, width), std::max(0, height));
    if (out.empty() || plan.empty()) return out;
    auto handle = m_impl->take();
    if (!handle) return handle.error();
    const auto drawn = handle->sheet->draw(plan, handle->way, out, goOn);
    if (!drawn) return drawn.error();
    m_impl->giveBack(std::move(*handle));
    if (!*drawn) return Error{ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), {}};
    return out;
}

} // namespace fw
