// SPDX-License-Identifier: GPL-3.0-or-later
// What the commands of intake share.
#pragma once

#include "commands/common.h"
#include "commands/json_out.h"
#include "intake/preview.h"

namespace fw::cli {

/// A kind by its name; a Failure (usage) with what is near it otherwise.
const IntakeKindInfo& kindCalled(const std::string& name);

/// What --map was given, field by field; a Failure (usage) for what maps nothing, or a field twice.
MapWords mapWordsFrom(const std::vector<std::string>& given);

/// The preview in words, as `add` prints it; what was done is said after it.
std::string previewText(const IntakePreview& preview, const Ink& ink);
Json previewJson(const IntakePreview& preview);
/// One line: its weight as a word, the sentence, and what to say to it.
std::string remarkText(const IntakeRemark& remark, const Ink& ink);
Json remarksJson(const std::vector<IntakeRemark>& remarks);

/// `add` for a kind that comes as a raster.
int runAddRaster(const AddRequest& request, IntakeKind kind, std::stop_token stop);
/// `add --leave`: the plan does without its raster.
int runLeaveRaster(const AddRequest& request, IntakeKind kind);

/// Applies an edit to a plan and saves it to its file, unless another session has that. Stopped, even while
/// it writes, it leaves the file as it was.
void changePlan(const std::filesystem::path& file, const Edit& edit, const Job& job);

} // namespace fw::cli
