// SPDX-License-Identifier: GPL-3.0-or-later
#include "intake/inventory_audit.h"

#include "intake/audit/view.h"

#include <algorithm>
#include <array>
#include <fmt/format.h>

namespace fw {

AuditView::AuditView(const Plan& plan, const AuditEvidence& evidence) : m_plan(plan), m_evidence(evidence) {
    if (auto frame = Frame::fromEpsg(plan.settings->epsg)) m_frame = *frame;
    for (const Sector& s : plan.sectors) m_sectors[s.site].push_back(&s);
    for (const Cell& c : plan.cells) m_cells[c.sector].push_back(&c);
}

const std::vector<const Sector*>& AuditView::sectorsOf(ItemId site) const {
    static const std::vector<const Sector*> kNone;
    const auto it = m_sectors.find(site);
    return it == m_sectors.end() ? kNone : it->second;
}

const std::vector<const Cell*>& AuditView::cellsOf(ItemId sector) const {
    static const std::vector<const Cell*> kNone;
    const auto it = m_cells.find(sector);
    return it == m_cells.end() ? kNone : it->second;
}

const MacroSite* AuditView::siteOf(const Cell& cell) const {
    const Sector* s = m_plan.sectors.find(cell.sector);
    return s ? m_plan.macroSites.find(s->site) : nullptr;
}

std::string AuditView::names(const std::vector<ItemId>& ids) const {
    constexpr std::size_t kShown = 5;
    std::string text;
    const std::size_t shown = ids.size() > kShown + 1 ? kShown : ids.size();
    for (std::size_t k = 0; k < shown; ++k) {
        if (k > 0) text += k + 1 == ids.size() ? " and " : ", ";
        text += name(ids[k]);
    }
    if (shown < ids.size()) text += fmt::format(" and {} more", ids.size() - shown);
    return text;
}

Edit putting(std::string text, Item item) { return {std::move(text), {Put{std::move(item)}}}; }

double medianOf(std::vector<double> values) {
    const std::size_t half = values.size() / 2;
    std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(half), values.end());
    const double upper = values[half];
    if (values.size() % 2 == 1) return upper;
    return (upper + *std::max_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(half))) /
           2;
}

namespace {

constexpr std::array kChecks{
    AuditCheck{"channel-outside-band", "channel outside its band",
               "A channel that lies in no band has no frequency, and its cell cannot be computed.",
               checkChannels},
    AuditCheck{"bandwidth-impossible", "bandwidth that does not exist",
               "A carrier's size in resource blocks follows from its bandwidth.", checkBandwidths},
    AuditCheck{"far-off-site", "site far off",
               "A place that was typed wrong or lost puts a site where it serves nobody.", checkFarOffSites},
    AuditCheck{"sites-at-one-place", "two sites at one place",
               "A site that is listed twice splits its sectors.", checkSitesAtOnePlace},
    AuditCheck{"equal-azimuths", "equal azimuths within a site",
               "Sectors that share a direction and a carrier serve the same ground; mostly one is wrong.",
               checkEqualAzimuths},
    AuditCheck{"zero-angles", "azimuth and tilt all zero",
               "Zeros all over a site mean that nobody entered its angles.", checkZeroAngles},
    AuditCheck{"swapped-sectors", "sectors swapped",
               "What was measured of a cell lies before another sector of its site: feeders or rows are "
               "swapped.",
               checkSwappedSectors},
    AuditCheck{"height", "height zero or absurd",
               "An antenna's height decides over what it sees and how far it reaches.", checkHeights},
    AuditCheck{"heights-in-feet", "heights in feet",
               "Heights taken for metres that are feet make every macro three times too high.", checkFeet},
    AuditCheck{"no-tilt", "no tilt at all", "A sector that is not tilted reaches far beyond its own ground.",
               checkNoTilt},
    AuditCheck{"tilt-split-unknown", "split of the tilt unknown",
               "Mechanical tilt lifts the beam behind and beside; electrical tilt does not.", checkTiltSplit},
    AuditCheck{"name-twice", "name of a cell twice", "Counters and measurements find their cell by its name.",
               checkNameTwice},
    AuditCheck{"load-without-cell", "load without a cell",
               "Load of a cell that the plan does not have counts nowhere.", checkLoadWithoutCell},
    AuditCheck{"cell-without-load", "cell without a load",
               "A cell whose load is not known has no fringe and no line in the ledger.",
               checkCellWithoutLoad},
    AuditCheck{"pci-unset", "PCI not set",
               "Measurements and neighbours find their cell by its PCI; one PCI for all finds none.",
               checkPciUnset},
    AuditCheck{"pci-equal", "equal PCI near each other",
               "Phones cannot tell two co-channel cells of one PCI apart.", checkPciEqual},
    AuditCheck{"power", "power absurd or missing", "Levels rise and fall with the power, dB for dB.",
               checkPower},
    AuditCheck{"empty-sector", "sector or site without cells", "What sends nothing takes no part.",
               checkEmptySectors},
};

} // namespace

std::span<const AuditCheck> auditChecks() { return kChecks; }

std::vector<AuditFinding> auditInventory(const Plan& plan, const AuditEvidence& evidence) {
    const AuditView view(plan, evidence);
    std::vector<AuditFinding> all;
    for (const AuditCheck& check : kChecks) {
        AuditFindings found;
        check.run(view, found);
        for (AuditFinding& f : found) f.check = check.id;
        std::stable_sort(found.begin(), found.end(), [](const AuditFinding& a, const AuditFinding& b) {
            return a.subjects < b.subjects;
        });
        std::move(found.begin(), found.end(), std::back_inserter(all));
    }
    std::stable_sort(all.begin(), all.end(),
                     [](const AuditFinding& a, const AuditFinding& b) { return a.severity > b.severity; });
    return all;
}

} // namespace fw
