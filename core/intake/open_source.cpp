// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "intake/cut_sheet.h"
#include "intake/file_gate.h"
#include "intake/geojson_source.h"
#include "intake/package_source.h"
#include "intake/source.h"
#include "intake/text_source.h"
#include "intake/units_row.h"
#include "intake/vector_source.h"

namespace fw {
namespace {

Error rasterInstead(const AdmittedFile& file) {
    return {ErrorCode::badInput,
            CORE_TEXT("This is a raster, which has no rows. Add it as terrain or as a "
                      "picture of the ground."),
            file.whole.string()};
}

SourceLayer onlyLayerOf(const AdmittedFile& file) { return {file.whole.stem().string(), std::nullopt, {}}; }

Result<std::unique_ptr<Source>> unitsLookedFor(Result<std::unique_ptr<Source>> source) {
    if (!source) return source.error();
    return withUnitsRow(std::move(*source));
}

} // namespace

Result<std::unique_ptr<Source>> openSource(const std::filesystem::path& file, const SourceOptions& options,
                                           const Job& job, std::vector<SourceLayer>* layers) {
    if (layers) layers->clear();
    const auto admitted = admitFile(file);
    if (!admitted) return admitted.error();
    if (isRaster(admitted->format)) return rasterInstead(*admitted);
    if (admitted->format == FileFormat::text && looksLikeCuts(admitted->whole))
        return openCutSheet(admitted->whole);
    if (admitted->format == FileFormat::text) return unitsLookedFor(openTextSource(admitted->whole, options));
    if (admitted->format == FileFormat::geoJson) {
        if (layers) *layers = {onlyLayerOf(*admitted)};
        return openGeoJsonSource(*admitted, job);
    }
    if (admitted->format == FileFormat::geoPackage) return openPackageSource(*admitted, options, job, layers);
    return unitsLookedFor(openVectorSource(*admitted, options, job, layers));
}

Result<std::vector<SourceLayer>> layersOf(const std::filesystem::path& file, const Job& job) {
    const auto admitted = admitFile(file);
    if (!admitted) return admitted.error();
    if (isRaster(admitted->format)) return rasterInstead(*admitted);
    if (admitted->format == FileFormat::text) return std::vector<SourceLayer>();
    if (admitted->format == FileFormat::geoJson) return std::vector<SourceLayer>{onlyLayerOf(*admitted)};
    if (admitted->format == FileFormat::geoPackage) return packageLayers(*admitted);
    return vectorLayers(*admitted, job);
}

} // namespace fw
