// SPDX-License-Identifier: GPL-3.0-or-later
// CSV, GeoJSON and KML: text, written by hand so that the bytes do not depend on a library's version.
#include "delivery/csv_field.h"
#include "delivery/export_works.h"

#include "geo/geodesy.h"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <fstream>

namespace fw {

namespace {

double sevenDigits(double deg) {
    const double v = std::round(deg * 1e7) / 1e7;
    return v == 0 ? 0.0 : v;
}

// Characters that XML 1.0 forbids are dropped, the five special ones are written as entities.
std::string xml(const std::string& text) {
    std::string out;
    for (const char c : text) {
        const auto u = static_cast<unsigned char>(c);
        if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c == '"')
            out += "&quot;";
        else if (c == '\'')
            out += "&apos;";
        else if (u >= 0x20 || c == '\t' || c == '\n' || c == '\r')
            out += c;
    }
    return out;
}

std::string kmlPlace(GeoPoint p, double heightM) {
    return fmt::format("{:.7f},{:.7f},{:.1f}", sevenDigits(p.lonDeg), sevenDigits(p.latDeg), heightM);
}

std::string kmlPlacemark(const WorksRow& w) {
    std::string out = "<Placemark><name>" + xml(w.site + " " + w.radio) + "</name><ExtendedData>\n";
    const auto values = worksValues(w);
    for (std::size_t i = 0; i < values.size(); ++i)
        out += fmt::format("<Data name=\"{}\"><displayName>{}</displayName><value>{}</value></Data>\n",
                           worksColumns()[i].key, xml(worksColumns()[i].head), xml(values[i].text));
    const GeoPoint end = geodesicEnd(w.geo, TrueAzimuth{w.azimuthTrueDeg}, kBoresightM);
    return out +
           "</ExtendedData><MultiGeometry>\n<Point><altitudeMode>relativeToGround</"
           "altitudeMode><coordinates>" +
           kmlPlace(w.geo, w.heightAgl) +
           "</coordinates></Point>\n<LineString><altitudeMode>relativeToGround</altitudeMode><coordinates>" +
           kmlPlace(w.geo, w.heightAgl) + " " + kmlPlace(end, w.heightAgl) +
           "</coordinates></LineString>\n</MultiGeometry></Placemark>\n";
}

} // namespace

std::string worksCsv(const std::vector<WorksRow>& rows) {
    std::string out;
    for (const WorksColumn& c : worksColumns()) out += (out.empty() ? "" : ",") + csvField(c.head, false);
    out += "\r\n";
    for (const WorksRow& row : rows) {
        std::string line;
        bool first = true;
        for (const WorksValue& v : worksValues(row)) {
            if (!first) line += ',';
            first = false;
            line += csvField(v.text, v.number);
        }
        out += line + "\r\n";
    }
    return out;
}

std::string worksGeoJson(const std::vector<WorksRow>& rows) {
    using Json = nlohmann::ordered_json;
    Json features = Json::array();
    for (const WorksRow& w : rows) {
        Json properties = Json::object();
        const auto values = worksValues(w);
        for (std::size_t i = 0; i < values.size(); ++i) {
            const WorksColumn& c = worksColumns()[i];
            if (values[i].text.empty())
                properties[c.key] = nullptr;
            else if (c.whole)
                properties[c.key] = std::stoll(values[i].text);
            else if (c.number)
                properties[c.key] = Json::parse(values[i].text);
            else
                properties[c.key] = values[i].text;
        }
        features.push_back(
            {{"type", "Feature"},
             {"geometry",
              {{"type", "Point"}, {"coordinates", {sevenDigits(w.geo.lonDeg), sevenDigits(w.geo.latDeg)}}}},
             {"properties", std::move(properties)}});
    }
    const Json all = {{"type", "FeatureCollection"}, {"features", std::move(features)}};
    // Bytes that are no UTF-8 are replaced: a file that cannot be read helps nobody.
    return all.dump(1, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string worksKml(const std::vector<WorksRow>& rows, const std::string& title) {
    std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                      "<kml xmlns=\"http://www.opengis.net/kml/2.2\"><Document><name>" +
                      xml(title) + "</name>\n";
    for (const WorksRow& w : rows) out += kmlPlacemark(w);
    return out + "</Document></kml>\n";
}

Status writeWhole(const std::filesystem::path& file, const std::string& bytes) {
    std::filesystem::path beside = file;
    beside += ".part";
    std::error_code ec;
    if (std::filesystem::is_directory(file, ec))
        return Error{ErrorCode::cannotWrite, "This is a folder; name the file to write in it.",
                     file.string()};
    {
        std::ofstream out(beside, std::ios::binary | std::ios::trunc);
        out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
        out.flush();
        if (!out) {
            out.close();
            std::filesystem::remove(beside, ec);
            return Error{ErrorCode::cannotWrite,
                         "The file cannot be written; check the folder, its rights and the space left.",
                         file.string()};
        }
    }
    std::filesystem::rename(beside, file, ec);
    if (!ec) return Done{};
    const std::string why = ec.message();
    std::filesystem::remove(beside, ec);
    return Error{ErrorCode::cannotWrite, "The file cannot be put in place: " + why + ".", file.string()};
}

Status writeWorksCsv(const std::filesystem::path& file, const std::vector<WorksRow>& rows) {
    return writeWhole(file, worksCsv(rows));
}
Status writeWorksGeoJson(const std::filesystem::path& file, const std::vector<WorksRow>& rows) {
    return writeWhole(file, worksGeoJson(rows));
}
Status writeWorksKml(const std::filesystem::path& file, const std::vector<WorksRow>& rows,
                     const std::string& title) {
    return writeWhole(file, worksKml(rows, title));
}

} // namespace fw
