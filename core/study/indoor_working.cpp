// SPDX-License-Identifier: GPL-3.0-or-later
#include "study/indoor_working.h"

#include "base/text.h"
#include "fringe/site_path.h"
#include "plan/enum_names.h"
#include "plan/model_words.h"

#include <algorithm>
#include <fmt/format.h>

namespace fw {

const BuildingCoverage* coverageOf(const IndoorCoverage& all, ItemId building) {
    const auto& list = all.buildings;
    const auto it = std::lower_bound(list.begin(), list.end(), building,
                                     [](const BuildingCoverage& b, ItemId id) { return b.building < id; });
    return it != list.end() && it->building == building && it->samples > 0 ? &*it : nullptr;
}

Working workingOfCoverage(const Study& study, const IndoorSpec& spec, const BuildingCoverage& c) {
    const ModelSettings& m = study.plan().settings->model;
    Working w;
    w.title = fmt::format("Covered indoors: {}", study.plan().label(c.building));
    w.inputs = {
        {CORE_TEXT("samples behind the facades"), static_cast<double>(c.samples), "", CORE_TEXT("plan")},
        {CORE_TEXT("level that counts"), spec.fromDbm.value_or(m.servedFromDbm), "dBm",
         spec.fromDbm ? CORE_TEXT("entered") : CORE_TEXT("plan")},
        {CORE_TEXT("share of locations"), spec.locations * 100, "%", CORE_TEXT("entered")},
        {CORE_TEXT("shadowing of macros"), m.macroSigmaDb, "dB", CORE_TEXT("plan")},
        {CORE_TEXT("shadowing of small cells"), m.smallSigmaDb, "dB", CORE_TEXT("plan")}};
    w.steps = {{CORE_TEXT("samples covered by macros alone"),
                CORE_TEXT("median level - quantile x shadowing at or above the level"),
                static_cast<double>(c.before), ""},
               {CORE_TEXT("covered before"), "", c.shareBefore() * 100, "%"},
               {CORE_TEXT("samples covered with the small cells"), "", static_cast<double>(c.after), ""},
               {CORE_TEXT("covered after"), "", c.shareAfter() * 100, "%"}};
    w.source = sourceOf(m.entry);
    w.remarks = {modelsSentence(m)};
    return w;
}

std::optional<EntryOpinion> entryOpinion(const Study& study, ItemId id) {
    const auto building = study.plan().scenery.building(id);
    if (!building || study.layers().empty()) return std::nullopt;
    const ModelSettings& m = study.plan().settings->model;
    EntryOpinion out;
    out.frequency = study.layers().front().frequency;
    for (const Layer& l : study.layers())
        if (l.frequency.v < out.frequency.v) out.frequency = l.frequency;
    out.kind = building->entry;
    out.chosen = m.entry;
    out.other = m.entry == EntryModel::p2109 ? EntryModel::o2i : EntryModel::p2109;
    const auto loss = [&](EntryModel model) {
        return EntryTable(out.frequency, m.efficientShare, model).centi(out.kind, 0) / 100.0;
    };
    out.chosenDb = loss(out.chosen);
    out.otherDb = loss(out.other);
    return out;
}

Working workingOfEntry(const Study& study, ItemId building, const EntryOpinion& o) {
    Working w;
    w.title = fmt::format("Loss into {}", study.plan().label(building));
    w.inputs = {{"f", o.frequency.v / 1e6, "MHz", CORE_TEXT("lowest carrier of the macros")}};
    if (o.kind == EntryKind::unknown)
        w.inputs.push_back({CORE_TEXT("share of insulated buildings"),
                            study.plan().settings->model.efficientShare * 100, "%", CORE_TEXT("plan")});
    w.steps = {{fmt::format("second opinion: {}", sourceOf(o.other)), CORE_TEXT("median, level path"),
                o.otherDb, "dB"},
               {fmt::format("as computed: {}", sourceOf(o.chosen)), CORE_TEXT("median, level path"),
                o.chosenDb, "dB"}};
    w.source = sourceOf(o.chosen);
    w.remarks = {
        fmt::format("The building's walls: {}.", enumName(o.kind)),
        CORE_TEXT(
            "The two models stand for the same loss: one or the other, never both. Steeper paths lose more "
            "by P.2109 and the same by TR 38.901.")};
    return w;
}

} // namespace fw
