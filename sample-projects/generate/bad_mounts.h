// SPDX-License-Identifier: GPL-3.0-or-later
// Mounts that are bad on purpose. Each is looked for by plain geometry of its own, so that it shows whether
// the review finds what stands in the town, not what the review itself thinks.
#pragma once

#include "port_merrow_parts.h"

#include <functional>
#include <utility>
#include <vector>

namespace fw::town {

struct Macro {
    ItemId id;
    PlanePoint at; ///< town metres
    double amsl = 0;
};

class BadMounts {
public:
    explicit BadMounts(RollOut& roll)
        : m_roll(roll), m_build(roll.build()), m_fabric(roll.build().fabric), m_finder(roll.finder()) {
        for (const MacroSite& site : m_build.plan.macroSites) {
            const PlanePoint at = m_build.town(site.at);
            for (const Sector& s : m_build.plan.sectors)
                if (s.site == site.id) {
                    m_macros.push_back({site.id, at, m_build.ground(at) + s.height.m});
                    break;
                }
        }
    }

    std::vector<Expected> expected;

    void facesMacro(std::size_t macro, double nearM, double farM, const char* why);
    void facingPair();
    void looksAtNeighbour();
    void tooClose();
    void intoWall();
    void alongOwnWall();
    void behindLip(double behindM, double aboveM, const char* why);
    void height(double m, const char* why);
    void tiltedDown();
    void nearLine(const char* line, MountKind kind, double withinM, const char* why);
    void unsurveyed();
    void surveyedNear();
    void noSky(MountKind kind, const char* why);
    void towardsSea();
    void towardsHill();
    void atMacroFoot(std::size_t macro, double nearM, double farM, const char* rule, const char* severity,
                     const char* why);
    void outOfFringe(std::size_t macro);

private:
    using Want = std::function<bool(const Spot&)>;
    Spot find(MountKind kind, PlanePoint centre, double radiusM, const Want& want);
    ItemId put(const Spot& spot) { return m_roll.addMount(spot, m_random); }
    void expect(ItemId mount, std::vector<ItemId> subjects, const char* rule, const char* severity,
                const char* why);
    // One radio with one co-channel cell.
    std::pair<ItemId, ItemId> radio(ItemId mount, PlanePoint towards, bool chosen, double tiltDeg = 3,
                                    bool own = false) {
        const ItemId r = m_roll.addRadio(mount, m_build.azimuthOf(towards), tiltDeg);
        return {r, m_roll.addSmall(r, own, m_roll.a(), chosen)};
    }
    [[nodiscard]] double amslOf(const Spot& s) const {
        return m_build.lowestAhead(s.at, s.faces ? &*s.faces : nullptr) + s.heightM;
    }
    [[nodiscard]] bool sees(PlanePoint a, double amslA, PlanePoint b, double amslB, double spareM = 1) const;
    [[nodiscard]] bool quiet(const Spot& s) const { return macroWithin(s.at, 190) < 0; }
    [[nodiscard]] int macroWithin(PlanePoint p, double m) const;
    // The clearest way along the street or away from a wall.
    [[nodiscard]] PlanePoint openWay(const Spot& s) const;

    RollOut& m_roll;
    Build& m_build;
    const Fabric& m_fabric;
    const SpotFinder& m_finder;
    std::vector<Macro> m_macros;
    // A seed for each search, so that changing one moves no other.
    void fresh() { m_random = Random(90210 + 97 * ++m_search); }

    Random m_random{90210};
    std::uint64_t m_search = 0;
};

} // namespace fw::town
