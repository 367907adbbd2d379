// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/live_study.h"
#include "study/chance.h"

#include <QTimer>

#include <optional>

namespace fw {

/// How sure the verdicts of the settled ledger are, drawn on a worker a moment after it is there. An edit or
/// a drag takes it away: it belongs to the plan as it is.
class LiveChance : public QObject {
    Q_OBJECT
public:
    LiveChance(LiveStudy& live, JobBoard& jobs, QObject* parent = nullptr);

    /// Null while there is none.
    [[nodiscard]] const Chance* chance() const { return m_chance ? &*m_chance : nullptr; }
    /// Of one cell; null where there is none.
    [[nodiscard]] const CellChance* of(ItemId cell) const;
    /// The study it is drawn for.
    [[nodiscard]] const std::shared_ptr<const Study>& study() const { return m_study; }
    [[nodiscard]] bool drawing() const { return m_drawing; }

    /// Only for somebody who looks: parts that show it say so while they are in view.
    void setWanted(const QObject* who, bool wanted);

signals:
    void changed(); ///< chance() or drawing()

private:
    void follow();
    void draw();
    void drop();

    LiveStudy& m_live;
    JobBoard& m_jobs;
    QTimer m_calm;
    std::vector<const QObject*> m_wanted;
    std::shared_ptr<const Study> m_study;
    std::optional<Chance> m_chance;
    bool m_drawing = false;
};

} // namespace fw
