// SPDX-License-Identifier: GPL-3.0-or-later
// Variants of a plan: alternative sets of small cells. Each has radios of its own, so that one can be turned
// without the others.
#pragma once

#include "plan/edit.h"

#include <string>
#include <vector>

namespace fw {

struct VariantEdit {
    Edit edit;
    ItemId variant;
};
/// A new variant with a copy of every small cell of `from`, and of the radios that carry them, on the same
/// mounts; what stands by a waiver stands there too. `name` empty: the next free after that of `from`.
Result<VariantEdit> copyVariant(const Plan& plan, ItemId from, const std::string& name = "");
/// A new one without any small cell. `name` empty: "Variant", or the next free after it.
Result<VariantEdit> newVariant(const Plan& plan, const std::string& name = "");

/// Copies small cells (those of `items`; a radio stands for its cells, a mount for those of all its radios)
/// into another variant, with radios of their own. Those that are there already, of the same carrier on the
/// same mount within 1 deg, are left out. Refused when nothing is left.
Result<Edit> copyAcross(const Plan& plan, const std::vector<ItemId>& items, ItemId to);

/// Makes it the one that is computed, drawn and packed.
Result<Edit> activateVariant(const Plan& plan, ItemId variant);

/// Removes it with its small cells, waivers, and the radios that no other variant's cell is on. Refused for
/// the last one. Where it was the active one, the next by id becomes that.
Result<Edit> removeVariant(const Plan& plan, ItemId variant);

} // namespace fw
