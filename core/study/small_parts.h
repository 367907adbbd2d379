// SPDX-License-Identifier: GPL-3.0-or-later
// Numbers of one small cell, in the plan or only thought of. Private to core/study.
#pragma once

#include "study/state.h"

namespace fw {

struct SmallOnMount {
    const Mount& mount;
    const Radio& radio;
    const SmallCell& cell;
};

/// What weighs a small cell; its path is left out. Refused by a sentence: a carrier outside its band.
Status fillSmallPart(const Plan& plan, const Baseline& b, const SmallOnMount& what, Memos& memos,
                     SmallCellPart& p, SmallRuntime& r);

/// The path of an antenna on a mount, computed anew. `entry` has the frequency. Thread-safe.
std::shared_ptr<const SmallPath> makeSmallPath(const MountPart& m, const Baseline& b, const ModelSettings& s,
                                               Hertz frequency, const EntryTables& entry);

} // namespace fw
