// SPDX-License-Identifier: GPL-3.0-or-later
#include "plan/model_words.h"

#include "base/text.h"

#include <fmt/format.h>

namespace fw {

const char* sourceOf(EfficiencyModel model) {
    return model == EfficiencyModel::cqiTable
               ? CORE_TEXT(
                     "CQI table up to 64QAM, 3GPP TS 36.213, table 7.2.3-1, its SINR by attenuated Shannon")
               : CORE_TEXT("attenuated Shannon, 3GPP TR 36.942, Annex A.1");
}

const char* sourceOf(MacroPathModel model) {
    return model == MacroPathModel::urbanMacroOptional
               ? CORE_TEXT("urban macro with its optional line without sight, 3GPP TR 38.901, table 7.4.1-1")
               : CORE_TEXT("urban macro, 3GPP TR 38.901, table 7.4.1-1");
}

const char* sourceOf(SmallPathModel model) {
    return model == SmallPathModel::urbanMicro
               ? CORE_TEXT("street canyon (UMi), 3GPP TR 38.901, table 7.4.1-1")
               : CORE_TEXT("below the roofs, Rec. ITU-R P.1411-11, 4.1.1");
}

const char* sourceOf(EntryModel model) {
    return model == EntryModel::o2i
               ? CORE_TEXT("walls by material at the median depth, 3GPP TR 38.901, 7.4.3")
               : CORE_TEXT("building entry loss, Rec. ITU-R P.2109-1");
}

std::string modelsSentence(const ModelSettings& s) {
    return fmt::format(
        "The plan computes macros by: {}; small cells by: {}; into buildings by: {}; bits by: {}. Street "
        "clutter is inside these models and is not added.",
        sourceOf(s.macroPath), sourceOf(s.smallPath), sourceOf(s.entry), sourceOf(s.efficiency));
}

} // namespace fw
