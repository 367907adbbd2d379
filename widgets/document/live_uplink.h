// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/live_study.h"
#include "study/uplink.h"

#include <memory>

namespace fw {

/// The uplink's ledger by the plan's own settings, worked out on a worker once the settled ledger is there.
/// An edit or a drag takes it away: it belongs to the plan as it is.
class LiveUplink : public QObject {
    Q_OBJECT
public:
    LiveUplink(LiveStudy& live, JobBoard& jobs, QObject* parent = nullptr);

    /// Null while there is nothing.
    [[nodiscard]] const UplinkLedger* ledger() const { return m_study ? &m_ledger : nullptr; }
    /// Of one macro cell; null while there is nothing, or for one without a measured uplink.
    [[nodiscard]] const UplinkLine* of(ItemId cell) const;
    /// Of one small cell; null while there is nothing, or for one on a carrier of its own.
    [[nodiscard]] const UplinkSmall* ofSmall(ItemId small) const;
    /// The study it is of; null while there is nothing.
    [[nodiscard]] const std::shared_ptr<const Study>& study() const { return m_study; }

signals:
    void changed();

private:
    void follow();
    void drop();

    LiveStudy& m_live;
    JobBoard& m_jobs;
    std::shared_ptr<const Study> m_study, m_asked;
    UplinkLedger m_ledger;
};

} // namespace fw
