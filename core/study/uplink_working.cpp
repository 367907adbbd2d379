// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/uplink.h"

#include "base/log_exp.h"
#include "base/text.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {
namespace {

// Where a value comes from: the plan, once somebody has replaced the default.
std::string originOf(double value, double usual, const char* origin) {
    return value == usual ? std::string(origin) : std::string("plan");
}

class Inputs {
public:
    Inputs(Working& w, const UplinkSettings& s) : m_w(w), m_s(s) {}
    void powerControl() {
        put("P0", &UplinkSettings::p0Dbm, "dBm", CORE_TEXT("common practice"));
        put("alpha", &UplinkSettings::alpha, "", CORE_TEXT("common practice"));
        put("M", &UplinkSettings::blocks, "PRB", CORE_TEXT("own judgement"));
    }
    void fullPower() { put("P_max", &UplinkSettings::maxPowerDbm, "dBm", "3GPP TS 36.101, 6.2.2"); }
    void voice() {
        put("M_voice", &UplinkSettings::voiceBlocks, "PRB", CORE_TEXT("own judgement"));
        put(CORE_TEXT("SINR that voice needs"), &UplinkSettings::voiceFromSinrDb, "dB",
            CORE_TEXT("own judgement"));
    }
    void noise() {
        put(CORE_TEXT("interference over thermal"), &UplinkSettings::iotDb, "dB", CORE_TEXT("own judgement"));
        put(CORE_TEXT("noise figure"), &UplinkSettings::noiseFigureDb, "dB", "3GPP TR 36.942");
    }

private:
    void put(const char* name, double UplinkSettings::*value, const char* unit, const char* origin) {
        static const UplinkSettings usual;
        m_w.inputs.push_back({name, m_s.*value, unit, originOf(m_s.*value, usual.*value, origin)});
    }
    Working& m_w;
    const UplinkSettings& m_s;
};

const UplinkLine* lineOf(const UplinkLedger& ledger, ItemId cell) {
    const auto it = std::find_if(ledger.cells.begin(), ledger.cells.end(),
                                 [cell](const UplinkLine& l) { return l.cell == cell; });
    return it == ledger.cells.end() ? nullptr : &*it;
}

const UplinkSmall* smallOf(const UplinkLedger& ledger, ItemId small) {
    const auto it = std::find_if(ledger.smalls.begin(), ledger.smalls.end(),
                                 [small](const UplinkSmall& s) { return s.small == small; });
    return it == ledger.smalls.end() ? nullptr : &*it;
}

int spacingOf(const Plan& plan, ItemId cell) {
    const Cell* c = plan.cells.find(cell);
    return c ? std::max(15, c->carrier.scsKHz) : 15;
}

// How far boundaries lie apart, as the last step.
void addBoundary(Working& w, const Study& study, const UplinkSmall& line) {
    const MacroCell* m = study.macroCell(line.macro);
    const SmallCellPart* part = study.smallCell(line.small);
    if (!m || !part || !line.boundaryGapDb) return;
    w.inputs.push_back({"P_macro", m->referencePowerDbm, "dBm", study.plan().label(m->id)});
    w.inputs.push_back({"P_small", part->referencePowerDbm, "dBm", "plan"});
    w.inputs.push_back({CORE_TEXT("bias"), part->biasDb, "dB", "plan"});
    w.steps.push_back({CORE_TEXT("from the boundary of the downlink to that of the uplink"),
                       "P_macro - P_small - bias", *line.boundaryGapDb, "dB"});
}

const char* const kNoLine = CORE_TEXT("No uplink load was measured for this cell.");
const char* const kNoSmall = CORE_TEXT("It is not chosen, or sends on a carrier of its own.");

} // namespace

Working workingOf(const Study& study, const UplinkLedger& ledger, ItemId cell) {
    const Plan& plan = study.plan();
    Working w;
    w.title = fmt::format("Uplink use of {} after", plan.label(cell));
    const UplinkLine* line = lineOf(ledger, cell);
    if (!line) {
        w.remarks.emplace_back(kNoLine);
        return w;
    }
    Inputs in(w, ledger.settings);
    in.powerControl();
    in.fullPower();
    in.noise();
    w.inputs.push_back({CORE_TEXT("uplink use now"), line->before * 100, "%", CORE_TEXT("measured")});
    w.inputs.push_back({CORE_TEXT("of it, what cannot move"), line->fixed * 100, "%", CORE_TEXT("computed")});
    w.steps.push_back({CORE_TEXT("users at full power"), "P0 + 10 log10 M + alpha PL >= P_max",
                       line->fullPower * 100, "%"});
    w.steps.push_back(
        {CORE_TEXT("spread over users"), "sum of k w / eta", (line->before - line->fixed) * 100, "points"});
    double taken = 0;
    for (const UplinkLine::Part& p : line->relief) {
        w.steps.push_back({fmt::format("taken off by {}", plan.label(p.small)), "", p.use * 100, "points"});
        taken += p.use;
    }
    w.steps.push_back(
        {CORE_TEXT("uplink use after"), CORE_TEXT("now - taken off"), (line->before - taken) * 100, "%"});
    w.source = "3GPP TS 36.213, 5.1.1; TR 36.942, Annex A";
    w.remarks.emplace_back(
        CORE_TEXT("Who moves in the downlink moves in the uplink. Users of a place count at "
                  "its median path loss; those that move are reached worse, so that the "
                  "uplink gains rather more."));
    return w;
}

