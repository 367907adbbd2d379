// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/uplink.h"

#include "base/text.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {
namespace {

void addOptions(Working& w, const UplinkOptions& o) {
    w.inputs.push_back({"P0", o.p0Dbm, "dBm", CORE_TEXT("common practice")});
    w.inputs.push_back({"alpha", o.alpha, "", CORE_TEXT("common practice")});
    w.inputs.push_back({"P_max", o.maxPowerDbm, "dBm", "3GPP TS 36.101, 6.2.2"});
    w.inputs.push_back({"M", o.blocks, "PRB", CORE_TEXT("own judgement")});
    w.inputs.push_back({CORE_TEXT("interference over thermal"), o.iotDb, "dB", CORE_TEXT("own judgement")});
    w.inputs.push_back({CORE_TEXT("noise figure"), o.noiseFigureDb, "dB", "3GPP TR 36.942"});
}

} // namespace

Working workingOf(const Study& study, const UplinkLedger& ledger, ItemId cell) {
    const Plan& plan = study.plan();
    Working w;
    w.title = fmt::format("Uplink use of {} after", plan.label(cell));
    const auto line = std::find_if(ledger.cells.begin(), ledger.cells.end(),
                                   [cell](const UplinkLine& l) { return l.cell == cell; });
    if (line == ledger.cells.end()) {
        w.remarks.emplace_back(CORE_TEXT("No uplink load was measured for this cell."));
        return w;
    }
    addOptions(w, ledger.options);
    w.inputs.push_back({CORE_TEXT("uplink use now"), line->before * 100, "%", CORE_TEXT("measured")});
    w.inputs.push_back({CORE_TEXT("of it, what cannot move"), line->fixed * 100, "%", CORE_TEXT("computed")});
    w.steps.push_back({CORE_TEXT("users at full power"), "P0 + 10 log10 M + alpha PL >= P_max",
                       line->fullPower * 100, "%"});
    w.steps.push_back({fmt::format("voice at the edge: under {:.1f} dB at full power on {:g} PRB",
                                   ledger.options.voiceFromSinrDb, ledger.options.voiceBlocks),
                       "P_max - 10 log10 M_voice - PL - noise - interference over thermal",
                       line->voiceEdge * 100, "%"});
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

Working workingOfSmall(const Study& study, const UplinkLedger& ledger, ItemId small) {
    const Plan& plan = study.plan();
    Working w;
    w.title = fmt::format("What {} hears of the macros' users", plan.label(small));
    const auto line = std::find_if(ledger.smalls.begin(), ledger.smalls.end(),
                                   [small](const UplinkSmall& s) { return s.small == small; });
    const SmallCellPart* part = study.smallCell(small);
    if (line == ledger.smalls.end() || !part) {
        w.remarks.emplace_back(CORE_TEXT("It is not chosen, or sends on a carrier of its own."));
        return w;
    }
    addOptions(w, ledger.options);
    if (const MacroCell* m = line->boundaryGapDb ? study.macroCell(line->macro) : nullptr) {
        w.inputs.push_back({"P_macro", m->referencePowerDbm, "dBm", plan.label(m->id)});
        w.inputs.push_back({"P_small", part->referencePowerDbm, "dBm", CORE_TEXT("plan")});
        w.inputs.push_back({CORE_TEXT("bias"), part->biasDb, "dB", CORE_TEXT("plan")});
        w.steps.push_back({CORE_TEXT("from the boundary of the downlink to that of the uplink"),
                           "P_macro - P_small - bias", *line->boundaryGapDb, "dB"});
    }
    w.steps.push_back({CORE_TEXT("noise rise by macro users at full power"), "10 log10(1 + I / N)",
                       line->noiseRiseDb, "dB"});
    w.source =
        CORE_TEXT("mean interference in a PRB, each user by its share of the macro's PRB; own judgement");
    return w;
}

} // namespace fw
