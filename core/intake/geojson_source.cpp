// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/geojson_source.h"

#include "base/text.h"
#include "intake/geojson_reader.h"
#include "intake/ogr_row.h"
#include "intake/source_system.h"

#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <fstream>
#include <nlohmann/json.hpp>

namespace fw {
namespace {

/// The code in "urn:ogc:def:crs:EPSG::25832", "EPSG:25832" or ".../def/crs/EPSG/0/25832"; 4326 for CRS84.
int codeIn(const std::string& name) {
    if (name.find("CRS84") != name.npos) return 4326;
    if (name.find("EPSG") == name.npos) return 0;
    const std::size_t at = name.find_last_not_of("0123456789");
    int code = 0;
    const char* from = name.data() + (at == name.npos ? 0 : at + 1);
    std::from_chars(from, name.data() + name.size(), code);
    return code;
}

FoundSystem unknownSystem(std::string note) {
    FoundSystem none;
    none.notes.push_back(std::move(note));
    return none;
}

struct Seen {
    std::int64_t rows = 0, places = 0, far = 0;
    bool points = false, lines = false, areas = false, shapes = false;

    void add(const SourceRow& row) {
        ++rows;
        const SourceShape& s = row.shape;
        points = points || !s.points.empty();
        lines = lines || !s.lines.empty();
        areas = areas || !s.areas.empty();
        const PlanePoint* first = !s.points.empty()  ? s.points.data()
                                  : !s.lines.empty() ? s.lines[0].data()
                                  : !s.areas.empty() ? s.areas[0].outer.data()
                                                     : nullptr;
        if (!first) return;
        ++places;
        constexpr double kNoDegrees = 400;
        far += std::fabs(first->x) > kNoDegrees || std::fabs(first->y) > kNoDegrees;
    }
    [[nodiscard]] bool mixed() const { return int(points) + int(lines) + int(areas) > 1; }
};

class GeoJsonSource final : public Source {
public:
    explicit GeoJsonSource(const AdmittedFile& file) : m_file(file), m_features(m_columns) {
        std::error_code failed;
        m_size = std::filesystem::file_size(m_file.whole, failed);
    }

    Status look(const Job& job) {
        Seen seen;
        std::optional<std::string> crs;
        Status s = pass(job, crs, [&](SourceRow& row) {
            seen.add(row);
            m_columns.look(row);
            return true;
        });
        if (!s) return s;
        m_columns.close();
        m_head.file = m_file.whole;
        m_head.format = nameOf(FileFormat::geoJson);
        m_head.layer = m_file.whole.stem().string();
        m_head.columns = m_columns.columns();
        m_head.rowCount = seen.rows;
        m_head.hasShapes = seen.points || seen.lines || seen.areas;
        m_head.shapes = shapeWords(seen.points, seen.lines, seen.areas);
        m_head.notes = m_file.warnings;
        if (seen.rows == 0) m_head.notes.emplace_back(CORE_TEXT("The layer has no rows."));
        if (seen.mixed())
            m_head.notes.push_back(fmt::format(CORE_TEXT("The layer mixes {}."), m_head.shapes));
        if (crs)
            putInto(m_head, geoJsonSystem(*crs));
        else if (seen.far * 2 > seen.places)
            m_head.notes.emplace_back(CORE_TEXT("It names no coordinate system, and its coordinates are no "
                                                "degrees. Name the system that is meant."));
        else
            putInto(m_head, systemFromCode(4326)); // RFC 7946, 4
        return Done{};
    }

    [[nodiscard]] const SourceHead& head() const override { return m_head; }

    Status forEachRow(const Job& job, const std::function<bool(SourceRow&)>& f) override {
        std::optional<std::string> crs;
        return pass(job, crs, f);
    }

private:
    Status pass(const Job& job, std::optional<std::string>& crs, const std::function<bool(SourceRow&)>& f) {
        std::ifstream in(m_file.whole, std::ios::binary);
        if (!in)
            return Error{ErrorCode::cannotRead,
                         CORE_TEXT("The file cannot be read. Look at its permissions."),
                         m_file.whole.string()};
        GeoJsonReader reader([&](char* to, std::size_t most) {
            in.read(to, static_cast<std::streamsize>(most));
            return static_cast<std::size_t>(in.gcount());
        });
        std::int64_t n = 0;
        Status s = reader.read(m_features, job, [&](SourceRow& row) {
            if (n++ % 1024 == 0 && m_size > 0)
                job.report(
                    std::min(1.0, static_cast<double>(reader.bytesRead()) / static_cast<double>(m_size)),
                    CORE_TEXT("Reading rows"));
            return f(row);
        });
        crs = reader.crs();
        if (s) return s;
        Error e = s.error();
        e.context = m_file.whole.string();
        return e;
    }

    AdmittedFile m_file;
    std::uintmax_t m_size = 0;
    GeoJsonColumns m_columns;
    GeoJsonFeatures m_features;
    SourceHead m_head;
};

} // namespace

FoundSystem geoJsonSystem(const std::string& crs) {
    const auto json = nlohmann::json::parse(crs, nullptr, false);
    const auto textAt = [&](const char* pointer) {
        const nlohmann::json::json_pointer at(pointer);
        const bool there = json.is_object() && json.contains(at) && json.at(at).is_string();
        return there ? json.at(at).get<std::string>() : std::string();
    };
    const std::string type = textAt("/type");
    if (type == "link" || type == "url")
        return unknownSystem(CORE_TEXT("Its coordinate system stands behind an address, which is not looked "
                                       "up. Name the system that is meant."));
    std::string name = textAt("/properties/name");
    const nlohmann::json::json_pointer code("/properties/code");
    if (type == "EPSG" && json.contains(code) && json.at(code).is_number_integer())
        name = fmt::format("EPSG:{}", json.at(code).get<long long>());
    if (const int epsg = codeIn(name)) return systemFromCode(epsg);
    return unknownSystem(
        fmt::format(CORE_TEXT("It does not say which coordinate system it is in (\"{}\"). Name "
                              "the system that is meant."),
                    name.substr(0, 100)));
}

Result<std::unique_ptr<Source>> openGeoJsonSource(const AdmittedFile& file, const Job& job) {
    auto source = std::make_unique<GeoJsonSource>(file);
    if (Status s = source->look(job); !s) return s.error();
    return std::unique_ptr<Source>(std::move(source));
}

} // namespace fw