Working workingOfVoice(const Study& study, const UplinkLedger& ledger, ItemId cell) {
    const UplinkSettings& s = ledger.settings;
    Working w;
    w.title = fmt::format("Voice at the edge of {} in the uplink", study.plan().label(cell));
    const UplinkLine* line = lineOf(ledger, cell);
    if (!line) {
        w.remarks.emplace_back(kNoLine);
        return w;
    }
    Inputs in(w, s);
    in.fullPower();
    in.voice();
    in.noise();
    const double noise = uplinkNoiseDbm(s, spacingOf(study.plan(), cell));
    const double farthest = s.maxPowerDbm - decibels(s.voiceBlocks) - noise - s.iotDb - s.voiceFromSinrDb;
    w.steps.push_back({CORE_TEXT("noise of the base station in a PRB"),
                       "-174 dBm/Hz + 10 log10(12 spacing) + noise figure", noise, "dBm"});
    w.steps.push_back({CORE_TEXT("path loss at which voice is at its edge"),
                       "P_max - 10 log10 M_voice - noise - interference over thermal - SINR", farthest,
                       "dB"});
    w.steps.push_back({CORE_TEXT("users at full power"), "P0 + 10 log10 M + alpha PL >= P_max",
                       line->fullPower * 100, "%"});
    w.steps.push_back({CORE_TEXT("users beyond that path loss"), CORE_TEXT("by bits of the busy hour"),
                       line->voiceEdge * 100, "%"});
    w.source = CORE_TEXT("3GPP TS 36.213, 5.1.1; the bounds are own judgement");
    w.remarks.emplace_back(CORE_TEXT("Before small cells; users of a place count at its median path loss."));
    return w;
}

Working workingOfBoundary(const Study& study, const UplinkLedger& ledger, ItemId small) {
    Working w;
    w.title = fmt::format("Uplink boundary of {}", study.plan().label(small));
    const UplinkSmall* line = smallOf(ledger, small);
    if (!line || !line->boundaryGapDb) {
        w.remarks.emplace_back(
            line ? CORE_TEXT("It takes nobody off a macro of its carrier, so that there is no boundary.")
                 : kNoSmall);
        return w;
    }
    addBoundary(w, study, *line);
    w.source =
        CORE_TEXT("where both are received alike, bias counted; the uplink parts where paths are alike");
    w.remarks.emplace_back(CORE_TEXT(
        "Above 0 users between the two boundaries are served by the macro though the small cell is nearer: "
        "they send louder than they would have to, and it hears them."));
    return w;
}

Working workingOfSmall(const Study& study, const UplinkLedger& ledger, ItemId small) {
    Working w;
    w.title = fmt::format("What {} hears of the macros' users", study.plan().label(small));
    const UplinkSmall* line = smallOf(ledger, small);
    const SmallCellPart* part = study.smallCell(small);
    if (!line || !part) {
        w.remarks.emplace_back(kNoSmall);
        return w;
    }
    Inputs in(w, ledger.settings);
    in.powerControl();
    in.fullPower();
    in.noise();
    addBoundary(w, study, *line);
    const double noise = uplinkNoiseDbm(ledger.settings, part->carrier.scsKHz);
    w.steps.push_back({CORE_TEXT("noise N of the small cell in a PRB"),
                       "-174 dBm/Hz + 10 log10(12 spacing) + noise figure", noise, "dBm"});
    if (line->noiseRiseDb > 0)
        w.steps.push_back({CORE_TEXT("what it hears of them, I, in a PRB"),
                           CORE_TEXT("sum over the places that macros serve"),
                           noise + decibels(powerRatio(line->noiseRiseDb) - 1), "dBm"});
    w.steps.push_back({CORE_TEXT("noise rise by macro users at full power"), "10 log10(1 + I / N)",
                       line->noiseRiseDb, "dB"});
    w.source =
        CORE_TEXT("mean interference in a PRB, each user by its share of the macro's PRB; own judgement");
    return w;
}

} // namespace fw
