// SPDX-License-Identifier: GPL-3.0-or-later
#include "canvas/map_items.h"

#include "radio/antenna.h"

#include <algorithm>

namespace fw {

bool MountSign::chosen() const {
    return std::any_of(radios.begin(), radios.end(),
                       [](const RadioSign& r) { return r.state == RadioState::chosen; });
}

void MapItems::take(const Plan& plan, const Frame* frame) {
    ++m_version;
    if (!frame || !m_frame || frame->epsg() != m_frame->epsg()) m_convergence.clear();
    m_frame = frame ? std::optional(*frame) : std::nullopt;
    m_plan = plan;
    m_beams.clear();
    m_mounts.clear();
    m_macros.clear();
    m_areas.clear();
    if (!m_frame) return;
    takeMounts();
    takeMacros();
    for (const CongestionArea& a : m_plan.congestionAreas)
        m_areas.push_back(
            {a.id, &a.area, boundsOf(a.area), centroidOf(a.area), QString::fromStdString(a.name)});
}

double MapItems::convergenceDeg(PlanePoint at) const {
    const double deg = m_frame ? m_frame->convergenceDeg(at) : 0;
    return std::isfinite(deg) ? deg : 0;
}

double MapItems::gridDeg(TrueAzimuth azimuth, PlanePoint at) const {
    return wrap360(azimuth.deg - convergenceDeg(at));
}

double MapItems::convergenceOf(ItemId item, PlanePoint at) {
    const auto it = m_convergence.find(item);
    if (it != m_convergence.end() && it->second.at == at) return it->second.deg;
    return (m_convergence[item] = {at, convergenceDeg(at)}).deg;
}

double MapItems::beamOf(ItemId antenna, double stated) {
    if (!antenna) return stated;
    const auto it = m_beams.find(antenna);
    if (it != m_beams.end()) return it->second;
    const AntennaCut* cut = m_plan.antennaCuts.find(antenna);
    const double width = cut ? Pattern(cutTableOf(*cut)).halfPowerBeamwidths().horizontalDeg : stated;
    return m_beams[antenna] = width;
}

void MapItems::takeMounts() {
    m_mounts.reserve(m_plan.mounts.size());
    for (const Mount& m : m_plan.mounts) {
        MountSign sign{m.id, m.at, m.kind, {}, {}, QString::fromStdString(m.name), m.consent};
        if (m.faces) sign.facesGridDeg = wrap360(m.faces->deg - convergenceOf(m.id, m.at));
        m_mounts.push_back(std::move(sign));
    }
    std::unordered_map<ItemId, RadioState> states;
    const ItemId variant = m_plan.settings->activeVariant;
    for (const SmallCell& c : m_plan.smallCells) {
        if (c.variant != variant) continue;
        RadioState& s = states[c.radio];
        s = std::max(s, c.chosen ? RadioState::chosen : RadioState::candidate);
    }
    for (const Radio& r : m_plan.radios) {
        const auto at = std::lower_bound(m_mounts.begin(), m_mounts.end(), r.mount,
                                         [](const MountSign& m, ItemId id) { return m.id < id; });
        if (at == m_mounts.end() || at->id != r.mount) continue;
        const auto state = states.find(r.id);
        at->radios.push_back({r.id, wrap360(r.azimuth.deg - convergenceOf(at->id, at->at)),
                              beamOf(r.antenna, r.hBeamDeg),
                              state == states.end() ? RadioState::bare : state->second});
    }
}

void MapItems::takeMacros() {
    m_macros.reserve(m_plan.macroSites.size());
    for (const MacroSite& s : m_plan.macroSites)
        m_macros.push_back({s.id, s.at, {}, QString::fromStdString(s.name)});
    for (const Sector& s : m_plan.sectors) {
        const auto at = std::lower_bound(m_macros.begin(), m_macros.end(), s.site,
                                         [](const MacroSign& m, ItemId id) { return m.id < id; });
        if (at == m_macros.end() || at->id != s.site) continue;
        at->sectors.push_back(
            {s.id, wrap360(s.azimuth.deg - convergenceOf(at->id, at->at)), beamOf(s.antenna, s.hBeamDeg)});
    }
}

const MountSign* MapItems::mount(ItemId id) const {
    const auto at = std::lower_bound(m_mounts.begin(), m_mounts.end(), id,
                                     [](const MountSign& m, ItemId v) { return m.id < v; });
    return at != m_mounts.end() && at->id == id ? &*at : nullptr;
}

RadioSign MapItems::signOf(const Radio& radio, PlanePoint at) const {
    return {radio.id, gridDeg(radio.azimuth, at), radio.hBeamDeg, RadioState::candidate};
}

MountSign MapItems::moved(const MountSign& sign, const Mount* mount, const std::vector<Radio>& radios) const {
    MountSign out = sign;
    if (mount) {
        out.at = mount->at;
        out.facesGridDeg.reset();
        if (mount->faces) out.facesGridDeg = gridDeg(*mount->faces, mount->at);
    }
    for (RadioSign& r : out.radios)
        for (const Radio& now : radios)
            if (now.id == r.id) r.gridDeg = gridDeg(now.azimuth, out.at);
    return out;
}

} // namespace fw
