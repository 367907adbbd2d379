// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/live_uplink.h"

#include "base/parallel.h"

#include <algorithm>

namespace fw {
namespace {

const QString kUplinkKey = QStringLiteral("uplink");

} // namespace

LiveUplink::LiveUplink(LiveStudy& live, JobBoard& jobs, QObject* parent)
    : QObject(parent), m_live(live), m_jobs(jobs) {
    connect(&live, &LiveStudy::settledChanged, this, &LiveUplink::follow);
    connect(&live, &LiveStudy::stateChanged, this, &LiveUplink::follow);
    connect(&live, &LiveStudy::shownChanged, this, &LiveUplink::follow);
}

const UplinkLine* LiveUplink::of(ItemId cell) const {
    const auto& all = m_ledger.cells;
    const auto it = std::lower_bound(all.begin(), all.end(), cell,
                                     [](const UplinkLine& l, ItemId id) { return l.cell < id; });
    return it != all.end() && it->cell == cell ? &*it : nullptr;
}

const UplinkSmall* LiveUplink::ofSmall(ItemId small) const {
    const auto& all = m_ledger.smalls;
    const auto it = std::lower_bound(all.begin(), all.end(), small,
                                     [](const UplinkSmall& s, ItemId id) { return s.small < id; });
    return it != all.end() && it->small == small ? &*it : nullptr;
}

void LiveUplink::drop() {
    if (m_asked && !m_study) m_jobs.cancel(kUplinkKey);
    m_asked.reset();
    if (!m_study) return;
    m_study.reset();
    m_ledger = {};
    emit changed();
}

void LiveUplink::follow() {
    const bool still = m_live.settled() && !m_live.settling() && !m_live.stale() && !m_live.dragging();
    if (still && m_asked == m_live.study()) return; // there, or on its way
    drop();
    if (!still) return;
    m_asked = m_live.study();
    const auto result = std::make_shared<UplinkLedger>();
    const auto threads = spareThreads();
    m_jobs.start(
        kUplinkKey, tr("Working out the uplink"),
        [result, threads, study = m_asked](const Job& job) {
            *result = uplinkLedger(*study, study->plan().settings->uplink, threads, job);
        },
        [this, result, study = m_asked](Outcome outcome) {
            if (study != m_asked || outcome != Outcome::done) return; // taken away meanwhile
            m_study = study;
            m_ledger = std::move(*result);
            emit changed();
        },
        JobBoard::Manner::quiet); // a fraction of what settling takes
}

} // namespace fw
