// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/live_study.h"
#include "study/fringe_map.h"

#include <QObject>

#include <vector>

namespace fw {

/// Fringes of the cells that were asked for: computed on a worker, shown on the map, turned into congestion
/// areas. They belong to the study they came from and go when what macros do changes.
class Fringes : public QObject {
    Q_OBJECT
public:
    Fringes(PlanDocument& document, LiveStudy& live, JobBoard& jobs, QObject* parent = nullptr);

    /// Cells as they are, sectors and sites as all their cells. Refused by failed() where there is no study
    /// yet or nothing of it is a macro cell.
    void compute(const std::vector<ItemId>& items);
    /// The fringes in view, ascending by cell.
    [[nodiscard]] const std::vector<FringeMap>& maps() const { return m_maps; }
    void clear();
    /// One edit that makes areas of all fringes in view; they are then no longer shown as fringes.
    /// @return ids of the new areas; empty (and failed()) when refused.
    std::vector<ItemId> toAreas();

signals:
    void changed();
    void failed(const QString& sentence);

private:
    PlanDocument& m_document;
    LiveStudy& m_live;
    JobBoard& m_jobs;
    std::shared_ptr<const Study> m_from;
    std::vector<FringeMap> m_maps;
};

/// Macro cells that items mean: themselves, those of their sectors and sites. Ascending.
std::vector<ItemId> macroCellsOf(const Plan& plan, const std::vector<ItemId>& items);

} // namespace fw
