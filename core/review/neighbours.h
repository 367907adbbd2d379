// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "geo/index.h"
#include "study/study.h"

#include <limits>
#include <optional>
#include <span>
#include <vector>

namespace fw {

/// A macro site that sends, as the rules see it.
struct SiteSpot {
    ItemId id;
    PlanePoint at;
    /// Its highest sector that has a cell (then the lowest id): a raised antenna is in sight wherever a lower
    /// one on the same spot is, so this one alone tells whether any is.
    ItemId topSector;
    double topAmsl = 0;
    std::vector<int> layers; ///< on which it sends, ascending
};

/// What stands near what in one study. Indices are built when first asked for. For one thread.
class Neighbours {
public:
    explicit Neighbours(const Study& study);

    /// Indices into study.smallCells() of cells within `radiusM` on the ground, ascending. May hold some that
    /// are up to a hundredth farther off: scale is left to the caller.
    void smallsNear(PlanePoint at, double radiusM, std::vector<std::uint32_t>& out) const;
    /// The same for sites().
    void sitesNear(PlanePoint at, double radiusM, std::vector<std::uint32_t>& out) const;
    /// Overhead lines whose path comes as near, ascending.
    [[nodiscard]] std::vector<ItemId> linesNear(PlanePoint at, double radiusM) const;

    [[nodiscard]] std::span<const SiteSpot> sites() const { return m_sites; } ///< ascending by id
    [[nodiscard]] const SiteSpot* site(ItemId id) const;
    /// Mean ground distance from a site to the three nearest others that send; empty when it is the only one.
    [[nodiscard]] std::optional<double> spacingM(const SiteSpot& site) const;
    /// Never below spacingM, and cheap: plane metres with room for the scale.
    [[nodiscard]] std::optional<double> spacingBoundM(const SiteSpot& site) const;

    /// Small cells of a radio or mount in the active variant, ascending.
    [[nodiscard]] std::vector<ItemId> smallsOfRadio(ItemId radio) const;
    [[nodiscard]] std::vector<ItemId> smallsOfMount(ItemId mount) const;
    /// Radios of a mount that carry a cell in the active variant, ascending.
    [[nodiscard]] std::vector<ItemId> radiosOfMount(ItemId mount) const;
    /// All radios and mounts that carry a cell in the active variant, ascending.
    [[nodiscard]] const std::vector<ItemId>& radios() const { return m_radios; }
    [[nodiscard]] const std::vector<ItemId>& mounts() const { return m_mounts; }

private:
    struct Hang {
        ItemId owner, radio, small;
        auto operator<=>(const Hang&) const = default;
    };
    struct LineBox {
        ItemId line;
        std::size_t segment;
    };
    void buildSites();
    void buildHangs();
    void buildLines() const;

    const Study& m_study;
    std::vector<SiteSpot> m_sites;
    std::vector<Hang> m_byRadio, m_byMount; ///< sorted
    std::vector<ItemId> m_radios, m_mounts;
    struct Spacing {
        std::vector<std::uint32_t> nearest; ///< at most three
        double planeM = 0;                  ///< mean
        std::optional<double> groundM;
    };
    const Spacing& planeSpacing(const SiteSpot& site) const;
    mutable std::vector<std::optional<Spacing>> m_spacing;
    mutable std::optional<BoxIndex> m_smallIndex, m_siteIndex, m_lineIndex;
    mutable std::vector<LineBox> m_lineBoxes;
};

} // namespace fw
