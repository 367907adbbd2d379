// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "review/finding.h"
#include "study/study.h"

namespace fw {

/// The steps to what a finding measured: bearings, distances, sight and levels asked of the study once more,
/// with the limit and its source. The last step is the measured value.
/// @param study  the one that the finding is of. Of another one the last step may differ, and says so in a
/// remark.
Working workingOf(const Study& study, const Finding& finding);

} // namespace fw
