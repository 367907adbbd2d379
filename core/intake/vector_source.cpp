// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/vector_source.h"

#include "base/text.h"
#include "intake/gdal_scope.h"
#include "intake/ogr_row.h"
#include "intake/sheet_head.h"
#include "intake/source_system.h"
#include "intake/vector_files.h"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <algorithm>

namespace fw {
namespace {

constexpr int kRowsToLookAt = 200;

bool isOsm(FileFormat format) { return format == FileFormat::osmXml || format == FileFormat::osmPbf; }

/// The features of a layer one after the other. Of an OSM extract all layers come in one stream.
class Features {
public:
    Features(const VectorFiles::Layer& from, bool mixed, const Job& job)
        : m_from(from), m_mixed(mixed), m_job(job) {
        if (m_mixed)
            from.data->ResetReading();
        else
            from.layer->ResetReading();
    }
    OGRFeatureUniquePtr next() {
        if (!m_mixed) return OGRFeatureUniquePtr(m_from.layer->GetNextFeature());
        OGRLayer* layer = nullptr;
        for (;;) {
            OGRFeatureUniquePtr f(m_from.data->GetNextFeature(
                &layer, &m_share,
                [](double, const char*, void* job) {
                    return static_cast<const Job*>(job)->stopped() ? FALSE : TRUE;
                },
                const_cast<Job*>(&m_job)));
            if (!f || layer == m_from.layer) return f;
        }
    }
    [[nodiscard]] double share() const { return m_share; } ///< of a mixed stream

private:
    VectorFiles::Layer m_from;
    bool m_mixed;
    const Job& m_job;
    double m_share = 0;
};

struct KindsSeen {
    bool points = false, lines = false, areas = false;
    std::int64_t rows = 0;
    void add(const SourceRow& row) {
        ++rows;
        points = points || !row.shape.points.empty();
        lines = lines || !row.shape.lines.empty();
        areas = areas || !row.shape.areas.empty();
    }
    [[nodiscard]] int count() const { return int(points) + int(lines) + int(areas); }
};

KindsSeen kindsOf(OGRwkbGeometryType type) {
    switch (wkbFlatten(OGR_GT_GetLinear(type))) {
    case wkbPoint:
    case wkbMultiPoint:
        return {true, false, false, 0};
    case wkbLineString:
    case wkbMultiLineString:
        return {false, true, false, 0};
    case wkbPolygon:
    case wkbMultiPolygon:
    case wkbTriangle:
        return {false, false, true, 0};
    default:
        return {};
    }
}

std::string wordsOf(const KindsSeen& kinds) { return shapeWords(kinds.points, kinds.lines, kinds.areas); }

// Columns of KML that say how a placemark is drawn.
const std::vector<std::string> kDrawing{"altitudeMode", "tessellate", "extrude", "visibility",
                                        "drawOrder",    "icon",       "snippet"};

class VectorSource final : public Source {
public:
    VectorSource(const AdmittedFile& file, VectorFiles files, std::size_t layer)
        : m_file(file), m_files(std::move(files)), m_layer(m_files.layers[layer]),
          m_rows(*m_layer.layer->GetLayerDefn(), northFirst(m_layer.layer->GetSpatialRef()),
                 isKml() ? kDrawing : std::vector<std::string>()) {}

    ~VectorSource() override {
        const GdalScope scope;
        m_files = {};
    }

    /// Fills the head; the first rows are read for that.
    Status look(const SourceOptions& options, const Job& job) {
        m_head.file = m_file.whole;
        m_head.format = nameOf(m_file.format);
        m_head.layer = m_layer.name;
        m_head.columns = m_rows.columns();
        m_head.hasShapes = m_file.format != FileFormat::xlsx &&
                           m_layer.layer->GetLayerDefn()->GetGeomFieldCount() > 0 &&
                           m_layer.layer->GetGeomType() != wkbNone;
        m_head.notes = m_file.warnings;
        if (m_head.hasShapes) putInto(m_head, systemFrom(m_layer.layer->GetSpatialRef()));
        if (m_layer.layer->TestCapability(OLCFastFeatureCount) || m_file.format == FileFormat::xlsx)
            m_head.rowCount = m_layer.layer->GetFeatureCount(TRUE);
        if (m_file.format == FileFormat::xlsx)
            if (Status s = lookForHeader(options, job); !s) return s;
        return lookAtRows(job);
    }

