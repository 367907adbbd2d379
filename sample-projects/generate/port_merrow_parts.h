// SPDX-License-Identifier: GPL-3.0-or-later
// The parts that Port Merrow's plan is made of, in the order in which they are added.
#pragma once

#include "builder.h"
#include "mounts.h"
#include "network.h"
#include "port_merrow.h"

#include <set>
#include <vector>

namespace fw::town {

const std::vector<SiteSpec>& portMerrowSites();
void addCongestionAreas(Build& b);
/// Overhead lines; their paths in town metres.
std::vector<Line> addOverheadLines(Build& b);
void addFibreAndPower(Build& b);

/// Adds mounts, radios and small cells to a plan.
class RollOut {
public:
    RollOut(Build& b, const SpotFinder& finder, ItemId variantA, ItemId variantB)
        : m_build(b), m_finder(finder), m_a(variantA), m_b(variantB) {}

    /// Names are a letter by kind (L posts, W walls, P parapets, R roofs) and a number of the inventory.
    ItemId addMount(const Spot& spot, Random& random);
    ItemId addRadio(ItemId mount, TrueAzimuth azimuth, double tiltDeg);
    ItemId addSmall(ItemId radio, bool own, ItemId variant, bool chosen);
    [[nodiscard]] ItemId a() const { return m_a; }
    [[nodiscard]] ItemId b() const { return m_b; }
    [[nodiscard]] bool freeFor(PlanePoint at, double spacingM) const;
    [[nodiscard]] Build& build() { return m_build; }
    [[nodiscard]] const SpotFinder& finder() const { return m_finder; }
    [[nodiscard]] std::string nameOf(ItemId id) const { return m_build.plan.label(id); }

private:
    Build& m_build;
    const SpotFinder& m_finder;
    ItemId m_a, m_b;
    std::set<std::uint32_t> m_numbers;
    std::vector<PlanePoint> m_taken;
};

/// Mounts that are bad on purpose, with what must be found.
std::vector<Expected> addBadMounts(RollOut& roll);
/// All others, until there are `count` mounts.
void addGoodMounts(RollOut& roll, std::size_t count);
/// Radios and small cells of the aims; site works for the chosen ones.
void addRadios(RollOut& roll, const std::vector<Aim>& aims);

/// Share of the directions round a boresight in which nothing stands within 15 m.
double clearShare(const Fabric& fabric, PlanePoint at, PlanePoint boresight);

} // namespace fw::town
