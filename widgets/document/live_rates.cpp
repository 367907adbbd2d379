// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/live_rates.h"

#include "base/parallel.h"

#include <algorithm>

namespace fw {
namespace {

const QString kRatesKey = QStringLiteral("user rates");

} // namespace

LiveRates::LiveRates(LiveStudy& live, JobBoard& jobs, QObject* parent)
    : QObject(parent), m_live(live), m_jobs(jobs) {
    connect(&live, &LiveStudy::settledChanged, this, &LiveRates::follow);
    connect(&live, &LiveStudy::stateChanged, this, &LiveRates::follow);
    connect(&live, &LiveStudy::shownChanged, this, &LiveRates::follow);
}

void LiveRates::drop() {
    if (m_asked && !m_study) m_jobs.cancel(kRatesKey);
    m_asked.reset();
    if (!m_study) return;
    m_study.reset();
    m_rates.clear();
    m_atSmalls.clear();
    emit changed();
}

void LiveRates::follow() {
    const bool still = m_live.settled() && !m_live.settling() && !m_live.stale() && !m_live.dragging();
    if (still && m_asked == m_live.study()) return; // there, or on its way
    drop();
    if (!still) return;
    m_asked = m_live.study();
    struct Both {
        std::vector<UserRates> cells;
        std::vector<SmallRates> smalls;
    };
    const auto result = std::make_shared<Both>();
    const auto threads = spareThreads();
    m_jobs.start(
        kRatesKey, tr("Working out what users get"),
        [result, threads, study = m_asked, ledger = *m_live.settled()](const Job& job) {
            result->cells = userRates(*study, ledger, threads, job);
            result->smalls = smallRates(*study, ledger, threads, job);
        },
        [this, result, study = m_asked](Outcome outcome) {
            if (study != m_asked || outcome != Outcome::done) return; // taken away meanwhile
            m_study = study;
            m_rates = std::move(result->cells);
            m_atSmalls = std::move(result->smalls);
            emit changed();
        },
        JobBoard::Manner::quiet); // a fraction of what settling takes
}

} // namespace fw
