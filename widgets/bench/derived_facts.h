// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/working.h"
#include "document/workspace.h"
#include "geo/declination.h"

#include <QString>

#include <functional>
#include <optional>
#include <vector>

namespace fw {

/// A figure that follows from others: shown, never entered.
struct DerivedFact {
    QString label, meaning;
    std::function<QString(ItemId item)> text; ///< a dash for what is not known
    /// The steps behind it; left out where there are none.
    std::function<std::optional<Working>(ItemId item)> working;
};

/// Those of one kind, with figures of the study in view; during a drag of the item as it would be.
/// @param field  outlives what is returned; empty: no magnetic figures
std::vector<DerivedFact> derivedFacts(Kind kind, Workspace& space, const std::optional<MagneticField>& field);

} // namespace fw
