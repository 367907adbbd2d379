// SPDX-License-Identifier: GPL-3.0-or-later
#include "commands/commands.h"
#include "commands/intake_words.h"

#include <fmt/format.h>
#include <fstream>

namespace fw::cli {
namespace {

IntakeRequest requestFrom(const AddRequest& r) {
    IntakeRequest out;
    out.kind = kindCalled(r.kind).kind;
    out.map = mapWordsFrom(r.map);
    out.epsg = r.crs;
    out.swapAxes = r.swap;
    out.networkHour = r.networkHour;
    if (r.defaultHeightM) out.defaultHeightM = *r.defaultHeightM;
    if (!r.dates.empty()) out.dateOrder = r.dates.front();
    out.source.layer = r.layer;
    out.source.encoding = r.encoding;
    if (!r.delimiter.empty())
        out.source.delimiter = r.delimiter == "comma"       ? ','
                               : r.delimiter == "semicolon" ? ';'
                               : r.delimiter == "tab"       ? '\t'
                                                            : '|';
    if (!r.decimal.empty()) out.source.decimal = r.decimal == "comma" ? ',' : '.';
    if (r.headerLine > 0) out.source.headerLine = r.headerLine;
    return out;
}

void writeRefused(const std::string& file, const IntakePreview& preview) {
    std::error_code fault;
    if (std::filesystem::exists(file, fault))
        throw Failure{exitFile,
                      fmt::format("{}: There is a file of that name already; it is left as it is.", file)};
    std::ofstream out(file, std::ios::binary);
    out << refusedAsCsv(preview);
    out.close();
    if (!out) throw Failure{exitFile, fmt::format("{}: The refused rows cannot be written.", file)};
}

} // namespace

int runAdd(const AddRequest& request, std::stop_token stop) {
    if (const IntakeKindInfo& asked = kindCalled(request.kind); asked.raster)
        return request.leave ? runLeaveRaster(request, asked.kind)
                             : runAddRaster(request, asked.kind, std::move(stop));
    if (request.leave)
        throw Failure{exitUsage, "Only a raster can be left: terrain, demand or land-cover. What other files "
                                 "brought in are items of the plan."};
    if (!request.refusedTo.empty()) readyToWrite(request.refusedTo, "refused.csv");
    const IntakeRequest wanted = requestFrom(request);
    const IntakeKindInfo& info = infoOf(wanted.kind);
    const OpenPlan opened = take(openPlan(request.plan));
    MappingMemory memory(mappingMemoryFile());
    const Progress progress(std::move(stop));
    const IntakePreview preview =
        take(request.forget ? previewIntake(opened.plan, request.file, wanted, progress.job())
                            : previewIntake(opened.plan, request.file, wanted, memory, progress.job()));
    progress.check();
    if (!request.refusedTo.empty() && preview.refused > 0) writeRefused(request.refusedTo, preview);
    const bool write = preview.usable() && !request.dryRun && !preview.edit.changes.empty();
    if (write) changePlan(request.plan, preview.edit, progress.job());
    if (write && !request.forget)
        if (const Status s = memory.remember(info, preview.head, preview.mapping); !s.ok())
            say(s.error().sentence());
    if (request.json) {
        Json out = previewJson(preview);
        out["taken"] = write;
        deliver(written(out));
    } else {
        const char* closing = write              ? "Taken in.\n"
                              : request.dryRun   ? "Nothing was changed (--dry-run).\n"
                              : preview.usable() ? "Nothing was changed.\n"
                                                 : "Nothing was taken in.\n";
        deliver(previewText(preview, Ink()) + closing);
    }
    return preview.usable() && preview.refused == 0 ? exitClean : exitBlocked;
}

} // namespace fw::cli
