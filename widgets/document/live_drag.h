// SPDX-License-Identifier: GPL-3.0-or-later
// One drag, from press to release: what is moved, the figures that follow, and the one edit at its end. Map,
// skyline and fields all drag through this, so that they show the same and end the same.
#pragma once

#include "document/live_study.h"
#include "document/selection.h"

#include <QObject>

#include <vector>

namespace fw {

class LiveDrag : public QObject {
    Q_OBJECT
public:
    LiveDrag(PlanDocument& document, LiveStudy& live, QObject* parent = nullptr);

    /// Takes hold of mounts (to move), the first of them with live figures, or of one radio (to turn or
    /// tilt). False when none of them is there, the plan may not be changed or the radio's aim is locked,
    /// which is said; an earlier drag is abandoned.
    bool begin(const std::vector<ItemId>& mounts);
    bool beginRadio(ItemId radio);
    [[nodiscard]] bool active() const { return m_active; }

    /// The first mount goes to a place, the others by as much. `faces`: outward normal of the wall it now
    /// stands on; its radios turn as its wall turns, but for those whose aim is locked. Empty: stands free,
    /// nothing turns.
    void moveTo(PlanePoint at, std::optional<TrueAzimuth> faces = {});
    void turnTo(TrueAzimuth azimuth);
    /// Of the angles the mount's bracket allows, the nearest (deg, down positive).
    void tiltTo(double tiltDeg);

    /// One edit on the history: "Move S-104", "Turn R-2". Nothing changed: no edit.
    void finish();
    /// As it was before.
    void abandon();

    /// As they would be: moved mounts, turned radios. Empty unless active.
    [[nodiscard]] const std::vector<Mount>& mounts() const { return m_mounts; }
    [[nodiscard]] const std::vector<Radio>& radios() const { return m_radios; }
    /// The mount or radio of the plan, or as it would be while it is dragged.
    [[nodiscard]] std::optional<Mount> mount(ItemId id) const;
    [[nodiscard]] std::optional<Radio> radio(ItemId id) const;

    /// For whoever was asked to turn or tilt a radio whose aim is locked.
    void sayLocked(ItemId radio) { emit aimLocked(radio); }

signals:
    void aimLocked(fw::ItemId radio); ///< and so it was not turned
    void moved();                     ///< after figures followed
    void ended();

private:
    void consider();
    void clear();
    PlanDocument& m_document;
    LiveStudy& m_live;
    std::vector<Mount> m_mounts, m_mountsBefore;
    std::vector<Radio> m_radios, m_radiosBefore;
    bool m_active = false;
};

} // namespace fw
