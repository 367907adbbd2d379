// SPDX-License-Identifier: GPL-3.0-or-later
#include "bench/load_facts.h"

#include "study/dwell.h"
#include "study/rim.h"
#include "text/figures.h"

#include <QCoreApplication>

#include <cmath>
#include <memory>

namespace fw {
namespace {

class LoadRows {
    Q_DECLARE_TR_FUNCTIONS(LoadFacts)
};

QString rateText(double mbps, bool named) {
    return figure(mbps, named ? QStringLiteral("Mbit/s") : QString(), mbps >= 10 ? 0 : 1); // no room for more
}

double partOf(const UserRatePair& pair, bool median) { return median ? pair.median.mbps : pair.low.mbps; }

// What users get now and after; `median`, or all but five in a hundred.
DerivedFact rateFact(Workspace& s, const QString& label, bool median) {
    return {label,
            LoadRows::tr(
                "At least, of what the loads leave free; after: those that stay, by the settled ledger."),
            [&s, median](ItemId id) {
                const UserRates* r = s.rates.of(id);
                if (!r) return unknownFigure();
                if (!r->after) return rateText(partOf(r->before, median), true);
                //: what users get now, and after with its unit
                return LoadRows::tr("%1 \u2192 %2")
                    .arg(rateText(partOf(r->before, median), false),
                         rateText(partOf(*r->after, median), true));
            },
            [&s, median](ItemId id) -> std::optional<Working> {
                const UserRates* r = s.rates.of(id);
                if (!r) return std::nullopt;
                return workingOfRates(*s.rates.study(), *r, median);
            }};
}

DerivedFact smallRateFact(Workspace& s, const QString& label, bool median) {
    return {label,
            LoadRows::tr("At least, of what its own load leaves free: those that it takes, by the settled "
                         "ledger."),
            [&s, median](ItemId id) {
                const SmallRates* r = s.rates.ofSmall(id);
                return r ? rateText(partOf(r->now, median), true) : unknownFigure();
            },
            [&s, median](ItemId id) -> std::optional<Working> {
                const SmallRates* r = s.rates.ofSmall(id);
                if (!r) return std::nullopt;
                return workingOfRates(*s.rates.study(), *r, median);
            }};
}

// The last one asked for: a fact is asked for its text many times between two states of the plan.
struct KeptStay {
    std::weak_ptr<const Study> of;
    Dwell stay;
};

const Dwell* stayWith(const Workspace& s, KeptStay& kept, ItemId small) {
    const auto& study = s.live.study();
    if (!study || s.live.dragging() || !study->smallCell(small)) return nullptr;
    if (kept.of.lock() != study || kept.stay.small != small) kept = {study, dwellOf(*study, small)};
    return kept.stay.chords.empty() ? nullptr : &kept.stay;
}

std::function<std::optional<Working>(ItemId)> uplinkSteps(Workspace& s) {
    return [&s](ItemId id) -> std::optional<Working> {
        if (!s.uplink.of(id)) return std::nullopt;
        return workingOf(*s.uplink.study(), *s.uplink.ledger(), id);
    };
}

std::function<std::optional<Working>(ItemId)> uplinkSmallSteps(Workspace& s) {
    return [&s](ItemId id) -> std::optional<Working> {
        if (!s.uplink.ofSmall(id)) return std::nullopt;
        return workingOfSmall(*s.uplink.study(), *s.uplink.ledger(), id);
    };
}

} // namespace

std::vector<DerivedFact> cellRateFacts(Workspace& s) {
    return {rateFact(s, LoadRows::tr("Half of users get"), true),
            rateFact(s, LoadRows::tr("95 of 100 get"), false)};
}

std::vector<DerivedFact> smallRateFacts(Workspace& s) {
    return {smallRateFact(s, LoadRows::tr("Half of users get"), true),
            smallRateFact(s, LoadRows::tr("95 of 100 get"), false)};
}

std::vector<DerivedFact> cellUplinkFacts(Workspace& s) {
    DerivedFact use{LoadRows::tr("Uplink use"),
                    LoadRows::tr("Uplink PRB use as measured, and with the chosen small cells."),
                    [&s](ItemId id) {
                        const UplinkLine* l = s.uplink.of(id);
                        if (!l) return unknownFigure();
                        //: uplink use now, and after
                        return LoadRows::tr("%1 \u2192 %2").arg(percent(l->before, 1), percent(l->after, 1));
                    },
                    uplinkSteps(s)};
    DerivedFact edge{
        LoadRows::tr("Voice at the edge"),
        LoadRows::tr("Share of its users where a voice call at full power is under the SINR it needs."),
        [&s](ItemId id) {
            const UplinkLine* l = s.uplink.of(id);
            return l ? percent(l->voiceEdge, 1) : unknownFigure();
        },
        [&s](ItemId id) -> std::optional<Working> {
            if (!s.uplink.of(id)) return std::nullopt;
            return workingOfVoice(*s.uplink.study(), *s.uplink.ledger(), id);
        }};
    return {use, edge};
}

std::vector<DerivedFact> smallUplinkFacts(Workspace& s) {
    DerivedFact gap{
        LoadRows::tr("Uplink boundary"),
        LoadRows::tr("How far, in path loss, the place where the uplink would part from the macro lies "
                     "beyond that of the downlink."),
        [&s](ItemId id) {
            const UplinkSmall* u = s.uplink.ofSmall(id);
            if (!u || !u->boundaryGapDb) return unknownFigure();
            return signedFigure(*u->boundaryGapDb, QStringLiteral("dB"), 1);
        },
        [&s](ItemId id) -> std::optional<Working> {
            const UplinkSmall* u = s.uplink.ofSmall(id);
            if (!u || !u->boundaryGapDb) return std::nullopt;
            return workingOfBoundary(*s.uplink.study(), *s.uplink.ledger(), id);
        }};
    DerivedFact noise{LoadRows::tr("Uplink noise rise"),
                      LoadRows::tr("By macro users at full power in its reach that stay with their macro."),
                      [&s](ItemId id) {
                          const UplinkSmall* u = s.uplink.ofSmall(id);
                          return u ? figure(u->noiseRiseDb, QStringLiteral("dB"), 1) : unknownFigure();
                      },
                      uplinkSmallSteps(s)};
    return {gap, noise};
}

std::vector<DerivedFact> stayFacts(Workspace& s) {
    const auto kept = std::make_shared<KeptStay>();
    const auto fact = [&s, kept](const QString& label, const QString& meaning, double Dwell::*seconds) {
        return DerivedFact{label, meaning,
                           [&s, kept, seconds](ItemId id) {
                               const Dwell* d = stayWith(s, *kept, id);
                               if (!d) return unknownFigure();
                               //: seconds, kilometres an hour, each with its unit
                               return LoadRows::tr("%1 at %2")
                                   .arg(figure(d->*seconds, LoadRows::tr("s"), 1),
                                        figure(d->speedKmh, LoadRows::tr("km/h"), 0));
                           },
                           [&s, kept](ItemId id) -> std::optional<Working> {
                               const Dwell* d = stayWith(s, *kept, id);
                               if (!d) return std::nullopt;
                               return workingOf(s.live.study()->plan(), *d);
                           }};
    };
    return {
        fact(
            LoadRows::tr("Median stay"),
            LoadRows::tr("Half of the stretches of street where it leads are passed in less, at the speed of "
                         "the plan. Under 5 s handovers cost signalling."),
            &Dwell::medianS),
        fact(LoadRows::tr("Longest stay"),
             LoadRows::tr("On the longest stretch of street where it leads, at the speed of the plan. Under "
                          "5 s fast users are better kept on the macro."),
             &Dwell::longestS)};
}

DerivedFact rimFact(Workspace& s) {
    const auto steps = [&s](ItemId id) -> std::optional<Working> {
        const auto& study = s.live.study();
        if (!study || s.live.dragging() || !rimCellOf(*study, id)) return std::nullopt;
        return workingOfRim(*study, id);
    };
    return {LoadRows::tr("Near the rim"),
            LoadRows::tr(
                "Use on users near the rim of the computed ground. Those beyond are not in the plan, so that "
                "their load lies on those inside."),
            [&s](ItemId id) {
                const auto& study = s.live.study();
                if (!study) return unknownFigure();
                const RimCell* c = rimCellOf(*study, id);
                return figure(c ? c->nearRim * 100 : 0, LoadRows::tr("points"), 1);
            },
            steps};
}

} // namespace fw
