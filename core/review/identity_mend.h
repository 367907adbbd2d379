// SPDX-License-Identifier: GPL-3.0-or-later
// What clears a conflict of identities: other numbers, where the cell stands.
#pragma once

#include "review/rule.h"

namespace fw {

/// The lowest PCI of the plan's ranges (of all, where it gives none) that no neighbour of a cell on its
/// carrier has, nor a neighbour of theirs; one that differs modulo 3 from the strongest neighbour's where
/// there is one. Empty: none is left.
std::optional<std::int32_t> freePci(const IdentityNet& net, std::size_t cell, const IdentitySettings& ranges);

/// Remedies of the rules about PCIs, and about root sequences.
std::optional<Remedy> otherPci(const RuleView& view, const Finding& finding);
std::optional<Remedy> otherRoots(const RuleView& view, const Finding& finding);

} // namespace fw
