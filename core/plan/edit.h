// SPDX-License-Identifier: GPL-3.0-or-later
// The only way a plan changes. An edit is a value: it can be kept, sent, replayed and turned round.
#pragma once

#include "base/result.h"
#include "plan/plan.h"

#include <memory>
#include <string>
#include <variant>
#include <vector>

namespace fw {

/// Inserts an item with a new id or replaces the one with that id.
struct Put {
    Item item;
    bool operator==(const Put&) const = default;
};
struct Remove {
    ItemId id;
    bool operator==(const Remove&) const = default;
};
struct PutSettings {
    PlanSettings settings;
    bool operator==(const PutSettings&) const = default;
};
/// Many buildings at once, inserted or replaced: a Put each would weigh several times what it carries. The
/// list is shared, since edits are copied into history and journal.
struct PutBuildings {
    std::shared_ptr<const std::vector<Building>> buildings; ///< never null
    bool operator==(const PutBuildings& o) const { return *buildings == *o.buildings; }
};
struct RemoveBuildings {
    std::shared_ptr<const std::vector<ItemId>> ids; ///< never null
    bool operator==(const RemoveBuildings& o) const { return *ids == *o.ids; }
};
using Change = std::variant<Put, Remove, PutSettings, PutBuildings, RemoveBuildings>;

struct Edit {
    std::string text; ///< for the undo list: "Move mount W-17"
    std::vector<Change> changes;
    bool operator==(const Edit&) const = default;
};

/// Applies all changes in order, or none: on error the plan is as it was. References are looked at when all
/// changes are made, so that their order within an edit is free. Refused by a sentence: items that
/// name others which are not there or are of another kind, removal of what others name, values that are not
/// finite or out of range (plan/validate.h), an id that belongs to another kind.
/// @return the inverse: applied next, it restores the plan exactly (operator==, and so the same bytes when
/// saved),
///         `lastId` apart, which never falls.
Result<Edit> apply(Plan& plan, const Edit& edit);

/// Two edits, the second right after the first, as one step, when both are nudges with the same text: puts of
/// the same items (or of the settings), each once. Empty otherwise. For undo of the merged step merge the
/// inverses the other way round, merged(inverseOfSecond, inverseOfFirst): it restores the first state.
std::optional<Edit> merged(const Edit& first, const Edit& second);

/// CBOR and back; the journal's row and the fuzzers' seed. fromBytes refuses anything malformed by a
/// sentence.
std::vector<std::uint8_t> toBytes(const Edit& edit);
Result<Edit> editFromBytes(const std::vector<std::uint8_t>& bytes);

/// Removes an item and everything that hangs on it (a mount with its radios, small cells, works and waivers).
Edit removalOf(const Plan& plan, ItemId id);
/// The same for several at once, nothing twice. The text says the first one's label alone.
Edit removalOf(const Plan& plan, const std::vector<ItemId>& ids);

} // namespace fw
