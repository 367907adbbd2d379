// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "document/live_study.h"
#include "study/user_rates.h"

#include <vector>

namespace fw {

/// What macro cells' users get before and after, and those of small cells, worked out on a worker once the
/// settled ledger is there. An edit or a drag takes it away: it belongs to the plan as it is.
class LiveRates : public QObject {
    Q_OBJECT
public:
    LiveRates(LiveStudy& live, JobBoard& jobs, QObject* parent = nullptr);

    /// Of one cell; null while there is nothing, or for a cell without a measured load.
    [[nodiscard]] const UserRates* of(ItemId cell) const { return ratesOf(m_rates, cell); }
    /// Of a chosen small cell; null while there is nothing, or for one that takes nobody.
    [[nodiscard]] const SmallRates* ofSmall(ItemId small) const { return ratesOf(m_atSmalls, small); }
    /// The study they are of; null while there is nothing.
    [[nodiscard]] const std::shared_ptr<const Study>& study() const { return m_study; }

signals:
    void changed();

private:
    void follow();
    void drop();

    LiveStudy& m_live;
    JobBoard& m_jobs;
    std::shared_ptr<const Study> m_study, m_asked;
    std::vector<UserRates> m_rates;
    std::vector<SmallRates> m_atSmalls;
};

} // namespace fw
