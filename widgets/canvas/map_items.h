// SPDX-License-Identifier: GPL-3.0-or-later
// What is alive on the map, brought into the form that a frame needs: places, grid azimuths, names as text.
// Made anew when the plan changes, not while something is dragged.
#pragma once

#include "canvas/camera.h"
#include "geo/frame.h"
#include "plan/plan.h"

#include <QString>

#include <unordered_map>
#include <vector>

namespace fw {

/// What a radio is to the active variant.
enum class RadioState { bare, candidate, chosen }; ///< bare: carries no small cell of the variant

struct RadioSign {
    ItemId id;
    double gridDeg = 0, beamDeg = 65;
    RadioState state = RadioState::bare;
};
struct MountSign {
    ItemId id;
    PlanePoint at;
    MountKind kind = MountKind::pole;
    std::optional<double> facesGridDeg;
    std::vector<RadioSign> radios;
    QString name;
    ConsentState consent = ConsentState::unknown; ///< the owner's answer
    [[nodiscard]] bool chosen() const;
};
struct SectorSign {
    ItemId id;
    double gridDeg = 0, beamDeg = 65;
};
struct MacroSign {
    ItemId id;
    PlanePoint at;
    std::vector<SectorSign> sectors;
    QString name;
};
struct AreaSign {
    ItemId id;
    const Polygon* area; ///< of the plan that MapItems holds
    Box bounds;
    PlanePoint label;
    QString name;
};

class MapItems {
public:
    /// Without a frame nothing is shown.
    void take(const Plan& plan, const Frame* frame);

    [[nodiscard]] const std::vector<MountSign>& mounts() const { return m_mounts; }
    [[nodiscard]] const std::vector<MacroSign>& macros() const { return m_macros; }
    [[nodiscard]] const std::vector<AreaSign>& areas() const { return m_areas; }
    [[nodiscard]] const MountSign* mount(ItemId id) const;
    /// The mount's sign as it would be at another place or with radios turned.
    [[nodiscard]] MountSign moved(const MountSign& sign, const Mount* mount,
                                  const std::vector<Radio>& radios) const;
    [[nodiscard]] RadioSign signOf(const Radio& radio, PlanePoint at) const;
    [[nodiscard]] double gridDeg(TrueAzimuth azimuth, PlanePoint at) const;
    [[nodiscard]] double convergenceDeg(PlanePoint at) const;
    [[nodiscard]] bool hasFrame() const { return m_frame.has_value(); }
    /// Counts up with every take().
    [[nodiscard]] unsigned version() const { return m_version; }
    [[nodiscard]] const Plan& plan() const { return m_plan; }

private:
    double convergenceOf(ItemId item, PlanePoint at);
    double beamOf(ItemId antenna, double stated);
    void takeMounts();
    void takeMacros();

    Plan m_plan;
    std::optional<Frame> m_frame;
    std::vector<MountSign> m_mounts;
    std::vector<MacroSign> m_macros;
    std::vector<AreaSign> m_areas;
    struct Known {
        PlanePoint at;
        double deg;
    };
    std::unordered_map<ItemId, Known> m_convergence; ///< costs microseconds each: kept while the place holds
    std::unordered_map<ItemId, double> m_beams;      ///< by antenna
    unsigned m_version = 0;
};

} // namespace fw
