// SPDX-License-Identifier: GPL-3.0-or-later
// What a planner does to a plan, as edits with the names that the history shows. Nothing here changes a plan.
// Results are refused by a sentence where there is nothing to do it to.
#pragma once

#include "plan/edit.h"

#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace fw {

// ---- moving and turning

/// Moves mounts, congestion areas, fibre points and power taps by as much (m); radios and small cells stand
/// for their mount. What else is among `items` stays; refused when nothing of it moves. Steps with the same
/// items carry the same text, so that PlanDocument::perform(edit, true) makes one of them.
Result<Edit> moveItems(const Plan& plan, const std::vector<ItemId>& items, PlanePoint by);

/// "Turn S-104a to 214°".
Result<Edit> turnRadio(const Plan& plan, ItemId radio, TrueAzimuth to);
/// Turns radios by as much (deg, clockwise positive). Same text each time, as with moveItems.
Result<Edit> turnRadios(const Plan& plan, const std::vector<ItemId>& radios, double byDeg);

/// Removes items with all that hangs on them, each once.
Result<Edit> removeItems(const Plan& plan, const std::vector<ItemId>& items);

// ---- congestion areas

/// What is wrong with a ring as the outline of an area, as a sentence; empty when nothing is: three distinct
/// corners, no two sides that cross or touch, an area.
std::string outlineFault(const Ring& ring);

struct AreaEdit {
    Edit edit;
    ItemId area;
};
/// A new congestion area inside a ring, either way round; its name is the next free "Area 3".
Result<AreaEdit> drawArea(const Plan& plan, Ring ring);
/// Corners are those of the outer ring; side k runs from corner k to the next.
Result<Edit> moveCorner(const Plan& plan, ItemId area, std::size_t corner, PlanePoint to);
Result<Edit> insertCorner(const Plan& plan, ItemId area, std::size_t side, PlanePoint at);
Result<Edit> deleteCorner(const Plan& plan, ItemId area, std::size_t corner);

// ---- placing

struct NewSmallCell {
    PlanePoint at;
    MountKind kind = MountKind::pole;
    std::optional<TrueAzimuth> faces;   ///< outward normal of the wall; needed on walls and parapets
    std::optional<TrueAzimuth> azimuth; ///< of the radio; absent: as `faces`, north where that is absent too
    HeightAgl height{7};
    Carrier carrier;
};
struct Placed {
    Edit edit;
    ItemId mount, radio, smallCell;
};
/// A mount with one radio and one small cell in the active variant, under the next free names ("S-141",
/// "S-141a", "S-141a-L1300") and a PCI that no cell of the technology has yet. A plan without any variant
/// gets its first one.
Result<Placed> placeSmallCell(const Plan& plan, const NewSmallCell& wanted);

// ---- copying

/// Items out of a plan with all they need: mounts with radios, small cells and works, congestion areas, fibre
/// points, power taps; the variants and antennas they name.
struct CopiedItems {
    int epsg = 0;
    std::vector<Item> items; ///< what is pasted
    std::vector<Item> named; ///< Variant and AntennaCut items that those name
    [[nodiscard]] bool empty() const { return items.empty(); }
};
/// Radios and small cells stand for their mount; what cannot be copied is left out.
CopiedItems copyItems(const Plan& plan, const std::vector<ItemId>& items);
/// Middle of the places in a copy.
PlanePoint middleOf(const CopiedItems& copied);

struct Pasted {
    Edit edit;
    std::vector<ItemId> items; ///< new mounts, areas, points: what to select; ascending
};
/// New ids, next free names, moved by `by`. Small cells go into the variant of the same name, or the active
/// one; antennas are looked for by content and brought along when they are not there.
Result<Pasted> pasteItems(const Plan& plan, const CopiedItems& copied, PlanePoint by);
Result<Pasted> duplicateItems(const Plan& plan, const std::vector<ItemId>& items, PlanePoint by);

/// A name like `model` that `plan` does not have: its number counted on ("L-360" gives one above the highest
/// "L-..."), or " 2" put behind.
std::string nextFreeName(const Plan& plan, const std::string& model);

// ---- consent

/// What the owners of mounts said. Radios and small cells stand for their mount; mounts of which the plan
/// says so already are left alone, and so is what stands on none. "Consent of 3 mounts: given".
Edit consentEdit(const Plan& plan, const std::vector<ItemId>& mounts, ConsentState said);

// ---- one field

/// monostate: not known, for fields that may be. Enumerations go by their written name ("wall").
using FieldValue = std::variant<std::monostate, double, std::int32_t, bool, std::string, ItemId,
                                std::vector<double>, PlanePoint>;
/// Sets one field, named as in plan/fields.h, of one item. A whole number serves where a fraction is wanted;
/// azimuths come into 0..360. The same value as before gives an edit without changes. Refused: a field that
/// the item has not, a value of another type; ranges are apply()'s matter.
Result<Edit> fieldEdit(const Plan& plan, ItemId item, const std::string& field, const FieldValue& value);
/// The same for the plan's settings (forEachSetting).
Result<Edit> settingEdit(const Plan& plan, const std::string& field, const FieldValue& value);
/// The value a field has now; empty when the item has no such field or it is of no type above.
std::optional<FieldValue> fieldValue(const Plan& plan, ItemId item, const std::string& field);

struct FieldWords {
    const char* words; ///< "height"
    const char* unit;  ///< "m", or ""
};
/// What a field is called in sentences; the field's own name where no words are kept for it.
FieldWords fieldWords(const std::string& field);

} // namespace fw
