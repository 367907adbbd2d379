// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/live_study.h"
#include "document/selection.h"
#include "siting/aim.h"

#include <QTimer>

#include <optional>
#include <vector>

namespace fw {

/// Where the chosen small cell's radio should point, worked out on a worker a moment after it is chosen or
/// changed: first every 5 degrees, then every degree. While its radio is turned it stays, for it says all
/// azimuths anyway; while its mount is moved it follows every 5 degrees, a fraction of a second behind, and
/// is refined at rest.
class LiveAim : public QObject {
    Q_OBJECT
public:
    static constexpr double kCoarseDeg = 5;

    LiveAim(PlanDocument& document, Selection& selection, LiveStudy& live, JobBoard& jobs,
            QObject* parent = nullptr);

    /// Null while there is none.
    [[nodiscard]] const Aim* aim() const { return m_aim ? &*m_aim : nullptr; }
    /// Every degree was asked.
    [[nodiscard]] bool fine() const { return m_fine; }
    /// Whether aim() belongs to an older state than the one in view.
    [[nodiscard]] bool stale() const;
    /// Points every 5 degrees from north on; empty while there are none.
    [[nodiscard]] std::vector<AimPoint> bearings() const;
    /// The lobe after the one that the radio looks along, round in a circle; the best where it looks along
    /// none.
    [[nodiscard]] std::optional<AimPoint> nextLobe() const;

    /// Only for somebody who looks: parts that show it say so.
    void setWanted(const QObject* who, bool wanted);

signals:
    void changed();

private:
    void look();
    void compute(double stepDeg);
    void follow(const Chain& chain);
    void drop();

    PlanDocument& m_document;
    Selection& m_selection;
    LiveStudy& m_live;
    JobBoard& m_jobs;
    QTimer m_soon;
    std::vector<const QObject*> m_wanted;
    std::optional<Aim> m_aim;
    std::shared_ptr<const Study> m_study, m_asked; ///< that the aim is of; that a job works on
    ItemId m_small, m_askedSmall;
    bool m_fine = false;
    bool m_followed = false; ///< the aim is of a place that the drag went through
    Mount m_followedMount;   ///< that place, or the one that is worked on
};

} // namespace fw
