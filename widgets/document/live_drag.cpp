// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/live_drag.h"

#include "text/figures.h"

#include <algorithm>
#include <cmath>

namespace fw {

LiveDrag::LiveDrag(PlanDocument& document, LiveStudy& live, QObject* parent)
    : QObject(parent), m_document(document), m_live(live) {
    connect(&document, &PlanDocument::planReplaced, this, &LiveDrag::clear);
}

void LiveDrag::clear() {
    m_active = false;
    m_mounts.clear();
    m_mountsBefore.clear();
    m_radios.clear();
    m_radiosBefore.clear();
}

bool LiveDrag::begin(const std::vector<ItemId>& mounts) {
    if (m_active) abandon();
    clear();
    if (!m_document.isOpen() || m_document.readOnly()) return false;
    for (const ItemId id : mounts)
        if (const Mount* m = m_document.plan().mounts.find(id)) m_mountsBefore.push_back(*m);
    if (m_mountsBefore.empty()) return false;
    for (const Radio& r : m_document.plan().radios)
        if (r.mount == m_mountsBefore.front().id) m_radiosBefore.push_back(r);
    m_mounts = m_mountsBefore;
    m_radios = m_radiosBefore;
    m_active = true;
    m_live.beginDrag();
    return true;
}

bool LiveDrag::beginRadio(ItemId radio) {
    if (m_active) abandon();
    clear();
    if (!m_document.isOpen() || m_document.readOnly()) return false;
    const Radio* r = m_document.plan().radios.find(radio);
    if (!r) return false;
    if (r->aimLocked) {
        emit aimLocked(radio);
        return false;
    }
    m_radios = m_radiosBefore = {*r};
    m_active = true;
    m_live.beginDrag();
    return true;
}

void LiveDrag::moveTo(PlanePoint at, std::optional<TrueAzimuth> faces) {
    if (!m_active || m_mounts.empty()) return;
    const PlanePoint step = at - m_mountsBefore.front().at;
    for (std::size_t i = 0; i < m_mounts.size(); ++i) m_mounts[i].at = m_mountsBefore[i].at + step;
    const std::optional<TrueAzimuth> before = m_mountsBefore.front().faces;
    Mount& first = m_mounts.front();
    first.faces = before;
    double turnDeg = 0;
    if (before && faces) {
        first.faces = faces;
        turnDeg = faces->deg - before->deg;
    }
    for (std::size_t i = 0; i < m_radios.size(); ++i)
        m_radios[i].azimuth = turnDeg == 0 || m_radios[i].aimLocked
                                  ? m_radiosBefore[i].azimuth
                                  : TrueAzimuth::of(m_radiosBefore[i].azimuth.deg + turnDeg);
    consider();
}

void LiveDrag::turnTo(TrueAzimuth azimuth) {
    if (!m_active || m_radios.empty() || !m_mounts.empty()) return;
    m_radios.front().azimuth = azimuth;
    consider();
}

void LiveDrag::tiltTo(double tiltDeg) {
    if (!m_active || m_radios.empty() || !m_mounts.empty()) return;
    const Mount* m = m_document.plan().mounts.find(m_radios.front().mount);
    double nearest = tiltDeg;
    if (m && !m->tiltsDeg.empty())
        nearest = *std::min_element(m->tiltsDeg.begin(), m->tiltsDeg.end(), [&](double a, double b) {
            return std::fabs(a - tiltDeg) < std::fabs(b - tiltDeg);
        });
    m_radios.front().tiltDeg = nearest;
    consider();
}

void LiveDrag::consider() {
    Hypothesis what;
    if (!m_mounts.empty()) what.mount = m_mounts.front();
    for (std::size_t i = 0; i < m_radios.size(); ++i) {
        if (i == 0)
            what.radio = m_radios[i];
        else
            what.otherRadios.push_back(m_radios[i]);
    }
    m_live.consider(what);
    emit moved();
}

namespace {

// Under the names that the map's own steps have, so that nudges and drags read alike in the history.
std::string textOf(const std::vector<Mount>& mounts, const std::vector<Radio>& radios, bool turned) {
    if (mounts.size() > 1)
        return LiveDrag::tr("Move %n mounts", nullptr, static_cast<int>(mounts.size())).toStdString();
    if (mounts.size() == 1)
        return LiveDrag::tr("Move %1").arg(QString::fromStdString(mounts[0].name)).toStdString();
    const QString name = QString::fromStdString(radios[0].name);
    if (turned) return LiveDrag::tr("Turn %1 to %2").arg(name, bearing(radios[0].azimuth.deg)).toStdString();
    return LiveDrag::tr("Tilt %1 to %2").arg(name, bearing(radios[0].tiltDeg)).toStdString();
}

} // namespace

void LiveDrag::finish() {
    if (!m_active) return;
    Edit edit;
    std::vector<Mount> movedMounts;
    for (std::size_t i = 0; i < m_mounts.size(); ++i)
        if (m_mounts[i] != m_mountsBefore[i]) {
            movedMounts.push_back(m_mounts[i]);
            edit.changes.emplace_back(Put{m_mounts[i]});
        }
    std::vector<Radio> movedRadios;
    bool turned = false;
    for (std::size_t i = 0; i < m_radios.size(); ++i)
        if (m_radios[i] != m_radiosBefore[i]) {
            turned = turned || m_radios[i].azimuth != m_radiosBefore[i].azimuth;
            movedRadios.push_back(m_radios[i]);
            edit.changes.emplace_back(Put{m_radios[i]});
        }
    bool kept = false;
    if (!edit.changes.empty()) {
        edit.text = textOf(movedMounts, movedRadios, turned);
        kept = m_document.perform(edit).ok();
    }
    clear();
    m_live.endDrag(kept);
    emit ended();
}

void LiveDrag::abandon() {
    if (!m_active) return;
    clear();
    m_live.endDrag(false);
    emit ended();
}

std::optional<Mount> LiveDrag::mount(ItemId id) const {
    for (const Mount& m : m_mounts)
        if (m.id == id) return m;
    const Mount* m = m_document.plan().mounts.find(id);
    return m ? std::optional(*m) : std::nullopt;
}

std::optional<Radio> LiveDrag::radio(ItemId id) const {
    for (const Radio& r : m_radios)
        if (r.id == id) return r;
    const Radio* r = m_document.plan().radios.find(id);
    return r ? std::optional(*r) : std::nullopt;
}

} // namespace fw
