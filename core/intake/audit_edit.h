// SPDX-License-Identifier: GPL-3.0-or-later
// From proposals of an audit that somebody chose to one edit.
#pragma once

#include "intake/inventory_audit.h"

namespace fw {

struct AuditEdit {
    Edit edit;                        ///< one step; its text names the proposal, or how many there are
    std::vector<std::size_t> applied; ///< indices into the findings, ascending
    /// Chosen, but not as it was proposed any more once the others are applied: left for the next audit.
    std::vector<std::size_t> left;
};

/// Puts chosen proposals together. Where two of them change one item, the later in the list is worked out
/// anew on the plan as the earlier leaves it, and is left when it is not the same proposal then: nothing is
/// applied that was not read.
/// @param findings  auditInventory(plan, evidence)
/// @param chosen    indices into them, in any order
/// Refused by a sentence: nothing chosen, an index that is not there, a finding that has no edit.
Result<AuditEdit> auditEdit(const Plan& plan, const AuditEvidence& evidence,
                            const std::vector<AuditFinding>& findings, std::vector<std::size_t> chosen);

} // namespace fw
