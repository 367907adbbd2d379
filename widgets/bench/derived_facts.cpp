// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/derived_facts.h"

#include "bench/load_facts.h"
#include "models/words.h"
#include "radio/antenna_cuts.h"
#include "siting/alternatives.h"
#include "study/ledger_working.h"
#include "text/figures.h"

#include <QCoreApplication>

#include <algorithm>
#include <cmath>

namespace fw {

namespace {

class Facts {
    Q_DECLARE_TR_FUNCTIONS(DerivedFacts)
};
const QString kM = QStringLiteral("m");

void append(std::vector<DerivedFact>& to, std::vector<DerivedFact> more) {
    for (DerivedFact& f : more) to.push_back(std::move(f));
}

std::optional<Mount> mountNow(const Workspace& s, ItemId id) {
    if (s.drag.active()) return s.drag.mount(id);
    const Mount* m = s.document.plan().mounts.find(id);
    return m ? std::optional(*m) : std::nullopt;
}
std::optional<Radio> radioNow(const Workspace& s, ItemId id) {
    if (s.drag.active()) return s.drag.radio(id);
    const Radio* r = s.document.plan().radios.find(id);
    return r ? std::optional(*r) : std::nullopt;
}

struct NearMacro {
    ItemId site;
    double distanceM = 0;
};
std::optional<NearMacro> nearestMacro(const Workspace& s, PlanePoint at) {
    std::optional<NearMacro> best;
    PlanePoint where;
    for (const MacroSite& m : s.document.plan().macroSites) {
        const double d = planeDistance(at, m.at);
        if (best && best->distanceM <= d) continue;
        best = {m.id, d};
        where = m.at;
    }
    if (best) best->distanceM = s.document.frame().groundDistance(at, where);
    return best;
}

Working centreWorking(const MountPart& part, double heightM) {
    Working w;
    w.title = Facts::tr("Radiation centre above sea").toStdString();
    w.inputs = {{"ground", part.groundAmsl, "m", Facts::tr("terrain of the plan").toStdString()},
                {"height", heightM, "m", Facts::tr("entered").toStdString()}};
    w.steps = {{Facts::tr("Radiation centre").toStdString(), "ground + height", part.antennaAmsl, "m"}};
    w.source = Facts::tr("plan").toStdString();
    w.remarks = {Facts::tr("The ground is the lowest within 10 m ahead of the mount.").toStdString()};
    return w;
}

std::vector<DerivedFact> mountFacts(Workspace& s) {
    const auto part = [&s](ItemId id) { return s.live.study() ? s.live.study()->mount(id) : nullptr; };
    DerivedFact ground{Facts::tr("Ground"),
                       Facts::tr("Above sea, where the height is counted from."),
                       [part](ItemId id) {
                           const MountPart* p = part(id);
                           return p ? figure(p->groundAmsl, kM, 1) : unknownFigure();
                       },
                       {}};
    DerivedFact centre{Facts::tr("Radiation centre"), Facts::tr("Above sea."),
                       [part](ItemId id) {
                           const MountPart* p = part(id);
                           return p ? figure(p->antennaAmsl, kM, 1) : unknownFigure();
                       },
                       [part, &s](ItemId id) -> std::optional<Working> {
                           const MountPart* p = part(id);
                           const auto m = mountNow(s, id);
                           if (!p || !m) return std::nullopt;
                           return centreWorking(*p, m->height.m);
                       }};
    DerivedFact macro{Facts::tr("Nearest macro"),
                      Facts::tr("Macro site and the distance to it on the ground."),
                      [&s](ItemId id) {
                          const auto m = mountNow(s, id);
                          const auto near = m ? nearestMacro(s, m->at) : std::nullopt;
                          if (!near) return unknownFigure();
                          return Facts::tr("%1 to %2")
                              .arg(distance(near->distanceM),
                                   QString::fromStdString(s.document.plan().label(near->site)));
                      },
                      {}};
    return {ground, centre, macro};
}

QString magneticText(const Workspace& s, const std::optional<MagneticField>& field, ItemId id) {
    const auto r = radioNow(s, id);
    const auto m = r ? mountNow(s, r->mount) : std::nullopt;
    if (!m || !field) return unknownFigure();
    const auto geo = s.document.frame().toGeo(m->at);
    if (!geo) return unknownFigure();
    const auto declination =
        field->declinationDeg(*geo, HeightAmsl{m->height.m}, s.document.plan().settings->date);
    return declination ? bearing(toMagnetic(r->azimuth, *declination).deg, 0) : unknownFigure();
}

std::optional<double> meetsGround(const Workspace& s, ItemId id) {
    const auto r = radioNow(s, id);
    const auto m = r ? mountNow(s, r->mount) : std::nullopt;
    if (!m || r->tiltDeg < 0.05) return std::nullopt;
    return m->height.m / std::tan(radians(r->tiltDeg));
}

// What is read off the cuts of a radio or a sector.
std::vector<DerivedFact> antennaFacts(Workspace& s) {
    const auto of = [&s](ItemId id) -> std::optional<HungAntenna> {
        const Plan& plan = s.document.plan();
        if (const auto r = radioNow(s, id)) return hungAntenna(plan, *r);
        return hungAntenna(plan, id);
    };
    const auto width = [of](bool across) {
        return [of, across](ItemId id) {
            const auto a = of(id);
            if (!a) return unknownFigure();
            const Beamwidths b = a->pattern.halfPowerBeamwidths();
            return figure(across ? b.horizontalDeg : b.verticalDeg, QStringLiteral("°"), 1);
        };
    };
    const auto steps = [of](bool across) {
        return [of, across](ItemId id) -> std::optional<Working> {
            const auto a = of(id);
            if (!a) return std::nullopt;
            return workingOfHalfPower(*a, across);
        };
    };
    DerivedFact back{Facts::tr("Front to back"), Facts::tr("Peak over the strongest near straight behind."),
                     [of](ItemId id) {
                         const auto a = of(id);
                         return a ? figure(cutsOf(*a).frontToBackDb, QStringLiteral("dB"), 1)
                                  : unknownFigure();
                     },
                     [of](ItemId id) -> std::optional<Working> {
                         const auto a = of(id);
                         if (!a) return std::nullopt;
                         return workingOfFrontToBack(*a);
                     }};
    return {{Facts::tr("Half power across"), Facts::tr("Of the cut across, measured or as entered."),
             width(true), steps(true)},
            {Facts::tr("Half power upright"), Facts::tr("Of the upright cut, measured or as entered."),
             width(false), steps(false)},
            back};
}

std::vector<DerivedFact> radioFacts(Workspace& s, const std::optional<MagneticField>& field) {
    DerivedFact magnetic{Facts::tr("Azimuth, magnetic"),
                         Facts::tr("What a compass reads on the day of the plan."),
                         [&s, &field](ItemId id) { return magneticText(s, field, id); },
                         {}};
    DerivedFact ground{
        Facts::tr("Meets the ground"), Facts::tr("Where the boresight meets level ground."),
        [&s](ItemId id) {
            const auto d = meetsGround(s, id);
            return d ? distance(*d) : unknownFigure();
        },
        [&s](ItemId id) -> std::optional<Working> {
            const auto d = meetsGround(s, id);
            const auto r = radioNow(s, id);
            const auto m = r ? mountNow(s, r->mount) : std::nullopt;
            if (!d || !m) return std::nullopt;
            Working w;
            w.title = Facts::tr("Where the boresight meets level ground").toStdString();
            const std::string entered = Facts::tr("entered").toStdString();
            w.inputs = {{"height", m->height.m, "m", entered}, {"tilt", r->tiltDeg, "deg", entered}};
            w.steps = {{Facts::tr("Distance on the ground").toStdString(), "height / tan(tilt)", *d, "m"}};
            return w;
        }};
    std::vector<DerivedFact> out = antennaFacts(s);
    out.insert(out.begin(), {magnetic, ground});
    return out;
}

std::vector<DerivedFact> smallCellFacts(Workspace& s) {
    DerivedFact frequency{Facts::tr("Frequency"),
                          Facts::tr("Centre of the downlink."),
                          [&s](ItemId id) {
                              const SmallCell* c = s.document.plan().smallCells.find(id);
                              return c ? frequencyText(c->carrier) : unknownFigure();
                          },
                          {}};
    DerivedFact fit{Facts::tr("Fit"), Facts::tr("0 to 100, from its weighted terms."),
                    [&s](ItemId id) {
                        const auto f = s.live.fit(id);
                        return f ? figure(f->value, {}, 0) : unknownFigure();
                    },
                    [&s](ItemId id) -> std::optional<Working> {
                        const auto f = s.live.fit(id);
                        if (!f) return std::nullopt;
                        return workingOf(*s.live.study(), *f);
                    }};
    DerivedFact relief{Facts::tr("Relief"),
                       Facts::tr("What it takes off macro cells, in points of their PRB."),
                       [&s](ItemId id) {
                           const auto& study = s.live.study();
                           if (!study || !study->smallCell(id)) return unknownFigure();
                           return figure(study->reliefPoints(id), Facts::tr("points"), 1);
                       },
                       [&s](ItemId id) -> std::optional<Working> {
                           const auto& study = s.live.study();
                           if (!study || !study->smallCell(id)) return std::nullopt;
                           return workingOfRelief(*study, id);
                       }};
    DerivedFact use{Facts::tr("Own use"), Facts::tr("Of its own PRB in the busy hour."),
                    [&s](ItemId id) {
                        const Ledger* ledger = s.live.ledger();
                        if (!ledger) return unknownFigure();
                        for (const SmallCellUse& u : ledger->smalls)
                            if (u.small == id) return percent(u.use, 0);
                        return unknownFigure();
                    },
                    [&s](ItemId id) -> std::optional<Working> {
                        const auto& study = s.live.study();
                        const Ledger* ledger = s.live.ledger();
                        if (!study || !ledger || !study->smallCell(id)) return std::nullopt;
                        return workingOfUse(*study, *ledger, id);
                    }};
    std::vector<DerivedFact> out{frequency, fit, relief, use};
    append(out, smallRateFacts(s));
    append(out, smallUplinkFacts(s));
    append(out, stayFacts(s));
    return out;
}

const LedgerLine* lineOf(const Workspace& s, ItemId cell) {
    const Ledger* ledger = s.live.ledger();
    if (!ledger) return nullptr;
    const auto it = std::lower_bound(ledger->cells.begin(), ledger->cells.end(), cell,
                                     [](const LedgerLine& l, ItemId id) { return l.cell < id; });
    return it != ledger->cells.end() && it->cell == cell ? &*it : nullptr;
}

// What else could be done about a full cell, in a word; the reason and its figures are its working.
DerivedFact wayFact(Workspace& s) {
    const auto found = [&s](ItemId id) -> std::optional<CellCase> {
        const LedgerLine* l = lineOf(s, id);
        if (!l || !s.live.study()) return std::nullopt;
        return caseOf(*s.live.study(), *l);
    };
    return {Facts::tr("What helps"),
            Facts::tr("Whether this is a case for small cells; the working says why."),
            [found](ItemId id) {
                const auto c = found(id);
                return c ? coreText(wordsFor(c->advice)) : unknownFigure();
            },
            [&s, found](ItemId id) -> std::optional<Working> {
                const auto c = found(id);
                if (!c) return std::nullopt;
                return workingOf(*s.live.study(), *c);
            }};
}

std::vector<DerivedFact> cellFacts(Workspace& s) {
    DerivedFact frequency{Facts::tr("Frequency"),
                          Facts::tr("Centre of the downlink."),
                          [&s](ItemId id) {
                              const Cell* c = s.document.plan().cells.find(id);
                              return c ? frequencyText(c->carrier) : unknownFigure();
                          },
                          {}};
    DerivedFact over{Facts::tr("Over the trigger"),
                     Facts::tr("Full on enough days of the week while its users suffer."),
                     [&s](ItemId id) {
                         const Cell* c = s.document.plan().cells.find(id);
                         if (!c) return unknownFigure();
                         const bool is = overTrigger(c->load, s.document.plan().settings->model);
                         return is ? Facts::tr("yes") : Facts::tr("no");
                     },
                     {}};
    DerivedFact after{Facts::tr("Use after"), Facts::tr("With the chosen small cells."),
                      [&s](ItemId id) {
                          const LedgerLine* l = lineOf(s, id);
                          return l ? percent(l->after, 1) : unknownFigure();
                      },
                      [&s](ItemId id) -> std::optional<Working> {
                          if (!lineOf(s, id)) return std::nullopt;
                          return workingOf(*s.live.study(), *s.live.ledger(), id);
                      }};
    DerivedFact holds{Facts::tr("Holds until"), Facts::tr("When it is back at the trigger as traffic grows."),
                      [&s](ItemId id) {
                          const LedgerLine* l = lineOf(s, id);
                          if (!l || !l->holdsMonths) return unknownFigure();
                          const Plan& plan = s.document.plan();
                          return holdsUntil(plan.settings->date, monthsOnPlan(plan, id, *l->holdsMonths));
                      },
                      [&s](ItemId id) -> std::optional<Working> {
                          if (!lineOf(s, id)) return std::nullopt;
                          return workingOfHolds(*s.live.study(), *s.live.ledger(), id);
                      }};
    std::vector<DerivedFact> out{over, after, holds, wayFact(s), rimFact(s)};
    append(out, cellRateFacts(s));
    append(out, cellUplinkFacts(s));
    out.push_back(frequency);
    return out;
}

std::vector<DerivedFact> buildingFacts(Workspace& s) {
    DerivedFact footprint{Facts::tr("Footprint"),
                          Facts::tr("Ground it covers."),
                          [&s](ItemId id) {
                              const auto b = s.document.plan().scenery.building(id);
                              return b ? figure(areaOf(b->footprint), QStringLiteral("m²"), 0)
                                       : unknownFigure();
                          },
                          {}};
    DerivedFact covered{
        Facts::tr("Covered indoors"),
        Facts::tr("Share of the places behind its facades, before and after, where nine in ten "
                  "locations are served."),
        [&s](ItemId id) {
            const BuildingCoverage* c = s.indoor.of(id);
            if (!c) return unknownFigure();
            //: covered before, covered after
            return Facts::tr("%1 \u2192 %2").arg(percent(c->shareBefore()), percent(c->shareAfter()));
        },
        [&s](ItemId id) -> std::optional<Working> {
            const BuildingCoverage* c = s.indoor.of(id);
            if (!c) return std::nullopt;
            return workingOfCoverage(*s.indoor.study(), s.indoor.spec(), *c);
        }};
    const auto opinion = [&s](ItemId id) -> std::optional<EntryOpinion> {
        const auto& study = s.live.study();
        return study ? entryOpinion(*study, id) : std::nullopt;
    };
    DerivedFact entry{
        Facts::tr("Loss into it"),
        Facts::tr("On a level path, by the plan's model; in brackets by the other one, a second opinion."),
        [opinion](ItemId id) {
            const auto o = opinion(id);
            if (!o) return unknownFigure();
            //: loss by the plan's model, by the other one
            return Facts::tr("%1 (%2) dB").arg(figure(o->chosenDb, {}, 1), figure(o->otherDb, {}, 1));
        },
        [&s, opinion](ItemId id) -> std::optional<Working> {
            const auto o = opinion(id);
            if (!o) return std::nullopt;
            return workingOfEntry(*s.live.study(), id, *o);
        }};
    return {footprint, covered, entry};
}

} // namespace

std::vector<DerivedFact> derivedFacts(Kind kind, Workspace& s, const std::optional<MagneticField>& field) {
    switch (kind) {
    case Kind::mount:
        return mountFacts(s);
    case Kind::radio:
        return radioFacts(s, field);
    case Kind::sector:
        return antennaFacts(s);
    case Kind::smallCell:
        return smallCellFacts(s);
    case Kind::cell:
        return cellFacts(s);
    case Kind::congestionArea:
        return {{Facts::tr("Area"),
                 Facts::tr("Inside the outline."),
                 [&s](ItemId id) {
                     const CongestionArea* a = s.document.plan().congestionAreas.find(id);
                     return a ? figure(areaOf(a->area) / 1e4, Facts::tr("ha"), 2) : unknownFigure();
                 },
                 {}}};
    case Kind::building:
        return buildingFacts(s);
    case Kind::overheadLine:
        return {{Facts::tr("Length"),
                 Facts::tr("In the plan's grid."),
                 [&s](ItemId id) {
                     const OverheadLine* l = s.document.plan().overheadLines.find(id);
                     return l ? distance(lengthOf(l->path)) : unknownFigure();
                 },
                 {}}};
    default:
        return {};
    }
}

} // namespace fw
