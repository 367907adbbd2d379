// SPDX-License-Identifier: GPL-3.0-or-later
#include "store/plan_terrain.h"

#include "base/digest.h"
#include "surface/raster_io.h"

#include <algorithm>
#include <fmt/format.h>
#include <fstream>

namespace fw {

namespace {

namespace fs = std::filesystem;

bool isBelow(const fs::path& file, const fs::path& folder) {
    const auto [end, rest] = std::mismatch(folder.begin(), folder.end(), file.begin(), file.end());
    return end == folder.end() && rest != file.end();
}

Result<fs::path> placeOf(const std::string& name, const fs::path& planFile, RasterUse use) {
    const Error outside{
        ErrorCode::badInput,
        fmt::format("The {} file must lie beside the plan or in a folder below it, and be named relative "
                    "to the plan. Move it there and name it again.",
                    wordFor(use)),
        name};
    const fs::path relative(name);
    if (relative.is_absolute()) return outside;
    const fs::path folder = fs::weakly_canonical(fs::absolute(planFile)).parent_path();
    const fs::path file = fs::weakly_canonical(folder / relative);
    if (!isBelow(file, folder)) return outside;
    if (!fs::is_regular_file(file))
        return Error{
            ErrorCode::notFound,
            fmt::format("The plan's {} file is not there. Put it back beside the plan.", wordFor(use)),
            file.string()};
    constexpr std::uintmax_t kMostBytes = std::uintmax_t{4}
                                          << 30; // eight times the largest grid that is read
    if (fs::file_size(file) > kMostBytes)
        return Error{
            ErrorCode::badInput,
            fmt::format("The {} file is larger than 4 GiB. Cut it to the area of work or compress it, "
                        "and name it anew.",
                        wordFor(use)),
            file.string()};
    return file;
}

} // namespace

Result<std::string> digestOfFile(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    Digester digester;
    std::vector<char> block(1u << 20);
    while (in) {
        in.read(block.data(), static_cast<std::streamsize>(block.size()));
        digester.bytes(block.data(), static_cast<std::size_t>(in.gcount()));
    }
    if (!in.eof()) return Error{ErrorCode::cannotRead, "The file cannot be read.", file.string()};
    return digester.done().hex();
}

namespace {

// A raster that a plan names, provided that its bytes are those the plan was made with.
Result<fs::path> wholeFile(const RasterRef& ref, const fs::path& planFile, RasterUse use) {
    auto file = placeOf(ref.file, planFile, use);
    if (!file) return file;
    const auto digest = digestOfFile(*file);
    if (!digest) return digest.error();
    if (*digest != ref.digest)
        return Error{
            ErrorCode::badInput,
            fmt::format("The {} file is not the one the plan was made with (digest {}, the plan names {}). "
                        "Put the right file back or name this one anew.",
                        wordFor(use), *digest, ref.digest.empty() ? "none" : ref.digest),
            file->string()};
    return file;
}

} // namespace

Result<std::shared_ptr<const Terrain>> loadTerrain(const Plan& plan, const fs::path& planFile) try {
    const PlanSettings& s = *plan.settings;
    auto terrain = std::make_shared<Terrain>();
    terrain->flatM = s.terrain.flatM;
    if (!s.terrain.file.empty()) {
        const auto file = wholeFile({s.terrain.file, s.terrain.digest}, planFile, RasterUse::height);
        if (!file) return file.error();
        auto ground = readTerrain(*file, s.epsg);
        if (!ground) return ground.error();
        terrain = std::make_shared<Terrain>(std::move(*ground));
    }
    if (!s.demandRaster.file.empty()) {
        const auto file = wholeFile(s.demandRaster, planFile, RasterUse::demand);
        if (!file) return file.error();
        auto grid = readDemand(*file, s.epsg);
        if (!grid) return grid.error();
        terrain->demand = std::make_shared<const DemandGrid>(std::move(*grid));
    }
    if (!s.landCover.file.empty()) {
        const auto file = wholeFile(s.landCover, planFile, RasterUse::landCover);
        if (!file) return file.error();
        auto grid = readLandCover(*file, s.epsg);
        if (!grid) return grid.error();
        terrain->landCover = std::make_shared<const ClassGrid>(std::move(*grid));
    }
    return std::shared_ptr<const Terrain>(std::move(terrain));
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotRead, fmt::format("The terrain file cannot be read: {}.", e.what()),
                 planFile.string()};
}

Result<Edit> useRaster(const Plan& plan, const fs::path& planFile, RasterUse use, const fs::path& raster,
                       const std::string& landCoverWeights) {
    std::error_code fault;
    const fs::path relative = fs::relative(raster, fs::absolute(planFile).parent_path(), fault);
    if (fault || relative.empty() || *relative.begin() == "..")
        return Error{ErrorCode::badInput,
                     fmt::format("A plan's {} lies beside the plan file, or below.", wordFor(use)),
                     raster.string()};
    auto digest = digestOfFile(raster);
    if (!digest) return digest.error();
    PlanSettings settings = *plan.settings;
    const RasterRef ref{relative.generic_string(), std::move(*digest)};
    if (use == RasterUse::height) {
        settings.terrain.file = ref.file;
        settings.terrain.digest = ref.digest;
    } else {
        (use == RasterUse::demand ? settings.demandRaster : settings.landCover) = ref;
    }
    if (use == RasterUse::landCover) settings.landCoverWeights = landCoverWeights;
    return Edit{fmt::format("Use the {} {}", wordFor(use), ref.file), {PutSettings{std::move(settings)}}};
}

Edit leaveRaster(const Plan& plan, RasterUse use) {
    PlanSettings settings = *plan.settings;
    if (use == RasterUse::height) {
        settings.terrain.file.clear();
        settings.terrain.digest.clear();
    } else {
        (use == RasterUse::demand ? settings.demandRaster : settings.landCover) = {};
    }
    if (use == RasterUse::landCover) settings.landCoverWeights.clear();
    Edit edit{fmt::format("Leave the {} raster", wordFor(use)), {}};
    if (settings != *plan.settings) edit.changes.emplace_back(PutSettings{std::move(settings)});
    return edit;
}

const char* wordFor(RasterUse use) {
    return use == RasterUse::height ? "terrain" : use == RasterUse::demand ? "demand" : "land cover";
}

fs::path freeRasterName(const fs::path& planFile, RasterUse use) {
    std::string stem = planFile.filename().string();
    for (const std::string_view ending : {".gpkg", ".plan"})
        if (stem.ends_with(ending)) stem.resize(stem.size() - ending.size());
    std::string what = wordFor(use);
    std::replace(what.begin(), what.end(), ' ', '-');
    std::error_code fault;
    for (int k = 1;; ++k) {
        const std::string name =
            k == 1 ? fmt::format("{}-{}.tif", stem, what) : fmt::format("{}-{}-{}.tif", stem, what, k);
        fs::path file = planFile.parent_path() / name;
        if (!fs::exists(file, fault)) return file;
    }
}

} // namespace fw
