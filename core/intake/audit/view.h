// SPDX-License-Identifier: GPL-3.0-or-later
// What the checks of the audit look at, and the checks themselves.
#pragma once

#include "geo/frame.h"
#include "intake/inventory_audit.h"

#include <map>

namespace fw {

/// Source of a limit that is nobody else's.
inline constexpr const char* kOwn = "own judgement";

/// A plan's network by site and sector. Pointers live as long as the plan.
class AuditView {
public:
    AuditView(const Plan& plan, const AuditEvidence& evidence);

    [[nodiscard]] const Plan& plan() const { return m_plan; }
    [[nodiscard]] const AuditEvidence& evidence() const { return m_evidence; }
    [[nodiscard]] const std::optional<Frame>& frame() const { return m_frame; }
    /// Ascending by id; empty for a site or sector without any.
    [[nodiscard]] const std::vector<const Sector*>& sectorsOf(ItemId site) const;
    [[nodiscard]] const std::vector<const Cell*>& cellsOf(ItemId sector) const;
    [[nodiscard]] const MacroSite* siteOf(const Cell& cell) const;
    [[nodiscard]] std::string name(ItemId id) const { return m_plan.label(id); }
    /// "A, B, C and 4 more".
    [[nodiscard]] std::string names(const std::vector<ItemId>& ids) const;

private:
    const Plan& m_plan;
    const AuditEvidence& m_evidence;
    std::optional<Frame> m_frame;
    std::map<ItemId, std::vector<const Sector*>> m_sectors;
    std::map<ItemId, std::vector<const Cell*>> m_cells;
};

using AuditFindings = std::vector<AuditFinding>;

void checkEqualAzimuths(const AuditView& view, AuditFindings& out);
void checkZeroAngles(const AuditView& view, AuditFindings& out);
void checkFarOffSites(const AuditView& view, AuditFindings& out);
void checkSitesAtOnePlace(const AuditView& view, AuditFindings& out);
void checkSwappedSectors(const AuditView& view, AuditFindings& out);
void checkHeights(const AuditView& view, AuditFindings& out);
void checkFeet(const AuditView& view, AuditFindings& out);
void checkTiltSplit(const AuditView& view, AuditFindings& out);
void checkNoTilt(const AuditView& view, AuditFindings& out);
void checkLoadWithoutCell(const AuditView& view, AuditFindings& out);
void checkCellWithoutLoad(const AuditView& view, AuditFindings& out);
void checkNameTwice(const AuditView& view, AuditFindings& out);
void checkChannels(const AuditView& view, AuditFindings& out);
void checkBandwidths(const AuditView& view, AuditFindings& out);
void checkPciUnset(const AuditView& view, AuditFindings& out);
void checkPciEqual(const AuditView& view, AuditFindings& out);
void checkPower(const AuditView& view, AuditFindings& out);
void checkEmptySectors(const AuditView& view, AuditFindings& out);

/// An edit that puts one item.
Edit putting(std::string text, Item item);
/// The middle value; of an even number the mean of the middle two. Not empty.
double medianOf(std::vector<double> values);

} // namespace fw
