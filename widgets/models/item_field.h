// SPDX-License-Identifier: GPL-3.0-or-later
// The fields of items as people read and enter them: label, unit, meaning, range. Told once; tables and facts
// both come from here. Whether a value is taken is decided by plan/validate.h alone.
#pragma once

#include "base/result.h"
#include "plan/edit.h"

#include <QString>
#include <QStringList>
#include <QVariant>

#include <functional>
#include <optional>
#include <vector>

namespace fw {

enum class FieldShape { number, whole, text, choice, yesNo, numbers };

struct ItemField {
    QString key;     ///< as plan/fields.h names it: "tilt_deg"; places: "east_m", "north_m"
    QString label;   ///< "Tilt"
    QString unit;    ///< "°", "dBm", or empty
    QString meaning; ///< one sentence
    FieldShape shape = FieldShape::text;
    int decimals = 0;
    bool optional = false;    ///< may be unknown
    double low = 0, high = 0; ///< allowed, in the unit shown; both 0: not stated
    QStringList choices;      ///< in the order of the values
    std::function<QVariant(const Item&)>
        read; ///< double, QString, int (choice), bool or list; invalid: unknown
    std::function<void(Item&, const QVariant&)> write;
};

/// The fields of one kind in the order they are shown. Empty for kinds nobody edits by hand.
const std::vector<ItemField>& itemFields(Kind kind);
/// Null when the kind has no such field.
const ItemField* itemField(Kind kind, const QString& key);

/// Value with unit; a dash for what is unknown.
QString fieldText(const ItemField& field, const QVariant& value);
/// The same without its unit, as it stands in an editor; empty for what is unknown.
QString fieldEditText(const ItemField& field, const QVariant& value);
/// "0 to 500 m", or empty.
QString fieldRange(const ItemField& field);
/// Meaning, range and whether it may be left empty, for tooltips.
QString fieldTip(const ItemField& field);
/// What was typed, as a value: numbers in the user's locale or with a point. Refused by a sentence when it
/// is no number or is missing; ranges are left to editOfField().
Result<QVariant> typedValue(const ItemField& field, const QString& typed);

/// Sets one field of items of one kind, as one step named after it. Refused by the sentence of validate().
Result<Edit> editOfField(const Plan& plan, const std::vector<ItemId>& items, const ItemField& field,
                         const QVariant& value);

/// Where an item stands, for kinds that stand on one spot.
std::optional<PlanePoint> placeOf(const Item& item);
/// False for other kinds.
bool setPlace(Item& item, PlanePoint at);

/// "small cell", and with a number: "3 small cells".
QString kindWord(Kind kind);
QString kindCount(Kind kind, int n);

} // namespace fw
