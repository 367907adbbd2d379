// SPDX-License-Identifier: GPL-3.0-or-later
// Tiles of a file as a picture of the ground.
#include "base/text.h"
#include "intake/basemap_sheet.h"
#include "intake/package_tiles.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <list>
#include <map>

namespace fw {
namespace {

class TileSheet : public BasemapSheet {
public:
    TileSheet(TileBase base, const char* format) : m_base(std::move(base)), m_format(format) {}

    [[nodiscard]] BasemapHead head() const override {
        const PackageTiles& about = m_base.about();
        BasemapHead head;
        head.format = m_format;
        const TileLevel &first = about.levels.front(), &last = about.levels.back();
        head.what = first.zoom == last.zoom
                        ? fmt::format(CORE_TEXT("tiles of zoom {}"), first.zoom)
                        : fmt::format(CORE_TEXT("tiles of zoom {} to {}"), first.zoom, last.zoom);
        head.title = about.title;
        head.attribution = about.attribution;
        head.layer = about.layer;
        head.layers = about.layers;
        head.system = {about.system.epsg, about.system.wkt};
        head.crsName = about.system.name;
        head.notes = about.system.notes;
        return head;
    }
    [[nodiscard]] Outline outline() const override;
    Result<bool> draw(const Box& plan, const PlaceReader& way, Picture& out,
                      const std::function<bool()>& goOn) override {
        const Mesh mesh(plan, out.width, out.height, [&](auto& places) { way.fromPlan(places); });
        if (!(mesh.step() > 0)) return true;
        const std::vector<TileLevel>& levels = m_base.about().levels;
        return drawPyramid(
            mesh, levels, levelFor(levels, mesh.step()),
            [this](const TileLevel& l, std::int64_t col, std::int64_t row) { return tile(l, col, row); }, out,
            goOn);
    }

private:
    /// Tiles of the map meet at the same tiles of the file: some are kept.
    std::shared_ptr<const Picture> tile(const TileLevel& level, std::int64_t col, std::int64_t row) {
        constexpr std::size_t kKept = 48;
        const Key key{level.zoom, col, row};
        if (const auto at =
                std::find_if(m_kept.begin(), m_kept.end(), [&](const auto& k) { return k.first == key; });
            at != m_kept.end()) {
            m_kept.splice(m_kept.begin(), m_kept, at);
            return m_kept.front().second;
        }
        m_kept.emplace_front(key, m_base.tile(level, col, row));
        if (m_kept.size() > kKept) m_kept.pop_back();
        return m_kept.front().second;
    }

    using Key = std::tuple<int, std::int64_t, std::int64_t>;
    TileBase m_base;
    const char* m_format;
    std::list<std::pair<Key, std::shared_ptr<const Picture>>> m_kept;
};

BasemapSheet::Outline TileSheet::outline() const {
    const PackageTiles& about = m_base.about();
    const TileLevel& finest = about.levels.back();
    Box box = about.bounds;
    const Box all{
        finest.left, finest.top - static_cast<double>(finest.rows) * finest.tileHeight * finest.perY,
        finest.left + static_cast<double>(finest.cols) * finest.tileWidth * finest.perX, finest.top};
    if (box.empty() || !box.meets(all))
        box = all;
    else
        box = {std::max(box.x0, all.x0), std::max(box.y0, all.y0), std::min(box.x1, all.x1),
               std::min(box.y1, all.y1)};
    Outline out;
    constexpr int kSteps = 16;
    for (int i = 0; i <= kSteps; ++i)
        for (int k = 0; k <= kSteps; ++k)
            out.edge.push_back({box.x0 + box.width() * i / kSteps, box.y0 + box.height() * k / kSteps});
    const PlanePoint middle = box.centre();
    out.pixel = {middle, middle + PlanePoint{finest.perX, 0}, middle - PlanePoint{0, finest.perY}};
    return out;
}

} // namespace

Result<std::unique_ptr<BasemapSheet>> openTileSheet(const AdmittedFile& file, const std::string& layer) {
    auto base = TileBase::open(file, layer);
    if (!base) return base.error();
    return std::unique_ptr<BasemapSheet>(new TileSheet(std::move(*base), nameOf(file.format)));
}

} // namespace fw
