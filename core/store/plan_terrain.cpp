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

Result<fs::path> placeOf(const std::string& name, const fs::path& planFile) {
    const Error outside{
        ErrorCode::badInput,
        "The terrain file must lie beside the plan or in a folder below it, and be named relative "
        "to the plan. Move it there and name it again.",
        name};
    const fs::path relative(name);
    if (relative.is_absolute()) return outside;
    const fs::path folder = fs::weakly_canonical(fs::absolute(planFile)).parent_path();
    const fs::path file = fs::weakly_canonical(folder / relative);
    if (!isBelow(file, folder)) return outside;
    if (!fs::is_regular_file(file))
        return Error{ErrorCode::notFound,
                     "The plan's terrain file is not there. Put it back beside the plan.", file.string()};
    constexpr std::uintmax_t kMostBytes = std::uintmax_t{4}
                                          << 30; // eight times the largest grid that is read
    if (fs::file_size(file) > kMostBytes)
        return Error{ErrorCode::badInput,
                     "The terrain file is larger than 4 GiB. Cut it to the area of work or compress it, and "
                     "name it anew.",
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

Result<std::shared_ptr<const Terrain>> loadTerrain(const Plan& plan, const fs::path& planFile) try {
    const TerrainRef& ref = plan.settings->terrain;
    if (ref.file.empty()) {
        auto flat = std::make_shared<Terrain>();
        flat->flatM = ref.flatM;
        return std::shared_ptr<const Terrain>(std::move(flat));
    }
    const auto file = placeOf(ref.file, planFile);
    if (!file) return file.error();
    const auto digest = digestOfFile(*file);
    if (!digest) return digest.error();
    if (*digest != ref.digest)
        return Error{
            ErrorCode::badInput,
            fmt::format(
                "The terrain file is not the one the plan was made with (digest {}, the plan names {}). "
                "Put the right file back or name this one anew.",
                *digest, ref.digest.empty() ? "none" : ref.digest),
            file->string()};
    auto terrain = readTerrain(*file, plan.settings->epsg);
    if (!terrain) return terrain.error();
    return std::shared_ptr<const Terrain>(std::make_shared<Terrain>(std::move(*terrain)));
} catch (const std::exception& e) {
    return Error{ErrorCode::cannotRead, fmt::format("The terrain file cannot be read: {}.", e.what()),
                 planFile.string()};
}

Result<Edit> useTerrain(const Plan& plan, const fs::path& planFile, const fs::path& terrain) {
    std::error_code fault;
    const fs::path relative = fs::relative(terrain, fs::absolute(planFile).parent_path(), fault);
    if (fault || relative.empty() || *relative.begin() == "..")
        return Error{ErrorCode::badInput, "A plan's terrain lies beside the plan file, or below.",
                     terrain.string()};
    auto digest = digestOfFile(terrain);
    if (!digest) return digest.error();
    PlanSettings settings = *plan.settings;
    settings.terrain.file = relative.generic_string();
    settings.terrain.digest = std::move(*digest);
    return Edit{fmt::format("Use the terrain {}", settings.terrain.file), {PutSettings{std::move(settings)}}};
}

fs::path freeTerrainName(const fs::path& planFile) {
    std::string stem = planFile.filename().string();
    for (const std::string_view ending : {".gpkg", ".plan"})
        if (stem.ends_with(ending)) stem.resize(stem.size() - ending.size());
    std::error_code fault;
    for (int k = 1;; ++k) {
        const std::string name = k == 1 ? stem + "-terrain.tif" : fmt::format("{}-terrain-{}.tif", stem, k);
        fs::path file = planFile.parent_path() / name;
        if (!fs::exists(file, fault)) return file;
    }
}

} // namespace fw
