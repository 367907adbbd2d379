// SPDX-License-Identifier: GPL-3.0-or-later
#include "delivery/radio_sheet.h"

#include "base/log_exp.h"
#include "delivery/place_text.h"
#include "delivery/support.h"
#include "radio/carrier.h"

#include <algorithm>

namespace fw {

namespace {

CellSheet cellSheet(const Study& study, const SmallCellPart& part, const SmallCell& cell,
                    const Ledger* ledger) {
    CellSheet c;
    c.small = part.id;
    c.name = study.plan().label(part.id);
    c.technology = part.carrier.technology == Technology::lte ? "LTE" : "NR";
    c.band = bandName(part.carrier.technology, part.carrier.channel);
    c.channel = part.carrier.channel;
    c.frequencyMHz = inMegahertz(part.frequency);
    c.bandwidthMHz = part.carrier.bandwidthMHz;
    c.duplex = part.carrier.duplex == Duplex::fdd ? "FDD" : "TDD";
    c.pci = cell.pci;
    c.biasDb = cell.biasDb;
    c.reliefPoints = study.reliefPoints(part.id);
    if (!ledger) return c;
    const auto it = std::find_if(ledger->smalls.begin(), ledger->smalls.end(),
                                 [&](const SmallCellUse& u) { return u.small == part.id; });
    if (it == ledger->smalls.end()) return c;
    c.use = it->use;
    if (ledger->kind == Ledger::Kind::settled) {
        c.biasDb = it->biasDb;
        c.powerDownDb = it->powerDownDb;
    }
    return c;
}

RadioSheet radioSheet(const Study& study, const MountPart& mount, const SiteSheet& sheet,
                      const Radio& radio) {
    RadioSheet r;
    r.radio = radio.id;
    r.name = study.plan().label(radio.id);
    r.azimuth = radio.azimuth;
    r.grid = study.frame().toGrid(radio.azimuth, mount.at);
    r.azimuthTrue = wholeDegrees(radio.azimuth.deg);
    if (sheet.declinationDeg)
        r.azimuthMagnetic = wholeDegrees(toMagnetic(radio.azimuth, *sheet.declinationDeg).deg);
    r.tiltDeg = radio.tiltDeg;
    r.tiltWord = tiltWord(radio.tiltDeg);
    if (radio.tiltDeg >= 0.05 && radio.tiltDeg < 90) {
        const SinCos a = sinCosDegFixed(radio.tiltDeg);
        r.meetsGroundM = sheet.heightAgl * a.cos / a.sin;
    }
    r.powerDbm = radio.totalPowerDbm;
    r.powerW = wattsOf(radio.totalPowerDbm);
    r.ports = radio.ports;
    r.gainDbi = radio.gainDbi;
    r.hBeamDeg = radio.hBeamDeg;
    r.vBeamDeg = radio.vBeamDeg;
    r.antenna = "beamwidths as given";
    if (const AntennaCut* cut = study.plan().antennaCuts.find(radio.antenna)) {
        r.antenna = nameOr(cut->name, "measured cuts");
        r.gainDbi = cut->gainDbi;
    }
    const SightTask task{mount.at, r.grid, sheet.convergenceDeg, sheet.scale, sheet.ownBuilding};
    const auto solid = [&study](ItemId id) { return solidOf(study.plan(), id); };
    if (mount.skyline) {
        r.marks = sightMarks(*mount.skyline, task, solid);
        r.boresight = boresightText(*mount.skyline, task, solid);
    }
    return r;
}

} // namespace

std::vector<RadioSheet> radioSheets(const Study& study, const MountPart& mount, const SiteSheet& sheet,
                                    const Ledger* ledger) {
    std::vector<RadioSheet> out;
    for (const SmallCellPart& part : study.smallCells()) {
        if (!part.chosen || part.mount != mount.id) continue;
        const Radio* radio = study.plan().radios.find(part.radio);
        const SmallCell* cell = study.plan().smallCells.find(part.id);
        if (!radio || !cell) continue;
        auto it =
            std::find_if(out.begin(), out.end(), [&](const RadioSheet& r) { return r.radio == part.radio; });
        if (it == out.end()) {
            out.push_back(radioSheet(study, mount, sheet, *radio));
            it = out.end() - 1;
            it->hBeamDeg = part.hBeamDeg; // measured off the cut where there is one
            it->vBeamDeg = part.vBeamDeg;
        }
        it->cells.push_back(cellSheet(study, part, *cell, ledger));
    }
    std::sort(out.begin(), out.end(),
              [](const RadioSheet& a, const RadioSheet& b) { return a.radio < b.radio; });
    return out;
}

} // namespace fw
