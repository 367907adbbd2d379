// SPDX-License-Identifier: GPL-3.0-or-later
#include "document/live_indoor.h"

#include "base/parallel.h"

#include <algorithm>

namespace fw {
namespace {

const QString kIndoorKey = QStringLiteral("indoor figures");

} // namespace

LiveIndoor::LiveIndoor(LiveStudy& live, JobBoard& jobs, const PlanDocument& document,
                       const Selection& selection, QObject* parent)
    : QObject(parent), m_live(live), m_jobs(jobs), m_document(document), m_selection(selection) {
    connect(&live, &LiveStudy::stateChanged, this, &LiveIndoor::follow);
    connect(&live, &LiveStudy::shownChanged, this, &LiveIndoor::follow);
    connect(&selection, &Selection::changed, this, &LiveIndoor::follow);
}

const BuildingCoverage* LiveIndoor::of(ItemId building) const {
    return m_coverage ? coverageOf(*m_coverage, building) : nullptr;
}

void LiveIndoor::drop() {
    if (m_asked && !m_study) m_jobs.cancel(kIndoorKey);
    m_asked.reset();
    if (!m_study) return;
    m_study.reset();
    m_coverage.reset();
    emit changed();
}

void LiveIndoor::follow() {
    const bool still = m_live.study() && !m_live.stale() && !m_live.dragging();
    if (still && m_asked == m_live.study()) return; // there, or on its way
    drop();
    if (!still || !m_document.isOpen() || !m_document.plan().scenery.building(m_selection.primary())) return;
    m_asked = m_live.study();
    const auto result = std::make_shared<IndoorCoverage>();
    const auto threads = spareThreads();
    m_jobs.start(
        kIndoorKey, tr("Working out indoor coverage"),
        [result, threads, study = m_asked, spec = m_spec](const Job& job) {
            *result = indoorCoverage(*study, spec, threads, job);
        },
        [this, result, study = m_asked](Outcome outcome) {
            if (study != m_asked || outcome != Outcome::done) return; // taken away meanwhile
            m_study = study;
            m_coverage = std::move(*result);
            emit changed();
        },
        JobBoard::Manner::quiet);
}

} // namespace fw
