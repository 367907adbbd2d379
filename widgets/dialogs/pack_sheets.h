// SPDX-License-Identifier: GPL-3.0-or-later
// What the preview of a pack does on workers: content from a study, and sheets from content.
#pragma once

#include "print/pack_files.h"

#include <memory>
#include <optional>
#include <vector>

namespace fw {

/// Whose sheets, on what paper, as which issue.
struct PackChoice {
    std::vector<ItemId> sites; ///< mounts, ascending
    PackOptions options;
    bool operator==(const PackChoice& o) const;
};

/// A pack as it is shown and as it will be written.
struct PackSheets {
    std::shared_ptr<const PackContent> whole; ///< of all chosen sites: what it was made of
    PackContent content;                      ///< of the choice
    PackChoice choice;
    std::vector<PackPage> pages;
};

/// Reviews with remedies, settles the loads where that was not done, and describes every chosen site. Long:
/// for a worker. @param settled  of that study
Result<std::shared_ptr<const PackContent>> buildPackContent(const std::shared_ptr<const Study>& study,
                                                            const std::optional<Ledger>& settled,
                                                            const MagneticField& field, const Job& job = {});

/// Draws the sheets of a choice. For a worker.
Result<std::shared_ptr<const PackSheets>> drawPackSheets(const std::shared_ptr<const PackContent>& whole,
                                                         const PackChoice& choice, const Job& job = {});

} // namespace fw
