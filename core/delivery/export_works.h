// SPDX-License-Identifier: GPL-3.0-or-later
// The works as data: one row per radio, for whoever builds, buys or keeps them.
#pragma once

#include "delivery/site_sheet.h"

#include <filesystem>
#include <string>
#include <vector>

namespace fw {

/// One radio. Units stand in the column heads (worksColumns()).
struct WorksRow {
    std::string site, radio, cells, mountKind, support;
    GeoPoint geo;
    PlanePoint plane;
    int epsg = 0;
    double groundAmsl = 0, heightAgl = 0;
    double azimuthTrueDeg = 0;
    std::optional<double> azimuthMagneticDeg, declinationDeg;
    double azimuthGridDeg = 0;
    double tiltDeg = 0, hBeamDeg = 0, vBeamDeg = 0, gainDbi = 0, powerDbm = 0;
    int ports = 0;
    std::string technology, band, channel, frequencyMHz, bandwidthMHz, pci,
        biasDb; ///< " + " between carriers
    std::string consent, owner, access, openFindings, geoUri;
    std::string date;
};

/// Length of the line on the ground that shows where a radio points, m.
inline constexpr double kBoresightM = 100;

/// Rows by site, then radio, as the sheets have them.
std::vector<WorksRow> worksRows(const std::vector<SiteSheet>& sheets);

/// A cell of a table: a number with its decimals, or text.
struct WorksValue {
    std::string text; ///< as written, C locale
    bool number = false, whole = false;
};
struct WorksColumn {
    std::string head; ///< for people, with unit: "Azimuth true (deg)"
    std::string key;  ///< for machines: "azimuth_true_deg"
    bool number = false, whole = false;
};
const std::vector<WorksColumn>& worksColumns();
/// In the order of worksColumns(); a figure that is not known is an empty text.
std::vector<WorksValue> worksValues(const WorksRow& row);

/// CSV after RFC 4180: UTF-8 without mark, comma, CRLF, a header line, quotes where needed. A *text* that
/// begins with = + - @, tab or return gets an apostrophe before it, so that a spreadsheet shows it and does
/// not run it; numbers stay as they are.
std::string worksCsv(const std::vector<WorksRow>& rows);
/// GeoJSON after RFC 7946: WGS 84, longitude first, seven digits (1 cm), a point per radio, properties by
/// key, numbers as numbers.
std::string worksGeoJson(const std::vector<WorksRow>& rows);
/// KML 2.2 (OGC 07-147r2): a placemark per radio with every column as data, and its boresight as a line of
/// 100 m. Heights are relative to ground.
std::string worksKml(const std::vector<WorksRow>& rows, const std::string& title);

Status writeWorksCsv(const std::filesystem::path& file, const std::vector<WorksRow>& rows);
Status writeWorksGeoJson(const std::filesystem::path& file, const std::vector<WorksRow>& rows);
Status writeWorksKml(const std::filesystem::path& file, const std::vector<WorksRow>& rows,
                     const std::string& title);
/// GeoPackage 1.3 with layers `radios` (points) and `boresights` (lines of 100 m ground distance) in the
/// plan's system; the time stamps inside are the plan's date, so that the same works give the same bytes. An
/// existing file is replaced. All rows must share one plan system.
Status writeWorksGeoPackage(const std::filesystem::path& file, const std::vector<WorksRow>& rows);

/// Writes the bytes beside the file and moves them into place, so that no half file is ever left.
Status writeWhole(const std::filesystem::path& file, const std::string& bytes);

} // namespace fw
