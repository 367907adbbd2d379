// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/intake_words.h"
#include "commands/json_out.h"

#include <fmt/format.h>

namespace fw::cli {
namespace {

std::string listText() {
    std::string text;
    for (int k = 0; k < kIntakeKinds; ++k) {
        const IntakeKindInfo& info = infoOf(static_cast<IntakeKind>(k));
        text += fmt::format("{:<16}{}\n", info.name, info.what);
    }
    return text;
}

Json fieldsOf(const IntakeKindInfo& info) {
    Json fields = Json::array();
    for (const IntakeField& f : info.fields) {
        Json units = Json::array();
        for (const std::string& u : unitsOf(f)) units.push_back(u);
        fields.push_back({{"field", f.name},
                          {"words", f.words},
                          {"needed", f.needed},
                          {"units", std::move(units)},
                          {"example", f.example},
                          {"note", f.note}});
    }
    return fields;
}

} // namespace

int runTemplate(const TemplateRequest& request) {
    if (request.kind.empty() && !request.json) {
        deliver(listText());
        return exitClean;
    }
    if (!request.json) {
        const IntakeKindInfo& info = kindCalled(request.kind);
        if (info.raster)
            throw Failure{exitUsage,
                          fmt::format("template: {} comes as a raster (GeoTIFF and the like), so there "
                                      "is no table for it.",
                                      info.name)};
        deliver(templateOf(info.kind));
        return exitClean;
    }
    Json out = head("template", 1);
    out["kinds"] = Json::array();
    for (int k = 0; k < kIntakeKinds; ++k) {
        const IntakeKindInfo& info = infoOf(static_cast<IntakeKind>(k));
        if (!request.kind.empty() && kindCalled(request.kind).kind != info.kind) continue;
        out["kinds"].push_back(
            {{"kind", info.name}, {"what", info.what}, {"raster", info.raster}, {"fields", fieldsOf(info)}});
    }
    deliver(written(out));
    return exitClean;
}

} // namespace fw::cli
