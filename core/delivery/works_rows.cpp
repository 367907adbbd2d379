// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/export_works.h"

#include "delivery/place_text.h"

#include <fmt/format.h>

namespace fw {

namespace {

template <class F>
std::string joined(const std::vector<CellSheet>& cells, F&& textOf) {
    std::string out;
    for (const CellSheet& c : cells) out += (out.empty() ? "" : " + ") + textOf(c);
    return out;
}

std::string openText(const SiteSheet& s) {
    std::string out;
    for (const SheetFinding& f : s.findings)
        if (f.standing != Standing::stands)
            out += (out.empty() ? "" : "; ") + std::string(wordFor(f.severity)) + " " + f.rule;
    return out;
}

WorksRow rowOf(const SiteSheet& s, const RadioSheet& r) {
    WorksRow w;
    w.site = s.name;
    w.radio = r.name;
    w.mountKind = s.kindWord;
    w.support = s.support;
    w.geo = s.geo;
    w.plane = s.plane;
    w.epsg = s.epsg;
    w.groundAmsl = s.groundAmsl;
    w.heightAgl = s.heightAgl;
    w.azimuthTrueDeg = r.azimuth.deg;
    w.azimuthGridDeg = r.grid.deg;
    w.declinationDeg = s.declinationDeg;
    if (s.declinationDeg) w.azimuthMagneticDeg = toMagnetic(r.azimuth, *s.declinationDeg).deg;
    w.tiltDeg = r.tiltDeg;
    w.hBeamDeg = r.hBeamDeg;
    w.vBeamDeg = r.vBeamDeg;
    w.gainDbi = r.gainDbi;
    w.powerDbm = r.powerDbm;
    w.ports = r.ports;
    w.cells = joined(r.cells, [](const CellSheet& c) { return c.name; });
    w.technology = joined(r.cells, [](const CellSheet& c) { return c.technology; });
    w.band = joined(r.cells, [](const CellSheet& c) { return c.band; });
    w.channel = joined(r.cells, [](const CellSheet& c) { return std::to_string(c.channel); });
    w.frequencyMHz =
        joined(r.cells, [](const CellSheet& c) { return fmt::format("{:.2f}", c.frequencyMHz); });
    w.bandwidthMHz = joined(r.cells, [](const CellSheet& c) { return fmt::format("{:g}", c.bandwidthMHz); });
    w.pci = joined(r.cells, [](const CellSheet& c) { return std::to_string(c.pci); });
    w.biasDb = joined(r.cells, [](const CellSheet& c) { return fmt::format("{:g}", c.biasDb); });
    w.consent = s.consent;
    w.owner = s.owner;
    w.access = s.access;
    w.openFindings = openText(s);
    w.geoUri = s.geoUri;
    w.date = s.date;
    return w;
}

// What a column shows of a row: the table below is the one place that knows heads, keys and decimals.
struct Source {
    WorksColumn column;
    std::string (*text)(const WorksRow&);
};

std::string fixedOr(const std::optional<double>& v, int decimals) {
    return v ? fixedText(*v, decimals) : std::string();
}
// 359.96 written with one decimal is 0.0, not 360.0.
std::string azimuth(double deg) { return fixedText(wrap360(std::round(deg * 10) / 10), 1); }

const std::vector<Source>& sources() {
    static const std::vector<Source> table = {
        {{"Site", "site"}, [](const WorksRow& w) { return w.site; }},
        {{"Radio", "radio"}, [](const WorksRow& w) { return w.radio; }},
        {{"Small cells", "small_cells"}, [](const WorksRow& w) { return w.cells; }},
        {{"Latitude WGS 84 (deg)", "lat_deg", true},
         [](const WorksRow& w) { return fixedText(w.geo.latDeg, 7); }},
        {{"Longitude WGS 84 (deg)", "lon_deg", true},
         [](const WorksRow& w) { return fixedText(w.geo.lonDeg, 7); }},
        {{"Grid east (m)", "east_m", true}, [](const WorksRow& w) { return fixedText(w.plane.x, 2); }},
        {{"Grid north (m)", "north_m", true}, [](const WorksRow& w) { return fixedText(w.plane.y, 2); }},
        {{"Grid system (EPSG)", "epsg", true, true},
         [](const WorksRow& w) { return std::to_string(w.epsg); }},
        {{"Mount", "mount"}, [](const WorksRow& w) { return w.mountKind; }},
        {{"Support", "support"}, [](const WorksRow& w) { return w.support; }},
        {{"Ground (m above datum)", "ground_amsl_m", true},
         [](const WorksRow& w) { return fixedText(w.groundAmsl, 1); }},
        {{"Radiation centre (m above ground)", "height_agl_m", true},
         [](const WorksRow& w) { return fixedText(w.heightAgl, 1); }},
        {{"Azimuth true (deg)", "azimuth_true_deg", true},
         [](const WorksRow& w) { return azimuth(w.azimuthTrueDeg); }},
        {{"Azimuth magnetic (deg)", "azimuth_magnetic_deg", true},
         [](const WorksRow& w) {
             return w.azimuthMagneticDeg ? azimuth(*w.azimuthMagneticDeg) : std::string();
         }},
        {{"Declination (deg, east positive)", "declination_deg", true},
         [](const WorksRow& w) { return fixedOr(w.declinationDeg, 1); }},
        {{"Tilt (deg, down positive)", "tilt_deg", true},
         [](const WorksRow& w) { return fixedText(w.tiltDeg, 1); }},
        {{"Horizontal beamwidth (deg)", "h_beam_deg", true},
         [](const WorksRow& w) { return fixedText(w.hBeamDeg, 1); }},
        {{"Vertical beamwidth (deg)", "v_beam_deg", true},
         [](const WorksRow& w) { return fixedText(w.vBeamDeg, 1); }},
        {{"Gain (dBi)", "gain_dbi", true}, [](const WorksRow& w) { return fixedText(w.gainDbi, 1); }},
        {{"Power, all ports (dBm)", "power_dbm", true},
         [](const WorksRow& w) { return fixedText(w.powerDbm, 1); }},
        {{"Ports", "ports", true, true}, [](const WorksRow& w) { return std::to_string(w.ports); }},
        {{"Technology", "technology"}, [](const WorksRow& w) { return w.technology; }},
        {{"Band", "band"}, [](const WorksRow& w) { return w.band; }},
        {{"Channel (EARFCN or NR-ARFCN)", "channel"}, [](const WorksRow& w) { return w.channel; }},
        {{"Downlink (MHz)", "downlink_mhz"}, [](const WorksRow& w) { return w.frequencyMHz; }},
        {{"Bandwidth (MHz)", "bandwidth_mhz"}, [](const WorksRow& w) { return w.bandwidthMHz; }},
        {{"PCI", "pci"}, [](const WorksRow& w) { return w.pci; }},
        {{"Bias (dB)", "bias_db"}, [](const WorksRow& w) { return w.biasDb; }},
        {{"Consent", "consent"}, [](const WorksRow& w) { return w.consent; }},
        {{"Owner", "owner"}, [](const WorksRow& w) { return w.owner; }},
        {{"Access", "access"}, [](const WorksRow& w) { return w.access; }},
        {{"Open findings", "open_findings"}, [](const WorksRow& w) { return w.openFindings; }},
        {{"Place (RFC 5870)", "geo_uri"}, [](const WorksRow& w) { return w.geoUri; }},
        {{"Plan date", "plan_date"}, [](const WorksRow& w) { return w.date; }},
    };
    return table;
}

} // namespace

std::vector<WorksRow> worksRows(const std::vector<SiteSheet>& sheets) {
    std::vector<WorksRow> out;
    for (const SiteSheet& s : sheets)
        for (const RadioSheet& r : s.radios) out.push_back(rowOf(s, r));
    return out;
}

const std::vector<WorksColumn>& worksColumns() {
    static const std::vector<WorksColumn> columns = [] {
        std::vector<WorksColumn> out;
        for (const Source& s : sources()) out.push_back(s.column);
        return out;
    }();
    return columns;
}

std::vector<WorksValue> worksValues(const WorksRow& row) {
    std::vector<WorksValue> out;
    for (const Source& s : sources()) out.push_back({s.text(row), s.column.number, s.column.whole});
    return out;
}

} // namespace fw
