// SPDX-License-Identifier: GPL-3.0-or-later
// The cover of a pack, as values and text.
#pragma once

#include "delivery/site_sheet.h"

#include <string>
#include <vector>

namespace fw {

struct OverviewCell {
    ItemId cell;
    std::string name;
    double before = 0, after = 0, target = 0; ///< downlink PRB use, share 0..1 of the cell's own
    double harm = 0;                          ///< of `after`, what the small cells' interference adds
    bool congested = false;
    std::optional<double> holdsMonths;
};

struct OverviewSite {
    ItemId mount;
    std::string name, kindWord, azimuths; ///< "214, 305"
    double heightAgl = 0;
    int radios = 0;
    std::string openWord; ///< worst open severity, or "none"
};

struct Issue {
    std::string number = "1"; ///< of this pack
    std::string date;         ///< YYYY-MM-DD; empty: the plan's date
};

struct Overview {
    std::string planName, operatorName, author, variant;
    std::string date; ///< of the plan
    Issue issue;
    std::string crsName;
    int epsg = 0;
    std::string ledgerWord; ///< "settled" or "live"
    std::vector<OverviewCell>
        cells; ///< congested first, fullest first; then others that gain or lose 0.5 point
    int congested = 0, atTarget = 0;
    int smallCells = 0, radios = 0;
    std::string holds; ///< one sentence
    std::vector<OverviewSite> sites;
    std::vector<SheetFinding> open, stands; ///< of chosen sites
    int otherOpen = 0;                      ///< open findings of candidates that are not part of the pack
    std::vector<std::string> remarks;
};

Overview overviewOf(const Study& study, const Review& review, const Ledger& ledger,
                    const std::vector<SiteSheet>& sheets, const Issue& issue = {});

} // namespace fw
