// SPDX-License-Identifier: GPL-3.0-or-later
// What to check on site, and which hazards a site has.
#include "delivery/place_text.h"
#include "delivery/site_sheet.h"

#include <fmt/format.h>

namespace fw {

namespace {

constexpr const char* kPractice = "common practice";

void addRadioChecks(std::vector<Check>& out, const RadioSheet& r, bool several) {
    const std::string of = several ? ", " + r.name : "";
    std::string azimuth = azimuthText(r.azimuthTrue) + " deg true";
    if (r.azimuthMagnetic) azimuth += " / " + azimuthText(*r.azimuthMagnetic) + " deg magnetic";
    out.push_back({"Azimuth" + of, azimuth, "±5 deg", kPractice});
    out.push_back(
        {"Tilt" + of, fmt::format("{:.1f} deg {}", std::abs(r.tiltDeg), r.tiltWord), "±1 deg", kPractice});
    for (const CellSheet& c : r.cells)
        out.push_back(
            {"Set and read back" + of,
             fmt::format("PCI {}, bias {:g} dB, {:.1f} dBm", c.pci, c.biasDb, r.powerDbm - c.powerDownDb),
             "as planned", kPractice});
}

} // namespace

std::vector<Check> checksFor(const SiteSheet& s, bool gnssTiming) {
    std::vector<Check> out;
    out.push_back(
        {"Position", degreesText(s.geo.latDeg) + ", " + degreesText(s.geo.lonDeg), "within 3 m", kPractice});
    out.push_back({"Height of radiation centre", fmt::format("{:.1f} m above ground", s.heightAgl), "±0.5 m",
                   kPractice});
    for (const RadioSheet& r : s.radios) addRadioChecks(out, r, s.radios.size() > 1);
    out.push_back({"Bracket or pole upright", "0 deg", "within 1 deg", kPractice});
    out.push_back({"Earth resistance", "5 ohm or less", "10 ohm with a note", kPractice});
    out.push_back({"Antenna line VSWR", "1.5 or less", "-", kPractice});
    out.push_back({"Optical power received", "within the maker's window", "-", kPractice});
    if (gnssTiming) out.push_back({"Satellites locked", "4 or more", "-", kPractice});
    out.push_back({"Supply voltage", "local code", "local code", "local code"});
    out.push_back({"Sealing, labels, photographs", "all done", "-", kPractice, false});
    out.push_back({"Exposure signs", "as the assessor asks", "-", "local code", false});
    return out;
}

SiteHazards hazardsOf(const Mount& mount, const SiteWorks* works) {
    SiteHazards h;
    h.height = mount.height.m > 2;
    h.roof = mount.kind == MountKind::roof || mount.kind == MountKind::parapet;
    h.pole = mount.kind == MountKind::pole;
    h.structure = !h.pole;
    h.electricity = true; // every small cell is fed
    h.rf = true;
    h.digging = mount.earthPossible || (works && (!works->earthPit.empty() || !works->pole.empty()));
    h.lines = mount.lineKnownClearanceM.has_value() || !mount.linesSurveyed;
    h.lightning = h.height;
    h.fibre = true;
    h.street = true;
    if (works) {
        const auto mentions = [](const std::string& text) {
            return text.find("batter") != std::string::npos || text.find("Batter") != std::string::npos;
        };
        h.battery = mentions(works->cabinet) || mentions(works->remark);
    }
    return h;
}

} // namespace fw
