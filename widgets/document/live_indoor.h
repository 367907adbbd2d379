// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/live_study.h"
#include "document/selection.h"
#include "study/indoor_working.h"

#include <optional>

namespace fw {

/// How far buildings are covered inside before and after, worked out on a worker while a building is chosen.
/// Of the study in view; an edit or a drag takes it away.
class LiveIndoor : public QObject {
    Q_OBJECT
public:
    LiveIndoor(LiveStudy& live, JobBoard& jobs, const PlanDocument& document, const Selection& selection,
               QObject* parent = nullptr);

    /// Of one building; null while there is nothing, or for one without users.
    [[nodiscard]] const BuildingCoverage* of(ItemId building) const;
    [[nodiscard]] const IndoorSpec& spec() const { return m_spec; }
    /// The study it is of; null while there is nothing.
    [[nodiscard]] const std::shared_ptr<const Study>& study() const { return m_study; }

signals:
    void changed();

private:
    void follow();
    void drop();

    LiveStudy& m_live;
    JobBoard& m_jobs;
    const PlanDocument& m_document;
    const Selection& m_selection;
    IndoorSpec m_spec;
    std::shared_ptr<const Study> m_study, m_asked;
    std::optional<IndoorCoverage> m_coverage;
};

} // namespace fw
