// SPDX-License-Identifier: GPL-3.0-or-later
// The published models a plan chooses among, in words.
#pragma once

#include "plan/settings.h"

#include <string>
#include <string_view>

namespace fw {

/// The model with its source, as people read it: "attenuated Shannon, 3GPP TR 36.942, Annex A.1".
const char* sourceOf(EfficiencyModel model);
const char* sourceOf(MacroPathModel model);
const char* sourceOf(SmallPathModel model);
const char* sourceOf(EntryModel model);

/// Why a value of the computation has the default that it has, and whence: a sentence for people. Empty for
/// what is no number of ModelSettings, SpreadSettings or UplinkSettings. @param setting  as in plan/fields.h.
const char* reasonOf(std::string_view setting);

/// All four of a plan in one sentence, for workings.
std::string modelsSentence(const ModelSettings& settings);

} // namespace fw
