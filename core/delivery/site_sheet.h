// SPDX-License-Identifier: GPL-3.0-or-later
// Everything a crew needs at one site, as values and text; widgets/print draws it, exports write it.
#pragma once

#include "base/result.h"
#include "delivery/cautions.h"
#include "delivery/sight_marks.h"
#include "delivery/skyline_things.h"
#include "geo/declination.h"
#include "geo/point.h"
#include "plan/items.h"
#include "review/review.h"
#include "study/study.h"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace fw {

struct NamedText {
    std::string name, text;
    bool operator==(const NamedText&) const = default;
};

/// A carrier to set on a radio.
struct CellSheet {
    ItemId small;
    std::string name;
    std::string technology; ///< "LTE", "NR"
    std::string band;       ///< "B3", "n78"
    int channel = 0;
    double frequencyMHz = 0; ///< downlink centre
    double bandwidthMHz = 0;
    std::string duplex; ///< "FDD", "TDD"
    int pci = 0;
    double biasDb = 0;         ///< as settled where a settled ledger was given, else as entered
    double powerDownDb = 0;    ///< that the settled ledger takes off so that the cell stays under its cap
    std::optional<double> use; ///< of its own PRB in the busy hour, share
    double reliefPoints = 0;
};

struct RadioSheet {
    ItemId radio;
    std::string name;
    TrueAzimuth azimuth; ///< as planned, unrounded
    GridAzimuth grid;
    int azimuthTrue = 0;                ///< whole degrees, 0..359
    std::optional<int> azimuthMagnetic; ///< whole degrees, 0..359, rounded from the unrounded values
    double tiltDeg = 0;                 ///< down positive
    std::string tiltWord;               ///< "down", "up", "level"
    std::optional<double> meetsGroundM; ///< where the boresight meets level ground; none when level or up
    double powerDbm = 0, powerW = 0;    ///< all ports together, per carrier, at the antenna port
    int ports = 0;
    double gainDbi = 0, hBeamDeg = 0, vBeamDeg = 0;
    std::string antenna; ///< name of the measured cut, or "beamwidths as given"
    std::vector<CellSheet> cells;
    std::vector<SightMark> marks;
    std::string boresight; ///< what it points at
};

struct SheetFinding {
    std::string rule;
    Severity severity = Severity::note;
    Standing standing = Standing::open;
    std::string text;
    std::string reason; ///< "stands, because"; empty where open
    std::string who, when;
    std::string remedy; ///< may be empty
    std::string source;
};

/// One line to tick: what, what the plan says, how far off is still right, and on whose word.
struct Check {
    std::string what, planned, tolerance, basis;
    bool reading = true; ///< a value is to be written down; else a tick is enough
};

struct SiteSheet {
    ItemId mount;
    std::string name;
    GeoPoint geo;
    PlanePoint plane;
    std::string crsName;
    int epsg = 0;
    double convergenceDeg = 0, scale = 1;
    std::string geoUri;
    MountKind kind = MountKind::pole;
    std::string kindWord;
    ItemId ownBuilding;    ///< that carries the mount; none for poles
    std::string support;   ///< "wall of Harbour Mill", "roof of block, 4 storeys", "own pole"
    std::string tape;      ///< a dimension from a fixed edge; may be empty
    double heightAgl = 0;  ///< radiation centre above ground (m)
    double groundAmsl = 0; ///< ground that the height is counted from (m)
    std::string access, owner, consent;
    std::vector<NamedText> works; ///< backhaul, power, earth, timing, cabinet, pole, camouflage, remark
    std::string date;             ///< of the plan, YYYY-MM-DD: the declination's
    std::optional<double> declinationDeg; ///< east positive
    std::string
        declinationText; ///< "8.4 deg west, 2026-11-02, World Magnetic Model 2025", or why there is none
    std::vector<RadioSheet> radios; ///< with a chosen small cell, ascending by id
    std::shared_ptr<const Skyline> skyline;
    std::vector<SkylineThing> things;
    std::vector<SheetFinding> findings; ///< open and now worse, by severity; then those that stand
    std::vector<Caution> cautions;
    std::vector<Check> checks;
    std::vector<std::string> signOff; ///< who signs
};

/// The sheet of one mount with its chosen radios. Refused by a sentence: an id that is no mount of the plan,
/// a mount that no chosen small cell stands on, a place outside the projection. A date outside the magnetic
/// model's years leaves the magnetic figures out and says so.
/// @param ledger  where bias and power to set come from, mostly the settled one; null: as entered
Result<SiteSheet> siteSheet(const Study& study, const Review& review, const MagneticField& field,
                            ItemId mount, const Ledger* ledger = nullptr);

/// Mounts with at least one chosen small cell of the active variant, ascending.
std::vector<ItemId> chosenMounts(const Study& study);

/// What holds at the site for SiteSheet::cautions, from mount, works and radios.
SiteHazards hazardsOf(const Mount& mount, const SiteWorks* works);

/// The lines to tick for a sheet whose other fields are filled. Tolerances are common practice.
std::vector<Check> checksFor(const SiteSheet& sheet, bool gnssTiming);

/// A finding as a sheet prints it, with the reason of the waiver it stands on.
SheetFinding sheetFinding(const Plan& plan, const Finding& finding);

} // namespace fw
