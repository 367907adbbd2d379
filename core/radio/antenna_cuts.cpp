// SPDX-License-Identifier: GPL-3.0-or-later
#include "radio/antenna_cuts.h"

#include "base/text.h"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>

namespace fw {
namespace {

// As the study takes them for antennas known by their data sheet alone.
constexpr double kFrontBackDb = 25, kSideLobeDb = 20;
constexpr int kBehindDeg = 30;

template <class T>
HungAntenna hung(const Plan& plan, const T& t, double mechanical, double electrical) {
    const AntennaCut* cut = t.antenna ? plan.antennaCuts.find(t.antenna) : nullptr;
    return {plan.label(t.id), cut ? cut->name : std::string(),
            cut ? Pattern(cutTableOf(*cut))
                : Pattern(ParabolicCuts{t.gainDbi, t.hBeamDeg, t.vBeamDeg, kFrontBackDb, kSideLobeDb}),
            mechanical, electrical};
}

// Loss towards an angle below the horizon in front, all round in the upright plane through boresight.
double uprightLoss(const HungAntenna& a, double below, double mechanical, double electrical) {
    const double b = wrap180(below);
    const bool front = std::fabs(b) <= 90;
    const double elevation = front ? -b : (b > 0 ? b - 180 : b + 180);
    return a.pattern.maxGainDbi() - a.pattern.gain(front ? 0 : 180, elevation, mechanical, electrical).v;
}

// Where the upright cut is strongest in front; of several such angles the one nearest to the horizon.
double ownTilt(const Pattern& pattern) {
    const auto table = pattern.verticalTable(0);
    int best = 0;
    for (int k = 1; k <= 900; ++k)
        for (const int way : {-k, k})
            if (table[static_cast<std::size_t>(900 + way)] < table[static_cast<std::size_t>(900 + best)])
                best = way;
    return best == 0 ? 0 : -best / 10.0;
}

void say(Working& w, const HungAntenna& a) {
    if (a.patternName.empty())
        w.remarks.emplace_back(
            CORE_TEXT("The antenna is known by its data sheet: parabolic cuts, at most 25 dB "
                      "below the peak, 20 dB in the upright cut."));
    else
        w.remarks.push_back(fmt::format("Read off the measured cuts of {}.", a.patternName));
}

} // namespace

HungAntenna hungAntenna(const Plan& plan, const Radio& r) { return hung(plan, r, r.tiltDeg, 0); }
HungAntenna hungAntenna(const Plan& plan, const Sector& s) {
    return hung(plan, s, s.mechanicalTiltDeg, s.electricalTiltDeg);
}

std::optional<HungAntenna> hungAntenna(const Plan& plan, ItemId item) {
    if (const SmallCell* s = plan.smallCells.find(item)) item = s->radio;
    if (const Cell* c = plan.cells.find(item)) item = c->sector;
    if (const Radio* r = plan.radios.find(item)) return hungAntenna(plan, *r);
    if (const Sector* s = plan.sectors.find(item)) return hungAntenna(plan, *s);
    return std::nullopt;
}

AntennaCuts cutsOf(const HungAntenna& a) {
    AntennaCuts out;
    const auto table = a.pattern.horizontalTable();
    const double most = a.pattern.maxAttenuationCentiDb() / 100.0;
    for (int deg = 0; deg < 360; ++deg) {
        const auto i = static_cast<std::size_t>(deg);
        out.horizontal[i] = std::min(most, table[i * 10] / 100.0);
        out.vertical[i] = uprightLoss(a, deg, a.mechanicalTiltDeg, a.electricalTiltDeg);
        out.untilted[i] = uprightLoss(a, deg, 0, 0);
    }
    out.halfPower = a.pattern.halfPowerBeamwidths();
    const double peak = *std::min_element(out.horizontal.begin(), out.horizontal.end());
    double behind = most;
    for (int deg = 180 - kBehindDeg; deg <= 180 + kBehindDeg; ++deg)
        behind = std::min(behind, out.horizontal[static_cast<std::size_t>(deg)]);
    out.frontToBackDb = behind - peak;
    out.ownTiltDeg = ownTilt(a.pattern);
    out.tiltDeg = out.ownTiltDeg + a.mechanicalTiltDeg + a.electricalTiltDeg;
    out.gainDbi = a.pattern.maxGainDbi();
    return out;
}

Working workingOfHalfPower(const HungAntenna& a, bool horizontal) {
    Working w;
    const Beamwidths beam = a.pattern.halfPowerBeamwidths();
    w.title = fmt::format("Half-power width of {}, {}", a.name, horizontal ? "across" : "upright");
    w.inputs.push_back({CORE_TEXT("gain at the peak"), a.pattern.maxGainDbi(), "dBi",
                        a.patternName.empty() ? CORE_TEXT("plan") : a.patternName});
    w.steps.push_back(
        {CORE_TEXT("gain at the edges of the beam"), "peak - 3 dB", a.pattern.maxGainDbi() - 3, "dBi"});
    w.steps.push_back({CORE_TEXT("angle between them"),
                       a.patternName.empty() ? CORE_TEXT("as entered")
                                             : CORE_TEXT("in a straight line between the "
                                                         "measured angles"),
                       horizontal ? beam.horizontalDeg : beam.verticalDeg, "deg"});
    w.source =
        CORE_TEXT("3GPP TR 36.814, Table A.2.1.1-2 for parabolic cuts; half power is 3 dB below the peak");
    say(w, a);
    return w;
}

Working workingOfFrontToBack(const HungAntenna& a) {
    Working w;
    const AntennaCuts cuts = cutsOf(a);
    w.title = fmt::format("Front to back of {}", a.name);
    w.inputs.push_back({CORE_TEXT("gain at the peak"), cuts.gainDbi, "dBi",
                        a.patternName.empty() ? CORE_TEXT("plan") : a.patternName});
    w.steps.push_back({CORE_TEXT("strongest within 30 deg of straight behind"), "",
                       cuts.gainDbi - cuts.frontToBackDb, "dBi"});
    w.steps.push_back({CORE_TEXT("front to back"), CORE_TEXT("peak - behind, in the cut across"),
                       cuts.frontToBackDb, "dB"});
    w.source = CORE_TEXT("common practice");
    say(w, a);
    return w;
}

} // namespace fw