    [[nodiscard]] const SourceHead& head() const override { return m_head; }

    Status forEachRow(const Job& job, const std::function<bool(SourceRow&)>& f) override {
        const GdalScope scope;
        Features features(m_layer, isOsm(m_file.format), job);
        SourceRow row;
        for (std::int64_t n = 0;; ++n) {
            if (job.stopped()) return cancelled();
            const OGRFeatureUniquePtr feature = features.next();
            if (!feature) break;
            m_rows.read(*feature, row);
            if (m_sheet && !m_sheet->takes(row)) continue;
            if (n % 1024 == 0) report(job, n, features.share());
            if (!f(row)) return Done{};
        }
        if (job.stopped()) return cancelled();
        if (const std::string said = GdalScope::lastMessage(); CPLGetLastErrorType() >= CE_Failure)
            return Error{
                ErrorCode::damaged,
                fmt::format(CORE_TEXT("The file is damaged or cut off after feature {}: {}. Export it "
                                      "again."),
                            row.number, said),
                m_file.whole.string()};
        job.report(1, CORE_TEXT("Reading rows"));
        return Done{};
    }

private:
    [[nodiscard]] bool isKml() const {
        return m_file.format == FileFormat::kml || m_file.format == FileFormat::kmz;
    }
    [[nodiscard]] Error cancelled() const {
        return {ErrorCode::cancelled, CORE_TEXT("Reading was stopped."), m_file.whole.string()};
    }
    void report(const Job& job, std::int64_t n, double share) const {
        if (m_head.rowCount && *m_head.rowCount > 0)
            share = static_cast<double>(n) / static_cast<double>(*m_head.rowCount);
        job.report(std::min(share, 1.0), CORE_TEXT("Reading rows"));
    }
    // A sheet whose names do not stand in its first row is opened anew with every row as values.
    Status lookForHeader(const SourceOptions& options, const Job& job) {
        std::vector<SourceRow> first;
        Status read = forEachRow(job, [&](SourceRow& row) {
            first.push_back(row);
            return first.size() < SheetHead::kRowsToLookAt;
        });
        if (!read) return read;
        const auto line = SheetHead::lineOf(m_head.columns, first, options.headerLine);
        if (line == 1) return Done{};
        const GdalScope scope;
        auto again = openVectorFiles(m_file, SheetHeads::none, job);
        if (!again) return again.error();
        const auto same = std::find_if(again->layers.begin(), again->layers.end(),
                                       [&](const auto& l) { return l.name == m_layer.name; });
        if (same == again->layers.end()) return Done{};
        m_layer = *same;
        m_files = std::move(*again);
        m_rows = OgrRows(*m_layer.layer->GetLayerDefn(), false);
        m_sheet.reset();
        SheetHead sheet(line);
        Status heads = forEachRow(job, [&](SourceRow& row) {
            sheet.look(row);
            return row.number < line;
        });
        if (!heads) return heads;
        m_head.columns = sheet.columns(m_rows.columns().size());
        m_head.preamble = sheet.preamble();
        m_head.rowCount.reset();
        if (line > 1)
            m_head.notes.push_back(fmt::format(
                CORE_TEXT("The names of the columns stand in row {}; what stands above is left out."), line));
        m_sheet = std::move(sheet);
        return Done{};
    }
    Status lookAtRows(const Job& job) {
        KindsSeen seen;
        Status read = forEachRow({job.stop, {}}, [&](SourceRow& row) {
            addSamples(row, m_head.columns);
            seen.add(row);
            return seen.rows < kRowsToLookAt;
        });
        // What is broken further on is said when the rows are read.
        if (!read && (read.error().code == ErrorCode::cancelled || seen.rows == 0)) return read;
        if (seen.rows == 0) m_head.notes.emplace_back(CORE_TEXT("The layer has no rows."));
        if (!m_head.hasShapes) return Done{};
        const KindsSeen declared = kindsOf(m_layer.layer->GetGeomType());
        m_head.shapes = wordsOf(declared.count() == 1 && seen.count() <= 1 ? declared : seen);
        if (seen.count() > 1)
            m_head.notes.push_back(fmt::format(CORE_TEXT("The layer mixes {}."), m_head.shapes));
        return Done{};
    }

