// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "delivery/site_sheet.h"
#include "print/flow.h"

namespace fw {

/// Findings one after another, over page ends; each with its sign, word, numbers, what to do or why it
/// stands.
/// Height of one finding (mm).
double findingHeight(const Flow& flow, const SheetFinding& finding);
void printFindings(Flow& flow, const std::vector<SheetFinding>& findings);

} // namespace fw