    AdmittedFile m_file;
    VectorFiles m_files;
    VectorFiles::Layer m_layer;
    OgrRows m_rows;
    std::optional<SheetHead> m_sheet;
    SourceHead m_head;
};

std::vector<SourceLayer> layersIn(const VectorFiles& files, FileFormat format) {
    std::vector<SourceLayer> layers;
    for (const auto& l : files.layers) {
        SourceLayer layer{l.name, std::nullopt, wordsOf(kindsOf(l.layer->GetGeomType()))};
        if (!isOsm(format)) {
            const bool quick = l.layer->TestCapability(OLCFastFeatureCount) || format == FileFormat::xlsx;
            const auto n = l.layer->GetFeatureCount(quick ? TRUE : FALSE);
            if (n >= 0) layer.rows = n;
        }
        if (format == FileFormat::xlsx) layer.shapes.clear();
        layers.push_back(std::move(layer));
    }
    return layers;
}

} // namespace

Result<std::size_t> layerMeant(const std::vector<SourceLayer>& layers, const SourceOptions& options,
                               const std::filesystem::path& file) {
    std::string names;
    std::vector<std::size_t> filled;
    for (std::size_t k = 0; k < layers.size(); ++k) {
        if (!options.layer.empty() && layers[k].name == options.layer) return k;
        if (layers[k].rows.value_or(1) > 0) filled.push_back(k);
        names += fmt::format("{}\"{}\"", k == 0 ? "" : ", ", layers[k].name);
    }
    if (!options.layer.empty())
        return Error{
            ErrorCode::notFound,
            fmt::format(CORE_TEXT("There is no layer \"{}\". The file has {}."), options.layer, names),
            file.string()};
    if (filled.size() == 1 || layers.size() == 1) return filled.empty() ? 0 : filled[0];
    if (filled.empty())
        return Error{ErrorCode::badInput,
                     fmt::format(CORE_TEXT("None of the layers has any rows: {}."), names), file.string()};
    return Error{ErrorCode::badInput,
                 fmt::format(CORE_TEXT("The file has several layers: {}. Name the one to read."), names),
                 file.string()};
}

Result<std::unique_ptr<Source>> openVectorSource(const AdmittedFile& file, const SourceOptions& options,
                                                 const Job& job, std::vector<SourceLayer>* found) {
    const GdalScope scope;
    auto files = openVectorFiles(file, SheetHeads::firstRow, job);
    if (!files) return files.error();
    std::vector<SourceLayer> all = layersIn(*files, file.format);
    const auto layer = layerMeant(all, options, file.whole);
    if (found) *found = std::move(all);
    if (!layer) return layer.error();
    auto source = std::make_unique<VectorSource>(file, std::move(*files), *layer);
    if (Status s = source->look(options, job); !s) return s.error();
    return std::unique_ptr<Source>(std::move(source));
}

Result<std::vector<SourceLayer>> vectorLayers(const AdmittedFile& file, const Job& job) {
    const GdalScope scope;
    const auto files = openVectorFiles(file, SheetHeads::firstRow, job);
    if (!files) return files.error();
    return layersIn(*files, file.format);
}

} // namespace fw
